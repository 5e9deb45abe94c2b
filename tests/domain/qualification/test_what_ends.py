"""What ends next, against a walk through the calendar day by day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from itertools import pairwise
from random import Random
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain import examples
from crews.domain.activity import Shot
from crews.domain.certification import Card
from crews.domain.endings import (
    EndingKind,
    endings,
    mix_ending,
    what_ends_next,
    what_has_ended,
)
from crews.domain.gates import gates
from crews.domain.operator_file import Enrolment, OperatorFile, Suspension
from crews.domain.trade_words import Level, WaivedGate
from crews.domain.waivers import Waiver
from project.domain.clocks import Interval, day_ends
from project.domain.editions import Departure, resolve
from project.domain.shooting_words import Position, Process
from project.domain.terms import Terms
from project.domain.verdict import State
from tests.domain.qualification.changes import at
from tests.domain.qualification.histories import IDLE_LIMIT, TERMS, ZONES

TAKE = Interval(examples.AT, None, examples.ZONE)
TODAY = date(2026, 8, 4)
AHEAD = 45
PAIRS = [(p, q) for p in Process for q in (Position.VERTICAL, Position.OVERHEAD)]
# The printed day is the last valid one, or by contract the day before it.
TERMS_OF = [
    TERMS,
    resolve(
        "ibc-2018-1908",
        revision=1,
        effective_on=date(2026, 7, 1),
        departures={
            "idle_limit": Departure(Decimal(IDLE_LIMIT), "d", "contract"),
            "card_last_day_inclusive": Departure(False, None, "contract"),
        },
    ),
]


def _days(random: Random, least: int, most: int) -> date:
    return TODAY + timedelta(days=random.randint(least, most))


def _cards(random: Random) -> tuple[Card, ...]:
    cards = []
    for n in range(random.randint(1, 5)):
        issued = _days(random, -40, 20)
        level = random.choice(list(Level))
        # No scheme prints overhead on a card in training.
        pairs = PAIRS if level is Level.FULL else PAIRS[::2]
        cards.append(
            replace(
                examples.card(),
                id=UUID(int=500 + n),
                number=f"C-{n}",
                level=level,
                classes=frozenset(random.sample(pairs, random.randint(1, 2))),
                issued_on=issued,
                expires_on=issued + timedelta(days=random.randint(0, 60)),
            )
        )
    return tuple(cards)


def _places(random: Random) -> tuple[Enrolment, ...]:
    first = examples.operator_file().enrolments[0]
    found = [replace(first, to_on=random.choice([None, _days(random, 0, 30)]))]
    for n in range(random.randint(0, 3)):
        begun = _days(random, -5, 40)
        to_on = random.choice([None, begun + timedelta(days=random.randint(0, 20))])
        found.append(replace(first, id=UUID(int=600 + n), from_on=begun, to_on=to_on))
    return tuple(found)


def _shots(random: Random, zone: str) -> tuple[Shot, ...]:
    found = []
    for n in range(random.randint(0, 9)):
        begun = datetime.combine(_days(random, -9, 30), time(9), ZoneInfo(zone))
        found.append(
            replace(
                examples.shot(),
                id=UUID(int=700 + n),
                process=random.choice(list(Process)),
                begun=begun.astimezone(UTC),
            )
        )
    return tuple(found)


def _asked_day_by_day(
    file: OperatorFile, terms: Terms, zone: str
) -> dict[tuple[Process, Position], list[dict[str, State]]]:
    """Ask every gate early on each day ahead, for all the work a card may open."""
    found = {}
    for process, position in PAIRS:
        demand = replace(
            examples.demand(),
            position=position,
            mix=replace(examples.demand().mix, process=process),
        )
        found[process, position] = [
            {
                reason.key: reason.state
                for reason in gates(
                    file,
                    demand,
                    interval=Interval(_early(n, zone), None, zone),
                    watch=None,
                    terms=terms,
                )
            }
            for n in range(AHEAD + 2)
        ]
    return found


def _early(n: int, zone: str) -> datetime:
    return datetime.combine(TODAY + timedelta(days=n), time(1, 30), ZoneInfo(zone))


_RANK = {State.NO_DATA: 0, State.FAIL: 0, State.CONDITION: 1, State.PASS: 2}


def _turns(days: list[dict[str, State]], *keys: str) -> set[date]:
    """Return the days after which some gates together are worse than on them."""
    ranks = [min(_RANK[day[key]] for key in keys) for day in days]
    return {
        TODAY + timedelta(days=n)
        for n, (on, after) in enumerate(pairwise(ranks))
        if after < on
    }


def _first_turn(days: list[dict[str, State]], key: str) -> set[date]:
    """Return the last day of the stretch that stands today, where one does and ends."""
    turns = _turns(days, key)
    return {min(turns)} if turns and days[0][key] is State.PASS else set()


@given(st.randoms(use_true_random=True))
def test_what_ends_is_what_the_standing_of_each_day_ahead_loses(random):
    zone, terms = random.choice(ZONES), random.choice(TERMS_OF)
    file = replace(
        examples.operator_file(),
        cards=_cards(random),
        enrolments=_places(random),
        shots=_shots(random, zone),
    )
    found = endings(file, at=Interval(_early(0, zone), None, zone), terms=terms)
    near = what_ends_next(found, on=TODAY, days=AHEAD)
    told = {kind: set[date]() for kind in EndingKind}
    for one in near:
        told[one.kind].add(one.last_on)
        assert one.until == day_ends(one.last_on, zone=zone)
    days = _asked_day_by_day(file, terms, zone)
    carded = {process for card in file.cards for process, _position in card.classes}
    assert told[EndingKind.CARD] == {
        on for each in days.values() for on in _turns(each, "card", "level")
    }
    assert told[EndingKind.PLACE] == _first_turn(days[PAIRS[0]], "enrolment")
    assert told[EndingKind.IDLE] == {
        on
        for (process, _position), each in days.items()
        if process in carded
        for on in _first_turn(each, "activity")
    }


@given(st.randoms(use_true_random=True))
def test_a_card_that_has_ended_matters_where_nothing_opens_its_work_today(random):
    cards = _cards(random)
    file = replace(examples.operator_file(), cards=cards, shots=())
    found = endings(file, at=TAKE, terms=None)
    gone = {one.what.partition(":")[0] for one in what_has_ended(found, on=TODAY)}
    assert gone == {
        card.number
        for card in cards
        if card.expires_on < TODAY
        and any(not _taken_over(card, pair, cards) for pair in card.classes)
    }


def _taken_over(
    card: Card, pair: tuple[Process, Position], cards: Sequence[Card]
) -> bool:
    """Say whether a card as good was issued by today and ends later."""
    process, position = pair
    over = (process, Position.OVERHEAD)
    return any(
        one.expires_on > card.expires_on
        and one.issued_on <= TODAY
        and one.level in (Level.FULL, card.level)
        and (
            pair in one.classes
            or (position is Position.VERTICAL and over in one.classes)
        )
        for one in cards
    )


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
        # Up to midnight: the first of September is no day of it.
        until_at=at("2026-09-01T00:00"),
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
        replace(examples.ending(), last_on=TODAY + timedelta(days=n))
        for n in (-1, 0, 30, 31)
    ]
    near = what_ends_next(found, on=TODAY, days=days)
    assert [one.days(TODAY) for one in near] == wanted


def test_days_back_are_refused():
    with pytest.raises(ValueError, match="days -1: allowed is 0 or more"):
        what_ends_next((), on=TODAY, days=-1)


def test_a_mix_that_nobody_withdraws_ends_nothing():
    mix = examples.demand().mix
    assert (
        mix_ending(
            "W-45A rev 2",
            None,
            ref=mix.ref,
            recorded_at=examples.RECORDED,
            zone=examples.ZONE,
        )
        is None
    )


def test_an_order_ends_with_its_last_instant_and_a_card_never_in_force_ends_nothing():
    """By a contract that does not count the printed day, a card of one day never stood."""
    order = Suspension(
        id=UUID(int=84),
        recorded_at=examples.RECORDED,
        from_at=at("2026-08-01T06:00"),
        until_at=at("2026-08-10T18:00"),
        ordered_by="BT",
    )
    short = replace(examples.card(), issued_on=TODAY, expires_on=TODAY)
    open_ended = replace(order, id=UUID(int=85), until_at=None)
    orders = (order, open_ended)
    file = replace(examples.operator_file(), suspensions=orders, cards=(short,))
    given = {"card_last_day_inclusive": Departure(False, reason="contract")}
    terms = resolve(
        "ibc-2018-1908",
        revision=1,
        effective_on=date(2026, 7, 1),
        departures=given,
    )
    found = endings(file, at=TAKE, terms=terms)
    assert [(one.kind, one.last_on) for one in found] == [
        (EndingKind.SUSPENSION, date(2026, 8, 10))
    ]
