"""Deficiencies and nonconformance reports on the pages, each by whose move it is."""

from __future__ import annotations

import re
from html import unescape

import pytest

from inspections.models import Deficiency, Move, Nonconformance
from project.models import new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, complaints, words
from tests.factories import shoot
from tests.inspections.hands import correct, find, find_right, load, raise_one, sign
from tests.inspections.wall import DAY

AFTERNOON = f"{DAY} 15:00"


@pytest.fixture
def eyes(wall):
    """Give each member of the wall a browser in the afternoon of the day."""
    return lambda who, now=AFTERNOON: Visitor(getattr(wall, who), at=now)


def _buttons(response):
    return [move["words"] for move in response.context["moves"]]


def test_a_deficiency_of_a_draft_is_its_firms_own_until_somebody_is_told(wall, eyes):
    find(wall, words="Dowels oversprayed")
    inspector, contractor, owner = eyes("inspector"), eyes("qc"), eyes("owner")
    assert "Dowels oversprayed" in words(inspector.get("deficiency", 1))
    for other in (contractor, owner):
        assert other.get("deficiency", 1).status_code == 404
        assert "Dowels oversprayed" not in words(other.get("deficiencies"))
        with nothing_written(wall.job):
            answer = other.post("move_deficiency", 1, "correct", data={"words": "x"})
            assert answer.status_code in (403, 404)
    told = {"id": new_id(), "after": 0, "at": f"{DAY}T09:10", "told": "Sione Fakahau",
            "means": "in person"}  # fmt: skip
    for _ in range(2):
        inspector.post("move_deficiency", 1, "notify", data=told)
    assert Move.objects.count() == 1
    page = contractor.get("deficiency", 1)
    assert "told Sione Fakahau, in person" in words(page)
    assert _buttons(page) == ["Record a correction", "Record who was told"]
    assert eyes("other_qc").get("deficiency", 1).status_code == 404


@pytest.mark.usefixtures("sound")
def test_it_is_corrected_by_one_and_found_right_by_another(wall, eyes):
    find(wall)
    inspector = eyes("inspector")
    sent = {"id": new_id(), "after": 0, "at": f"{DAY}T09:33", "words": "Washed.",
            "corrected_by": "Ngozi Eberechi"}  # fmt: skip
    for name, said in (("words", "required"), ("corrected_by", "required")):
        with nothing_written(wall.job):
            answer = inspector.post(
                "move_deficiency", 1, "correct", data=sent | {name: ""}
            )
        assert said in " ".join(complaints(answer)[name])
    with nothing_written(wall.job):
        early = sent | {"at": f"{DAY}T08:00"}
        answer = inspector.post("move_deficiency", 1, "correct", data=early)
    assert "lies before it was seen" in " ".join(complaints(answer)["at"])
    inspector.post("move_deficiency", 1, "correct", data=sent)
    page = inspector.get("deficiency", 1)
    assert "corrected, look again" in words(page)
    assert "Find it right" in _buttons(page)
    right = {"id": new_id(), "after": 1, "at": f"{DAY}T09:36"}
    inspector.post("move_deficiency", 1, "find-right", data=right)
    assert "Closed after 36 min" in words(inspector.get("deficiency", 1))
    assert inspector.get("move_deficiency", 1, "find-right").status_code == 404


def test_whoever_comes_second_is_told_of_the_first(wall, eyes):
    row = find(wall)
    stale = {"id": new_id(), "after": 0, "at": f"{DAY}T09:40", "words": "Washed.",
             "corrected_by": "Ngozi Eberechi"}  # fmt: skip
    correct(wall, row)
    with nothing_written(wall.job):
        answer = eyes("inspector").post("move_deficiency", 1, "correct", data=stale)
    said = " ".join(complaints(answer)["__all__"])
    assert f"{wall.inspector.user.printed_name}, correct" in said


