"""The work of a stretch of days, read once: shooting, loads, panels and what is owed.

Pages and the packet draw many figures from it; reading it once keeps them at one
instant and the number of queries fixed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from uuid import UUID

from crews.domain.trade_words import PanelKind
from crews.models import Shift
from crews.queries.ledger import PanelLedger, ledger_of
from crews.queries.panels import CORED, PanelRow, panels
from crews.queries.shooting import Placed, shifts, shooting
from inspections.domain.placing import Share
from inspections.models import Load
from inspections.queries.known import grouped, within
from inspections.queries.shift_record import loads_of
from inspections.queries.volumes import counted_volumes, shares_by_nozzle_time
from project.models import Job, Membership


@dataclass(frozen=True)
class Work:
    """What was shot, delivered, made and owed, for the eyes of one member or of all."""

    job: Job
    known_at: datetime
    shifts: tuple[Shift, ...]
    placed: tuple[Placed, ...]
    loads: tuple[Load, ...]
    panels: tuple[PanelRow, ...]
    shares: dict[UUID, Share]
    ledger: PanelLedger

    @cached_property
    def placed_by_shift(self) -> dict[UUID, list[Placed]]:
        return grouped(self.placed, lambda one: one.shift.first)

    @cached_property
    def loads_by_shift(self) -> dict[UUID, list[Load]]:
        return grouped(self.loads, lambda load: load.shift_id)

    @property
    def cored(self) -> tuple[PanelRow, ...]:
        """The panels whose strength is owed: production panels and in-place cores."""
        return tuple(row for row in self.panels if row.kind in CORED)


def work(
    job: Job,
    *,
    known_at: datetime,
    on: date,
    for_member: Membership | None = None,
    first: date | None = None,
    last: date | None = None,
) -> Work:
    """Read the work dates from `first` to `last`, panels judged for a date.

    A contractor reads its own. Nineteen queries.
    """
    found = shifts(
        job, known_at=known_at, for_member=for_member, first=first, last=last
    )
    placed = shooting(job, known_at=known_at, of_shifts=found)
    every = panels(job, known_at=known_at, on=on, for_member=for_member)
    loads = loads_of([shift.first for shift in found], known_at=known_at)
    shares = shares_by_nozzle_time(job, placed, loads)
    made = tuple(row for row in every if within(row.row.work_date, first, last))
    # Cores drilled weeks later may stand for a panel that was missing in these days.
    later = [row for row in every if row.kind is PanelKind.IN_PLACE]
    owed = ledger_of(
        job,
        placed,
        [row for row in made if row.kind is PanelKind.PRODUCTION] + later,
        known_at=known_at,
        volumes=counted_volumes(shares),
    )
    return Work(
        job=job,
        known_at=known_at,
        shifts=tuple(found),
        placed=placed,
        loads=tuple(loads),
        panels=made,
        shares=shares,
        ledger=owed,
    )
