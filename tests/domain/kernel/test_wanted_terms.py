"""A word that means nothing without a value beside it, and a value beyond any calendar."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from project.domain.editions import Departure, check_wanted, resolve
from project.domain.term_kinds import check_term


@pytest.mark.parametrize(
    ("name", "word", "wanted", "value"),
    [
        (
            "curing_pause",
            "as continuous up to",
            "curing_pause_most",
            Departure(Decimal(4), "h", "the engineer's"),
        ),
        (
            "strength_basis",
            "required core strength",
            "required_core_strength",
            Departure(Decimal(4000), "psi", "the specification's"),
        ),
    ],
)
def test_a_word_that_wants_a_value_is_not_taken_without_it(name, word, wanted, value):
    chosen = {name: Departure(word, reason="the contract's")}
    common = {"revision": 1, "effective_on": date(2026, 7, 1)}
    alone = resolve("ibc-2018-1908", departures=chosen, **common)
    with pytest.raises(ValueError, match=f'{wanted}: not given; needed with "{word}"'):
        check_wanted(alone, departures=chosen)
    chosen |= {wanted: value}
    both = resolve("ibc-2018-1908", departures=chosen, **common)
    check_wanted(both, departures=chosen)
    assert both.choice(name) == word


def test_an_edition_s_own_word_may_leave_its_value_to_the_contract():
    """UFGS 03371 judges by its own required core strength, which each job types."""
    common = {"revision": 1, "effective_on": date(2026, 7, 1)}
    terms = resolve("ufgs-03371", departures={}, **common)
    check_wanted(terms, departures={})
    assert terms.choice("strength_basis") == "required core strength"
    assert terms.get("required_core_strength") is None


@pytest.mark.parametrize(
    ("low", "high", "unit"),
    [("36525", "36525.0001", "d"), ("876600", "876600.0001", "h")],
)
def test_a_time_ends_within_a_calendar(low, high, unit):
    """100 years of 365.25 days (project's choice): a longer one has no last day."""
    check_term("idle_limit", Decimal(low), unit)
    with pytest.raises(ValueError, match=f"{high} {unit}; .* at most 36525 d"):
        check_term("idle_limit", Decimal(high), unit)