def test_the_list_shows_open_ones_and_on_asking_those_closed(wall, eyes):
    for place in ("grid 1", "grid 2"):
        find(wall, place=place)
    row = Deficiency.objects.get(place="grid 1")
    correct(wall, row)
    find_right(wall, row)
    page = words(eyes("inspector").get("deficiencies"))
    assert "grid 2" in page
    assert "grid 1" not in page
    assert "Show the one closed" in page
    closed = words(eyes("inspector").get("deficiencies", closed=""))
    assert "grid 1" in closed
    assert "grid 2" not in closed


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"item": "place-mood"}, "item", "place-mood is not on this list"),
        ({"words": ""}, "words", "required"),
        ({"severity": "panic"}, "severity", "panic is not on this list"),
        ({"part": str(new_id())}, "part", "not on this list"),
        ({"seen_at": f"{DAY}T23:00"}, "seen_at", "lies ahead"),
        (
            {"volume_removed_0": "-1", "volume_removed_1": "yd3"},
            "volume_removed",
            "-1 yd3; allowed is at least 0",
        ),
    ],
)
def test_a_deficiency_that_cannot_be_is_refused(wall, eyes, changes, field, said):
    sent = {
        "id": new_id(),
        "item": "place-overspray",
        "seen_at": f"{DAY}T09:00",
        "part": wall.part.pk,
        "place": "grid 4",
        "words": "Dowels oversprayed",
        "volume_removed_0": "",
    }
    with nothing_written(wall.job):
        answer = eyes("inspector").post("open_deficiency", 1, data=sent | changes)
    assert said in " ".join(complaints(answer)[field])
    eyes("inspector").post("open_deficiency", 1, data=sent)
    assert Deficiency.objects.get().severity  # what the catalogue says


def test_one_seen_without_a_sheet_names_its_part(wall, eyes):
    sign(wall)
    sent = {
        "id": new_id(),
        "item": "place-overspray",
        "seen_at": f"{DAY}T14:00",
        "part": "",
        "words": "Sounds hollow",
        "volume_removed_0": "",
    }
    inspector = eyes("inspector")
    with nothing_written(wall.job):
        answer = inspector.post("open_late_deficiency", data=sent)
    assert "allowed is one of them at least" in " ".join(complaints(answer)["part"])
    sent["part"] = str(wall.part.pk)
    answer = inspector.post("open_late_deficiency", data=sent)
    assert answer.url == inspector.url("deficiency", 1)
    assert "seen without a sheet" in words(inspector.get("deficiency", 1))
    assert "Sounds hollow" in words(eyes("owner").get("deficiency", 1))


def _report(about, **changes):
    usual = {
        "id": new_id(),
        "about": about,
        "requirement": "mix W-45A: air at the pump",
        "words": "Air 4.9 %.",
        "observed_at": f"{DAY}T10:05",
        "written_at": f"{DAY}T10:20",
    }
    return usual | changes


@pytest.mark.usefixtures("sound")
def test_a_report_is_raised_told_and_closed_by_those_who_may(wall, eyes):
    row = load(wall)
    inspector, owner = eyes("inspector"), eyes("owner")
    sent = _report(row.first)
    for _ in range(2):
        answer = inspector.post("raise_nonconformance", data=sent)
        assert answer.url == inspector.url("nonconformance", 1)
    report = Nonconformance.objects.get()
    assert (report.about_id, report.about_kind) == (row.first, "load")
    assert _buttons(owner.get("nonconformance", 1)) == []
    assert owner.get("move_nonconformance", 1, "close").status_code == 404
    told = {"id": new_id(), "after": 0, "at": f"{DAY}T10:30", "told": "Sione Fakahau",
            "means": "in person"}  # fmt: skip
    with nothing_written(wall.job):
        answer = inspector.post(
            "move_nonconformance", 1, "notify", data=told | {"means": "smoke"}
        )
    assert "smoke is not on this list" in " ".join(complaints(answer)["means"])
    inspector.post("move_nonconformance", 1, "notify", data=told)
    assert _buttons(owner.get("nonconformance", 1)) == ["Close the report"]
    close = {"id": new_id(), "after": 1, "at": f"{DAY}T14:00", "words": "Load removed."}
    with nothing_written(wall.job):
        answer = inspector.post("move_nonconformance", 1, "close", data=close)
    assert "close is made by: engineer, owner" in " ".join(
        complaints(answer)["__all__"]
    )
    owner.post("move_nonconformance", 1, "close", data=close)
    page = words(inspector.get("nonconformance", 1))
    assert "Closed 11 Aug 2026, 14:00 , after 0 days" in page
    listed = words(inspector.get("nonconformances"))
    assert "11 Aug 2026, 10:05 11 Aug 2026, 10:20 11 Aug 2026, 10:30" in listed


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"about": str(new_id())}, "about", "not on this list"),
        ({"about": ""}, "about", "required"),
        ({"requirement": ""}, "requirement", "required"),
        (
            {"written_at": f"{DAY}T09:00"},
            "written_at",
            "Written before it was observed",
        ),
        ({"observed_at": f"{DAY}T23:00"}, "observed_at", "lies ahead"),
    ],
)
def test_a_report_that_cannot_be_is_refused(wall, eyes, changes, field, said):
    row = load(wall)
    with nothing_written(wall.job):
        answer = eyes("inspector").post(
            "raise_nonconformance", data=_report(row.first) | changes
        )
    assert said in " ".join(complaints(answer)[field])


