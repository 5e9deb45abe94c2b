"""The ledger of panels, one panel with its cores, and strength, as members read them."""

from __future__ import annotations

import pytest

from tests.crews.pages import Visitor, a_day_with_one_panel_missing, words
from tests.factories import make_cores, report, result
from tests.support.made_once import made_once


@made_once
def worked(qualified):
    return a_day_with_one_panel_missing(qualified)


@made_once
def tested(worked):
    """Its cores at 28 days: one of them under three quarters of f_c."""
    cores = make_cores(worked, worked.extra["panel"], ages=(7, 28, 28, 28))
    worked.extra["cores"] = cores
    entries = [result(cores[0], "2026-08-11 10:00", "3000")]
    report(worked, "L-1", "2026-08-11 12:00", entries)
    entries = [
        result(core, "2026-09-01 10:00", psi)
        for core, psi in zip(cores[1:], ("3300", "4500", "4600"), strict=True)
    ]
    report(worked, "L-2", "2026-09-01 12:00", entries)
    return worked


def test_the_ledger_counts_owed_made_and_missing(worked):
    response = Visitor(worked.inspector).get("panels")
    ledger = response.context["ledger"]
    assert (ledger.owed, ledger.made, len(ledger.missing)) == (2, 1, 1)
    page = words(response)
    assert "Owed to date 2" in page
    assert "OP-02, 4 Aug 2026" in page
    assert "Nothing stands in its place." in page
    assert "Propose cores from the work" in page
    assert response.content.decode().count("stamp-bars") >= 1  # MISSING


def test_nothing_is_owed_before_the_work(worked):
    page = Visitor(worked.inspector).get("panels", at="2026-08-03T12:00")
    assert page.context["ledger"].owed == 0
    assert "No panel is owed as known then" in words(page)


def test_results_due_stand_with_how_late_they_are(worked):
    make_cores(worked, worked.extra["panel"], ages=(7, 28, 28, 28))
    eye = Visitor(worked.inspector)
    assert "due 11 Aug" in words(eye.get("panels", at="2026-08-10T12:00"))
    assert "due today" in words(eye.get("panels", at="2026-08-11T12:00"))
    # result_overdue_after of the terms is two days: project's choice.
    assert "1 day past due" in words(eye.get("panels", at="2026-08-12T12:00"))
    assert "5 days late" in words(eye.get("panels", at="2026-08-16T12:00"))


def test_a_failed_set_stands_in_the_ledger_and_on_its_panel(tested):
    eye = Visitor(tested.inspector)
    assert "TP-001" in words(eye.get("panels"))
    page = eye.get("panel", "TP-001")
    said = words(page)
    # 0.85 and 0.75 of 4500 psi: IBC 1908.10.3 (2018, from memory).
    assert "each core at least 0.75 f_c" in said
    assert "Limit 3,375 psi" in said
    assert "Limit 3,825 psi" in said
    assert "stamp-filled" in page.content.decode()
    assert "L-2 A" in said
    assert page.context["shown"].stamp.name == "fail"


def test_the_working_of_a_core_opens_in_place_of_the_reasons(tested):
    said = words(Visitor(tested.inspector).get("panel", "TP-001", core="2"))
    for step in ("mean diameter", "area", "length over diameter", "factor"):
        assert step in said
    assert "Unrounded" in said
    assert "May it count?" in said
    assert "the core was tested" in said


def test_the_working_of_a_set_opens_too(tested):
    said = words(Visitor(tested.inspector).get("panel", "TP-001", age="28"))
    assert "Core set TP-001 at 28 d" in said
    assert "least mean" in said


@pytest.mark.parametrize("asked", [{"core": "9"}, {"age": "3"}, {"core": "x"}])
def test_a_core_or_set_that_is_not_there_is_not_found(tested, asked):
    assert Visitor(tested.inspector).get("panel", "TP-001", **asked).status_code == 404


def test_a_panel_is_seen_by_its_firm_and_its_laboratory_only(tested):
    members = tested.members
    for key, seen in (
        ("qc", 200), ("laboratory", 200), ("engineer", 200), ("owner", 200),
        ("other_qc", 404), ("other_laboratory", 404), ("official", 403),
    ):  # fmt: skip
        page = Visitor(members[key]).get("panel", "TP-001")
        assert page.status_code == seen, key
    assert Visitor(members["other_qc"]).get("panels").context["ledger"].owed == 0


def test_the_architect_reads_no_strength(tested):
    eye = Visitor(tested.members["architect"])
    said = words(eye.get("panel", "TP-001"))
    assert "3,300" not in said
    assert "0.75" not in said
    assert eye.get("strength").status_code == 403
    assert "Early cores" not in words(eye.get("panels"))


def test_no_page_links_to_where_the_reader_is_refused(tested):
    shift = tested.extra["shift"].first
    for key, linked in (
        ("inspector", True),
        ("architect", False),
        ("laboratory", False),
    ):
        eye = Visitor(tested.members[key])
        page = eye.get("panel", "TP-001").content.decode()
        assert (eye.url("shift", shift) in page) is linked, key
    admin = Visitor(tested.admin).get("operator", "OP-01").content.decode()
    assert "MU-01" in admin
    assert "/panels/MU-01/" not in admin


def test_the_laboratory_sees_its_panels_and_no_ledger(tested):
    page = Visitor(tested.technician).get("panels")
    assert page.context["ledger"] is None
    assert "Panels sent to us" in words(page)
    assert "TP-001" in words(page)


def test_strength_is_drawn_with_the_same_figures_beside(tested):
    eye = Visitor(tested.members["owner"])
    page = eye.get("strength")
    assert '<svg class="drawing' in page.content.decode()
    assert "1 set of 1 fails." in words(page)
    assert "TP-001" in words(page)
    assert eye.get("strength_of", "W-45A-1").status_code == 200
    assert eye.get("strength_of", "W-99").status_code == 404
    empty = Visitor(tested.other_qc).get("strength")
    assert "No set has a result as known then" in words(empty)


def test_the_ledger_names_the_count_used_and_opens_its_working(worked):
    page = Visitor(worked.inspector).get("panels")
    (counts,) = page.context["ledger"].counts
    assert counts.owed == page.context["ledger"].owed == 2
    said = words(page)
    assert f"Counted {counts.used}; both interpretations" in said
    assert "the larger of 2 who shot (OP-01, OP-02)" in said
    assert "Settings used" in said
