"""Everything on record of one shift, read once, as known at one instant.

These are the job's shooting facts; the sheets of the firms lie beside them. The
number of queries is fixed, whatever was shot.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from crews.models import Panel, Shift
from crews.queries.shooting import Placed, ShiftRoster, codes_on, shift_roster
from inspections.models import FreshTest, Load
from inspections.queries.known import grouped


@dataclass(frozen=True, slots=True)
class ShiftRecord:
    """One shift: its roster, its loads with their tests, its panels."""

    roster: ShiftRoster
    known_at: datetime
    loads: tuple[Load, ...]
    tests: dict[UUID, list[FreshTest]]
    panels: tuple[Panel, ...]
    codes: dict[UUID, str]

    @property
    def shift(self) -> Shift:
        return self.roster.shift

    @property
    def placements(self) -> tuple[Placed, ...]:
        return self.roster.placements


def shift_record(shift: Shift, *, known_at: datetime) -> ShiftRecord:
    """Read one shift. Thirteen queries."""
    job, first = shift.job, shift.first
    roster = shift_roster(job, first, known_at=known_at)
    if roster is None:  # withdrawn since, or asked for before it was recorded
        roster = ShiftRoster(shift=shift, placements=(), presences=())
    tests = (
        FreshTest.objects.known_at(known_at)
        .filter(load__shift=first)
        .order_by("at", "test_kind", "retest", "id")
    )
    panels = (
        Panel.objects.known_at(known_at)
        .filter(shift=first)
        .select_related(
            "operator", "shared_with", "mix_revision", "part", "witness__user"
        )
    )
    return ShiftRecord(
        roster=roster,
        known_at=known_at,
        loads=tuple(loads_of([first], known_at=known_at)),
        tests=grouped(tests, lambda row: row.load_id),
        panels=tuple(panels.order_by("code")),
        codes=codes_on(job),
    )


def loads_of(shifts: Iterable[UUID], *, known_at: datetime) -> list[Load]:
    """Return the loads of shifts in the order they came, as known. One query."""
    rows = Load.objects.known_at(known_at).filter(shift__in=list(shifts))
    rows = rows.select_related("supplier", "mix_revision")
    return as_known(rows.order_by("shift__work_date", "order", "id"), known_at)


def as_known(loads: Iterable[Load], known_at: datetime) -> list[Load]:
    """Return loads without what was filled in only later.

    The rows are fresh from the database and are changed in memory alone.
    """
    found = list(loads)
    for load in found:
        load.last_shot_at = load.as_known("last_shot_at", at=known_at)
        load.returned = load.as_known("returned", at=known_at)
    return found
