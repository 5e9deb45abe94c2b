"""What ends next, against a walk through the calendar day by day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from random import Random
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain import examples
from crews.domain.certification import Card
from crews.domain.endings import (
    Ending,
    EndingKind,
    endings,
    what_ends_next,
    what_has_ended,
)
from crews.domain.trade_words import Level, Method, WaivedGate
from crews.domain.waivers import Waiver
from project.domain.clocks import Interval
from project.domain.shooting_words import Position, Process
from tests.domain.qualification.changes import at
from tests.domain.qualification.histories import TERMS

TAKE = Interval(examples.AT, None, examples.ZONE)
TODAY = date(2026, 8, 4)
PAIRS = [(p, q) for p in Process for q in (Position.VERTICAL, Position.OVERHEAD)]


def _cards(random: Random) -> tuple[Card, ...]:
    cards = []
    for n in range(random.randint(1, 5)):
        issued = TODAY + timedelta(days=random.randint(-40, 20))
        cards.append(
            replace(
                examples.card(),
                id=UUID(int=500 + n),
                number=f"C-{n}",
                level=random.choice(list(Level)),
                method=random.choice(list(Method)),
                classes=frozenset(random.sample(PAIRS, random.randint(1, 2))),
                issued_on=issued,
                expires_on=issued + timedelta(days=random.randint(0, 60)),
            )
        )
    return tuple(cards)


def _covered(
    cards: Sequence[Card], of: Card, pair: tuple[Process, Position], on: date
) -> bool:
    """Say whether some card of the same kind opens a pair on a day."""
    process, position = pair
    for card in cards:
        same = card.method is of.method and card.level is of.level
        if not same or not card.issued_on <= on <= card.expires_on:
            continue
        over = (process, Position.OVERHEAD) in card.classes
        if pair in card.classes or (position is Position.VERTICAL and over):
            return True
    return False


@given(st.randoms(use_true_random=True))
def test_a_card_ends_something_where_the_next_day_nothing_opens_it(random):
    cards = _cards(random)
    file = replace(examples.operator_file(), cards=cards, shots=())
    found = {
        (one.last_on, one.what.partition(":")[0])
        for one in endings(file, at=TAKE, terms=None)
    }
    wanted = {
        (card.expires_on, card.number)
        for card in cards
        if any(
            not _covered(cards, card, pair, card.expires_on + timedelta(days=1))
            for pair in card.classes
        )
    }
    assert found == wanted


def test_the_idle_limit_ends_so_many_days_after_the_last_shooting():
    """The contract of this test gives four days; the mock-up was shot on 18 July."""
    found = endings(examples.operator_file(), at=TAKE, terms=TERMS)
    (idle,) = (one for one in found if one.kind is EndingKind.IDLE)
    assert idle.last_on == date(2026, 7, 22)
    assert idle.what == "4 days since wet work on 2026-07-18"
    assert what_has_ended(found, on=TODAY) == (idle,)


def test_a_place_a_waiver_and_an_order_end_on_their_last_local_day():
    file = examples.operator_file()
    place = replace(file.enrolments[0], to_on=date(2026, 8, 20))
    waiver = Waiver(
        id=UUID(int=82),
        recorded_at=examples.RECORDED,
        gate=WaivedGate.IDLE,
        from_at=at("2026-08-01T00:00"),
        until_at=at("2026-08-31T23:30"),
        words="refresher",
    )
    another = replace(waiver, id=UUID(int=83), operator="somebody else")
    found = endings(
        replace(file, enrolments=(place,), cards=()),
        at=TAKE,
        terms=None,
        waivers=(waiver, another),
    )
    assert [(one.kind, one.last_on) for one in found] == [
        (EndingKind.PLACE, date(2026, 8, 20)),
        (EndingKind.WAIVER, date(2026, 8, 31)),
    ]


def test_who_has_no_place_on_the_job_ends_nothing_there():
    file = replace(examples.operator_file(), enrolments=())
    assert endings(file, at=TAKE, terms=TERMS) == ()


@pytest.mark.parametrize(
    ("days", "wanted"), [(0, [0]), (29, [0]), (30, [0, 30]), (31, [0, 30, 31])]
)
def test_a_window_holds_both_its_ends(days, wanted):
    found = [
        Ending(
            EndingKind.CARD,
            TODAY + timedelta(days=n),
            examples.OPERATOR,
            f"{n}",
        )
        for n in (-1, 0, 30, 31)
    ]
    near = what_ends_next(found, on=TODAY, days=days)
    assert [one.days(TODAY) for one in near] == wanted


def test_days_back_are_refused():
    with pytest.raises(ValueError, match="days -1: allowed is 0 or more"):
        what_ends_next((), on=TODAY, days=-1)
