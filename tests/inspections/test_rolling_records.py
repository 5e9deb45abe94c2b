"""Rolling records through histories: as known when, who reads them, whose a thing is."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from crews.actions.laboratory import amend_lab_report
from crews.actions.ratings import rate_cores
from crews.domain.strength_list import TooFew
from crews.domain.trade_words import RatingDecision
from crews.models import Enrolment
from inspections.actions.deficiencies import open_deficiency
from inspections.domain.rolling_record import NoRate
from inspections.queries.rolling_record import operator_record, operator_records
from project import clock
from project.actions.jobs import revise_terms
from project.domain.editions import Departure
from project.models import TermsRevision, new_id
from tests.crews.pages import Visitor, words
from tests.factories import (
    TERMS,
    clock_at,
    make_cores,
    make_panel,
    make_placement,
    make_shift,
    report,
    result,
    shoot,
)
from tests.inspections.hands import sign
from tests.inspections.wall import DAY, Wall, at
from tests.support.made_once import made_once

BROKEN, AMENDED = "2026-09-08 12:00", "2026-09-10 09:00"


@made_once
def shot_wall(built: Wall) -> Wall:
    """Two operators shot the wall, the first made a panel, and its cores were broken."""
    site = built.site
    shoot(site, built.placement, built.operator, f"{DAY} 07:10", f"{DAY} 10:10")
    shoot(site, built.placement, built.second, f"{DAY} 10:20", f"{DAY} 11:20")
    panel = make_panel(site, placement=built.placement, shot=f"{DAY} 09:00")
    site.extra["panel"] = panel
    return built


@made_once
def tested(shot_wall: Wall) -> Wall:
    site = shot_wall.site
    cores = make_cores(
        site, site.extra["panel"], ages=(28, 28, 28), drilled="2026-08-14 09:00"
    )
    broken = [result(core, "2026-09-08 09:00") for core in cores]
    site.extra |= {"cores": cores, "letter": report(site, "L-1", BROKEN, broken)}
    return shot_wall


def _read(wall, code="OP-01", member=None, now="2026-09-14 09:00", known=None, **asked):
    moment = at(now)
    return operator_record(
        wall.job,
        code,
        at=moment,
        known_at=at(known) if known else moment,
        for_member=member or wall.inspector,
        **asked,
    )


def _own(wall, **asked):
    page = _read(wall, **asked)
    (cell,) = page.record.cells
    return cell.group("own").record


def test_a_corrected_letter_changes_the_record_from_the_instant_it_is_recorded(tested):
    site = tested.site
    weak = [result(core, "2026-09-08 09:00", "2500") for core in site.extra["cores"]]
    with clock_at(AMENDED):
        amend_lab_report(
            id=new_id(),
            by=site.technician,
            report=site.extra["letter"],
            reason="The machine's calibration was out.",
            results=weak,
        )
    before = _own(tested, known="2026-09-10 08:59").sets
    after = _own(tested, known="2026-09-10 09:01").sets
    assert (before.count, len(before.failed)) == (1, 0)
    assert (after.count, len(after.failed)) == (1, 1)
    f_c = tested.mix.f_c
    assert round(before.lowest.lowest_share) == round(100 * 5000 / f_c)
    assert round(after.lowest.lowest_share) == round(100 * 2500 / f_c)
    assert after.mean == TooFew(1, 5, "sets")
    # Before the first letter came, the set waited.
    waited = _own(tested, known="2026-09-08 11:59").sets
    assert (waited.count, waited.waiting) == (0, 1)


def test_a_core_broken_later_had_not_said_anything_as_of_an_earlier_day(tested):
    early = _own(tested, now="2026-09-08 08:59", known="2026-09-14 09:00").sets
    assert (early.count, early.waiting, early.mean) == (0, 1, None)
    then = _own(tested, now="2026-09-08 09:00", known="2026-09-14 09:00").sets
    assert (then.count, then.waiting) == (1, 0)
    before = _read(tested, now=f"{DAY} 07:09", known="2026-09-14 09:00").record
    assert (before.cells, before.panels.part.value) == ((), 0)
    held = _own(tested, now=f"{DAY} 09:30", known="2026-09-14 09:00").volume
    # He holds the nozzle still: how much he will have shot nobody knows.
    assert (held.times, held.unknown, held.total.value) == (1, 1, 0)


def test_volume_stands_beside_panels_in_plain_figures(tested):
    first, second = (_read(tested, code=code).record for code in ("OP-01", "OP-02"))
    # Three hours and one of 418 ft2 times 10 in: 12.9012 yd3 (geometry).
    assert first.volume.percent == pytest.approx(Decimal(75), abs=Decimal("0.001"))
    assert second.volume.percent == pytest.approx(Decimal(25), abs=Decimal("0.001"))
    assert (first.panels.percent, second.panels.percent) == (100, 0)
    assert first.record.volume.estimated == 1
    rate = first.record.rate
    assert isinstance(rate, NoRate)
    assert rate.words == "too few: 1 of the 5 sets and 9.7 of the 50 yd3 it takes"


def test_a_panel_two_operators_shot_speaks_of_the_mix_alone(shot_wall):
    make_panel(
        shot_wall.site,
        placement=shot_wall.placement,
        shot=f"{DAY} 10:40",
        operator=shot_wall.second,
        shared_with=shot_wall.operator,
    )
    waiting = {}
    for code in ("OP-01", "OP-02"):
        record = _read(shot_wall, code=code).record
        assert record.panels.whole.value == 2
        (cell,) = record.cells
        waiting[code] = {group.key: group.record.sets.waiting for group in cell.groups}
    assert waiting == {
        "OP-01": {"own": 1, "others": 0, "crew A1": 2, "rig RIG-A": 2},
        "OP-02": {"own": 0, "others": 1, "crew A1": 2, "rig RIG-A": 2},
    }
    assert _read(shot_wall, code="OP-02").record.panels.part.value == 0


def _seen(wall, item="place-shadowing", seen="09:00", **facts):
    with clock.set_to(at("15:00")):
        return open_deficiency(
            id=new_id(),
            by=wall.inspector,
            item=item,
            seen_at=at(seen),
            report=wall.report,
            part=wall.part,
            **facts,
        )


def test_a_deficiency_is_whose_who_held_the_nozzle_and_else_nobodys(shot_wall):
    _seen(shot_wall, seen="09:00")
    _seen(shot_wall, seen="11:00")
    _seen(shot_wall, seen="14:00")  # after both: who of the two is not on record
    _seen(shot_wall, seen="07:00")  # before anybody shot
    _seen(shot_wall, item="mat-slump", seen="09:30")  # not of the placing
    records = {code: _read(shot_wall, code=code).record for code in ("OP-01", "OP-02")}
    told = {code: [s.code for s in r.record.seen] for code, r in records.items()}
    assert told == {"OP-01": ["DEF-001"], "OP-02": ["DEF-002"]}
    (cell,) = records["OP-01"].cells
    counts = {group.key: len(group.record.seen) for group in cell.groups}
    assert counts == {"own": 1, "others": 1, "crew A1": 3, "rig RIG-A": 3}
    page = _read(shot_wall)
    assert [row.code for row in page.deficiencies] == ["DEF-001"]


def test_a_draft_counts_for_its_own_firm_until_it_is_signed(shot_wall):
    _seen(shot_wall)
    known = f"{DAY} 15:30"
    with clock.set_to(at("15:40")):
        sign(shot_wall)
    told = {
        (who.role, when): len(_own(shot_wall, member=who, known=when).seen)
        for who in (shot_wall.inspector, shot_wall.owner, shot_wall.qc)
        for when in (known, f"{DAY} 15:50")
    }
    assert told == {
        ("inspector", known): 1,
        ("inspector", f"{DAY} 15:50"): 1,
        ("owner", known): 0,
        ("owner", f"{DAY} 15:50"): 1,
        ("contractor QC", known): 0,
        ("contractor QC", f"{DAY} 15:50"): 1,
    }


def test_a_rating_counts_as_it_stands_and_apart_from_strength(tested):
    site = tested.site
    common = {
        "by": site.engineer,
        "panel": site.extra["panel"],
        "cores": site.extra["cores"],
        "rated_at": at("2026-09-09 10:00"),
        "words": "A groove behind one bar.",
    }
    with clock_at("2026-09-09 11:00"):
        first = rate_cores(
            id=new_id(), decision=RatingDecision.NOT_ACCEPTABLE, **common
        )
    with clock_at("2026-09-11 11:00"):
        rate_cores(
            id=new_id(),
            decision=RatingDecision.ACCEPTABLE,
            supersedes=first,
            reason="Cut again.",
            **common,
        )
    told = {
        known: [one.decision for one in _own(tested, known=known).ratings]
        for known in ("2026-09-09 10:59", "2026-09-10 12:00", "2026-09-12 12:00")
    }
    assert list(told.values()) == [
        [],
        [RatingDecision.NOT_ACCEPTABLE],
        [RatingDecision.ACCEPTABLE],
    ]
    assert _own(tested, now="2026-09-09 09:59", known="2026-09-12 12:00").ratings == ()
    assert _own(tested).sets.failed == ()


# --- Who reads ------------------------------------------------------------------------


@made_once
def two_firms(tested: Wall) -> Wall:
    """The other contractor shoots the same mix on a day of its own."""
    site = tested.site
    with clock_at("2026-09-11 06:50"):
        shift = make_shift(site.inspector, site.other_contractor, date(2026, 9, 11))
        placed = make_placement(site, shift, crew=site.other_crew, rig=site.other_rig)
    shoot(site, placed, site.other_operator, "2026-09-11 07:10", "2026-09-11 11:10")
    make_panel(
        site,
        placement=placed,
        shot="2026-09-11 09:00",
        operator=site.other_operator,
        rig=site.other_rig,
    )
    return tested


def test_a_contractor_reads_its_own_people_and_beside_them_its_own(two_firms):
    site = two_firms.site
    asked = {"at": at("2026-09-14 09:00"), "known_at": at("2026-09-14 09:00")}
    listed = {
        name: [
            row.code
            for row in operator_records(two_firms.job, for_member=member, **asked)
        ]
        for name, member in (
            ("inspector", site.inspector),
            ("qc", site.qc),
            ("other", site.other_qc),
        )
    }
    theirs = Enrolment.objects.get(operator=site.other_operator).code
    assert listed == {
        "inspector": ["OP-01", "OP-02", theirs],
        "qc": ["OP-01", "OP-02"],
        "other": [theirs],
    }
    assert _read(two_firms, code=theirs, member=site.qc) is None
    seen = _read(two_firms, code="OP-01").record
    own = _read(two_firms, code="OP-01", member=site.qc).record
    waiting = [
        record.cells[0].group("others").record.sets.waiting for record in (seen, own)
    ]
    assert waiting == [1, 0]
    assert (seen.panels.whole.value, own.panels.whole.value) == (2, 1)
    assert seen.volume.percent < own.volume.percent


# --- The pages ------------------------------------------------------------------------


def test_the_page_of_all_lists_them_by_code_in_plain_figures(tested):
    page = words(Visitor(tested.inspector).get("rolling_records"))
    assert "no score" in page
    assert "no warning follows from them" in page
    assert page.index("OP-01") < page.index("OP-02")
    assert "75.0 %" in page
    assert "too few" in page


def test_one_operators_page_opens_the_working_of_each_figure(tested):
    eye = Visitor(tested.owner)
    cell = {"mix": str(tested.mix), "position": "vertical"}
    page = words(eye.get("rolling_record", "OP-01"))
    assert "TP-001" in page
    assert "Other operators" in page
    assert "Crew A1" in page
    for asked, told in (
        ({**cell, "of": "own", "figure": "lowest"}, "Lowest core over f_c"),
        ({**cell, "of": "crew A1", "figure": "volume"}, "Volume shot, neat"),
        ({"figure": "volume-share"}, "Share of volume shot, neat"),
        ({"figure": "panel-share"}, "Share of production panels"),
        ({"figure": "volume"}, "Volume shot, neat"),
    ):
        assert told in words(eye.get("rolling_record", "OP-01", **asked)), asked


@pytest.mark.parametrize(
    "asked",
    [
        {"figure": "mean"},
        {"figure": "rate"},
        {"figure": "score"},
        {"figure": "lowest", "mix": "X-1", "position": "vertical", "of": "own"},
        {"figure": "lowest", "mix": "", "position": "", "of": "crew Z"},
    ],
)
def test_a_figure_that_is_not_known_is_said_to_be_so(tested, asked):
    page = Visitor(tested.owner).get("rolling_record", "OP-01", **asked)
    assert page.status_code == 200
    assert "This figure is not known here" in words(page)


def test_the_instants_are_kept_and_wrong_ones_are_refused_by_name(tested):
    eye = Visitor(tested.inspector)
    asked = {"known": "2026-09-08T11:59"}
    page = eye.get("rolling_record", "OP-01", **asked)
    assert "No panel set of this operator has passed or failed yet." in words(page)
    assert "known=2026-09-08T11%3A59" in page.content.decode()
    for name in ("rolling_records", "rolling_record"):
        args = ["OP-01"] if name == "rolling_record" else []
        wrong = eye.get(name, *args, known="2026-09-32")
        assert wrong.status_code == 422
        assert "2026-09-32" in words(wrong)
    assert eye.get("rolling_record", "OP-99").status_code == 404


def test_the_operators_sheet_leads_to_the_record_of_who_may_read_it(tested):
    link = "/records/OP-01/"
    for who in ("inspector", "qc", "engineer", "owner", "reviewer"):
        member = tested.site.members[who]
        assert link in Visitor(member).get("operator", "OP-01").content.decode()
        assert "Rolling records" in words(Visitor(member).get("operators"))
    for name, args in (("operator", ["OP-01"]), ("operators", [])):
        assert "Rolling record" not in words(Visitor(tested.admin).get(name, *args))
    for who in ("laboratory", "architect", "official", "admin"):
        eye = Visitor(tested.site.members[who])
        assert eye.get("rolling_records").status_code == 403
        assert eye.get("rolling_record", "OP-01").status_code == 403


def test_failing_sets_in_a_row_ask_the_engineer_where_the_contract_says_so(shot_wall):
    site = shot_wall.site
    cores = make_cores(
        site, site.extra["panel"], ages=(28, 28, 28), drilled="2026-08-14 09:00"
    )
    weak = [result(core, "2026-09-08 09:00", strength="3000") for core in cores]
    report(site, "L-9", BROKEN, weak)
    visitor = Visitor(shot_wall.engineer)
    page = words(visitor.get("rolling_record", "OP-01"))
    assert "The contract names no count of failing sets" in page
    assert "1 of 1" not in page
    with clock_at("2026-09-13 09:00"):
        revise_terms(
            id=new_id(),
            by=shot_wall.admin,
            number=2,
            edition=TermsRevision.objects.latest("number").edition,
            effective_on=date(2026, 8, 1),
            departures=TERMS
            | {"requalify_failing_sets": Departure(Decimal(1), None, "contract")},
        )
    page = words(visitor.get("rolling_record", "OP-01"))
    assert "1 of 1 TP-001 the engineer is asked" in page
    assert "A run shuts nothing by itself" in page
