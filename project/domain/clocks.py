"""The two clocks: what a fact says of its own time, and when we knew it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from functools import lru_cache
from typing import Protocol, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from project.domain.units import Quantity, dimension, si_factor, to_decimal
from project.domain.verdict import Ref


class Recorded(Protocol):
    """A version of a fact: its identity, what it supersedes, when it was recorded."""

    @property
    def id(self) -> UUID: ...
    @property
    def recorded_at(self) -> datetime: ...
    @property
    def supersedes(self) -> UUID | None: ...
    @property
    def withdrawn(self) -> bool: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class FactVersion:
    """What every fact carries of its second clock; facts of the domain build on it.

    Source: project's choice.

    >>> FactVersion(id=UUID(int=1), recorded_at=datetime(2026, 8, 6, tzinfo=UTC)).withdrawn
    False
    """

    id: UUID
    recorded_at: datetime
    supersedes: UUID | None = None
    withdrawn: bool = False
    # The version as evidence: every conclusion that rests on it names it, made once.
    _ref: Ref | None = field(init=False, default=None, repr=False, compare=False)

    def _as_evidence(self, kind: str, name: str) -> Ref:
        ref = self._ref
        if ref is None:
            ref = Ref(kind, str(self.id), name)
            object.__setattr__(self, "_ref", ref)
        return ref


F = TypeVar("F", bound=Recorded)


def known(facts: Sequence[F], *, at: datetime) -> list[F]:
    """Return the versions in force as known at an instant.

    `withdrawn` is looked at last: a withdrawn version first hides the one it
    superseded, or a fact that was taken back would come alive again. Source:
    project's choice; two instants, of the work and of the record.

    >>> known([], at=datetime(2026, 9, 14, tzinfo=UTC))
    []
    """
    seen = [fact for fact in facts if fact.recorded_at <= at]
    gone = {fact.supersedes for fact in seen}
    return [fact for fact in seen if fact.id not in gone and not fact.withdrawn]


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch of time in a job's zone; an open stop means it still runs.

    Raises ValueError for an instant without a zone and for a stop before the start.
    Source: as `elapsed`.

    >>> z = ZoneInfo("America/Denver")
    >>> Interval(datetime(2026, 8, 6, 9, tzinfo=z), None, "America/Denver").stop
    """

    start: datetime
    stop: datetime | None
    zone: str

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or (self.stop and self.stop.tzinfo is None):
            raise ValueError("interval: both instants need a zone")
        # In UTC: two instants of one zone are compared by their walls.
        if self.stop is not None and elapsed(self.start, self.stop) < timedelta():
            raise ValueError(f"stop {self.stop} lies before start {self.start}")


def local_dates(interval: Interval) -> tuple[date, ...]:
    """Return every calendar date of the job's zone that an interval touches.

    A stop at exactly midnight does not touch the day that begins there. Source: as
    `elapsed`; whose day midnight is, is the project's choice.

    >>> night = Interval(datetime(2026, 9, 3, 3, tzinfo=UTC),
    ...                  datetime(2026, 9, 3, 11, tzinfo=UTC), "America/Denver")
    >>> [d.isoformat() for d in local_dates(night)]
    ['2026-09-02', '2026-09-03']
    """
    zone = ZoneInfo(interval.zone)
    first = interval.start.astimezone(zone).date()
    if interval.stop is None or not elapsed(interval.start, interval.stop):
        return (first,)
    last_touched = in_utc(interval.stop) - timedelta(microseconds=1)
    last = last_touched.astimezone(zone).date()
    return tuple(first + timedelta(days=n) for n in range((last - first).days + 1))


@lru_cache(maxsize=256)
def in_words(dates: tuple[date, ...]) -> str:
    """Return dates in the words of a sentence. Source: the form of ISO 8601.

    >>> in_words((date(2026, 8, 13), date(2026, 8, 14)))
    '2026-08-13 and 2026-08-14'
    """
    return " and ".join(map(date.isoformat, dates))


def to_the_minute(instant: datetime) -> str:
    """Return an instant as its clock showed it, without the offset.

    Source: the form of ISO 8601 with a space.

    >>> to_the_minute(datetime(2026, 8, 13, 7, 10, 59, tzinfo=UTC))
    '2026-08-13 07:10'
    """
    return instant.isoformat(" ", "minutes")[:_TO_THE_MINUTE]


