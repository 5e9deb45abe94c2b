"""The packet's week and the report's deadline, in the job's zone.

Source: project's choice; the contract names the week's first day and its own rest
days. Time zones are the IANA database's, through the standard library.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from project.domain.clocks import day_ends
from project.domain.verdict import State

_DAY = timedelta(days=1)
_SATURDAY = 5
# No contract's rest lasts this long; a longer run of days off is a slip of the pen.
_LONGEST_REST = 60


@dataclass(frozen=True, slots=True)
class Week:
    """Seven local days, both ends included."""

    first: date
    last: date

    @property
    def days(self) -> tuple[date, ...]:
        return tuple(self.first + _DAY * n for n in range(7))

    def holds(self, day: date) -> bool:
        """Return whether a local date lies in the week."""
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class ReportTiming:
    """When a report was due and how it stood against that.

    `state` is PASS in time, FAIL late (signed late, or not signed and past due),
    NOT_DUE while nothing is owed yet. `late_minutes` is elapsed time, whole minutes
    begun counting as one; `days_after_shift` counts local dates from the work date.
    """

    deadline: datetime
    state: State
    late_minutes: int
    days_after_shift: int


def week_of(day: date, *, first_weekday: int) -> Week:
    """Return the week a date lies in; weekdays [1] count from Monday, 0, as Python's.

    Raises ValueError for a weekday outside 0 to 6. Source: the contract's first day.

    >>> week_of(date(2026, 8, 12), first_weekday=0).first.isoformat()
    '2026-08-10'
    >>> week_of(date(2026, 8, 12), first_weekday=6).first.isoformat()
    '2026-08-09'
    """
    if first_weekday not in range(7):
        raise ValueError(f"first weekday {first_weekday}: allowed are 0 (Monday) to 6")
    first = day - _DAY * ((day.weekday() - first_weekday) % 7)
    return Week(first, first + _DAY * 6)


def cut_of(week: Week, *, zone: str) -> datetime:
    """Return the packet's cut: the last instant of the week, known at the same.

    Source: project's choice.

    >>> cut_of(week_of(date(2026, 8, 12), first_weekday=0), zone="America/Denver").isoformat()
    '2026-08-17T05:59:59.999999+00:00'
    """
    return day_ends(week.last, zone=zone)


def next_work_day(day: date, *, non_working: Collection[date]) -> date:
    """Return the first working date after a date; Saturdays and Sundays rest.

    Raises ValueError when every one of the next sixty days is non-working. Source: the
    contract's rest days.

    >>> next_work_day(date(2026, 9, 4), non_working=[date(2026, 9, 7)]).isoformat()
    '2026-09-08'
    """
    for n in range(1, _LONGEST_REST + 1):
        later = day + _DAY * n
        if later.weekday() < _SATURDAY and later not in non_working:
            return later
    raise ValueError(f"non-working days: none of the {_LONGEST_REST} after {day} works")


def report_deadline(
    work_date: date, *, non_working: Collection[date], zone: str, within: int = 1
) -> datetime:
    """Return the last instant to sign a shift's report: the end of a work day.

    `within` counts work days [1] after the work date, 0 being the date itself. The work
    date is the local date on which the shift began, also of a night shift. Raises
    ValueError for a negative count. Source: the contract.

    >>> report_deadline(date(2026, 9, 4), non_working=[date(2026, 9, 7)],
    ...                 zone="America/Denver", within=2).isoformat()
    '2026-09-10T05:59:59.999999+00:00'
    """
    if within < 0:
        raise ValueError(f"within {within}: allowed is 0 work days or more")
    day = work_date
    for _ in range(within):
        day = next_work_day(day, non_working=non_working)
    return day_ends(day, zone=zone)


def report_timing(
    *,
    work_date: date,
    signed_at: datetime | None,
    now: datetime,
    deadline: datetime,
    zone: str,
) -> ReportTiming:
    """Return how a report stands against its deadline.

    An unsigned report is judged at `now`: not due before the deadline, late after it.
    Raises ValueError for an instant without a zone. Source: project's choice.

    >>> due = datetime(2026, 9, 10, 6, tzinfo=UTC)
    >>> timing = report_timing(work_date=date(2026, 9, 4), now=due, deadline=due,
    ...                        signed_at=due + timedelta(seconds=90), zone="UTC")
    >>> timing.state.value, timing.late_minutes, timing.days_after_shift
    ('fail', 2, 6)
    """
    for name, instant in (("signed at", signed_at), ("now", now)):
        if instant is not None and instant.tzinfo is None:
            raise ValueError(f"{name} {instant}: a zone is needed")
    judged = now if signed_at is None else signed_at
    late = max(judged.astimezone(UTC) - deadline.astimezone(UTC), timedelta())
    in_time = State.NOT_DUE if signed_at is None else State.PASS
    local = judged.astimezone(ZoneInfo(zone)).date()
    return ReportTiming(
        deadline=deadline,
        state=State.FAIL if late else in_time,
        late_minutes=-(-late // timedelta(minutes=1)),
        days_after_shift=(local - work_date).days,
    )
