"""Deficiencies and nonconformance reports: their state, their age, whose move it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q

from inspections.domain.ages import full_days, response_due
from inspections.domain.catalogue import Item
from inspections.domain.moves import DEFICIENCY, NONCONFORMANCE, STILL_OPEN, open_to
from inspections.models import Deficiency, Move, Nonconformance, Photo
from inspections.queries.catalogue import CURRENT, edition
from inspections.queries.known import grouped, within
from inspections.queries.scope import deficiencies_for, nonconformances_for
from project.domain.clocks import elapsed_minutes
from project.domain.roles import Role
from project.domain.terms import terms_on
from project.models import Job, Membership
from project.queries.jobs import terms_revisions


@dataclass(frozen=True, slots=True)
class DeficiencyRow:
    """One deficiency as known, with its moves and what the member may do next."""

    row: Deficiency
    item: Item
    state: str
    moves: tuple[Move, ...]
    photographs: tuple[Photo, ...]
    minutes: int
    next_moves: tuple[str, ...]

    @property
    def code(self) -> str:
        return self.row.code

    @property
    def is_open(self) -> bool:
        return self.state in STILL_OPEN

    @property
    def waits_for(self) -> str:
        """Whose move it is: the contractor puts it right, who found it looks again."""
        if self.state == "open":
            return "contractor"
        return self.row.organization.name if self.state == "corrected" else ""

    @property
    def told(self) -> tuple[Move, ...]:
        return tuple(move for move in self.moves if move.move == "notify")

    @property
    def corrected(self) -> Move | None:
        """The last correction, where there is one."""
        return next((m for m in reversed(self.moves) if m.move == "correct"), None)

    @property
    def closed_at(self) -> datetime | None:
        return None if self.is_open else self.moves[-1].at

    @property
    def became(self) -> str:
        """The code of the nonconformance report it became, if it did."""
        last = self.moves[-1] if self.moves else None
        return "" if last is None else str(last.evidence.get("nonconformance", ""))


def deficiencies(
    job: Job,
    member: Membership,
    *,
    known_at: datetime,
    first: date | None = None,
    last: date | None = None,
    number: int | None = None,
    report: UUID | None = None,
) -> tuple[DeficiencyRow, ...]:
    """Return the deficiencies a member may read, by number. Three queries.

    `first` and `last` are local dates of what was seen; `report` a sheet's identity.
    """
    rows = deficiencies_for(member, known_at=known_at).select_related(
        "part", "organization", "report", "round", "recorded_by__user"
    )
    if number is not None:
        rows = rows.filter(number=number)
    if report is not None:
        rows = rows.filter(report=report)
    found = [
        row
        for row in rows.order_by("number")
        if within(job.local(row.seen_at).date(), first, last)
    ]
    ids = [row.first for row in found]
    moves = _moves(Q(deficiency__in=ids), known_at, "deficiency_id")
    photographs = grouped(
        Photo.objects.known_at(known_at)
        .filter(deficiency__in=ids)
        .select_related("attachment")
        .order_by("number"),
        lambda photo: photo.deficiency_id,
    )
    return tuple(
        _deficiency(
            row,
            moves.get(row.first, []),
            photographs.get(row.first, []),
            member,
            known_at,
        )
        for row in found
    )


def _deficiency(
    row: Deficiency,
    moves: Sequence[Move],
    photographs: Sequence[Photo],
    member: Membership,
    known_at: datetime,
) -> DeficiencyRow:
    state = moves[-1].state if moves else DEFICIENCY.initial
    until = known_at if state in STILL_OPEN else moves[-1].at
    version = CURRENT if row.round is None else row.round.edition
    return DeficiencyRow(
        row=row,
        item=edition(version).item(row.item),
        state=state,
        moves=tuple(moves),
        photographs=tuple(photographs),
        minutes=max(0, elapsed_minutes(row.seen_at, until)),
        next_moves=open_to(DEFICIENCY, state, role=Role(member.role)),
    )


@dataclass(frozen=True, slots=True)
class NonconformanceRow:
    """One nonconformance report as known: its instants, its ages, its moves.

    `raised_at` is when it got its number; `written_at` what the report says of
    itself. Ages run to the closing, else to now.
    """

    row: Nonconformance
    state: str
    raised_at: datetime
    moves: tuple[Move, ...]
    age_observed: int
    age_raised: int
    response_due: date | None
    next_moves: tuple[str, ...]

    @property
    def code(self) -> str:
        return self.row.code

    @property
    def is_open(self) -> bool:
        return self.state != "closed"

    @property
    def told(self) -> tuple[Move, ...]:
        return tuple(move for move in self.moves if move.move == "notify")

    @property
    def closed_at(self) -> datetime | None:
        return None if self.is_open else self.moves[-1].at

    @property
    def waits_for(self) -> tuple[Role, ...]:
        """The roles that may make the next move beside telling somebody again."""
        leaving = NONCONFORMANCE.from_state(self.state)
        onward = [m for m in leaving if m.to != self.state]
        return tuple(role for role in Role if any(role in m.roles for m in onward))


def nonconformances(
    job: Job,
    member: Membership,
    *,
    known_at: datetime,
    number: int | None = None,
) -> tuple[NonconformanceRow, ...]:
    """Return the nonconformance reports a member may read, by number. Four queries."""
    rows = nonconformances_for(member, known_at=known_at).select_related(
        "part", "recorded_by__user", "recorded_by__organization"
    )
    if number is not None:
        rows = rows.filter(number=number)
    found = list(rows.order_by("number"))
    ids = [row.first for row in found]
    firsts = Nonconformance._base_manager.filter(pk__in=ids)
    raised = dict(firsts.values_list("pk", "recorded_at"))
    moves = _moves(Q(nonconformance__in=ids), known_at, "nonconformance_id")
    revisions = [row.facts() for row in terms_revisions(job, known_at=known_at)]
    lines = []
    for row in found:
        made = moves.get(row.first, [])
        state = made[-1].state if made else NONCONFORMANCE.initial
        until = made[-1].at if state == "closed" else known_at
        raised_on = job.local(raised[row.first]).date()
        terms = terms_on(revisions, on=raised_on)
        within = None if terms is None else terms.quantity("ncr_response")
        lines.append(
            NonconformanceRow(
                row=row,
                state=state,
                raised_at=raised[row.first],
                moves=tuple(made),
                age_observed=full_days(row.observed_at, max(until, row.observed_at)),
                age_raised=full_days(raised[row.first], max(until, raised[row.first])),
                response_due=response_due(raised_on, within=within),
                next_moves=open_to(NONCONFORMANCE, state, role=Role(member.role)),
            )
        )
    return tuple(lines)


def _moves(rule: Q, known_at: datetime, column: str) -> dict[UUID, list[Move]]:
    rows = Move.objects.filter(rule, recorded_at__lte=known_at)
    rows = rows.select_related("recorded_by__user", "attachment").order_by("n")
    return grouped(rows, lambda move: getattr(move, column))
