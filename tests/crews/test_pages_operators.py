"""Operators by parts and one operator, as members read them."""

from __future__ import annotations

import re
from datetime import date

import pytest

from crews.actions.people import (
    enrol_operator,
    suspend_operator,
    withdraw_certification,
)
from crews.models import Certification, Enrolment
from crews.queries.folding import WIDEST, bands, folded, folds
from crews.queries.matrix import matrix
from crews.queries.operators import operator_page
from project.models import new_id
from tests.crews.pages import Visitor, words
from tests.factories import at, card, clock_at, make_card, make_operator, make_part

NOW = at("2026-09-14 09:00")


def _cells(response):
    """Return every square of the matrix: its row, its operator, its answer."""
    page = response.content.decode()
    found = re.findall(
        r'<span class="unseen">([^,<]+), ([^:<]+):</span>\s*'
        r'<span class="stamp[^"]*" role="img" aria-label="([^"]+)"',
        page,
    )
    return {(part, code): answer for part, code, answer in found}


def test_each_square_says_how_an_operator_stands(qualified):
    response = Visitor(qualified.inspector).get("operators")
    # The factories' site: OP-01 has card and mock-up for the wall; the soffit asks an
    # overhead card; OP-02 has no mock-up; the dry operator of the other firm neither.
    assert _cells(response) == {
        ("R1", "OP-01"): "qualified",
        ("R1", "OP-02"): "not qualified",
        ("R1", "OP-03"): "not qualified",
        ("R6", "OP-01"): "not qualified",
        ("R6", "OP-02"): "not qualified",
        ("R6", "OP-03"): "not qualified",
    }


def test_a_part_without_a_mix_is_undecided_for_everybody(qualified):
    with clock_at("2026-08-01 08:00"):
        make_part(qualified.admin, "P9", order=9, mix_code="")
    cells = _cells(Visitor(qualified.inspector).get("operators"))
    assert {cells["P9", f"OP-0{n}"] for n in (1, 2, 3)} == {"undecided"}


def test_a_contractor_sees_its_own_people_only(qualified):
    page = Visitor(qualified.other_qc).get("operators")
    assert {code for _part, code in _cells(page)} == {"OP-03"}
    assert Visitor(qualified.other_qc).get("operator", "OP-01").status_code == 404
    assert Visitor(qualified.qc).get("operator", "OP-01").status_code == 200


@pytest.mark.parametrize("key", ["laboratory", "architect", "official"])
def test_who_may_not_read_operators_is_refused(site, key):
    eye = Visitor(site.members[key])
    assert eye.get("operators").status_code == 403
    assert eye.get("operator", "OP-01").status_code == 403


def test_a_stranger_finds_no_operators(site, elsewhere):
    eye = Visitor(elsewhere.inspector)
    url = eye.url("operators").replace(elsewhere.job.code, site.job.code)
    with clock_at("2026-09-14 09:00"):
        assert eye.client.get(url).status_code == 404


def test_the_chosen_square_gives_every_gate_with_its_source(qualified):
    response = Visitor(qualified.inspector).get(
        "operators", part="R6", operator="OP-01"
    )
    page = words(response)
    assert "Bartosz Ilunga" in page
    for gate in ("active place", "one card", "in training", "mock-up", "approved by"):
        assert gate in page
    assert "no suspension stands" in page
    assert "2 of 7 gates do not hold." in page
    assert "Nothing on record will change this answer by itself." in page
    assert "WV-B-001" in page  # the evidence
    assert "ACI CP-60" in page  # the source
    assert response.content.decode().count('aria-current="true"') == 1


def test_a_square_that_does_not_exist_says_so(qualified):
    response = Visitor(qualified.inspector).get(
        "operators", part="R99", operator="OP-01"
    )
    assert response.status_code == 200
    assert "No such part or operator as known then" in words(response)


def test_an_answer_that_ends_within_thirty_days_carries_its_date(qualified):
    # The card's printed last day counts (the card rules, as quoted from ACI CP-60).
    page = Visitor(qualified.inspector, at="2028-02-20 09:00").get("operators")
    assert "to 14 Mar" in words(page)
    assert "last day Tue 14 Mar 2028" in words(page)
    early = Visitor(qualified.inspector, at="2028-02-10 09:00").get("operators")
    assert "to 14 Mar" not in words(early)


def test_the_page_is_read_for_another_day_and_another_knowledge(qualified):
    eye = Visitor(qualified.inspector)
    before = eye.get("operators", at="2026-07-25T09:00")
    assert _cells(before)["R1", "OP-01"] == "not qualified"  # not judged yet
    after = eye.get("operators", at="2026-08-10T09:00")
    assert _cells(after)["R1", "OP-01"] == "qualified"
    unknown = eye.get("operators", at="2026-08-10T09:00", known="2026-07-25T09:00")
    assert _cells(unknown)["R1", "OP-01"] == "not qualified"
    assert "Sat 25 Jul" not in words(after)
    assert "25 Jul 2026, 09:00" in words(unknown)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"at": "yesterday"}, "yesterday is not a date and time; allowed is"),
        ({"known": "2026-12-01T09:00"}, "2026-12-01 09:00 lies ahead; allowed is now"),
        ({"mix": "0" * 8}, "00000000 is not on this list; allowed is one that is."),
        ({"method": "tongs"}, "tongs is not on this list"),
    ],
)
def test_what_cannot_be_asked_is_said_and_not_taken_for_something_else(
    site, asked, said
):
    response = Visitor(site.inspector).get("operators", **asked)
    assert response.status_code == 422
    assert said in words(response)


