"""The sheets of one shift that a member may open."""

from __future__ import annotations

from datetime import datetime

from crews.models import Shift
from inspections.queries.reports import Sheet, sheets
from inspections.queries.scope import reports_for
from project.models import Job, Membership


def sheets_of(
    job: Job, member: Membership, shift: Shift, *, known_at: datetime
) -> tuple[Sheet, ...]:
    """Return a shift's sheets by number. Four queries."""
    rows = reports_for(member, known_at=known_at).filter(shift=shift.first)
    return sheets(job, rows, known_at=known_at)
