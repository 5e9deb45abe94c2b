"""Limits of bars, laps and aggregate: what is refused, and what nobody gave."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from crews.domain.bar_rules import aggregate_size, bar_rules
from crews.domain.bar_sizes import spacing_for
from crews.domain.lap_gap import lap_gap, lap_reason
from project.domain.editions import own_terms
from project.domain.reinforcement import Reinforcement
from project.domain.units import Quantity
from project.domain.verdict import State

IBC = own_terms("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1))
NONE_SUCH = [Quantity(Decimal(value), unit) for value, unit in ((0, "in"), (-1, "mm"))]
NO_LENGTHS = [*NONE_SUCH, Quantity(Decimal(2), "psi")]


def test_an_aggregate_that_nobody_gave_settles_nothing() -> None:
    known, unknown = (aggregate_size(None, terms=terms) for terms in (IBC, None))
    assert [known.state, unknown.state] == [State.UNDECIDED] * 2
    assert known.requirement == "no aggregate larger than 0.75 in"
    assert known.found == unknown.found == "not given"


@pytest.mark.parametrize("length", NO_LENGTHS, ids=str)
def test_what_is_no_length_is_refused_by_name(length: Quantity) -> None:
    with pytest.raises(ValueError, match=f"aggregate {length}: allowed is a length"):
        aggregate_size(length, terms=IBC)
    with pytest.raises(ValueError, match=f"aggregate {length}: allowed is a length"):
        lap_gap("No. 5", rule="2 in", aggregate=length)
    with pytest.raises(ValueError, match=f"clear {length}: allowed is a length"):
        spacing_for("No. 5", clear=length)


def test_another_rule_of_laps_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="lap_rule '4 in': allowed are 2 in, 3 bar"):
        lap_gap("No. 5", rule="4 in")


def test_laps_of_no_bars_are_nothing_to_be_judged() -> None:
    with pytest.raises(ValueError, match="bars: none given; allowed is at least"):
        lap_reason(Reinforcement(()), rules=bar_rules(IBC))
