"""Demands of the same work, judged together, are answered as each alone."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest

from crews.domain import examples
from crews.domain.demand import Demand
from crews.domain.gates import GATES, gate
from crews.domain.qualification import standing, standings
from crews.domain.question import question
from crews.domain.supervision import Watch
from crews.domain.turns import turns_ahead
from project.domain.clocks import Interval
from project.domain.shooting_words import Position
from project.domain.units import Quantity
from project.domain.verdict import Known, Ref, Source, State
from tests.domain.qualification.changes import CHANGES, Case, example
from tests.domain.qualification.histories import (
    STEP,
    TERMS,
    ZONES,
    history_of,
    middle,
)

TAKE = Interval(examples.AT, None, examples.ZONE)
ALONE = [name for name, change in CHANGES.items() if change(example()).watch is None]


def _alike(demand: Demand) -> tuple[Demand, ...]:
    """Return a demand and others that differ in what only a mock-up must show."""
    thick = Quantity(Decimal(30), "in")
    drawings = Source("drawings", known=Known.CONTRACT)
    return (
        demand,
        replace(demand, part=Ref("part", "part-2", "R9-upper")),
        replace(demand, reinforcement=None),
        replace(demand, thickness=thick),
        replace(demand, mock_up_class="B", mock_up_by_contract=drawings),
        replace(demand, mock_up_class="", mock_up_by_contract=None),
    )


def _assert_alike(case: Case, interval: Interval) -> set[State]:
    asked, terms = _alike(case.demand), case.terms
    found = standings(case.file, asked, interval=interval, terms=terms)
    for demand, verdict in zip(asked, found, strict=True):
        alone = standing(
            case.file, demand, interval=interval, watch=None, terms=case.terms
        )
        assert verdict == alone
    return {verdict.state for verdict in found}


@pytest.mark.parametrize("change", ALONE)
def test_each_change_of_a_fact_is_answered_alike(change: str) -> None:
    case = CHANGES[change](example())
    _assert_alike(case, TAKE)
    _assert_alike(case, replace(TAKE, stop=examples.AT.replace(hour=23)))


def test_random_histories_are_answered_alike() -> None:
    seen: set[State] = set()
    for seed in range(300):
        random = Random(seed)
        history, zone = history_of(random), random.choice(ZONES)
        when, known_at = middle(random), middle(random)
        case = Case(
            history.file().known_at(known_at), history.demand(known_at), terms=TERMS
        )
        stop = random.choice((None, when + random.randint(1, 96) * STEP))
        seen |= _assert_alike(case, Interval(when, stop, zone))
    assert seen >= {State.PASS, State.CONDITION, State.FAIL, State.UNDECIDED}


@pytest.mark.parametrize("change", ALONE)
def test_no_other_gate_looks_at_what_a_mock_up_must_show(change: str) -> None:
    case = CHANGES[change](example())
    told = []
    for demand in _alike(case.demand):
        asked = question(case.file, demand, interval=TAKE, watch=None, terms=case.terms)
        reasons = [gate(asked, key) for key in GATES if key != "mock-up"]
        told.append((reasons, list(turns_ahead(asked))))
    assert all(one == told[0] for one in told)


def test_demands_of_other_work_are_refused() -> None:
    first = examples.demand()
    other = replace(first, position=Position.OVERHEAD)
    with pytest.raises(ValueError, match="R1-lower"):
        standings(examples.operator_file(), (first, other), interval=TAKE, terms=None)


def test_with_somebody_beside_nothing_is_shared() -> None:
    watch = Watch(supervisor=examples.operator_file())
    asked = question(
        examples.operator_file(),
        examples.demand(),
        interval=TAKE,
        watch=watch,
        terms=None,
    )
    with pytest.raises(ValueError, match="R1-lower"):
        asked.about(examples.demand())


def test_nothing_asked_is_nothing_answered() -> None:
    assert standings(examples.operator_file(), (), interval=TAKE, terms=None) == ()
