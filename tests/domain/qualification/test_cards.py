"""Schemes as reviewed data, and cards that contradict theirs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from crews.domain import examples
from crews.domain.certification import Card, card_gate, contradictions, opening
from crews.domain.schemes import SCHEMES, scheme, scheme_of
from crews.domain.trade_words import Level, Method
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Reason, State

VERTICAL = (Process.WET, Position.VERTICAL)
OVERHEAD = (Process.WET, Position.OVERHEAD)


def test_each_scheme_is_hand_or_robotic_and_says_where_its_rules_come_from() -> None:
    for key, one in SCHEMES.items():
        assert one.key == key
        assert one.method in Method
        assert one.processes <= set(Process)
        assert one.positions <= set(Position) - {Position.UNCLASSIFIED}
        assert one.source.document
        assert all(rule.source.document for rule in one.levels)
        assert one.validity
    assert {scheme_of(method).method for method in Method} == set(Method)


def test_an_unknown_scheme_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="scheme 'CP-1': allowed are CP-60, robotic"):
        scheme("CP-1")


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, []),
        ({"classes": frozenset({VERTICAL, OVERHEAD})}, []),
        (
            {"classes": frozenset({VERTICAL, OVERHEAD}), "level": Level.IN_TRAINING},
            ["position overhead: level in training allows vertical"],
        ),
        (
            {"classes": frozenset({(Process.WET, Position.SLOPED)})},
            ["position sloped: level full allows overhead, vertical"],
        ),
        ({"classes": frozenset()}, ["at least one process with a position"]),
        ({"method": Method.ROBOTIC}, ["method robotic: scheme CP-60 certifies hand"]),
        (
            {
                "scheme": "robotic",
                "method": Method.ROBOTIC,
                "classes": frozenset({(Process.DRY, Position.VERTICAL)}),
            },
            ["process dry: scheme robotic certifies wet"],
        ),
        (
            {
                "scheme": "robotic",
                "method": Method.ROBOTIC,
                "level": Level.IN_TRAINING,
            },
            ["level in training: scheme robotic has full"],
        ),
        ({"expires_on": date(2023, 3, 14)}, []),
        ({"expires_on": date(2023, 3, 13)}, ["expiry 2023-03-13: the day of issue"]),
    ],
)
def test_what_a_card_says_against_its_scheme_is_named(
    given: dict[str, Any], words: list[str]
) -> None:
    found = list(contradictions(replace(examples.card(), **given)))
    assert len(found) == len(words)
    assert all(word in line for word, line in zip(words, found, strict=True))


def _judged(cards: list[Card], dates: tuple[date, ...]) -> Reason:
    demand = examples.demand()
    return card_gate(cards, opening(cards, demand, dates=dates), demand, dates=dates)


def test_the_margin_counts_the_days_left() -> None:
    for last, left in ((date(2028, 3, 14), "0"), (date(2028, 3, 13), "1")):
        reason = _judged([examples.card()], (last,))
        assert reason.margin is not None
        assert str(reason.margin) == f"{left} d"


def test_a_renewed_card_takes_over_at_midnight_and_both_are_evidence() -> None:
    old = examples.card()
    new = replace(
        old, number="WV-0009", issued_on=date(2028, 3, 15), expires_on=date(2033, 3, 14)
    )
    night = (date(2028, 3, 14), date(2028, 3, 15))
    reason = _judged([new, old], night)
    assert reason.state is State.PASS
    assert [ref.name for ref in reason.evidence] == ["WV-0001", "WV-0009"]
    gap = replace(new, issued_on=date(2028, 3, 16))
    assert _judged([gap, old], night).state is State.FAIL


def test_of_two_cards_the_full_one_and_then_the_longer_one_speaks() -> None:
    trainee = replace(
        examples.card(), level=Level.IN_TRAINING, expires_on=date(2030, 1, 1)
    )
    longer = replace(examples.card(), number="WV-0002", expires_on=date(2029, 1, 1))
    cards = [trainee, examples.card(), longer]
    used = opening(cards, examples.demand(), dates=(date(2026, 8, 4),))
    assert [card.number for card in used] == ["WV-0002"]


def test_a_card_not_verified_says_so() -> None:
    reason = _judged([replace(examples.card(), verified_on=None)], (date(2026, 8, 4),))
    assert reason.found.endswith("not verified")
