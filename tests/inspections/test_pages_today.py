"""Home pages: what needs each role, overdue first; and the days and shifts behind it."""

from __future__ import annotations

from datetime import date

import pytest

from crews.actions.people import suspend_operator
from crews.actions.plans import Asked, plan_placement
from crews.models import Shift
from project.models import new_id
from tests.crews.pages import Visitor, words
from tests.factories import (
    at,
    card,
    clock_at,
    make_card,
    make_operator,
    make_shift,
    shoot,
    with_mock_up,
)
from tests.inspections.hands import (
    SHOT_TOO_SOON,
    find,
    load,
    raise_one,
    review,
    sign,
)
from tests.inspections.wall import DAY

AFTERNOON = f"{DAY} 15:00"


@pytest.fixture
def home(wall):
    """Read a member's home page: its lines by record, and what it says."""

    def _home(who: str, now: str = AFTERNOON):
        member = getattr(wall, who, None) or wall.site.members[who]
        page = Visitor(member, at=now).get("today")
        assert page.status_code == 200
        return {line.code: line for line in page.context["lines"]}, words(page)

    return _home


def test_a_home_counts_in_words_and_names_what_comes_next(wall, home):
    lines, page = home("owner")
    assert lines == {}
    assert "Nothing needs you" in page
    assert "Next: the packet of the week that ends Sun 16 Aug." in page
    lines, page = home("inspector")
    assert list(lines) == ["DFR-001"]
    assert "One thing needs you" in page
    assert lines["DFR-001"].act == "Sign your sheet"
    find(wall)
    lines, page = home("inspector")
    assert "Two things need you" in page
    assert lines["DEF-001"].act == "See that it is put right"


def test_a_draft_past_its_day_is_late_and_stands_first(wall, home):
    find(wall)
    lines, _page = home("inspector", "2026-08-14 09:00")
    first = next(iter(lines.values()))
    assert (first.code, first.stamp) == ("DFR-001", "late")
    assert first.words == "1 day late"


def test_a_signed_sheet_waits_for_another_eye_and_its_flags(wall, home):
    load(wall, **SHOT_TOO_SOON)
    sign(wall)
    _lines, page = home("reviewer", "2026-08-12 09:00")
    assert "Clear what contradicts itself" in page
    assert "Review a signed sheet" in page
    assert "to be cleared" in page
    assert "DFR-001" not in home("owner", "2026-08-12 09:00")[0]
    lines, _page = home("inspector", "2026-08-12 09:00")
    assert lines["DFR-001"].act == "Clear what contradicts itself"


def test_a_report_asks_each_of_those_whose_move_it_is(wall, home):
    raise_one(wall, wall.placement)
    assert home("inspector")[0]["NCR-001"].act == "Tell who must answer"
    assert home("qc")[0]["NCR-001"].act == "Tell who must answer"
    assert "NCR-001" not in home("owner")[0]
    eye = Visitor(wall.inspector, at=AFTERNOON)
    told = {"id": new_id(), "after": 0, "at": f"{DAY}T10:30", "told": "S. Fakahau",
            "means": "in person"}  # fmt: skip
    eye.post("move_nonconformance", 1, "notify", data=told)
    later = f"{DAY} 16:00"
    assert "NCR-001" not in home("inspector", later)[0]
    assert home("qc", later)[0]["NCR-001"].act == "Answer the report"
    for who in ("owner", "engineer"):
        line = home(who, later)[0]["NCR-001"]
        assert line.act == "Close it, or say what is missing"
        assert line.words == "0 days old"
    assert "NCR-001" not in home("other_qc", later)[0]


def test_a_panel_is_owed_while_the_shift_runs_and_missing_afterwards(wall, home):
    shoot(wall.site, wall.placement, wall.operator, f"{DAY} 07:00", f"{DAY} 09:00")
    line = home("qc")[0]["PL-001"]
    assert (line.act, line.stamp) == ("See a panel shot before the shift ends", "owed")
    line = home("qc", "2026-08-12 09:00")[0]["PL-001"]
    assert (line.act, line.stamp) == ("Answer for a panel not shot", "missing")
    assert "no cores proposed in its place" in line.evidence
    assert "PL-001" not in home("owner", "2026-08-12 09:00")[0]


def test_an_unqualified_take_is_proposed_to_who_may_raise_it(wall, home):
    shoot(wall.site, wall.placement, wall.second, f"{DAY} 07:00", f"{DAY} 09:00")
    _lines, page = home("inspector")
    assert "Raise a nonconformance report, or not" in page
    assert "Raise a nonconformance report, or not" not in home("owner")[1]


