"""The page of one shift: who shot what, who stood where, and the panels owed so far."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from crews.models import Shift
from crews.queries.ledger import NextPanel, PanelLedger, ledger_of, next_panels
from crews.queries.operator_files import own_firm
from crews.queries.panels import PanelRow, panels
from crews.queries.shooting import (
    ShiftRoster,
    presences,
    shooting,
)
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class ShiftPage:
    """One shift with its roster, its panels, and what is owed for its work date."""

    roster: ShiftRoster
    panels: tuple[PanelRow, ...]
    ledger: PanelLedger
    next_panels: tuple[NextPanel, ...]

    @property
    def shift(self) -> Shift:
        return self.roster.shift


def shift_page(
    job: Job,
    shift_id: UUID,
    *,
    known_at: datetime,
    on: date,
    for_member: Membership | None = None,
) -> ShiftPage | None:
    """Return one shift, or nothing where it is not to be seen. Twenty-one queries.

    Panels are counted by work date where the contract says so: the other shifts of
    the contractor's day count too.
    """
    rows = Shift.objects.known_at(known_at).filter(job=job)
    shift = rows.filter(first=shift_id).select_related("organization").first()
    firm = own_firm(for_member)
    if shift is None or firm not in (None, shift.organization_id):
        return None
    day = list(
        rows.filter(
            organization=shift.organization_id, work_date=shift.work_date
        ).select_related("organization")
    )
    placed = shooting(job, known_at=known_at, of_shifts=day)
    made = panels(
        job,
        known_at=known_at,
        on=on,
        for_member=for_member,
        first=shift.work_date,
        last=shift.work_date,
    )
    here = tuple(one for one in placed if one.shift.first == shift.first)
    stood = presences([shift], known_at=known_at)
    roster = ShiftRoster(
        shift=shift, placements=here, presences=stood.get(shift.first, ())
    )
    own = {one.first for one in day}
    return ShiftPage(
        roster=roster,
        panels=tuple(p for p in made if p.row.shift_id == shift.first),
        ledger=ledger_of(
            job, placed, [p for p in made if p.row.shift_id in own], known_at=known_at
        ),
        next_panels=next_panels(job, placed, known_at=known_at),
    )
