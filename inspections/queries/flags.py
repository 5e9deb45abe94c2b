"""The contradictions on a sheet, and which of them somebody has explained."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from hashlib import sha256
from typing import cast

from inspections.domain.delivery import (
    LoadFacts,
    load_flags,
    ticket_flags,
    volume_flags,
)
from inspections.domain.flags import Flag
from inspections.models import DailyReport, Load
from inspections.queries.shift_record import ShiftRecord, as_known, shift_record
from project.audit.chain import model_of
from project.domain.verdict import Ref
from project.models import FlagCleared
from project.models.records import Identified, as_quantity


def flags_of(
    report: DailyReport, *, known_at: datetime, record: ShiftRecord | None = None
) -> tuple[Flag, ...]:
    """Return every flag on a sheet's shift, in a fixed order, cleared or not."""
    found = record or shift_record(report.shift, known_at=known_at)
    loads = [facts_of(load) for load in found.loads]
    flags = [flag for load in loads for flag in load_flags(load)]
    here = {load.ref.id for load in loads}
    others = ticket_flags(_same_tickets(found))
    flags += [f for f in others if any(ref.id in here for ref in f.records)]
    for placement in found.placements:
        row = placement.row
        flags += volume_flags(
            Ref(row.kind, str(row.pk), placement.code),
            placed=[held.stated for held in placement.times if held.stated],
            loads=[
                facts_of(load)
                for load in found.loads
                if load.placement_id == placement.id
            ],
        )
    return tuple(flags)


def uncleared_flags(
    report: DailyReport, *, known_at: datetime, record: ShiftRecord | None = None
) -> tuple[Flag, ...]:
    """Return the flags of a sheet that nobody has explained yet."""
    flags = flags_of(report, known_at=known_at, record=record)
    cleared = clearings(flags, known_at=known_at)
    return tuple(flag for flag in flags if flag.mark not in cleared)


def clearings(flags: Sequence[Flag], *, known_at: datetime) -> dict[str, FlagCleared]:
    """Return who explained which flag, by the flag's mark."""
    marks = {cleared_key(flag): flag.mark for flag in flags}
    rows = FlagCleared.objects.filter(key__in=marks, recorded_at__lte=known_at)
    return {marks[row.key]: row for row in rows.select_related("recorded_by__user")}


def cleared_key(flag: Flag) -> str:
    """Return the short name under which a clearing keeps a flag's mark."""
    return sha256(flag.mark.encode()).hexdigest()[:40]


def record_of(flag: Flag) -> Identified:
    """Return the record a flag's clearing hangs on: the first by identity."""
    ref = min(flag.records, key=lambda one: one.id)
    row = model_of(ref.kind)._base_manager.get(pk=ref.id)
    return cast(Identified, row)


def facts_of(load: Load) -> LoadFacts:
    """Return a load as the domain judges it, under the name people call it by."""
    name = f"load {load.order}"
    if load.ticket or load.lot:
        name += f" ({load.ticket or load.lot})"
    return LoadFacts(
        ref=Ref(load.kind, str(load.pk), name),
        plant="" if load.supplier is None else load.supplier.code,
        ticket=load.ticket,
        volume=as_quantity(load.volume, load.volume_unit),
        batched_at=load.batched_at,
        arrived_at=load.arrived_at,
        first_shot_at=load.first_shot_at,
        last_shot_at=load.last_shot_at,
        returned=as_quantity(load.returned, load.volume_unit),
        accepted=load.accepted,
    )


def _same_tickets(record: ShiftRecord) -> list[LoadFacts]:
    """Return the job's loads that may carry one of this shift's tickets again."""
    tickets = {load.ticket for load in record.loads if load.ticket}
    if not tickets:
        return []
    rows = (
        Load.objects.known_at(record.known_at)
        .filter(job=record.shift.job_id, ticket__in=tickets)
        .select_related("supplier")
        .order_by("shift__work_date", "order", "id")
    )
    return [facts_of(load) for load in as_known(rows, record.known_at)]