def test_a_card_that_ends_is_told_to_its_own_firm_until_another_outlasts_it(wall, home):
    with clock_at("2026-08-01 08:00"):
        ends = card(number="WV-9", expires_on=date(2026, 8, 31))
        operator = make_operator(
            wall.qc, wall.site.contractor, "Ines Fairhaven", "B-9", with_card=ends
        )
    code = next(one for one in home("qc")[0] if one.startswith("OP-"))
    line = home("qc")[0][code]
    assert (line.act, line.words) == ("Renew the card before 31 Aug", "ends in 20 days")
    assert line.evidence == "Ines Fairhaven, WV-9: wet vertical by hand"
    assert code not in home("inspector")[0]
    assert code not in home("other_qc")[0]
    ended = home("qc", "2026-09-01 09:00")[0][code]
    assert (ended.act, ended.stamp) == ("Renew the card that ended 31 Aug", "late")
    with clock_at(f"{DAY} 14:00"):
        longer = card(number="WV-10", expires_on=date(2030, 8, 31))
        make_card(wall.qc, operator, longer)
    assert code not in home("qc")[0]


def test_planned_work_whose_operator_lost_the_standing_is_to_be_assigned_anew(
    wall, home
):
    site = wall.site
    with_mock_up(site)
    with clock_at(f"{DAY} 06:00"):
        plan_placement(
            id=new_id(),
            by=wall.qc,
            part=site.wall.part,
            mix=site.mix,
            starts_at=at("2026-08-13 07:00"),
            operators=[Asked(wall.operator)],
        )
    assert "PLAN-01" not in home("qc")[0]
    with clock_at(f"{DAY} 07:00"):
        suspend_operator(
            id=new_id(),
            by=wall.qc,
            operator=wall.operator,
            from_at=at(f"{DAY} 07:00"),
            until_at=None,
            ordered_by="Idris Halloran",
            words="Stood down.",
        )
    line = home("qc")[0]["PLAN-01"]
    assert line.act == f"Assign {site.wall.part.code} anew"
    assert line.evidence == "OP-01 is no longer qualified on record for it"
    assert line.words == "planned for 13 Aug"
    assert "PLAN-01" not in home("inspector")[0]
    assert "PLAN-01" not in home("qc", "2026-08-14 09:00")[0]


@pytest.mark.parametrize(
    ("who", "says", "not_says"),
    [
        ("laboratory", ["laboratory's desk", "Results due"], ["Last packets"]),
        ("architect", [], ["Results due", "Last packets"]),
        ("official", ["Last packets"], ["Results due", "Shooting today"]),
        ("admin", ["Last packets"], ["Results due"]),
        ("engineer", ["Results due", "Shooting today"], []),
    ],
)
def test_each_role_sees_its_own_right_page(wall, home, who, says, not_says):
    _lines, page = home(who)
    assert [one for one in says if one not in page] == []
    assert [one for one in not_says if one in page] == []


def test_days_are_leafed_by_month_and_a_month_without_work_is_refused(wall):
    sign(wall)
    with clock_at("2026-09-01 07:00"):
        make_shift(wall.inspector, wall.site.contractor, date(2026, 9, 1))
    eye = Visitor(wall.inspector, at="2026-09-02 09:00")
    page = words(eye.get("days"))
    assert "Tue 1 Sep" in page
    assert "DFR-001" not in page
    assert "August 2026" in page
    page = words(eye.get("days", month="2026-08"))
    assert "DFR-001 signed, not yet reviewed" in page
    answer = eye.get("days", month="2025-13")
    assert answer.status_code == 422
    assert "Month 2025-13; allowed are 2026-08, 2026-09." in words(answer)


def test_days_and_shifts_show_a_draft_to_its_own_firm_alone(wall):
    shift = wall.shift.first
    own, owner = (Visitor(m, at=AFTERNOON) for m in (wall.inspector, wall.owner))
    other = Visitor(wall.other_qc, at=AFTERNOON)
    for name, args in (("days", []), ("shift", [shift])):
        assert "DFR-001" in words(own.get(name, *args))
        assert "DFR-001" not in words(owner.get(name, *args))
    assert other.get("shift", shift).status_code == 404
    assert "PL-001" not in words(other.get("days"))
    assert owner.get("report", 1).status_code == 404
    sign(wall)
    review(wall)
    late = Visitor(wall.owner, at=f"{DAY} 17:00")
    assert "DFR-001 reviewed" in words(late.get("days"))
    assert late.get("report", 1).status_code == 200


def test_neat_volume_is_carried_from_sheet_to_sheet(wall):
    # The part's drawing gives its face; what was placed before is brought forward.
    with clock_at("2026-08-12 06:50"):
        shift = make_shift(wall.inspector, wall.site.contractor, date(2026, 8, 12))
    eye = Visitor(wall.inspector, at="2026-08-12 09:00")
    eye.post("open_sheet", shift.first, data={"id": new_id()})
    first, second = (eye.get("report", n).context["totals"] for n in (1, 2))
    assert first["here"].value > 0
    assert first["before"].value == 0
    assert second["here"].value == 0
    assert abs(second["before"].value - first["both"].value) < 1
    assert Shift.objects.count() == 2


def test_a_shift_and_its_days_are_another_job_s_own(wall):
    eye = Visitor(wall.inspector, at=AFTERNOON)
    assert eye.get("shift", new_id()).status_code == 404
    assert eye.post("open_sheet", new_id(), data={}).status_code == 404
    assert eye.get("report", 99).status_code == 404
    assert eye.get("report_version", 1, 1).status_code == 404
