"""The months in which the job was shot, for leafing from one to the next."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, datetime

from inspections.queries.scope import shifts_for
from project.models import Membership


@dataclass(frozen=True, slots=True, order=True)
class Month:
    """One month of the calendar."""

    year: int
    month: int

    @property
    def first(self) -> date:
        return date(self.year, self.month, 1)

    @property
    def last(self) -> date:
        days = calendar.monthrange(self.year, self.month)[1]
        return date(self.year, self.month, days)

    def __str__(self) -> str:
        return f"{self.year}-{self.month:02d}"


def months(member: Membership, *, known_at: datetime) -> tuple[Month, ...]:
    """Return the months with a shift the member may read, in order. One query."""
    rows = shifts_for(member, known_at=known_at).order_by("work_date")
    days = rows.values_list("work_date", flat=True)
    return tuple(dict.fromkeys(Month(day.year, day.month) for day in days))