_TO_THE_MINUTE = len("2026-08-13 07:10")


@lru_cache(maxsize=4096)
def day_starts(day: date, *, zone: str) -> datetime:
    """Return the first instant of a calendar date of a zone, in UTC.

    Where the clocks go forward at midnight the day begins with the change. Source: as
    `elapsed`.

    >>> day_starts(date(2026, 8, 20), zone="America/Denver").isoformat()
    '2026-08-20T06:00:00+00:00'
    >>> day_starts(date(2026, 9, 6), zone="America/Santiago").isoformat()
    '2026-09-06T04:00:00+00:00'
    """
    midnight = datetime.combine(day, time(), ZoneInfo(zone))
    return midnight.astimezone(UTC)


def day_ends(day: date, *, zone: str) -> datetime:
    """Return the last instant of a calendar date of a zone, in UTC.

    A day ends where the next one begins, and that is asked of the zone: a day of a
    clock change has 23 or 25 hours, and in some zones midnight is skipped. Source: as
    `elapsed`.

    >>> day_ends(date(2026, 8, 19), zone="America/Denver").isoformat()
    '2026-08-20T05:59:59.999999+00:00'
    """
    return day_starts(day + timedelta(days=1), zone=zone) - timedelta(microseconds=1)


def elapsed(start: datetime, stop: datetime) -> timedelta:
    """Return the time that truly passed between two instants, across clock changes.

    Both are taken to UTC first: Python subtracts and compares two instants of one
    zone by their walls, and a wall clock jumps.

    Parameters
    ----------
    start, stop
        Instants with a zone, in either order; negative where stop is first.

    Raises ValueError for an instant without a zone. Source: civil time, IANA time
    zone database (zoneinfo); the rule is arithmetic in UTC.

    >>> z = ZoneInfo("America/Denver")
    >>> elapsed(datetime(2026, 3, 8, 1, 30, tzinfo=z), datetime(2026, 3, 8, 3, tzinfo=z))
    datetime.timedelta(seconds=1800)
    """
    return in_utc(stop, name="stop") - in_utc(start, name="start")


def elapsed_minutes(start: datetime, stop: datetime) -> int:
    """Return whole minutes that truly passed between two instants, across clock changes.

    A minute that is not full does not count, so a limit is compared with `elapsed`.
    Raises ValueError for an instant without a zone. Source: as `elapsed`.

    >>> z = ZoneInfo("America/Denver")
    >>> elapsed_minutes(datetime(2026, 11, 1, 0, 30, tzinfo=z),
    ...                 datetime(2026, 11, 1, 2, 30, tzinfo=z))
    180
    """
    return elapsed(start, stop) // timedelta(minutes=1)


def in_utc(instant: datetime, *, name: str = "instant") -> datetime:
    """Return an instant in UTC, where instants can be compared and subtracted.

    Raises ValueError for an instant without a zone: it would be read on the clock of
    the machine. Source: as `elapsed`.

    >>> z = ZoneInfo("America/Denver")
    >>> in_utc(datetime(2026, 8, 13, 7, 10, tzinfo=z)).isoformat()
    '2026-08-13T13:10:00+00:00'
    """
    if instant.tzinfo is None:
        raise ValueError(f"{name} {instant}: a zone is needed")
    return instant.astimezone(UTC)


