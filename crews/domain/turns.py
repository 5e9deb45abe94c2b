"""What on record turns an answer by itself: cards that end, orders that are lifted.

Each turn names the gates that it may touch. Between two turns of its own a gate stays
as it is, so that whoever looks ahead judges again only what a turn touches.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import NamedTuple

from crews.domain.activity import ends_on
from crews.domain.question import Question
from crews.domain.requalification import lapses
from crews.domain.trade_words import WaivedGate
from project.domain.clocks import day_starts

_DAY = timedelta(days=1)
_CARD, _MOCK_UP = frozenset({"card", "level"}), frozenset({"mock-up"})
_ENROLMENT, _ACTIVITY = frozenset({"enrolment"}), frozenset({"activity"})
_MIX, _SUSPENSION = frozenset({"mix"}), frozenset({"suspension"})
# Where the condition "supervised" is judged, whatever turned of the supervisor.
_SUPERVISED = frozenset({"level", "mock-up"})


class Turn(NamedTuple):
    """An instant at which a fact on record opens gates, shuts them, or may do either.

    `opens` says nothing where it may do either. Source: the facts themselves.

    >>> from datetime import UTC
    >>> Turn(datetime(2026, 9, 4, tzinfo=UTC), True, "suspension ends", _SUSPENSION).opens
    True
    """

    at: datetime
    opens: bool | None
    words: str
    gates: frozenset[str]


def turns_ahead(asked: Question) -> list[Turn]:
    """Return the turns after the start of what is asked, the supervisor's too.

    In a fixed order, not that of time: those of one instant are told in it. Source:
    each gate's own rule of when it opens and shuts. Raises nothing.

    >>> from crews.domain import examples
    >>> from crews.domain.question import question
    >>> from project.domain.clocks import Interval
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> asked = question(examples.operator_file(), examples.demand(), interval=take,
    ...                  watch=None, terms=None)
    >>> [turn.words for turn in turns_ahead(asked)]
    ['card WV-0001: last valid day 2028-03-14']
    """
    beside = asked.watch.supervisor if asked.watch else None
    if beside is None:
        return [*_of_people(asked), *_of_demand(asked)]
    theirs = _of_people(asked.anew(file=beside))
    return [
        *_of_people(asked),
        *(turn._replace(gates=_SUPERVISED) for turn in theirs),
        # What turns of the part's own facts turns for whoever stands beside as well.
        *(t._replace(gates=t.gates | _SUPERVISED) for t in _of_demand(asked)),
    ]


def _of_people(asked: Question) -> list[Turn]:
    return [
        *_cards(asked),
        *_enrolments(asked),
        *_asked_again(asked),
        *_decisions(asked),
        *_idle(asked),
        *_suspensions(asked),
    ]


# Words are made only of what lies ahead: most of a record lies behind.


def _cards(asked: Question) -> Iterator[Turn]:
    zone, demand, today = asked.interval.zone, asked.demand, asked.dates[0]
    for card in asked.file.cards:
        if not card.is_for(demand.process, demand.method):
            continue
        last = card.last_day(demand)
        if last >= today:
            after = day_starts(last + _DAY, zone=zone)
            words = f"card {card.number}: last valid day {last!s}"
            yield Turn(after, False, words, _CARD)
        if card.issued_on > today:
            begins = day_starts(card.issued_on, zone=zone)
            words = f"card {card.number}: valid from {card.issued_on!s}"
            yield Turn(begins, True, words, _CARD)


def _enrolments(asked: Question) -> Iterator[Turn]:
    zone, today = asked.interval.zone, asked.dates[0]
    for enrolment in asked.file.enrolments:
        approved = enrolment.approved_on or enrolment.from_on
        first = max(enrolment.from_on, approved)
        if first > today:
            words = f"enrolment: from {first!s}"
            yield Turn(day_starts(first, zone=zone), True, words, _ENROLMENT)
        if enrolment.to_on is not None and enrolment.to_on >= today:
            after = day_starts(enrolment.to_on + _DAY, zone=zone)
            words = f"enrolment: last day {enrolment.to_on!s}"
            yield Turn(after, False, words, _ENROLMENT)


def _asked_again(asked: Question) -> Iterator[Turn]:
    file, start = asked.file, asked.interval.start
    for setback in file.setbacks:
        if setback.at > start:
            yield Turn(setback.at, False, f"asked again: {setback.words}", _MOCK_UP)
        if setback.until is not None and setback.until > start:
            words = f"acceptable again after: {setback.words}"
            yield Turn(setback.until, True, words, _MOCK_UP)
    if asked.demand.asked.lapse:
        for setback in lapses(file.cards, asked.demand, zone=asked.interval.zone):
            if setback.at > start:
                yield Turn(setback.at, None, f"asked again: {setback.words}", _MOCK_UP)


def _decisions(asked: Question) -> Iterator[Turn]:
    for mock_up in asked.file.mock_ups:
        for decision in mock_up.decisions:
            if decision.decided_at > asked.interval.start:
                words = f"mock-up {mock_up.code}: {decision.outcome}"
                yield Turn(decision.decided_at, None, words, _MOCK_UP)


def _idle(asked: Question) -> Iterator[Turn]:
    """Yield when the idle limit runs out and when shooting begins it anew.

    Of what was shot before the interval the last alone counts.
    """
    interval, demand, limit = asked.interval, asked.demand, asked.demand.idle.days
    if limit is None:
        return
    work, shot = demand.idle.words(demand.process), asked.shooting()
    for later in shot.later:
        begins = later.begun + timedelta(microseconds=1)
        yield Turn(begins, True, f"{work} on {later.on(interval.zone)!s}", _ACTIVITY)
    for one in (shot.last, *shot.later):
        if one is None:
            continue
        shot_on = one.on(interval.zone)
        after = day_starts(ends_on(shot_on, limit=limit) + _DAY, zone=interval.zone)
        if after > interval.start:
            words = f"idle limit: no {work} after {shot_on!s}"
            yield Turn(after, False, words, _ACTIVITY)


def _suspensions(asked: Question) -> Iterator[Turn]:
    start = asked.interval.start
    for order in asked.file.suspensions:
        if not order.concerns(asked.demand):
            continue
        if order.from_at > start:
            words = f"suspension by {order.ordered_by}"
            yield Turn(order.from_at, False, words, _SUSPENSION)
        if order.until_at is not None and order.until_at > start:
            yield Turn(order.until_at, True, "suspension ends", _SUSPENSION)


def _of_demand(asked: Question) -> Iterator[Turn]:
    mix, start, zone = asked.demand.mix, asked.interval.start, asked.interval.zone
    today = asked.dates[0]
    for day, opens, words in (
        (mix.approved_on, True, "approved"),
        (mix.withdrawn_on, False, "withdrawn from"),
    ):
        if day is not None and day > today:
            begins = day_starts(day, zone=zone)
            yield Turn(begins, opens, f"{mix}: {words} {day!s}", _MIX)
    for equal in asked.demand.rig_equivalences:
        if equal.accepted_at > start:
            words = "rig accepted as equivalent"
            yield Turn(equal.accepted_at, True, words, _MOCK_UP)
    for waiver in asked.demand.waivers:
        touched = _ACTIVITY if waiver.gate is WaivedGate.IDLE else _MOCK_UP
        name = f"waiver of the {waiver.gate}"
        if waiver.from_at > start:
            yield Turn(waiver.from_at, True, f"{name} begins", touched)
        if waiver.until_at > start:
            yield Turn(waiver.until_at, False, f"{name} ends", touched)
