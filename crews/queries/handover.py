"""The hand-over at the wall: who may take the nozzle of a placement at an instant."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from crews.domain.supervision import Stand
from crews.domain.trade_words import PresenceRole
from crews.models import NozzleTime, Operator, Placement
from crews.queries.choices import placement
from crews.queries.operator_files import Person
from crews.queries.operators import Standing
from crews.queries.qualification import qualification_record
from crews.queries.shifts import ShiftPage, shift_page
from crews.queries.shooting import Held, Placed, Stood
from crews.queries.supervision import (
    Stands,
    Time,
    meeting,
    stand_of,
    stands_in,
    watch_of,
)
from project.domain.verdict import State
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class Candidate:
    """An operator with the answer for this placement at this instant."""

    person: Person
    standing: Standing

    @property
    def code(self) -> str:
        return self.person.code


@dataclass(frozen=True, slots=True)
class HandOver:
    """A placement at an instant: who could take the nozzle, who has it, what is owed."""

    at: datetime
    placed: Placed
    page: ShiftPage
    candidates: tuple[Candidate, ...]
    supervisor: str

    @property
    def of_the_firm(self) -> tuple[Candidate, ...]:
        """The candidates of the shift's own contractor."""
        firm = self.placed.shift.organization_id
        return tuple(
            c for c in self.candidates if c.person.operator.organization_id == firm
        )

    @property
    def of_others(self) -> tuple[Candidate, ...]:
        own = self.of_the_firm
        return tuple(c for c in self.candidates if c not in own)

    @property
    def qualified(self) -> tuple[str, ...]:
        """The codes of those qualified on record without a condition."""
        return tuple(c.code for c in self.candidates if c.standing.state is State.PASS)

    @property
    def last(self) -> Held | None:
        """The nozzle time before: who holds the nozzle, or who left it last."""
        begun = [held for held in self.placed.times if held.started_at <= self.at]
        return max(begun, key=lambda held: held.started_at, default=None)

    def named(self, code: str) -> Candidate | None:
        """Return a candidate by code."""
        return next((c for c in self.candidates if c.code == code), None)


def handover(
    job: Job,
    code: str,
    *,
    at: datetime,
    known_at: datetime,
    for_member: Membership,
) -> HandOver | None:
    """Return the hand-over of a placement, or nothing where it is not to be seen.

    Thirty-seven queries, however many operators, placements and nozzle times; three more
    where a supervisor is noted, who may be wanted in another shift.
    """
    row = placement(job, code, known_at=known_at, for_member=for_member)
    if row is None:
        return None
    on = job.local(at).date()
    page = shift_page(
        job, row.shift_id, known_at=known_at, on=on, for_member=for_member
    )
    if page is None:
        return None
    record = qualification_record(job, known_at=known_at, for_member=for_member)
    stands, others = _around(
        _taken(row, at), _stands(page.roster.presences), known_at=known_at
    )
    candidates = []
    for person in record.people:
        time = _taken(row, at, by=person.operator)
        verdict = record.placement_standing(
            row,
            operator=person.operator,
            start=at,
            watch=watch_of(record, time, stands=stands, others=others),
        )
        candidates.append(Candidate(person, Standing(person.code, verdict)))
    beside = _supervising(page.roster.presences, at)
    return HandOver(
        at=at,
        placed=next(one for one in page.roster.placements if one.code == code),
        page=page,
        candidates=tuple(candidates),
        supervisor=beside[0].legal_name if beside else "",
    )


def _stands(stood: tuple[Stood, ...]) -> list[Stand]:
    return [
        stand_of(one.row, one.to_at)
        for one in stood
        if one.role == PresenceRole.SUPERVISOR and one.row.operator_id is not None
    ]


def _taken(row: Placement, at: datetime, *, by: Operator | None = None) -> Time:
    """Return the nozzle time that would begin."""
    return Time(NozzleTime(placement=row, operator=by, started_at=at), row, None)


def _around(
    taking: Time, own: list[Stand], *, known_at: datetime
) -> tuple[Stands, list[Time]]:
    """Return the supervisors noted, and who shoots at any other placement of the job.

    This nozzle is handed over: whoever holds it is not asked for. Without a supervisor
    nobody's shooting is.
    """
    row = taking.placement
    stands = {row.shift_id: own}
    if not own:
        return stands, []
    beside = meeting(row.job, taking, known_at=known_at)
    others = [one for one in beside if one.placement.first != row.first]
    shifts = {one.placement.shift_id for one in others} - stands.keys()
    return stands | stands_in(shifts, known_at=known_at), others


def _supervising(stood: tuple[Stood, ...], at: datetime) -> list[Operator]:
    """Return the operators noted as supervisors at an instant, in the order they came."""
    return [
        one.row.operator
        for one in stood
        if one.role == PresenceRole.SUPERVISOR
        and one.row.operator is not None
        and one.from_at <= at
        and (one.to_at is None or one.to_at > at)
    ]
