"""What ends next: cards, places on the job, idle limits, waivers, by their last day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from crews.domain.activity import ends_on, idle_days, last_shot
from crews.domain.certification import Card
from crews.domain.operator_file import OperatorFile
from crews.domain.waivers import Waiver
from project.domain.clocks import Interval
from project.domain.shooting_words import Position, Process
from project.domain.terms import Terms
from project.domain.verdict import Ref


class EndingKind(StrEnum):
    """What it is that ends."""

    CARD = "card"
    PLACE = "place on the job"
    IDLE = "idle limit"
    WAIVER = "waiver"
    SUSPENSION = "suspension"


@dataclass(frozen=True, slots=True)
class Ending:
    """One thing on record of an operator, and the last local date on which it holds.

    Source: the record's own.

    >>> from crews.domain import examples
    >>> Ending(EndingKind.CARD, date(2026, 10, 2), examples.OPERATOR, "WV-1").days(
    ...     date(2026, 9, 14))
    18
    """

    kind: EndingKind
    last_on: date
    operator: Ref
    what: str
    ref: Ref | None = None

    def days(self, on: date) -> int:
        """Return the days from a date to the last day [d]; negative once it has ended.

        Source: the calendar. Raises nothing.

        >>> from crews.domain import examples
        >>> ended = Ending(EndingKind.IDLE, date(2026, 9, 1), examples.OPERATOR, "wet")
        >>> ended.days(date(2026, 9, 14))
        -13
        """
        return (self.last_on - on).days


def endings(
    file: OperatorFile,
    *,
    at: Interval,
    terms: Terms | None,
    waivers: Iterable[Waiver] = (),
) -> tuple[Ending, ...]:
    """Return everything of an operator's file that ends or has ended, by its last day.

    Parameters
    ----------
    file, waivers
        As known at one instant.
    at
        The instant looked at, in the job's zone.
    terms
        Give `card_last_day_inclusive`, `idle_limit` and `idle_per_process`.

    A card that another one follows without a gap ends nothing, and whoever has no place
    on the job on that date ends nothing there. Source: the records' own dates and the
    contract's terms. Raises nothing.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> [f"{e.kind}: {e.last_on}" for e in
    ...  endings(examples.operator_file(), at=take, terms=None)]
    ['card: 2028-03-14']
    """
    today = at.start.astimezone(ZoneInfo(at.zone)).date()
    places = [place for place in file.enrolments if place.active(today)]
    if not places:
        return ()
    found = [
        *_cards(file, terms),
        *_idle(file, at, terms),
        *_waivers(file, at, waivers),
        *_orders(file, at),
    ]
    if all(place.to_on is not None for place in places):
        last = max(places, key=lambda place: place.to_on or date.max)
        if last.to_on is not None:
            words = f"place on the job under {last.employer}"
            found.append(
                Ending(EndingKind.PLACE, last.to_on, file.operator, words, last.ref)
            )
    return tuple(sorted(found, key=lambda one: (one.last_on, one.kind, one.what)))


def what_ends_next(
    found: Iterable[Ending], *, on: date, days: int
) -> tuple[Ending, ...]:
    """Return what ends from a date on within some days, the first on top.

    Parameters
    ----------
    found
        By `endings`, of one operator or of many.
    on, days
        From which date, and how many days ahead; 0 is that date alone [d].

    Raises ValueError for fewer than 0 days. Source: the calendar.

    >>> what_ends_next((), on=date(2026, 9, 14), days=30)
    ()
    """
    if days < 0:
        raise ValueError(f"days {days}: allowed is 0 or more")
    near = [one for one in found if 0 <= one.days(on) <= days]
    return tuple(sorted(near, key=lambda one: (one.last_on, one.operator.name)))


def what_has_ended(found: Iterable[Ending], *, on: date) -> tuple[Ending, ...]:
    """Return cards and idle limits that ended before a date, the latest on top.

    Parameters
    ----------
    found, on
        As in `what_ends_next`; waivers and orders that ended are history, not told here.

    Source: the calendar. Raises nothing.

    >>> what_has_ended((), on=date(2026, 9, 14))
    ()
    """
    told = (EndingKind.CARD, EndingKind.IDLE)
    gone = [one for one in found if one.kind in told and one.days(on) < 0]
    return tuple(sorted(gone, key=lambda one: (-one.last_on.toordinal(), one.what)))


def _cards(file: OperatorFile, terms: Terms | None) -> Iterator[Ending]:
    printed = terms is None or terms.flag("card_last_day_inclusive") is not False
    early = timedelta(days=0 if printed else 1)
    for card in file.cards:
        others = [one for one in file.cards if one.id != card.id]
        if not all(_followed(card, *pair, others) for pair in card.classes):
            classes = ", ".join(f"{p} {q}" for p, q in sorted(card.classes))
            words = f"{card.number}: {classes} {card.method.by}"
            last = card.expires_on - early
            yield Ending(EndingKind.CARD, last, file.operator, words, card.ref)


def _followed(
    card: Card, process: Process, position: Position, others: list[Card]
) -> bool:
    """Say whether another card of the same level goes on where this one ends."""
    return any(
        one.method is card.method
        and one.level is card.level
        and one.covers(process, position)
        and one.expires_on > card.expires_on
        and one.issued_on <= card.expires_on + timedelta(days=1)
        for one in others
    )


def _idle(file: OperatorFile, at: Interval, terms: Terms | None) -> Iterator[Ending]:
    limit = idle_days(terms)
    if limit is None:
        return
    together = terms is not None and terms.flag("idle_per_process") is False
    carded = sorted({process for card in file.cards for process, _ in card.classes})
    asked: list[Process | None] = [None] if together else [*carded]
    for process in asked:
        shot = last_shot(file.shots, process=process, interval=at)
        if shot is not None:
            work = f"{process} work" if process else "work"
            words = f"{limit} days since {work} on {shot.on(at.zone)}"
            last = ends_on(shot, zone=at.zone, limit=limit)
            yield Ending(EndingKind.IDLE, last, file.operator, words, shot.ref)


def _waivers(
    file: OperatorFile, at: Interval, waivers: Iterable[Waiver]
) -> Iterator[Ending]:
    for waiver in waivers:
        if waiver.operator in ("", file.operator.id):
            last = waiver.until_at.astimezone(ZoneInfo(at.zone)).date()
            words = f"waiver of the {waiver.gate}: {waiver.words}"
            yield Ending(EndingKind.WAIVER, last, file.operator, words, waiver.ref)


def _orders(file: OperatorFile, at: Interval) -> Iterator[Ending]:
    for order in file.suspensions:
        if order.until_at is not None:
            last = order.until_at.astimezone(ZoneInfo(at.zone)).date()
            words = f"suspension ordered by {order.ordered_by}"
            yield Ending(EndingKind.SUSPENSION, last, file.operator, words, order.ref)
