"""Nonconformance reports the record proposes: computed lines, no number, no row.

A line stands until a person raises a report about the same record, or until the
record says otherwise. Four kinds: an operator who was not qualified on record took
the nozzle, a panel was missing when the sheet was signed, a set failed, and what was
learned later turned a conclusion about work.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from uuid import UUID

from crews.models import Eligibility, NozzleTime
from crews.queries.ledger import LedgerRow
from crews.queries.panels import PanelRow
from crews.queries.shooting import Frozen, Held, Placed
from inspections.models import Nonconformance, ReportVersion
from inspections.queries.affected import BEGINNING, affected_in
from inspections.queries.affected_lines import Line, TurnedPanel, TurnedTime
from inspections.queries.work import Work
from project.domain.frozen import thawed
from project.domain.verdict import State, Verdict
from project.models import Job, Membership

_HELD = (State.PASS, State.CONDITION)


class Why(StrEnum):
    """What a proposal follows from."""

    NOT_QUALIFIED = "operator not qualified on record took the nozzle"
    PANEL_MISSING = "panel missing at signing"
    SET_FAILED = "set of cores failed"
    TURNED = "affected by what was learned later"


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a person might raise: why, about which record, and since when it is so."""

    why: Why
    about_kind: str
    about_id: UUID
    about_text: str
    part_code: str
    words: str
    since: datetime


def not_qualified(taken: NozzleTime, frozen: Eligibility) -> Proposal | None:
    """Return the proposal of one take, or nothing where the operator was qualified.

    A condition kept is no nonconformance; undecided is one, for unknown is no pass.
    """
    if frozen.state in _HELD:
        return None
    return _of_take(
        taken,
        thawed(frozen.verdict),
        operator=str(taken.operator),
        placement=taken.placement.code,
        part=frozen.part.code,
    )


def _of_take(
    taken: NozzleTime, verdict: Verdict, *, operator: str, placement: str, part: str
) -> Proposal:
    reasons = "; ".join(f"{reason.key}: {reason.found}" for reason in verdict.unmet)
    return Proposal(
        why=Why.NOT_QUALIFIED,
        about_kind=taken.kind,
        about_id=taken.first,
        about_text=f"{placement}, {operator}",
        part_code=part,
        words=f"{operator} on {part}: {reasons}",
        since=taken.started_at,
    )


def proposals(found: Work) -> tuple[Proposal, ...]:
    """Return what some work proposes and nobody raised yet, the oldest first.

    Two queries beside those of the work itself.
    """
    raised = set(
        Nonconformance.objects.known_at(found.known_at)
        .filter(job=found.job)
        .values_list("about_id", flat=True)
    )
    signed = _signed(found.job, found.known_at)
    lines = [
        *_takes(found.placed, raised),
        *_missing(found.ledger.missing, found.placed, signed, raised),
        *_failed(found.cored, raised),
    ]
    return tuple(sorted(lines, key=lambda line: (line.since, line.about_text)))


def proposals_by_now(found: Work, *, for_member: Membership) -> tuple[Proposal, ...]:
    """Return what a member's whole work proposes, by what was learned later too.

    Thirty-five queries beside those of the work itself.
    """
    frozen = proposals(found)
    named = {line.about_id for line in frozen}
    lines = affected_in(found, since=BEGINNING, for_member=for_member)
    later = (one for one in proposed_later(lines) if one.about_id not in named)
    return (*frozen, *later)


def proposed_later(lines: Iterable[Line]) -> tuple[Proposal, ...]:
    """Return what affected work proposes and nobody raised since, the oldest first."""
    found = (_turned(line, one) for line in lines for one in line.to_raise)
    return tuple(sorted(found, key=lambda p: (p.since, p.about_text)))


def _turned(line: Line, one: TurnedTime | TurnedPanel) -> Proposal:
    reasons = "; ".join(f"{reason.key}: {reason.found}" for reason in one.after.unmet)
    return Proposal(
        why=Why.TURNED,
        about_kind=one.about_kind,
        about_id=one.about_id,
        about_text=one.name,
        part_code=next(iter(line.parts), ""),
        words=f"{line.fact.name}, {line.fact.deed}: {reasons}",
        since=line.found_at,
    )


def _takes(placed: Iterable[Placed], raised: set[UUID]) -> Iterator[Proposal]:
    for one in placed:
        for held in one.times:
            frozen = _not_held(held)
            if frozen is not None and not raised & {held.id, one.id}:
                yield _of_take(
                    held.row,
                    frozen.verdict,
                    operator=f"{held.code} {held.operator}",
                    placement=one.code,
                    part=one.row.part.code,
                )


def _not_held(held: Held) -> Frozen | None:
    """Return the first frozen conclusion that was no pass: of the take, or the whole."""
    frozen = (one for one in (held.take, held.whole) if one is not None)
    return next((one for one in frozen if one.state not in _HELD), None)


def _missing(
    rows: Iterable[LedgerRow],
    placed: Sequence[Placed],
    signed: dict[UUID, datetime],
    raised: set[UUID],
) -> Iterator[Proposal]:
    """Yield panels still missing once a sheet of the shift was signed."""
    by_time = {held.id: one for one in placed for held in one.times}
    for row in rows:
        shot = [by_time[held.id] for held in row.held]
        since = [signed[p.shift.first] for p in shot if p.shift.first in signed]
        named = {held.id for held in row.held} | {one.id for one in shot}
        if row.answered or not since or raised & named:
            continue
        owed, last = row.line.owed, shot[-1]
        yield Proposal(
            why=Why.PANEL_MISSING,
            about_kind=row.held[-1].row.kind,
            about_id=row.held[-1].id,
            about_text=f"{', '.join(row.placements)}, {row.operator or owed.mix}",
            part_code=last.row.part.code,
            words=f"no panel of {owed.mix} by {row.operator or 'anybody'} "
            f"on {owed.work_date}",
            since=min(since),
        )


def _signed(job: Job, known_at: datetime) -> dict[UUID, datetime]:
    """Return when the first sheet of each shift was signed."""
    rows = ReportVersion.objects.filter(job=job, n=1, recorded_at__lte=known_at)
    first: dict[UUID, datetime] = {}
    for shift, at in rows.values_list("report__shift", "signature__signed_at"):
        first[shift] = min(at, first.get(shift, at))
    return first


def _failed(made: Iterable[PanelRow], raised: set[UUID]) -> Iterator[Proposal]:
    for panel in made:
        decisive = panel.decisive
        if decisive is None or decisive.verdict.state is not State.FAIL:
            continue
        reports = [core.report for core in decisive.cores if core.report is not None]
        named = {panel.id, *(report.first for report in reports)}
        if raised & named or not reports:
            continue
        failed = "; ".join(
            f"{reason.key}: {reason.found}" for reason in decisive.verdict.failed
        )
        part = panel.row.part
        yield Proposal(
            why=Why.SET_FAILED,
            about_kind=panel.row.kind,
            about_id=panel.id,
            about_text=panel.code,
            part_code="" if part is None else part.code,
            words=f"{panel.code} at {decisive.age} days: {failed}",
            since=max(report.received_at for report in reports),
        )