def test_a_report_grows_out_of_a_deficiency_and_takes_it_along(wall, eyes):
    row = find(wall, words="Dowels oversprayed")
    inspector = eyes("inspector")
    page = inspector.get("raise_nonconformance", deficiency=1)
    assert "Dowels oversprayed" in page.content.decode()
    sent = _report(row.first, written_at="")
    inspector.post("raise_nonconformance", data=sent, deficiency=1)
    assert "It became NCR-001" in words(inspector.get("deficiency", 1))
    assert inspector.get("raise_nonconformance", deficiency="x").status_code == 404
    assert eyes("qc").get("raise_nonconformance", deficiency=99).status_code == 404


def test_what_the_record_proposes_is_raised_from_its_line(wall, eyes):
    taken = shoot(
        wall.site, wall.placement, wall.second, f"{DAY} 07:00", f"{DAY} 09:00"
    )
    inspector = eyes("inspector")
    page = inspector.get("nonconformances")
    assert "Proposed by the record" in words(page)
    assert [line.about_id for line in page.context["proposals"]] == [taken.first]
    form = inspector.get("raise_nonconformance", about=taken.first)
    assert str(taken.first) == str(form.context["form"]["about"].value())
    assert wall.second.legal_name in form.context["form"]["words"].value()
    assert inspector.get("raise_nonconformance", about=new_id()).status_code == 404
    inspector.post("raise_nonconformance", data=_report(taken.first, written_at=""))
    assert inspector.get("nonconformances").context["proposals"] == ()
    assert "Proposed" not in words(eyes("owner").get("nonconformances"))


def test_a_report_tells_its_age_and_that_no_answer_is_due(wall, eyes):
    raise_one(wall, wall.placement)
    later = eyes("inspector", "2026-08-25 09:00")
    page = words(later.get("nonconformance", 1))
    assert "13 days since it was observed" in page
    assert "13 days since it was raised" in page
    # This edition gives no time to answer: that is said, and no day is made up.
    assert "the contract gives no time" in page


def test_another_contractor_reads_neither_list_nor_page(wall, eyes):
    raise_one(wall, wall.placement)
    sign(wall)
    own, other = eyes("qc"), eyes("other_qc")
    assert own.get("nonconformance", 1).status_code == 200
    assert other.get("nonconformance", 1).status_code == 404
    assert "NCR-001" not in words(other.get("nonconformances"))


@pytest.mark.usefixtures("sound")
def test_how_long_a_finding_is_open_opens_its_working(wall, eyes):
    find(wall)
    inspector = eyes("inspector")
    page = unescape(inspector.get("deficiency", 1).content.decode())
    (address,) = re.findall(r'href="([^"]*/working/elapsed/[^"]*)"', page)
    with inspector._clock():
        answer = inspector.client.get(address)
    assert answer.status_code == 200
    assert "in UTC" in words(answer)
