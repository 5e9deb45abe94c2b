"""A sloped face: which card and which mock-up it asks for, and when nobody has said.

Source: the contract's own table of angles (project's choice of form, no published
angle found). The angles of these rows are invented.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from crews.domain import examples
from crews.domain.gates import gates
from crews.domain.operator_file import Suspension
from crews.domain.surface import surface
from crews.domain.trade_words import Level
from project.domain.clocks import Interval
from project.domain.editions import Departure, resolve
from project.domain.editions.resolving import check_wanted
from project.domain.shooting_words import Position, Process
from project.domain.verdict import State

TAKE = Interval(examples.AT, None, examples.ZONE)
TABLE = {
    "card_vertical_from": "60",
    "card_overhead_from": "100",
    "mockup_vertical_from": "75",
    "mockup_overhead_from": "105.5",
}


def _terms(**angles: str):
    departures = {
        name: Departure(Decimal(value), None, "contract")
        for name, value in angles.items()
    }
    return resolve(
        "ibc-2018-1908",
        revision=1,
        effective_on=date(2026, 7, 1),
        departures=departures,
    )


UPRIGHT, OVER, SLOPED, LYING = (
    Position.VERTICAL,
    Position.OVERHEAD,
    Position.SLOPED,
    Position.HORIZONTAL,
)


@pytest.mark.parametrize(
    ("position", "angle", "card", "mock_up"),
    [
        (SLOPED, "59.99", None, None),
        (SLOPED, "60", UPRIGHT, None),
        (SLOPED, "74.9", UPRIGHT, None),
        (SLOPED, "75", UPRIGHT, UPRIGHT),
        (SLOPED, "99.99", UPRIGHT, UPRIGHT),
        (SLOPED, "100", OVER, UPRIGHT),
        (SLOPED, "105.49", OVER, UPRIGHT),
        (SLOPED, "105.5", OVER, OVER),
        (SLOPED, "180", OVER, OVER),
        (SLOPED, None, None, None),
        (LYING, None, None, None),  # lies and looks up, at 0
        (LYING, "90", UPRIGHT, UPRIGHT),
    ],
)
def test_a_face_counts_as_the_contracts_table_says(position, angle, card, mock_up):
    typed = None if angle is None else Decimal(angle)
    found = surface(position, angle=typed, terms=_terms(**TABLE))
    assert (found.card, found.mock_up) == (card, mock_up)


@pytest.mark.parametrize("position", [UPRIGHT, OVER, Position.UNCLASSIFIED])
def test_a_position_that_says_it_itself_asks_no_table(position):
    assert surface(position, angle=Decimal(120), terms=_terms(**TABLE)) is None


def test_a_table_that_does_not_say_overhead_settles_nothing():
    half = _terms(card_vertical_from="60", mockup_overhead_from="100")
    found = surface(SLOPED, angle=Decimal(90), terms=half)
    assert (found.card, found.mock_up) == (None, None)
    assert surface(SLOPED, angle=Decimal(100), terms=half).mock_up is OVER


def _judged(angle: str | None, terms=None, **file):
    typed = None if angle is None else Decimal(angle)
    demand = replace(examples.demand(), position=SLOPED, angle=typed)
    who = replace(examples.operator_file(), **file)
    reasons = gates(who, demand, interval=TAKE, watch=None, terms=terms)
    return {reason.key: reason for reason in reasons}


def test_without_the_table_both_gates_are_undecided():
    for angle in (None, "90"):
        reasons = _judged(angle)
        assert reasons["card"].state is State.UNDECIDED
        assert reasons["mock-up"].state is State.UNDECIDED
    assert "position sloped at 90 deg" in reasons["card"].found


def test_a_steep_face_is_shot_with_a_vertical_card_and_mock_up():
    reasons = _judged("90", _terms(**TABLE))
    assert reasons["card"].state is State.PASS
    assert reasons["mock-up"].state is State.PASS
    assert (
        "wet vertical by hand (sloped at 90 deg by the contract's table of surface "
        "angles)" in reasons["card"].requirement
    )


def test_an_overhanging_face_asks_for_overhead_and_the_rest_stays():
    reasons = _judged("102", _terms(**TABLE))
    assert reasons["card"].state is State.FAIL
    assert "no overhead for wet" in reasons["card"].found
    assert reasons["mock-up"].state is State.PASS
    assert _judged("110", _terms(**TABLE))["mock-up"].state is State.FAIL


def test_a_trainee_and_an_order_are_judged_by_what_the_face_counts_as():
    training = replace(examples.card(), level=Level.IN_TRAINING)
    terms = _terms(**TABLE)
    assert _judged("102", terms, cards=(training,))["level"].state is State.FAIL
    assert _judged("90", terms, cards=(training,))["level"].state is State.CONDITION
    order = Suspension(
        id=examples.card().id,
        recorded_at=examples.RECORDED,
        from_at=examples.RECORDED,
        until_at=None,
        ordered_by="the engineer",
        process=Process.WET,
        position=OVER,
    )
    shut = {"suspensions": (order,)}
    assert _judged("102", terms, **shut)["suspension"].state is State.FAIL
    assert _judged("90", terms, **shut)["suspension"].state is State.PASS
    assert _judged("90", **shut)["suspension"].state is State.FAIL  # may be meant


def test_a_table_that_turns_round_is_refused_by_name():
    given = TABLE | {"card_overhead_from": "60"}
    terms = _terms(**given)
    with pytest.raises(ValueError, match="card_vertical_from: 60; allowed is below"):
        check_wanted(terms, departures={})