def test_another_mix_may_be_asked_for_all_parts(qualified):
    # OP-03 holds a dry card; D-60 is the dry mix. No mock-up with it is on record.
    eye = Visitor(qualified.inspector)
    dry = qualified.other_mix.first
    page = words(eye.get("operators", mix=dry, part="R1", operator="OP-03"))
    assert "one card for dry vertical by hand" in page
    assert "1 of 7 gates do not hold." in page


def test_a_mix_of_another_job_cannot_be_asked_for(site, elsewhere):
    response = Visitor(site.inspector).get("operators", mix=elsewhere.mix.first)
    assert response.status_code == 422


def test_equal_neighbours_fold_and_unfold(qualified):
    with clock_at("2026-08-01 08:00"):
        for n in (2, 3):
            make_part(qualified.admin, f"R{n}", order=1)
    found = matrix(qualified.job, as_of=NOW, known_at=NOW)
    folded = folds(found)
    assert [fold.codes for fold in folded] == [("R1", "R2", "R3"), ("R6",)]
    assert folded[0].parts == ("R1", "R2", "R3")
    assert folded[0].count == 1
    assert [fold.codes for fold in folds(found, every=True)] == [
        ("R1",), ("R2",), ("R3",), ("R6",),
    ]  # fmt: skip
    eye = Visitor(qualified.inspector)
    assert "R1 to R3" in words(eye.get("operators"))
    assert "R1 to R3" not in words(eye.get("operators", every=1))
    chosen = eye.get("operators", part="R2", operator="OP-01")
    assert 'aria-current="true"' in chosen.content.decode()


def test_one_operators_parts_fold_the_same_way(qualified):
    page = operator_page(qualified.job, "OP-01", as_of=NOW, known_at=NOW)
    assert [fold.codes for fold in folded(page.rows)] == [("R1",), ("R6",)]


def test_more_than_a_dozen_operators_stand_in_bands_by_firm(qualified):
    with clock_at("2026-08-01 08:00"):
        for n in range(WIDEST):
            make_operator(
                qualified.qc, qualified.contractor, f"Person {n}", f"N-{n:03}"
            )
    people = matrix(qualified.job, as_of=NOW, known_at=NOW).people
    assert len(people) == WIDEST + 3
    found = bands(people)
    assert sorted(len(band) for band in found) == [1, 2, WIDEST]
    assert {p.code for band in found for p in band} == {p.code for p in people}
    for band in found:
        assert len({p.operator.organization_id for p in band}) == 1
    page = Visitor(qualified.inspector).get("operators").content.decode()
    tables = page.split('<table class="matrix">')[1:]
    assert len(tables) == 3
    for table, band in zip(tables, found, strict=True):
        codes = [person.code for person in band]
        assert re.findall(r'<span class="code">(OP-\d+)</span>', table) == codes
        rows = re.findall(r"<tr><th.*?</tr>", table)
        assert rows
        for row in rows:
            assert re.findall(r"operator=(OP-\d+)#", row) == codes
            assert re.findall(r", (OP-\d+):", row) == codes


def test_the_legend_stands_wherever_small_stamps_do(qualified):
    page = Visitor(qualified.inspector).get("operators").content.decode()
    assert page.count('<ul class="legend">') == 1


def test_an_operators_sheet_keeps_earlier_versions_and_refused_mock_ups(qualified):
    site = qualified
    with clock_at("2026-08-01 08:00"):
        make_card(site.qc, site.operator, card(number="WV-2nd"))
    with clock_at("2026-08-02 08:00"):
        second = Certification.objects.get(number="WV-2nd")
        withdraw_certification(
            id=new_id(), by=site.qc, card=second, reason="read twice"
        )
        suspend_operator(
            id=new_id(), by=site.inspector, operator=site.operator,
            from_at=at("2026-08-02 08:00"), until_at=at("2026-08-03 08:00"),
            ordered_by="Ottilie Varga", words="Dry patches twice.",
        )  # fmt: skip
    page = words(Visitor(site.inspector).get("operator", "OP-01"))
    assert "WV-B-001" in page
    assert "withdrawn" in page
    assert "read twice" in page
    assert "Bars encased." in page
    assert "SUB-B-001" in page
    assert "Dry patches twice." in page
    assert "Nobody has verified it yet" in page
    then = words(
        Visitor(site.inspector).get("operator", "OP-01", at="2026-08-02T12:00")
    )
    assert "suspended" in then
    assert "suspended" not in page


def test_a_place_that_ended_says_until_when(site):
    with clock_at("2026-08-01 08:00"):
        place = site.operator
        row = Enrolment.objects.get(operator=place)
        enrol_operator(
            id=new_id(), by=site.qc, operator=place, employer=site.contractor,
            from_on=row.from_on, to_on=date(2026, 8, 7), supersedes=row,
            reason="left the crew",
        )  # fmt: skip
    assert "7 Aug 2026" in words(Visitor(site.inspector).get("operator", "OP-01"))


def test_buttons_are_drawn_only_for_who_may_press_them(qualified):
    owner = words(Visitor(qualified.members["owner"]).get("operator", "OP-01"))
    assert "Record a card" not in owner
    assert "Record a card" in words(Visitor(qualified.qc).get("operator", "OP-01"))


def test_a_verified_card_says_that_it_ends_soon(site):
    with clock_at("2026-08-01 08:00"):
        make_card(
            site.qc,
            site.operator,
            card(
                number="WV-new", verified_by=site.qc.user,
                verified_on=date(2026, 7, 31), verified_how="register",
            ),
        )  # fmt: skip
    assert "in force" in words(Visitor(site.qc).get("operator", "OP-01"))
    assert "ends soon" in words(
        Visitor(site.qc).get("operator", "OP-01", at="2028-03-01T09:00")
    )
