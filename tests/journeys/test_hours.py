"""Everybody's hours on the built job against an independent reading of its nozzle times."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from crews.domain.hours import Period, in_hours
from crews.queries.hours import OperatorHours, hours_of_all
from project.domain.roles import Role
from project.queries.jobs import members_of
from tests.journeys.conftest import WANTED
from tests.support.demo import SCENARIO

WANTED_HOURS = WANTED["nozzle_hours"]


@pytest.fixture
def everybody(demo) -> dict[str, OperatorHours]:
    return _hours(demo, Period(None, None, demo.zone))


def _hours(demo, period: Period, **more) -> dict[str, OperatorHours]:
    at = SCENARIO.as_of
    rows = hours_of_all(demo, period=period, as_of=at, known_at=at, **more)
    return {row.code: row for row in rows}


def test_everybody_is_told_and_nobody_else(everybody):
    assert set(everybody) == set(WANTED_HOURS)


@pytest.mark.parametrize("code", WANTED_HOURS)
def test_an_operators_minutes_and_stated_hours_are_the_scenarios(everybody, code):
    wanted, one = WANTED_HOURS[code], everybody[code]
    assert {str(c.shot): c.minutes for c in one.hours.classes} == wanted["minutes"]
    assert one.hours.minutes == wanted["total_min"]
    assert in_hours(one.hours.minutes).value == wanted["total_h"]
    stated = {t.process: said.hours for t in one.tallies for said in t.stated}
    assert stated == wanted["start_hours"]
    training = wanted["total_min"] if wanted["trainee"] else 0
    assert (one.hours.in_training, one.hours.no_card) == (training, 0)
    assert one.hours.still_on == ()


def test_each_process_with_what_is_stated_before_it(everybody):
    for code, one in everybody.items():
        for tally in one.tallies:
            (said,) = tally.stated
            assert tally.together is not None
            exact = said.hours * 60 + tally.minutes
            assert abs(tally.together.value * 60 - exact) <= 1, code


def test_days_add_up_to_all_on_record_and_a_day_ahead_is_empty(demo, everybody):
    split = date(2026, 8, 15)
    before = _hours(demo, Period(None, split, demo.zone))
    after = _hours(demo, Period(split + timedelta(days=1), None, demo.zone))
    for code, one in everybody.items():
        parts = before[code].hours.minutes + after[code].hours.minutes
        assert parts == one.hours.minutes
        months = sum(month.minutes for month in one.hours.months)
        assert months == one.hours.minutes
    ahead = _hours(demo, Period(date(2026, 9, 15), None, demo.zone))
    assert {one.hours.minutes for one in ahead.values()} == {0}


def test_a_contractor_reads_its_own_people_and_both_add_up_to_all(demo, everybody):
    period = Period(None, None, demo.zone)
    told = [
        _hours(demo, period, for_member=qc)
        for qc in members_of(demo, role=Role.CONTRACTOR_QC)
    ]
    firms = {frozenset(own) for own in told}
    assert len(firms) == 2
    assert sorted(code for own in firms for code in own) == sorted(everybody)
    for own in told:
        for code, one in own.items():
            assert one.hours.minutes == everybody[code].hours.minutes


@pytest.mark.parametrize("code", ["OP-02", "OP-04"])
def test_august_was_verified_by_the_foreman_and_reads_the_same_since(everybody, code):
    one, (said,) = everybody[code], everybody[code].statements
    in_august = _hours_in(one, date(2026, 8, 1), date(2026, 8, 31))
    assert said.row.verified_by.endswith(", foreman")
    assert said.minutes == in_august > 0
    assert said.changed == ()
    evidence = {identity for line in said.classes for identity in line.evidence}
    assert evidence == {
        piece.time.ref.id for piece in one.hours.pieces if piece.dates[0].month == 8
    }


def _hours_in(one: OperatorHours, first: date, last: date) -> int:
    """Add the times that lie wholly in some days; none of the job's crosses their ends."""
    inside = [p for p in one.hours.pieces if all(first <= on <= last for on in p.dates)]
    return sum(p.minutes for p in inside)
