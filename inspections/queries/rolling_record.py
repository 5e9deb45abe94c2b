"""Rolling records: panels, ratings, shooting and deficiencies, by whose work they are.

A contractor's member reads its own people, and finds beside them its own people alone;
a deficiency counts for whoever may read it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from crews.domain.rolling_record import PanelSet, Share, Where, begins
from crews.domain.trade_words import PanelKind
from crews.models import Enrolment
from crews.queries.choices import places
from crews.queries.panels import PanelRow, panels
from crews.queries.ratings import ratings
from crews.queries.shooting import UNIT_OF_VOLUME, Held, Placed, shooting
from inspections.domain.rolling_record import (
    PLACING,
    Rated,
    Record,
    Seen,
    Shot,
    Work,
    cells_of,
    record_of,
    whose,
)
from inspections.models import Deficiency
from inspections.queries.scope import deficiencies_for
from project.domain.units import Quantity
from project.domain.verdict import State
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class Group:
    """One line beside others: whose work it is, its name, and its record."""

    key: str
    name: str
    record: Record


@dataclass(frozen=True, slots=True)
class Cell:
    """One mix and position of an operator: their own record, and what stands beside it."""

    mix: str
    position: str
    groups: tuple[Group, ...]

    def group(self, key: str) -> Group | None:
        """Return one of its lines by its key."""
        return next((one for one in self.groups if one.key == key), None)


@dataclass(frozen=True, slots=True)
class OperatorRecord:
    """Everything on record of one operator, over all mixes and positions."""

    place: Enrolment
    record: Record
    volume: Share
    panels: Share
    cells: tuple[Cell, ...]

    @property
    def code(self) -> str:
        return self.place.code

    @property
    def sets(self) -> tuple[PanelSet, ...]:
        """The sets that are looked at, in the order of shooting."""
        own = (s for cell in self.cells for s in cell.groups[0].record.sets.sets)
        return tuple(sorted(own, key=lambda one: (one.shot_at, one.panel)))

    def cell(self, mix: str, position: str) -> Cell | None:
        """Return one mix and position."""
        found = (c for c in self.cells if (c.mix, c.position) == (mix, position))
        return next(found, None)


@dataclass(frozen=True, slots=True)
class OperatorPage:
    """One operator's record, and the deficiencies it counts, as their rows."""

    record: OperatorRecord
    deficiencies: tuple[Deficiency, ...]


def operator_records(
    job: Job, *, at: datetime, known_at: datetime, for_member: Membership
) -> tuple[OperatorRecord, ...]:
    """Return the record of every operator, by code. Eighteen queries."""
    work, _ = _work(job, at=at, known_at=known_at, member=for_member)
    rows = places(job, known_at=known_at, for_member=for_member)
    by_code = {place.code: place for place in rows}
    return tuple(_record(work, place, cells=()) for place in by_code.values())


def operator_record(
    job: Job, code: str, *, at: datetime, known_at: datetime, for_member: Membership
) -> OperatorPage | None:
    """Return one operator's record, or nothing where they are not to be seen.

    Eighteen queries.
    """
    own = places(job, known_at=known_at, for_member=for_member, code=code)
    if not own:
        return None
    work, found = _work(job, at=at, known_at=known_at, member=for_member)
    cells = tuple(
        _cell(work, code, mix, position)
        for mix, position in cells_of(work, operator=code)
    )
    record = _record(work, own[-1], cells=cells)
    counted = {one.code for one in record.record.seen}
    return OperatorPage(record, tuple(row for row in found if row.code in counted))


def _record(work: Work, place: Enrolment, *, cells: tuple[Cell, ...]) -> OperatorRecord:
    def own(where: Where) -> bool:
        return where.operator == place.code

    mine = record_of(work, chosen=own, last=None)
    everybody = record_of(work, chosen=lambda _: True, last=None)
    made = sum(own(one.where) for one in work.sets)
    return OperatorRecord(
        place=place,
        record=mine,
        volume=Share(
            name="volume shot, neat",
            part=mine.volume.total,
            whole=everybody.volume.total,
        ),
        panels=Share(
            name="production panels",
            part=Quantity(Decimal(made), "1"),
            whole=Quantity(Decimal(len(work.sets)), "1"),
        ),
        cells=cells,
    )


def _cell(work: Work, code: str, mix: str, position: str) -> Cell:
    """Return an operator's own record of a mix and position, and those beside it."""

    def here(where: Where) -> bool:
        return (where.mix, where.position) == (mix, position)

    def group(key: str, name: str, rule: Callable[[Where], bool]) -> Group:
        chosen = record_of(work, chosen=lambda w: here(w) and rule(w), since=since)
        return Group(key, name, chosen)

    since = None
    own = group("own", code, _whose("operator", code))
    since = begins(own.record.sets)
    others = group("others", "", lambda where: where.operator not in ("", code))
    beside = [
        group(f"{kind} {name}", name, _whose(kind, name))
        for kind in ("crew", "rig")
        for name in _names(work, kind, here)
    ]
    return Cell(mix, position, (own, others, *beside))


def _whose(kind: str, name: str) -> Callable[[Where], bool]:
    return lambda where: bool(getattr(where, kind) == name)


