"""The months in which something was shot or seen, for leafing from one to the next."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, datetime

from inspections.models import Round
from inspections.queries.scope import only_own_work, parts_of, shifts_for
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
    """Return the months with a shift or a walk without a sheet, in order. Two queries."""
    rows = shifts_for(member, known_at=known_at)
    days = set(rows.values_list("work_date", flat=True))
    late = Round.objects.known_at(known_at).filter(job=member.job_id, report=None)
    if only_own_work(member):
        late = late.filter(part__in=parts_of(member.organization_id))
    days |= {member.job.local(at).date() for at in late.values_list("at", flat=True)}
    return tuple(sorted({Month(day.year, day.month) for day in days}))
