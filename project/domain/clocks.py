"""The two clocks: what a fact says of its own time, and when we knew it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Protocol, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo


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
    """What every fact carries of its second clock; facts of the domain build on it."""

    id: UUID
    recorded_at: datetime
    supersedes: UUID | None = None
    withdrawn: bool = False


F = TypeVar("F", bound=Recorded)


def known(facts: Sequence[F], *, at: datetime) -> list[F]:
    """Return the versions in force as known at an instant.

    `withdrawn` is looked at last: a withdrawn version first hides the one it
    superseded, or a fact that was taken back would come alive again.
    """
    seen = [fact for fact in facts if fact.recorded_at <= at]
    gone = {fact.supersedes for fact in seen}
    return [fact for fact in seen if fact.id not in gone and not fact.withdrawn]


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch of time in a job's zone; an open stop means it still runs."""

    start: datetime
    stop: datetime | None
    zone: str

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or (self.stop and self.stop.tzinfo is None):
            raise ValueError("interval: both instants need a zone")
        if self.stop is not None and self.stop < self.start:
            raise ValueError(f"stop {self.stop} lies before start {self.start}")


def local_dates(interval: Interval) -> tuple[date, ...]:
    """Return every calendar date of the job's zone that an interval touches.

    A stop at exactly midnight does not touch the day that begins there.

    >>> from datetime import UTC
    >>> night = Interval(datetime(2026, 9, 3, 3, tzinfo=UTC),
    ...                  datetime(2026, 9, 3, 11, tzinfo=UTC), "America/Denver")
    >>> [d.isoformat() for d in local_dates(night)]
    ['2026-09-02', '2026-09-03']
    """
    zone = ZoneInfo(interval.zone)
    first = interval.start.astimezone(zone).date()
    if interval.stop is None or interval.stop == interval.start:
        return (first,)
    last_touched = interval.stop - timedelta(microseconds=1)
    last = last_touched.astimezone(zone).date()
    return tuple(first + timedelta(days=n) for n in range((last - first).days + 1))


def day_starts(day: date, *, zone: str) -> datetime:
    """Return the first instant of a calendar date of a zone, in UTC.

    Where the clocks go forward at midnight the day begins with the change.

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
    clock change has 23 or 25 hours, and in some zones midnight is skipped.

    >>> day_ends(date(2026, 8, 19), zone="America/Denver").isoformat()
    '2026-08-20T05:59:59.999999+00:00'
    """
    return day_starts(day + timedelta(days=1), zone=zone) - timedelta(microseconds=1)


def elapsed_minutes(start: datetime, stop: datetime) -> int:
    """Return whole minutes that truly passed between two instants, across clock changes.

    >>> from zoneinfo import ZoneInfo
    >>> z = ZoneInfo("America/Denver")
    >>> elapsed_minutes(datetime(2026, 11, 1, 0, 30, tzinfo=z),
    ...                 datetime(2026, 11, 1, 2, 30, tzinfo=z))
    180
    """
    utc = ZoneInfo("UTC")
    gap = stop.astimezone(utc) - start.astimezone(utc)
    return int(gap.total_seconds() // 60)
