"""Which endings reach planned work, and who may be assigned to it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from crews.domain import examples
from crews.domain.endings import EndingKind, endings, mix_ending
from crews.domain.operator_file import OperatorFile
from crews.domain.planning import (
    Assigned,
    Planned,
    PlanStart,
    assignment,
    may_be_assigned,
    named_too,
    plans_reached,
)
from crews.domain.qualification import standing
from crews.domain.supervision import Watch
from crews.domain.trade_words import Level, WaivedGate
from crews.domain.waivers import Waiver
from project.domain.clocks import Interval
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Ref, State
from tests.domain.qualification.changes import at
from tests.domain.qualification.histories import TERMS

OTHER = Ref("operator", "op-2", "OP-02")
NOON = datetime(2026, 8, 3, 12, tzinfo=ZoneInfo(examples.ZONE))
PLAN = examples.planned()  # starts 2026-08-04 07:10


def _ends(file: OperatorFile, kind: EndingKind, terms=None, waivers=()):
    take = Interval(NOON, None, examples.ZONE)
    found = endings(file, at=take, terms=terms, waivers=waivers)
    (one,) = (one for one in found if one.kind is kind)
    return one


def _reached(ending, plan: Planned = PLAN, file: OperatorFile | None = None):
    file = file or examples.operator_file()
    found = plans_reached(
        ending, [plan], files={file.operator.id: file}, zone=examples.ZONE
    )
    return [one.code for one in found]


def _with_card(**given) -> OperatorFile:
    card = replace(examples.card(), **given)
    return replace(examples.operator_file(), cards=(card,))


@pytest.mark.parametrize(
    ("last_on", "wanted"), [("2026-08-03", ["PLAN-01"]), ("2026-08-04", [])]
)
def test_a_card_reaches_work_from_the_day_after_its_last(last_on, wanted):
    file = _with_card(expires_on=date.fromisoformat(last_on))
    assert _reached(_ends(file, EndingKind.CARD), file=file) == wanted


def test_a_card_for_other_work_reaches_nothing():
    dry = replace(
        examples.card(),
        id=UUID(int=70),
        classes=frozenset({(Process.DRY, Position.VERTICAL)}),
        expires_on=date(2026, 8, 3),
    )
    file = replace(examples.operator_file(), cards=(examples.card(), dry))
    take = Interval(NOON, None, examples.ZONE)
    ended = next(
        one
        for one in endings(file, at=take, terms=None)
        if one.last_on == date(2026, 8, 3)
    )
    assert _reached(ended, file=file) == []


def test_a_card_that_opened_nothing_shuts_nobody_out():
    """The dry-mix card ends; for wet work there never was one."""
    file = _with_card(
        classes=frozenset({(Process.DRY, Position.VERTICAL)}),
        expires_on=date(2026, 8, 3),
    )
    assert _reached(_ends(file, EndingKind.CARD), file=file) == []


def test_of_a_full_card_that_ends_before_one_in_training_the_condition_is_told():
    full = replace(examples.card(), expires_on=date(2026, 8, 3))
    training = replace(examples.card(), id=UUID(int=71), level=Level.IN_TRAINING)
    file = replace(examples.operator_file(), cards=(full, training))
    take = Interval(NOON, None, examples.ZONE)
    first = endings(file, at=take, terms=None)[0]
    assert first.last_on == date(2026, 8, 3)
    assert _reached(first, file=file) == ["PLAN-01"]


def test_a_supervisors_ending_reaches_the_work_he_is_named_for():
    file = _with_card(expires_on=date(2026, 8, 3))
    ending = _ends(file, EndingKind.CARD)
    beside = replace(PLAN, operators=(Assigned(OTHER, examples.OPERATOR),))
    nobody = replace(PLAN, operators=(Assigned(OTHER),))
    assert _reached(ending, beside, file) == ["PLAN-01"]
    assert _reached(ending, nobody, file) == []


def test_a_place_that_ends_and_one_that_another_follows():
    place = examples.operator_file().enrolments[0]
    short = replace(place, to_on=date(2026, 8, 3))
    file = replace(examples.operator_file(), enrolments=(short,))
    ending = _ends(file, EndingKind.PLACE)
    assert _reached(ending, file=file) == ["PLAN-01"]
    after = replace(place, id=UUID(int=72), from_on=date(2026, 8, 4))
    file = replace(file, enrolments=(short, after))
    take = Interval(NOON, None, examples.ZONE)
    kinds = {one.kind for one in endings(file, at=take, terms=None)}
    assert EndingKind.PLACE not in kinds
    assert _reached(ending, file=file) == []


def test_an_idle_limit_and_the_waiver_that_goes_beyond_it():
    """Four days since the mock-up of 30 July: its last day is 3 August."""
    shot = replace(examples.shot(), begun=at("2026-07-30T09:00"))
    file = replace(examples.operator_file(), shots=(shot,))
    plan = replace(PLAN, terms=TERMS)
    idle = _ends(file, EndingKind.IDLE, terms=TERMS)
    assert idle.last_on == date(2026, 8, 3)
    assert _reached(idle, plan, file) == ["PLAN-01"]
    waiver = Waiver(
        id=UUID(int=73),
        recorded_at=examples.RECORDED,
        gate=WaivedGate.IDLE,
        from_at=at("2026-08-01T00:00"),
        until_at=at("2026-08-04T07:00"),
        words="refresher",
    )
    plan = replace(plan, demand=replace(plan.demand, waivers=(waiver,)))
    ended = _ends(file, EndingKind.WAIVER, terms=TERMS, waivers=(waiver,))
    assert _reached(ended, plan, file) == ["PLAN-01"]
    longer = replace(waiver, until_at=at("2026-08-04T12:00"))
    plan = replace(plan, demand=replace(plan.demand, waivers=(longer,)))
    assert _reached(idle, plan, file) == []


def test_a_mix_reaches_its_own_work_whoever_is_assigned():
    mix = PLAN.demand.mix
    ending = mix_ending(
        str(mix),
        date(2026, 8, 4),
        ref=mix.ref,
        recorded_at=examples.RECORDED,
        zone=examples.ZONE,
    )
    assert ending is not None
    assert (ending.whose, ending.last_on) == ("", date(2026, 8, 3))
    assert _reached(ending, replace(PLAN, operators=())) == ["PLAN-01"]
    other = replace(mix, ref=Ref("mix revision", "mix-2", "W-50"))
    plan = replace(PLAN, demand=replace(PLAN.demand, mix=other))
    assert _reached(ending, plan) == []


def test_the_end_of_an_order_shuts_nobody_out_and_the_first_plan_is_on_top():
    file = _with_card(expires_on=date(2026, 8, 3))
    ending = _ends(file, EndingKind.CARD)
    later = replace(PLAN, code="PLAN-00", starts_at=PLAN.starts_at + timedelta(days=1))
    found = plans_reached(
        ending, [later, PLAN], files={file.operator.id: file}, zone=examples.ZONE
    )
    assert [one.code for one in found] == ["PLAN-01", "PLAN-00"]
    order = replace(ending, kind=EndingKind.SUSPENSION)
    assert _reached(order, file=file) == []


@pytest.mark.parametrize(
    ("level", "supervisor", "may"),
    [
        (Level.FULL, None, True),
        (Level.IN_TRAINING, None, False),
        (Level.IN_TRAINING, "full", True),
        (Level.IN_TRAINING, "in training", False),
    ],
)
def test_who_may_be_assigned(level, supervisor, may):
    file = _with_card(level=level)
    own = replace(examples.mock_up(), operator=OTHER)
    watch = None
    if supervisor is not None:
        card = replace(examples.card(), level=Level(supervisor))
        other = replace(
            examples.operator_file(), operator=OTHER, cards=(card,), mock_ups=(own,)
        )
        watch = Watch(supervisor=other)
    verdict = standing(
        file,
        PLAN.demand,
        interval=Interval(PLAN.starts_at, None, examples.ZONE),
        watch=watch,
        terms=None,
    )
    said = assignment(verdict, supervisor=OTHER if supervisor else None)
    assert may_be_assigned(said) is may
    if not may and supervisor is None:
        assert said.failed[-1].key == "supervisor"


@pytest.mark.parametrize(
    "state", [s for s in State if s not in (State.PASS, State.CONDITION)]
)
def test_nothing_but_a_pass_or_a_condition_lets_anybody_on(state):
    verdict = standing(
        examples.operator_file(),
        PLAN.demand,
        interval=Interval(PLAN.starts_at, None, examples.ZONE),
        watch=None,
        terms=None,
    )
    assert not may_be_assigned(replace(verdict, state=state))


@pytest.mark.parametrize(
    ("minutes", "told"), [(-60, []), (-59, ["B"]), (0, ["B"]), (59, ["B"]), (60, [])]
)
def test_a_person_named_twice_within_an_hour_is_told(minutes, told):
    """Less than an hour apart is one hour: project's choice, no published rule found."""
    here = PlanStart("A", PLAN.starts_at)
    other = PlanStart("B", PLAN.starts_at + timedelta(minutes=minutes))
    assert [one.plan for one in named_too(here, [here, other, other])] == told


def test_the_hour_is_counted_over_a_change_of_the_clock():
    """Denver's clock goes back at 02:00 on 2026-11-01: 01:30 comes twice, an hour apart."""
    zone = ZoneInfo("America/Denver")
    first, second = (
        datetime(2026, 11, 1, 1, 30, fold=fold, tzinfo=zone).astimezone(UTC)
        for fold in (0, 1)
    )
    assert named_too(PlanStart("A", first), [PlanStart("B", second)]) == ()
