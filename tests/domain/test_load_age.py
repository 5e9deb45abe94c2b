"""A load's age, a restart gap, protection and the three ages, beyond their rows."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from inspections.domain.ages import Ages, ages, full_days, response_due
from inspections.domain.load_age import MIX, AgeLimit, Waiver, age_limit, load_age
from inspections.domain.protection import WarmReading, kept_warm
from inspections.domain.restart import Edge, restart_gap
from inspections.domain.spans import in_hours, shown_minutes, span_working
from project.domain.terms import Terms, TermValue
from project.domain.units import Quantity
from project.domain.verdict import Known, Source, State

DENVER = ZoneInfo("America/Denver")
CONTRACT = Source("contract", known=Known.CONTRACT)
BATCHED = datetime(2026, 8, 25, 8, 2, tzinfo=DENVER)
NAIVE = datetime(2026, 8, 25, 8, 2)  # noqa: DTZ001


def mins(value):
    return Quantity(Decimal(value), "min")


def terms(**values):
    held = {
        name: TermValue(value, unit, CONTRACT) for name, (value, unit) in values.items()
    }
    return Terms(3, "as typed", date(2026, 7, 1), held)


def after(minutes, of=BATCHED):
    return of + timedelta(minutes=minutes)


def test_the_limit_is_the_mix_revisions_then_the_contracts_then_none():
    both = terms(load_age=(Decimal(60), "min"))
    assert age_limit(mins(90), terms=both) == AgeLimit(mins(90), MIX)
    assert age_limit(None, terms=both) == AgeLimit(mins(60), CONTRACT)
    assert age_limit(None, terms=terms()) is None
    assert age_limit(None, terms=None) is None


def test_a_load_says_its_margin_source_and_the_settings_used():
    under = terms(load_age=(Decimal(60), "min"), load_age_waivable=(True, None))
    verdict = load_age(BATCHED, last_shot_at=after(45), terms=under)
    (reason,) = verdict.reasons
    assert (verdict.state, str(reason.margin), reason.source) == (
        State.PASS,
        "15 min",
        CONTRACT,
    )
    used = {each.term: each.value for each in verdict.working().settings}
    assert used == {"load_age": "60 min", "load_age_waivable": "yes"}
    assert verdict.working().steps[-1].line == "60 min, contract"


@pytest.mark.parametrize(
    ("batched", "last", "state", "found"),
    [
        (None, after(45), State.NO_DATA, "no batching time"),
        (None, None, State.NO_DATA, "no batching time"),
        (BATCHED, None, State.NOT_DUE, "no last shot yet"),
        (BATCHED, after(-1), State.UNDECIDED, "the last shot lies before batching"),
    ],
)
def test_a_time_that_is_missing_or_contradicts_is_no_pass(batched, last, state, found):
    verdict = load_age(batched, last_shot_at=last, terms=None, mix_limit=mins(90))
    assert (verdict.state, verdict.reasons[0].found) == (state, found)
    assert verdict.working is None


def test_one_waiver_in_time_counts_whatever_came_later():
    waivers = [
        Waiver(after(120), "the owner"),
        Waiver(after(80).astimezone(UTC), "the engineer"),
    ]
    under = terms(load_age_waivable=(True, None))
    verdict = load_age(
        BATCHED,
        last_shot_at=after(112),
        terms=under,
        mix_limit=mins(90),
        waivers=waivers,
    )
    assert verdict.state is State.CONDITION
    found = verdict.reasons[1].found
    assert found.startswith("waived before the last shot: the owner 2026-08-25 10:02")
    without = load_age(
        BATCHED,
        last_shot_at=after(112),
        terms=None,
        mix_limit=mins(90),
        waivers=waivers,
    )
    assert without.state is State.UNDECIDED
    assert without.working().settings == ()


def test_a_waiver_is_weighed_in_elapsed_time_where_the_wall_runs_back():
    # 1 November 2026 in Denver: 01:50 is followed, half an hour later, by 01:20.
    batched = datetime(2026, 11, 1, 0, 0, tzinfo=DENVER)
    last = datetime(2026, 11, 1, 1, 20, tzinfo=DENVER, fold=1)
    waiver = Waiver(datetime(2026, 11, 1, 1, 50, tzinfo=DENVER), "the engineer")
    verdict = load_age(
        batched,
        last_shot_at=last,
        terms=terms(load_age_waivable=(True, None)),
        mix_limit=mins(90),
        waivers=[waiver],
    )
    assert verdict.state is State.CONDITION
    assert str(verdict.working().exact) == "140 min"


@pytest.mark.parametrize(
    ("refused", "said"),
    [
        (lambda: AgeLimit(mins(0), MIX), "limit 0 min: allowed is a time above 0"),
        (lambda: AgeLimit(Quantity(Decimal(9), "in"), MIX), "limit 9 in: allowed"),
        (lambda: Waiver(NAIVE, "x"), "recorded_at .*: a zone is needed"),
        (
            lambda: load_age(NAIVE, last_shot_at=None, terms=None),
            "batched_at .*: a zone is needed",
        ),
        (
            lambda: load_age(
                BATCHED, last_shot_at=after(5), terms=None, ticket_limit=mins(-1)
            ),
            "limit -1 min: allowed is a time above 0",
        ),
        (
            lambda: restart_gap(BATCHED, resumed_at=None, terms=terms()),
            "resumed_at: not given, nor an instant that is asked about",
        ),
        (
            lambda: restart_gap(BATCHED, resumed_at=after(-1), terms=terms()),
            "resumed_at .*: before stopped_at",
        ),
        (
            lambda: restart_gap(BATCHED, resumed_at=None, terms=terms(), at=after(-1)),
            "at .*: before stopped_at",
        ),
        (
            lambda: WarmReading(NAIVE, Quantity(Decimal(51), "F")),
            "at .*: a zone is needed",
        ),
        (lambda: WarmReading(BATCHED, mins(9)), "temperature 9 min: allowed are C, F"),
        (
            lambda: kept_warm([], started_at=NAIVE, terms=terms()),
            "started_at .*: a zone is needed",
        ),
        (lambda: ages(BATCHED, at=after(-1), zone="UTC"), "at .*: before shot_at"),
        (
            lambda: ages(BATCHED, at=after(1), zone="UTC", work_date=date(2026, 8, 26)),
            "work_date 2026-08-26: allowed is 2026-08-25 or before",
        ),
        (lambda: full_days(after(1), BATCHED), "end .* lies before start"),
        (
            lambda: response_due(date(2026, 8, 24), within=Quantity(Decimal(1), "h")),
            "within 1 h: whole days are needed",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_name(refused, said):
    with pytest.raises(ValueError, match=said):
        refused()


def test_a_face_that_waits_says_so_in_its_working():
    limit = terms(restart_gap=(Decimal("0.5"), "h"))
    verdict = restart_gap(
        BATCHED, resumed_at=None, terms=limit, edge=Edge.SQUARE, at=after(20)
    )
    assert (verdict.state, verdict.reasons[0].found) == (
        State.NOT_DUE,
        "20 min, edge square: 10 min left",
    )
    steps = {step.name: step.line for step in verdict.working().steps}
    assert steps["limit"] == "0.5 h = 30 min"
    assert "now" in steps


def test_readings_are_judged_in_the_limits_own_unit_and_written_out():
    limit = terms(protection=(Decimal(1), "d"), protection_above=(Decimal(5), "C"))
    readings = [
        WarmReading(after(1440), Quantity(Decimal(41), "F")),
        WarmReading(after(60), Quantity(Decimal("4.9"), "C")),
        WarmReading(after(90), Quantity(Decimal(6), "C")),
        WarmReading(after(-60), Quantity(Decimal(-9), "C")),
    ]
    verdict = kept_warm(readings, started_at=BATCHED, terms=limit)
    (reason,) = verdict.reasons
    assert verdict.state is State.FAIL
    assert str(reason.margin) == "-0.1 C"
    lines = [step.line for step in verdict.working().steps[2:]]
    assert [line.partition(": ")[2] for line in lines] == [
        "below 5 C",
        "above 5 C",
        "on the limit, not above 5 C",
    ]
    assert {used.term for used in verdict.working().settings} == {
        "protection",
        "protection_above",
    }


def test_three_ages_of_one_night_shift():
    shot = datetime(2026, 9, 3, 2, 40, tzinfo=DENVER)
    cored = datetime(2026, 9, 5, 2, 40, tzinfo=DENVER)
    found = ages(shot, at=cored, zone="America/Denver", work_date=date(2026, 9, 2))
    assert found == Ages(3, timedelta(hours=48), 2)
    assert ages(shot, at=shot, zone="America/Denver") == Ages(None, timedelta(), 0)
    assert response_due(date(2026, 8, 24), within=None) is None


def test_minutes_never_look_like_a_limit_they_are_not():
    assert str(shown_minutes(mins("90.02"), mins(90))) == "90.02 min"
    assert str(shown_minutes(mins("90.02"))) == "90.0 min"
    assert str(shown_minutes(mins("90.00"))) == "90 min"


def test_a_span_over_midnight_prints_both_dates():
    made = span_working(
        "Over midnight",
        ends=(("one", after(0)), ("two", after(24 * 60))),
        result="span",
    )
    line = "2026-08-26 14:02 − 2026-08-25 14:02, in UTC = 1440 min"
    assert made.steps[2].line == line
    assert in_hours(timedelta(seconds=3725.5)) == "1 h 2 min 5.5 s"
