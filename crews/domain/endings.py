"""What ends next: cards, places, idle limits, waivers, orders, mixes, by the last day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from operator import attrgetter
from zoneinfo import ZoneInfo

from crews.domain.activity import Shot, ends_on, shooting
from crews.domain.certification import Card
from crews.domain.demand import IdleLimit
from crews.domain.operator_file import Enrolment, OperatorFile
from crews.domain.trade_words import Level
from crews.domain.waivers import Waiver
from project.domain.clocks import Interval, day_ends, in_utc
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
    MIX = "mix"


@dataclass(frozen=True, slots=True)
class Ending:
    """One thing on record, and the last local date on which it holds.

    `until` is its last instant, `ref` the version it stands on and `recorded_at` when
    that was recorded; an idle limit is counted by its `process`, or by all together. A
    mix is nobody's: it has no operator. Source: the record's own.

    >>> from crews.domain import examples
    >>> examples.ending().days(date(2026, 9, 14))
    18
    """

    kind: EndingKind
    last_on: date
    operator: Ref | None
    what: str
    ref: Ref = field(kw_only=True)
    until: datetime = field(kw_only=True)
    recorded_at: datetime = field(kw_only=True)
    process: Process | None = field(kw_only=True, default=None)

    @property
    def whose(self) -> str:
        """The operator's code; nothing for a mix."""
        return self.operator.name if self.operator else ""

    def days(self, on: date) -> int:
        """Return the days from a date to the last day [d]; negative once it has ended.

        Source: the calendar. Raises nothing.

        >>> from crews.domain import examples
        >>> examples.ending().days(date(2026, 10, 15))
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
        *_cards(file, at, terms),
        *_idle(file, at, terms),
        *_waivers(file, at, waivers),
        *_orders(file, at),
        *_places(file, places, at),
    ]
    return tuple(sorted(found, key=lambda one: (one.last_on, one.kind, one.what)))


def mix_ending(
    name: str,
    withdrawn_on: date | None,
    *,
    ref: Ref,
    recorded_at: datetime,
    zone: str,
) -> Ending | None:
    """Return the ending of a mix revision that the engineer withdrew; else nothing.

    It is withdrawn from a date on: the day before is its last. Source: the record's own.
    Raises nothing.

    >>> from crews.domain import examples
    >>> mix = examples.demand().mix
    >>> mix_ending("W-45A rev 2", date(2026, 10, 1), ref=mix.ref,
    ...            recorded_at=examples.RECORDED, zone=examples.ZONE).last_on
    datetime.date(2026, 9, 30)
    """
    if withdrawn_on is None:
        return None
    last = withdrawn_on - timedelta(days=1)
    return Ending(
        EndingKind.MIX,
        last,
        None,
        f"{name}: withdrawn from {withdrawn_on}",
        ref=ref,
        until=day_ends(last, zone=zone),
        recorded_at=recorded_at,
    )


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
    return tuple(sorted(near, key=lambda one: (one.last_on, one.whose, one.kind)))


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


def _cards(file: OperatorFile, at: Interval, terms: Terms | None) -> Iterator[Ending]:
    printed = terms is None or terms.flag("card_last_day_inclusive") is not False
    early = timedelta(days=0 if printed else 1)
    today = at.start.astimezone(ZoneInfo(at.zone)).date()
    for card in file.cards:
        if card.expires_on - early < card.issued_on:
            continue  # it never was in force
        others = [one for one in file.cards if one.id != card.id]
        # Of a card that ended, one issued by today, be it after a gap, takes the place.
        by = max(card.expires_on - early + timedelta(days=1), today)
        if not all(_followed(card, *pair, others, by) for pair in card.classes):
            classes = ", ".join(f"{p} {q}" for p, q in sorted(card.classes))
            yield Ending(
                EndingKind.CARD,
                card.expires_on - early,
                file.operator,
                f"{card.number}: {classes} {card.method.by}",
                ref=card.ref,
                until=day_ends(card.expires_on - early, zone=at.zone),
                recorded_at=card.recorded_at,
            )


def _followed(
    card: Card,
    process: Process,
    position: Position,
    others: list[Card],
    by: date,
) -> bool:
    """Say whether another card, of this level or full, issued by a date, outlasts it."""
    return any(
        one.method is card.method
        and one.level in (card.level, Level.FULL)
        and one.covers(process, position)
        and one.expires_on > card.expires_on
        and one.issued_on <= by
        for one in others
    )


def _idle(file: OperatorFile, at: Interval, terms: Terms | None) -> Iterator[Ending]:
    idle = IdleLimit.by(terms)
    if idle.days is None:
        return
    carded = sorted({process for card in file.cards for process, _ in card.classes})
    asked: list[Process | None] = [*carded] if idle.per_process else [None]
    for process in asked:
        shot = _last_without_gap(file, process, at, idle.days)
        if shot is not None:
            work = "work" if process is None else idle.words(process)
            shot_on = shot.on(at.zone)
            last = ends_on(shot_on, limit=idle.days)
            yield Ending(
                EndingKind.IDLE,
                last,
                file.operator,
                f"{idle.days} days since {work} on {shot_on}",
                ref=shot.ref,
                until=day_ends(last, zone=at.zone),
                recorded_at=shot.recorded_at,
                process=process,
            )


def _last_without_gap(
    file: OperatorFile, process: Process | None, at: Interval, limit: int
) -> Shot | None:
    """Return the shooting from which the limit runs out: a later one begins it anew."""
    shot = shooting(file.shots, process=process, interval=at)
    last = shot.last
    if last is None:
        return None
    for later in sorted(shot.later, key=attrgetter("begun")):
        if later.on(at.zone) > ends_on(last.on(at.zone), limit=limit):
            break
        last = later
    return last


def _places(
    file: OperatorFile, active: list[Enrolment], at: Interval
) -> Iterator[Ending]:
    """Yield the end of the operator's time on the job, over places without a gap."""
    last = max(active, key=lambda place: place.to_on or date.max)
    for place in sorted(file.enrolments, key=lambda place: place.from_on):
        if last.to_on is None:
            return
        goes_on = place.to_on is None or place.to_on > last.to_on
        if goes_on and place.from_on <= last.to_on + timedelta(days=1):
            last = place
    if last.to_on is not None:
        yield Ending(
            EndingKind.PLACE,
            last.to_on,
            file.operator,
            f"place on the job under {last.employer}",
            ref=last.ref,
            until=day_ends(last.to_on, zone=at.zone),
            recorded_at=last.recorded_at,
        )


def _waivers(
    file: OperatorFile, at: Interval, waivers: Iterable[Waiver]
) -> Iterator[Ending]:
    for waiver in waivers:
        if waiver.operator in ("", file.operator.id):
            until, last = _before(waiver.until_at, at.zone)
            yield Ending(
                EndingKind.WAIVER,
                last,
                file.operator,
                f"waiver of the {waiver.gate}: {waiver.words}",
                ref=waiver.ref,
                until=until,
                recorded_at=waiver.recorded_at,
            )


def _orders(file: OperatorFile, at: Interval) -> Iterator[Ending]:
    for order in file.suspensions:
        if order.until_at is not None:
            until, last = _before(order.until_at, at.zone)
            yield Ending(
                EndingKind.SUSPENSION,
                last,
                file.operator,
                f"suspension ordered by {order.ordered_by}",
                ref=order.ref,
                until=until,
                recorded_at=order.recorded_at,
            )


def _before(end: datetime, zone: str) -> tuple[datetime, date]:
    """Return the last instant before an end, and its local date: midnight is no day."""
    last = in_utc(end) - timedelta(microseconds=1)
    return last, last.astimezone(ZoneInfo(zone)).date()
