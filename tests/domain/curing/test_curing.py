"""Moist time: against a minute-by-minute oracle, the scenario, and what is refused."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.domain.curing import Standing, curing_end
from inspections.domain.curing_count import Pause, Policy, count_moist
from inspections.domain.curing_visits import TAKEN_OFF, Visit, moist_stretches
from project.domain.terms import Terms, TermValue
from project.domain.units import Quantity
from project.domain.verdict import Known, Source, State
from tests.domain.curing.oracle import AGAIN, NOT_COUNTED, UP_TO, oracle_end
from tests.support.scenario import EXPECTED, SCENARIO

CONTRACT = Source("contract", known=Known.CONTRACT)
DENVER = ZoneInfo(SCENARIO["zone"])
BEGUN = datetime(2026, 10, 30, 18, tzinfo=UTC)  # a clock change lies within


def terms(pause=AGAIN, *, hours=168, first=None, most=None):
    """Return terms that ask for moist hours."""
    said = {
        "moist_total": (hours, "h"),
        "moist_first": (first, "h"),
        "curing_pause_most": (most, "min"),
    }
    values = {
        name: TermValue(None if n is None else Decimal(n), n and unit, CONTRACT)
        for name, (n, unit) in said.items()
    }
    values["curing_pause"] = TermValue(pause, None, CONTRACT)
    return Terms(1, "as typed", date(2026, 7, 1), values)


def after(minutes):
    return BEGUN + timedelta(minutes=minutes)


@st.composite
def histories(draw):
    """Return visits in order, each told at random of what was seen between."""
    times = draw(
        st.lists(st.integers(1, 3000), min_size=1, max_size=7, unique=True).map(sorted)
    )
    visits, before, moist_before = [], 0, True
    for minutes in times:
        moist, told = draw(st.booleans()), draw(st.booleans())
        between = draw(st.integers(before, minutes)) if told else None
        fields = {}
        if told and moist and not moist_before:
            fields["moist_since"] = after(between)
        if told and not moist and moist_before:
            fields["last_seen_moist_at"] = after(between)
        visits.append(Visit(after(minutes), moist=moist, **fields))
        before, moist_before = minutes, moist
    return visits


@given(
    histories(),
    st.sampled_from([NOT_COUNTED, AGAIN, UP_TO]),
    st.integers(1, 600),
    st.integers(1, 60),
)
@settings(max_examples=150, deadline=None)
def test_the_end_is_what_a_count_minute_by_minute_gives(visits, policy, most, hours):
    # Pauses of no length are no pause to a count of minutes; they are tried below.
    pauses = [
        pause for pause in _pauses(visits) if pause.length is None or pause.length
    ]
    if len(pauses) != len(_pauses(visits)):
        return
    state = curing_end(
        visits, started_at=BEGUN, terms=terms(policy, hours=hours, most=most)
    )
    expected = oracle_end(visits, BEGUN, hours, policy=policy, most=most)
    assert state.ends_at == expected


def _pauses(visits):
    state = curing_end(visits, started_at=BEGUN, terms=terms(NOT_COUNTED))
    return state.pauses


def test_a_pause_of_no_length_is_a_pause_all_the_same():
    noon = after(720)
    dry = Visit(noon, moist=False, last_seen_moist_at=noon)
    wet = Visit(after(780), moist=True, moist_since=noon)
    again = curing_end([dry, wet], started_at=BEGUN, terms=terms(AGAIN))
    assert again.ends_at == noon + timedelta(hours=168)
    paused = curing_end([dry, wet], started_at=BEGUN, terms=terms(NOT_COUNTED))
    assert paused.ends_at == BEGUN + timedelta(hours=168)


def scenario_curing(raw):
    """Return a curing of the scenario: its start, its visits as they were told."""

    def instant(text):
        return datetime.fromisoformat(text).replace(tzinfo=DENVER)

    lapses = {lapse["last_known_wet"]: lapse for lapse in raw["lapses"]}
    visits, dry = [], None
    for seen in raw["visits"]:
        at, moist, told = instant(seen["at"]), seen["state"] == "wet", {}
        if not moist:
            dry = next(iter(lapses.values()))
            told["last_seen_moist_at"] = instant(dry["last_known_wet"])
        elif dry is not None:
            told["moist_since"] = instant(dry["restored"])
            dry = None
        visits.append(Visit(at, moist=moist, **told))
    return instant(raw["started_at"]), visits


@pytest.mark.parametrize("raw", SCENARIO["curing"], ids=lambda raw: raw["placement"])
def test_each_curing_of_the_scenario_ends_when_its_conclusions_say(raw):
    started_at, visits = scenario_curing(raw)
    (said,) = [c for c in EXPECTED["curing"] if c["placement"] == raw["placement"]]

    state = curing_end(
        visits,
        started_at=started_at,
        terms=terms(NOT_COUNTED, hours=raw["required_h"]),
        zone=SCENARIO["zone"],
    )
    paused = sum((p.length for p in state.pauses if p.length), timedelta())
    assert paused == timedelta(minutes=said["paused_min"])
    assert state.local(state.ends_at)[:16].replace(" ", "T") == said["ends_at"]
    as_of = datetime.fromisoformat(SCENARIO["as_of_instant"]).replace(tzinfo=DENVER)
    ran_out = state.ends_at <= as_of.astimezone(UTC)
    assert ran_out == (said["state"] == "ended")


def test_what_was_taken_off_pauses_until_it_is_put_back():
    off = Visit(after(60), moist=True, ended=True)
    state = curing_end([off], started_at=BEGUN, terms=terms(NOT_COUNTED))
    assert state.standing is Standing.PAUSED
    assert state.ends_at is None
    assert TAKEN_OFF in state.words
    assert state.verdict.state is State.INCOMPLETE
    assert [p.until for p in state.pauses] == [None]
    back = Visit(after(120), moist=True)
    again = curing_end([off, back], started_at=BEGUN, terms=terms(NOT_COUNTED))
    assert again.ends_at == BEGUN + timedelta(hours=169)


def test_taken_off_dry_is_dry():
    off = Visit(after(60), moist=False, ended=True)
    state = curing_end([off], started_at=BEGUN, terms=terms(NOT_COUNTED))
    assert state.counted == Quantity(Decimal(0), "h")


def test_of_two_visits_at_one_instant_the_dry_one_stands():
    both = [Visit(after(60), moist=False), Visit(after(60), moist=True)]
    for visits in (both, both[::-1]):
        state = curing_end(visits, started_at=BEGUN, terms=terms(NOT_COUNTED))
        assert state.standing is Standing.PAUSED
        assert str(state.counted) == "1 h"


def test_a_dry_visit_after_a_dry_one_may_tell_what_was_seen_before():
    visits = [
        Visit(after(60), moist=False, last_seen_moist_at=after(50)),
        Visit(after(90), moist=False, last_seen_moist_at=after(50)),
    ]
    state = curing_end(visits, started_at=BEGUN, terms=terms())
    assert state.count.seen_until == after(50)


def test_the_working_writes_every_stretch_and_pause_and_the_settings():
    visits = [
        Visit(after(60), moist=True),
        Visit(after(120), moist=False),
        Visit(after(180), moist=True),
        Visit(after(240), moist=False, last_seen_moist_at=after(200)),
    ]
    state = curing_end(visits, started_at=BEGUN, terms=terms(UP_TO, most=120, hours=1))
    working = state.end_working()
    assert [step.name for step in working.steps] == [
        "moist 1",
        "pause 1",
        "moist 2",
        "pause 2",
        "cured in all",
        "to the end",
    ]
    assert "2 h; as continuous" in working.steps[1].line
    assert str(working.exact) == "1 h"
    assert {used.term for used in working.settings} == {
        "moist_total",
        "moist_first",
        "curing_pause",
        "curing_pause_most",
    }
    running = curing_end(visits[:3], started_at=BEGUN, terms=terms(first=1))
    steps = {step.name: step.line for step in running.end_working().steps}
    assert "reached 2026-10-30 19:00+00:00" in steps["moist at once"]
    assert "will be reached" in steps["cured in all"]


def test_a_paused_count_says_which_time_was_not_reached():
    visits = [Visit(after(60), moist=True), Visit(after(120), moist=False)]
    state = curing_end(visits, started_at=BEGUN, terms=terms(first=1))
    assert state.end_working() is None
    assert [reason.state for reason in state.verdict.reasons] == [
        State.PASS,
        State.INCOMPLETE,
    ]
    assert str(state.verdict.reasons[1].margin) == "-167 h"
    assert str(state.verdict.working().exact) == "1 h"


def test_a_pause_that_nobody_settles_is_said_in_the_working():
    visits = [Visit(after(60), moist=False), Visit(after(120), moist=True)]
    state = curing_end(visits, started_at=BEGUN, terms=terms(None))
    assert state.standing is Standing.NO_REQUIREMENT
    assert state.verdict.state is State.UNDECIDED
    lines = [step.line for step in state.moist_working().steps]
    assert lines[1].endswith("2 h; the terms do not say what it does")


def test_a_policy_reads_its_own_words_alone():
    day = timedelta(days=1)
    assert Policy(NOT_COUNTED, day).after(day, day) == day
    assert Policy(AGAIN, day).said(day) == AGAIN
    assert Policy(UP_TO, day).said(day) == "as continuous"
    assert Policy(UP_TO, day).said(2 * day) == AGAIN
    assert Pause(BEGUN, None, "").length is None
    assert Pause(BEGUN, after(60), "").length == timedelta(hours=1)


NAIVE = datetime(2026, 10, 30, 20)  # noqa: DTZ001


@pytest.mark.parametrize(
    ("refused", "said"),
    [
        (lambda: Visit(NAIVE, moist=True), "at .*: a zone is needed"),
        (
            lambda: Visit(BEGUN, moist=False, last_seen_moist_at=NAIVE),
            "a zone is needed",
        ),
        (
            lambda: Visit(BEGUN, moist=True, temperature=Quantity(Decimal(3), "in")),
            "temperature 3 in: allowed are C, F",
        ),
        (lambda: Visit(BEGUN, moist=False, moist_since=BEGUN), "that found it moist"),
        (
            lambda: Visit(BEGUN, moist=True, moist_since=after(1)),
            "allowed is 2026-10-30 18:00.00:00 or before",
        ),
        (lambda: Policy("as you like"), "curing_pause as you like: allowed are"),
        (lambda: count_moist([], asked=[], policy=None), "stretches: none"),
        (lambda: moist_stretches([], started_at=NAIVE), "started_at .*: a zone"),
        (
            lambda: moist_stretches([Visit(after(-1), moist=True)], started_at=BEGUN),
            "at 2026-10-30 17:59.00:00: allowed is the start of curing",
        ),
        (
            lambda: moist_stretches(
                [
                    Visit(after(60), moist=False),
                    Visit(after(90), moist=False, last_seen_moist_at=after(70)),
                ],
                started_at=BEGUN,
            ),
            "no visit found it moist since it was dry",
        ),
        (
            lambda: curing_end([], started_at=BEGUN, terms=terms(), at=after(-1)),
            "at .*: before started_at",
        ),
        (
            lambda: curing_end([], started_at=BEGUN, terms=terms(), zone="Nowhere"),
            "zone Nowhere: allowed is a name",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_name(refused, said):
    with pytest.raises(ValueError, match=said):
        refused()


def test_a_temperature_may_be_told_of_a_visit():
    warm = Quantity(Decimal(51), "F")
    assert Visit(BEGUN, moist=True, temperature=warm).temperature == warm
