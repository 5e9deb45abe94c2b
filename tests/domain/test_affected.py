"""Turns, against the plain words of the rule: every pair of states, gates one by one.

What counts as a turn is the project's choice; no published rule was found.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import product

import pytest

from inspections.domain.affected import (
    gates_turned,
    is_late,
    standing_turned,
    strength_turned,
    summed,
)
from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Source, State, Verdict

_SOURCE = Source("contract", known=Known.CONTRACT)


def verdict(state: State, **gates: State) -> Verdict:
    reasons = tuple(
        Reason(key=k.replace("_", "-"), requirement=k, state=s, found=k, source=_SOURCE)
        for k, s in gates.items()
    )
    return Verdict(state, "gates", reasons)


@pytest.mark.parametrize(("before", "after"), [*product(State, State)])
def test_a_standing_turns_where_its_state_does(before, after):
    assert standing_turned(verdict(before), verdict(after)) is (before != after)


def test_a_standing_turns_where_another_gate_does_not_hold():
    card = verdict(State.FAIL, card=State.FAIL, mock_up=State.PASS)
    both = verdict(State.FAIL, card=State.FAIL, mock_up=State.UNDECIDED)
    told_otherwise = verdict(State.FAIL, card=State.UNDECIDED, mock_up=State.PASS)
    assert standing_turned(card, both)
    assert standing_turned(both, card)
    assert not standing_turned(card, told_otherwise)
    turns = gates_turned(card, both)
    assert [(t.key, t.before.state, t.after.state) for t in turns] == [
        ("mock-up", State.PASS, State.UNDECIDED)
    ]


@pytest.mark.parametrize(("before", "after"), [*product(State, State)])
def test_a_result_turns_once_it_is_settled_or_when_it_fails(before, after):
    settled = before in {State.PASS, State.CONDITION, State.FAIL}
    wanted = before != after if settled else after == State.FAIL
    assert strength_turned(verdict(before), verdict(after)) is wanted


def test_a_set_that_fails_by_one_limit_more_turned_again():
    mean = verdict(State.FAIL, mean=State.FAIL, core=State.PASS)
    both = verdict(State.FAIL, mean=State.FAIL, core=State.FAIL)
    assert strength_turned(mean, both)
    assert not strength_turned(mean, mean)


def test_a_gate_that_was_not_judged_before_is_told_as_new():
    turns = gates_turned(
        verdict(State.PASS, card=State.PASS),
        verdict(State.PASS, card=State.PASS, activity=State.PASS),
    )
    assert [(t.key, t.before, t.after.state) for t in turns] == [
        ("activity", None, State.PASS)
    ]


def test_late_is_later_than_it_began_by_however_little():
    began = datetime(2026, 8, 24, 16, 20, tzinfo=UTC)
    least = timedelta(microseconds=1)
    assert is_late(began, recorded_at=began + least)
    assert not is_late(began, recorded_at=began)
    assert not is_late(began + least, recorded_at=began)
    with pytest.raises(ValueError, match="zone"):
        is_late(began.replace(tzinfo=None), recorded_at=began)


def test_volumes_of_two_systems_are_added_exactly():
    one, other = Quantity(Decimal(1), "yd3"), Quantity(Decimal("0.764554857984"), "m3")
    # 1 yd = 0.9144 m exactly (NIST SP 811, B.8; from memory).
    assert summed([one, other]) == Quantity(Decimal(2), "yd3")
    assert summed([]) is None
