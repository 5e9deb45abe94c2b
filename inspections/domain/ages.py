"""How old something is: three ages of concrete, and how long a matter is open.

A work date, the time that truly passed and a core's age are three different things: a
night shift's last hours belong to the work date before, a clock change moves no
strength, and a core's age is counted in calendar days from the day it was shot.

Source: common practice, no source: an age is counted in full days from when it was
observed, and from when it was raised; a response is due some calendar days after
that. How many is the contract's.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from project.domain.clocks import elapsed, elapsed_minutes, zone_of
from project.domain.units import Quantity, convert

_DAY = 24 * 60


def full_days(start: datetime, end: datetime) -> int:
    """Return the whole days [d] that truly passed.

    Raises ValueError where the end lies before the start. Source: common practice, no
    source.

    >>> from datetime import UTC
    >>> full_days(datetime(2026, 8, 24, 16, 15, tzinfo=UTC),
    ...           datetime(2026, 9, 14, 13, 30, tzinfo=UTC))
    20
    """
    minutes = elapsed_minutes(start, end)
    if minutes < 0:
        raise ValueError(f"end {end} lies before start {start}")
    return minutes // _DAY


@dataclass(frozen=True, slots=True)
class Ages:
    """One stretch of concrete's life, counted three ways.

    `work_days` from the shift's work date, absent without one; `truly` the time that
    passed; `calendar_days` from the local day of the shot, as a core's age is counted.
    Source: ASTM C1604 and C42 count a core's age in days (from memory); whole calendar
    days from the day of shooting are the project's choice.

    >>> Ages(None, timedelta(hours=49), 2).calendar_days
    2
    """

    work_days: int | None
    truly: timedelta
    calendar_days: int


def ages(
    shot_at: datetime,
    *,
    at: datetime,
    zone: str,
    work_date: date | None = None,
) -> Ages:
    """Return the three ages of what was shot, at an instant.

    Parameters
    ----------
    shot_at, at
        Instants with a zone.
    zone
        The job's, whose calendar is counted.
    work_date
        Of the shift it was shot in, where that is known [d].

    Raises ValueError for an instant without a zone, an unknown zone, an instant before
    the shot, and a work date that lies after the day of it. Source: as `Ages`.

    >>> from datetime import UTC
    >>> shot, cored = (datetime(2026, 9, day, 8, tzinfo=UTC) for day in (3, 4))
    >>> found = ages(shot, at=cored, zone="America/Denver", work_date=date(2026, 9, 2))
    >>> found.work_days, found.truly.total_seconds() / 3600, found.calendar_days
    (2, 24.0, 1)
    """
    truly = elapsed(shot_at, at)
    if truly < timedelta():
        raise ValueError(f"at {at}: before shot_at {shot_at}")
    shot_on, today = (each.astimezone(zone_of(zone)).date() for each in (shot_at, at))
    if work_date is not None and work_date > shot_on:
        raise ValueError(f"work_date {work_date}: allowed is {shot_on} or before")
    work_days = None if work_date is None else (today - work_date).days
    return Ages(work_days, truly, (today - shot_on).days)


def response_due(raised_on: date, *, within: Quantity | None) -> date | None:
    """Return the day an answer is due; nothing where the contract gives no time.

    Raises ValueError unless the time is a whole number of days [d]. Source: common
    practice, no source.

    >>> from decimal import Decimal
    >>> response_due(date(2026, 8, 24), within=Quantity(Decimal(7), "d")).isoformat()
    '2026-08-31'
    """
    if within is None:
        return None
    days = convert(within, to="d").value
    if days != int(days):
        raise ValueError(f"within {within}: whole days are needed")
    return date.fromordinal(raised_on.toordinal() + int(days))