def _names(work: Work, kind: str, here: Callable[[Where], bool]) -> list[str]:
    every: Iterable[PanelSet | Shot | Rated | Seen] = (
        *work.sets,
        *work.shots,
        *work.seen,
    )
    return sorted({getattr(one.where, kind) for one in every if here(one.where)} - {""})


def _work(
    job: Job, *, at: datetime, known_at: datetime, member: Membership
) -> tuple[Work, list[Deficiency]]:
    """Return all there is up to an instant, as known at another. Seventeen queries."""
    on = job.local(at).date()
    placed = shooting(job, known_at=known_at, for_member=member, last=on)
    by_id = {one.id: one for one in placed}
    made = [
        row
        for row in panels(job, known_at=known_at, on=on, for_member=member, last=on)
        if row.row.shot_from <= at
    ]
    where = {row.id: _where(row, by_id) for row in made}
    shots = [
        _Held(one, held, _shot(one, held, at))
        for one in placed
        for held in one.times
        if held.started_at <= at
    ]
    rows = deficiencies_for(member, known_at=known_at)
    rows = rows.filter(item__in=PLACING, seen_at__lte=at)
    found = list(rows.select_related("round", "report").order_by("number"))
    seen = [
        Seen(code=row.code, where=mine)
        for row in found
        if (mine := whose(_near(row, shots), seen_at=row.seen_at)) is not None
    ]
    work = Work(
        unit=UNIT_OF_VOLUME[job.unit_system],
        sets=tuple(
            _set(row, where[row.id], at)
            for row in made
            if row.kind is PanelKind.PRODUCTION
        ),
        shots=tuple(one.shot for one in shots),
        ratings=tuple(_rated(made, where, at=at, known_at=known_at)),
        seen=tuple(seen),
    )
    return work, found


def _where(row: PanelRow, placed: dict[UUID, Placed]) -> Where:
    """Return whose work a panel is; one that two shot is nobody's, but crew and rig's."""
    panel = row.row
    of = placed.get(panel.placement_id) if panel.placement_id else None
    rig = panel.rig or (of.row.rig if of else None)
    return Where(
        operator="" if panel.shared_with_id else row.operator_code,
        mix=str(row.mix),
        position=panel.position,
        crew=of.row.crew.code if of and of.row.crew else "",
        rig=rig.code if rig else "",
    )


def _set(row: PanelRow, where: Where, at: datetime) -> PanelSet:
    """Return a panel's deciding set; a core tested later has not said anything yet."""
    one = row.decisive
    said = PanelSet(
        panel=row.code,
        where=where,
        shot_at=row.row.shot_from,
        f_c=Quantity(row.mix.f_c, row.mix.f_c_unit),
        state=State.NOT_DUE,
    )
    tested = [core.result.tested_at for core in one.cores if core.result] if one else []
    if one is None or any(instant > at for instant in tested):
        return said
    return replace(
        said,
        state=one.verdict.state,
        mean=one.mean if one.complete else None,
        cores=one.counted,
    )


def _rated(
    made: Sequence[PanelRow],
    where: dict[UUID, Where],
    *,
    at: datetime,
    known_at: datetime,
) -> Iterable[Rated]:
    codes = {row.id: row.code for row in made}
    for one in ratings(codes, known_at=known_at):
        if one.stands and one.row.rated_at <= at:
            panel = one.row.panel_id
            yield Rated(
                panel=codes[panel],
                where=where[panel],
                rated_at=one.row.rated_at,
                decision=one.decision,
            )


@dataclass(frozen=True, slots=True)
class _Held:
    """A nozzle time with what it was held for, and as the record counts it."""

    placed: Placed
    held: Held
    shot: Shot


def _shot(placed: Placed, held: Held, at: datetime) -> Shot:
    """Return a nozzle time as counted; one not left by then has no volume yet."""
    row, part = placed.row, placed.part
    left = held.stopped_at is not None and held.stopped_at <= at
    return Shot(
        where=Where(
            operator=held.code,
            mix=str(placed.mix or ""),
            position=part.position if part else "",
            crew=row.crew.code if row.crew else "",
            rig=row.rig.code if row.rig else "",
        ),
        placement=placed.code,
        started_at=held.started_at,
        stopped_at=held.stopped_at if left else None,
        volume=held.neat.volume if left else None,
        estimated=held.neat.estimated,
    )


def _near(row: Deficiency, shots: Sequence[_Held]) -> list[Shot]:
    """Return the nozzle times that a deficiency may belong to.

    Those of the walk's placement; else of the part, in the sheet's shift where there is
    a sheet and something of the part was shot in it; else all of the sheet's shift.
    """
    walked = row.round.placement_id if row.round else None
    if walked is not None:
        return [one.shot for one in shots if one.placed.id == walked]
    part = row.part_id or (row.round.part_id if row.round else None)
    shift = row.report.shift_id if row.report else None
    of_part = [one for one in shots if one.placed.row.part_id == part]
    of_shift = [one for one in shots if one.placed.shift.first == shift]
    if part is None:
        return [one.shot for one in of_shift]
    both = [one for one in of_part if one.placed.shift.first == shift]
    return [one.shot for one in both or of_part]
