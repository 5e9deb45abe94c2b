"""The contradictions on sheets, and which of them somebody has explained."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import cast
from uuid import UUID

from crews.domain.trade_words import PanelKind
from crews.models import Panel, Shift
from crews.queries.shooting import Placed
from inspections.domain.delivery import (
    LoadFacts,
    load_flags,
    ticket_flags,
    volume_flags,
)
from inspections.domain.flags import Flag
from inspections.domain.panel_flags import panel_flags
from inspections.models import DailyReport, Load
from inspections.queries.shift_record import ShiftRecord, as_known, shift_record
from inspections.queries.work import Work
from project.audit.chain import model_of
from project.domain.verdict import Ref
from project.models import FlagCleared, Job
from project.models.records import Identified, as_quantity


@dataclass(frozen=True, slots=True)
class FlagLine:
    """One flag on a sheet, and who explained it, where somebody did."""

    flag: Flag
    cleared: FlagCleared | None


def flags_of(
    report: DailyReport, *, known_at: datetime, record: ShiftRecord | None = None
) -> tuple[Flag, ...]:
    """Return every flag on a sheet's shift, in a fixed order, cleared or not."""
    found = record or shift_record(report.shift, known_at=known_at)
    tickets = _same_tickets(report.job, found.loads, known_at=known_at)
    return _contradictions(found.placements, found.loads, tickets, found.panels)


def flags_by_shift(found: Work) -> dict[UUID, tuple[Flag, ...]]:
    """Return the flags of every shift of some work at once. One query."""
    tickets = _same_tickets(found.job, found.loads, known_at=found.known_at)
    return {
        shift.first: _contradictions(
            found.placed_by_shift.get(shift.first, []),
            found.loads_by_shift.get(shift.first, []),
            tickets,
            [row.row for row in found.panels if _shot_in(row.row, shift)],
        )
        for shift in found.shifts
    }


def flag_lines(flags: Sequence[Flag], *, known_at: datetime) -> tuple[FlagLine, ...]:
    """Return flags with their clearing, those nobody explained first. One query."""
    cleared = clearings(flags, known_at=known_at)
    lines = [FlagLine(flag, cleared.get(flag.mark)) for flag in flags]
    return tuple(sorted(lines, key=lambda line: line.cleared is not None))


def uncleared_flags(report: DailyReport, *, known_at: datetime) -> tuple[Flag, ...]:
    """Return the flags of a sheet that nobody has explained yet."""
    lines = flag_lines(flags_of(report, known_at=known_at), known_at=known_at)
    return tuple(line.flag for line in lines if line.cleared is None)


def clearings(flags: Iterable[Flag], *, known_at: datetime) -> dict[str, FlagCleared]:
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


def _shot_in(panel: Panel, shift: Shift) -> bool:
    return panel.shift is not None and panel.shift.first == shift.first


def _contradictions(
    placed: Sequence[Placed],
    loads: Sequence[Load],
    tickets: Sequence[LoadFacts],
    panels: Sequence[Panel],
) -> tuple[Flag, ...]:
    facts = [facts_of(load) for load in loads]
    here = {one.ref.id for one in facts}
    flags = [flag for one in facts for flag in load_flags(one)]
    flags += [
        flag
        for flag in ticket_flags(tickets)
        if any(ref.id in here for ref in flag.records)
    ]
    for one in placed:
        flags += volume_flags(
            Ref(one.row.kind, str(one.row.pk), one.code),
            placed=[held.stated for held in one.times if held.stated],
            loads=[facts_of(load) for load in loads if load.placement_id == one.id],
        )
    for panel in panels:
        flags += _of_no_load(panel, loads)
    return tuple(flags)


def _of_no_load(panel: Panel, loads: Sequence[Load]) -> tuple[Flag, ...]:
    """Ask of a production panel whether it can come from a load of its shift."""
    if panel.panel_kind != PanelKind.PRODUCTION:
        return ()
    taken = [load for load in loads if load.accepted]
    # A load whose mix nobody stated may be of any.
    mixes = (panel.mix_revision_id, None)
    of_mix = [facts_of(load) for load in taken if load.mix_revision_id in mixes]
    return panel_flags(
        Ref(panel.kind, str(panel.pk), panel.code),
        shot_from=panel.shot_from,
        of_mix=of_mix,
        others=bool(taken),
    )


def _same_tickets(
    job: Job, loads: Iterable[Load], *, known_at: datetime
) -> list[LoadFacts]:
    """Return the job's loads that carry one of these tickets, these among them."""
    tickets = {load.ticket for load in loads if load.ticket}
    if not tickets:
        return []
    rows = (
        Load.objects.known_at(known_at)
        .filter(job=job, ticket__in=tickets)
        .select_related("supplier")
        .order_by("shift__work_date", "order", "id")
    )
    return [facts_of(load) for load in as_known(rows, known_at)]