def zone_of(name: str) -> ZoneInfo:
    """Return a zone by its name. Raises ValueError for a name that is none.

    Source: IANA time zone database.

    >>> zone_of("America/Nowhere")
    Traceback (most recent call last):
    ValueError: zone America/Nowhere: allowed is a name such as America/Denver
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        allowed = "allowed is a name such as America/Denver"
        raise ValueError(f"zone {name}: {allowed}") from None


class SkippedTimeError(ValueError):
    """A wall clock time that was never shown: the spring clock jumped over it.

    Source: as `elapsed`. Raised by `local_instant`, where an example stands.
    """


class RepeatedTimeError(ValueError):
    """A wall clock time that was shown twice; `first` and `second` are its instants.

    Source: as `elapsed`. Raised by `local_instant`, where an example stands.
    """

    def __init__(self, words: str, *, first: datetime, second: datetime) -> None:
        self.first, self.second = first, second
        super().__init__(words)


def local_instant(wall: datetime, *, zone: str) -> datetime:
    """Return the instant, in the zone, at which its wall clock showed a time.

    Nothing is assumed: where the clock jumped over a time, or showed it twice, the
    answer is an error that says so.

    Parameters
    ----------
    wall
        A date and time as read off the wall, without a zone.
    zone
        The name of the job's zone.

    Raises SkippedTimeError or RepeatedTimeError (both ValueErrors), and ValueError
    for a wall time that has a zone already. Source: as `elapsed`; that a repeated
    hour is asked back, and not taken for the first, is the project's choice.

    >>> local_instant(datetime(2026, 8, 13, 7, 10), zone="America/Denver").isoformat()
    '2026-08-13T07:10:00-06:00'
    >>> local_instant(datetime(2026, 3, 8, 2, 30), zone="America/Denver")
    Traceback (most recent call last):
    project.domain.clocks.SkippedTimeError: 2026-03-08 02:30 was never on the clock of
        America/Denver that day
    >>> local_instant(datetime(2026, 11, 1, 1, 30), zone="America/Denver")
    Traceback (most recent call last):
    project.domain.clocks.RepeatedTimeError: 2026-11-01 01:30 came twice on the clock of
        America/Denver; allowed is 2026-11-01 01:30-06:00 or 2026-11-01 01:30-07:00
    """
    if wall.tzinfo is not None:
        raise ValueError(f"wall {wall}: a time without a zone is needed")
    where = zone_of(zone)
    first, second = (wall.replace(tzinfo=where, fold=fold) for fold in (0, 1))
    if first.utcoffset() == second.utcoffset():
        return first
    typed = wall.isoformat(" ", _finest(wall))
    there = in_utc(first).astimezone(where)
    if there.replace(tzinfo=None) != wall:
        words = f"{typed} was never on the clock of {zone} that day"
        raise SkippedTimeError(words)
    allowed = f"{on_the_clock(first)} or {on_the_clock(second)}"
    words = f"{typed} came twice on the clock of {zone}; allowed is {allowed}"
    raise RepeatedTimeError(words, first=first, second=second)


def on_the_clock(instant: datetime) -> str:
    """Return an instant as its clock showed it, with the offset that makes it one.

    Source: the form of ISO 8601 with a space.

    >>> on_the_clock(datetime(2026, 8, 13, 7, 10, tzinfo=ZoneInfo("America/Denver")))
    '2026-08-13 07:10-06:00'
    """
    return instant.isoformat(" ", _finest(instant))


def _finest(moment: datetime) -> str:
    if moment.microsecond:
        return "microseconds"
    return "seconds" if moment.second else "minutes"


def as_span(quantity: Quantity) -> timedelta:
    """Return a time as a span, exact to the microsecond.

    Raises ValueError for what is no time, or too long for any clock. Source:
    project.domain.units, exact factors.

    >>> from decimal import Decimal
    >>> as_span(Quantity(Decimal("1.5"), "h"))
    datetime.timedelta(seconds=5400)
    >>> as_span(Quantity(Decimal(3), "in"))
    Traceback (most recent call last):
    ValueError: 3 in: a time is needed
    """
    if quantity.dimension != "time":
        raise ValueError(f"{quantity}: a time is needed")
    seconds = Fraction(quantity.value) * si_factor(quantity.unit)
    try:
        return timedelta(microseconds=round(seconds * _MICROSECONDS))
    except OverflowError:
        raise ValueError(f"{quantity}: a time within a calendar is needed") from None


def as_time(span: timedelta, *, unit: str) -> Quantity:
    """Return a span as a time in a unit.

    Raises ValueError for a unit of another dimension. Source: as `as_span`.

    >>> str(as_time(timedelta(minutes=100), unit="h"))
    '1.666666666666666666666666667 h'
    """
    if dimension(unit) != "time":
        raise ValueError(f"unit {unit}: a unit of time is needed")
    seconds = Fraction(span // timedelta(microseconds=1), _MICROSECONDS)
    return Quantity(to_decimal(seconds / si_factor(unit)), unit)


_MICROSECONDS = timedelta(seconds=1) // timedelta(microseconds=1)
