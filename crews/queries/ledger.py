"""Panels owed, made and missing: computed from what was shot, never stored."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from crews.domain.panel_counts import PanelCounts, panel_counts
from crews.domain.panel_ledger import Line, Made, StandsFor, discharge
from crews.domain.sampling import Cell, next_panel_after, panels_owed
from crews.domain.trade_words import DecisionOutcome, PanelKind
from crews.queries.panels import CORED, PanelRow, panels
from crews.queries.shooting import Held, Placed, shooting
from project.domain.terms import Terms, terms_on
from project.domain.units import Quantity
from project.domain.verdict import Ref
from project.models import Coat, Job, Membership
from project.queries.jobs import terms_revisions


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One panel owed: for which shooting, met by which panel, or what stands for it."""

    line: Line
    panel: PanelRow | None
    substitute: PanelRow | None
    held: tuple[Held, ...]
    placements: tuple[str, ...]

    @property
    def work_date(self) -> date:
        return self.line.owed.work_date

    @property
    def missing(self) -> bool:
        return self.line.missing

    @property
    def answered(self) -> bool:
        return self.line.answered

    @property
    def operator(self) -> str:
        """Who owes it; empty where anybody who shot may."""
        return self.line.owed.operator


@dataclass(frozen=True, slots=True)
class PanelLedger:
    """The ledger of a stretch of days. `uncounted` are days without terms.

    `counts` has, for each revision of the terms, what both interpretations owe.
    """

    rows: tuple[LedgerRow, ...]
    idle: tuple[tuple[PanelRow, str], ...]
    uncounted: tuple[date, ...]
    counts: tuple[PanelCounts, ...] = ()

    @property
    def owed(self) -> int:
        return len(self.rows)

    @property
    def made(self) -> int:
        return sum(1 for row in self.rows if not row.missing)

    @property
    def missing(self) -> tuple[LedgerRow, ...]:
        return tuple(row for row in self.rows if row.missing)


@dataclass(frozen=True, slots=True)
class _Counted:
    """A nozzle time with the cell it is counted in."""

    placed: Placed
    held: Held
    cell: Cell


def ledger(
    job: Job,
    *,
    known_at: datetime,
    on: date,
    for_member: Membership | None = None,
    first: date | None = None,
    last: date | None = None,
    volumes: Mapping[UUID, Quantity] | None = None,
) -> PanelLedger:
    """Return every panel owed on the work dates from `first` to `last`.

    `volumes` are delivered volumes by nozzle time, for whoever keeps the loads to
    give; without one the volume shared at hand-over counts, else the neat one. A
    contractor reads its own work. Eighteen queries.
    """
    return ledger_of(
        job,
        shooting(job, known_at=known_at, for_member=for_member, first=first, last=last),
        panels(
            job,
            known_at=known_at,
            on=on,
            for_member=for_member,
            kinds=CORED,
            first=first,
            last=last,
        ),
        known_at=known_at,
        volumes=volumes,
    )


def ledger_of(
    job: Job,
    placed: Iterable[Placed],
    made: Iterable[PanelRow],
    *,
    known_at: datetime,
    volumes: Mapping[UUID, Quantity] | None = None,
) -> PanelLedger:
    """Return the ledger of placements and panels read before. Two queries."""
    counted = _counted(job, placed, known_at=known_at, volumes=volumes or {})
    by_id = {str(one.held.id): one for one in counted}
    entries = [(row, one) for row in made if (one := _made(row, by_id))]
    revisions = [row.facts() for row in terms_revisions(job, known_at=known_at)]
    rows: list[LedgerRow] = []
    idle: list[tuple[PanelRow, str]] = []
    days = {c.cell.work_date for c in counted} | {m.work_date for _, m in entries}
    by_terms: dict[int | None, tuple[Terms | None, set[date]]] = {}
    counts: list[PanelCounts] = []
    for day in sorted(days):
        terms = terms_on(revisions, on=day)
        number = terms.revision if terms else None
        by_terms.setdefault(number, (terms, set()))[1].add(day)
    for terms, on_days in by_terms.values():
        if terms is not None:
            here = [c for c in counted if c.cell.work_date in on_days]
            shown = [(row, m) for row, m in entries if m.work_date in on_days]
            _discharged(here, shown, terms, rows, idle)
            counts.append(panel_counts([c.cell for c in here], terms=terms))
    _, without = by_terms.get(None, (None, set()))
    days_without = tuple(sorted(without))
    return PanelLedger(tuple(rows), tuple(idle), days_without, tuple(counts))


