"""Neat volume carried from sheet to sheet: what was placed before a shift."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal

from crews.models import Placement
from crews.queries.shooting import UNIT_OF_VOLUME, Placed, neat_of, shifts
from project.domain.units import Quantity
from project.models import Job, Membership
from project.queries.jobs import parts


def neat_before(
    job: Job,
    *,
    known_at: datetime,
    for_member: Membership,
    day: date,
    starts_at: datetime | None = None,
) -> Quantity:
    """Return the neat volume placed before a work date, or before a shift of it.

    What the drawings give no face for counts as nothing. Three queries.
    """
    earlier = [
        shift.first
        for shift in shifts(job, known_at=known_at, for_member=for_member, last=day)
        if shift.work_date < day
        or (starts_at is not None and shift.starts_at < starts_at)
    ]
    rows = Placement.objects.known_at(known_at).filter(shift__in=earlier)
    revisions = {row.part.pk: row.revision for row in parts(job, known_at=known_at)}
    unit = UNIT_OF_VOLUME[job.unit_system]
    return _sum(job, (neat_of(row, revisions.get(row.part_id), unit) for row in rows))


def neat_sum(job: Job, placed: Iterable[Placed]) -> Quantity:
    """Return the neat volume of placements, in the job's unit."""
    return _sum(job, (one.neat for one in placed))


def _sum(job: Job, neats: Iterable[Quantity | None]) -> Quantity:
    values = [neat.value for neat in neats if neat is not None]
    return Quantity(sum(values, Decimal(0)), UNIT_OF_VOLUME[job.unit_system])
