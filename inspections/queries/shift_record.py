"""Everything on record of one shift, read once, as known at one instant.

These are the job's shooting facts; the sheets of the firms lie beside them. The
number of queries is fixed, whatever was shot.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from crews.domain.trade_words import Moment
from crews.models import (
    Eligibility,
    Enrolment,
    NozzleTime,
    Panel,
    Placement,
    Presence,
    Shift,
)
from inspections.models import FreshTest, Load
from inspections.queries.known import as_known, grouped
from project.models import PartRevision


@dataclass(frozen=True, slots=True)
class ShiftRecord:
    """One shift's facts. Groups are keyed by the first version of what they hang on."""

    shift: Shift
    known_at: datetime
    placements: tuple[Placement, ...]
    nozzle_times: dict[UUID, list[NozzleTime]]
    standings: dict[UUID, Eligibility]
    enrolments: dict[UUID, Enrolment]
    parts: dict[UUID, PartRevision]
    presences: tuple[Presence, ...]
    loads: tuple[Load, ...]
    tests: dict[UUID, list[FreshTest]]
    panels: tuple[Panel, ...]

    def operator_code(self, operator: UUID) -> str:
        """Return an operator's code on the job, or nothing where none is enrolled."""
        enrolment = self.enrolments.get(operator)
        return "" if enrolment is None else enrolment.code


def shift_record(shift: Shift, *, known_at: datetime) -> ShiftRecord:
    """Read one shift. Nine queries."""
    job, first = shift.job_id, shift.first
    placements = tuple(
        Placement.objects.known_at(known_at)
        .filter(shift=first)
        .select_related("part", "mix_revision", "crew", "rig", "coat")
        .order_by("code")
    )
    times = as_known(
        NozzleTime.objects.known_at(known_at)
        .filter(placement__shift=first)
        .select_related("operator")
        .order_by("started_at", "id"),
        known_at=known_at,
    )
    taken = Eligibility.objects.filter(
        nozzle_time__in=[row.first for row in times],
        moment=Moment.TAKE,
        recorded_at__lte=known_at,
    )
    loads = as_known(
        Load.objects.known_at(known_at)
        .filter(shift=first)
        .select_related("supplier", "mix_revision")
        .order_by("order", "id"),
        known_at=known_at,
    )
    tests = (
        FreshTest.objects.known_at(known_at)
        .filter(load__shift=first)
        .order_by("at", "test_kind", "retest", "id")
    )
    return ShiftRecord(
        shift=shift,
        known_at=known_at,
        placements=placements,
        nozzle_times=grouped(times, lambda row: row.placement_id),
        standings={row.nozzle_time_id: row for row in taken if row.nozzle_time_id},
        enrolments={
            row.operator_id: row
            for row in Enrolment.objects.known_at(known_at).filter(job=job)
        },
        parts={
            row.part_id: row
            for row in PartRevision.objects.known_at(known_at).filter(job=job)
        },
        presences=tuple(_presences(shift, known_at=known_at)),
        loads=tuple(loads),
        tests=grouped(tests, lambda row: row.load_id),
        panels=tuple(
            Panel.objects.known_at(known_at)
            .filter(shift=first)
            .select_related(
                "operator", "shared_with", "mix_revision", "part", "witness__user"
            )
            .order_by("code")
        ),
    )


def _presences(shift: Shift, *, known_at: datetime) -> list[Presence]:
    rows = Presence.objects.known_at(known_at).filter(shift=shift.first)
    named = rows.select_related("operator", "crew_member", "membership__user", "part")
    return as_known(named.order_by("role", "from_at", "id"), known_at=known_at)