def _discharged(
    counted: Sequence[_Counted],
    entries: Sequence[tuple[PanelRow, Made]],
    terms: Terms,
    rows: list[LedgerRow],
    idle: list[tuple[PanelRow, str]],
) -> None:
    """Add the lines of days under the same terms to the ledger."""
    owed = panels_owed([one.cell for one in counted], terms=terms)
    result = discharge(owed, [made for _, made in entries], terms=terms)
    by_code = {row.code: row for row, _ in entries}
    for line in result.lines:
        cells = {id(cell) for cell in line.owed.cells}
        shot = [one for one in counted if id(one.cell) in cells]
        rows.append(
            LedgerRow(
                line=line,
                panel=by_code[line.panel.panel] if line.panel else None,
                substitute=by_code[line.substitute.panel] if line.substitute else None,
                held=tuple(one.held for one in shot),
                placements=tuple(dict.fromkeys(one.placed.code for one in shot)),
            )
        )
    idle.extend((by_code[one.panel.panel], one.because) for one in result.idle)


def _counted(
    job: Job,
    placed: Iterable[Placed],
    *,
    known_at: datetime,
    volumes: Mapping[UUID, Quantity],
) -> list[_Counted]:
    """Return every nozzle time that counts; a coat may owe no panels of its own."""
    coats = Coat.objects.known_at(known_at).filter(job=job, owes_panels=False)
    free = set(coats.values_list("first", flat=True))
    return [
        _Counted(one, held, _cell(one, held, volumes.get(held.id)))
        for one in placed
        if one.row.coat_id not in free
        for held in one.times
    ]


def _cell(placed: Placed, held: Held, delivered: Quantity | None) -> Cell:
    return Cell(
        placed.shift.work_date,
        shift=placed.shift.name,
        mix=str(placed.mix),
        operator=held.code,
        rig=placed.row.rig.code,
        position=placed.part.position if placed.part else "",
        contractor=placed.shift.organization.code,
        volume=delivered or held.loads or held.neat.volume,
        evidence=(Ref(held.row.kind, str(held.row.pk), placed.code),),
    )


def _made(panel: PanelRow, counted: Mapping[str, _Counted]) -> Made | None:
    """Return a panel as the ledger reads it; nothing for cores that stand for none."""
    row = panel.row
    accepted = [
        judgement.decided_at
        for judgement in panel.judgements
        if judgement.decision == DecisionOutcome.SUBSTITUTE_ACCEPTED
    ]
    stands_for = None
    if panel.kind is PanelKind.IN_PLACE:
        named = counted.get((row.stands_for or {}).get("nozzle_time", ""))
        if named is None:
            return None
        cell = named.cell
        stands_for = StandsFor(cell.work_date, cell.mix, cell.operator)
    return Made(
        row.code,
        kind=panel.kind.value,
        work_date=stands_for.work_date if stands_for else row.work_date,
        mix=str(panel.mix),
        operator=panel.operator_code,
        shift=row.shift.name if row.shift else "",
        rig=row.rig.code if row.rig else "",
        position=row.position,
        contractor=row.shift.organization.code if row.shift else "",
        shared_with=panel.shared_code,
        stands_for=stands_for,
        accepted_at=accepted[-1] if accepted else None,
    )


@dataclass(frozen=True, slots=True)
class NextPanel:
    """How much more an operator may shoot of a mix before one more panel is owed."""

    operator: str
    mix: str
    shot: Quantity | None
    left: Quantity | None


def next_panels(
    job: Job,
    placed: Sequence[Placed],
    *,
    known_at: datetime,
    volumes: Mapping[UUID, Quantity] | None = None,
) -> tuple[NextPanel, ...]:
    """Return the next panel of everybody who shot in a shift. Two queries."""
    cells = [
        one.cell
        for one in _counted(job, placed, known_at=known_at, volumes=volumes or {})
    ]
    revisions = [row.facts() for row in terms_revisions(job, known_at=known_at)]
    found: dict[tuple[str, str], NextPanel] = {}
    for cell in cells:
        terms = terms_on(revisions, on=cell.work_date)
        if terms is None:
            continue
        others = [other for other in cells if other is not cell]
        found[cell.operator, cell.mix] = NextPanel(
            operator=cell.operator,
            mix=cell.mix,
            shot=cell.volume,
            left=next_panel_after(cell, terms=terms, others=others),
        )
    return tuple(found[key] for key in sorted(found))
