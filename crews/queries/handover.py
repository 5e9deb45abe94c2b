"""The hand-over at the wall: who may take the nozzle of a placement at an instant."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from crews.models import NozzleTime, Operator, Placement
from crews.queries.choices import placement
from crews.queries.matrix import Standing
from crews.queries.operator_files import Person
from crews.queries.qualification import qualification_record
from crews.queries.shifts import ShiftPage, shift_page
from crews.queries.shooting import Held, Placed
from crews.queries.supervision import Time, around, supervisor_of, watch_of
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

    Thirty-eight queries at most, however many operators, placements and nozzle times;
    three more where a supervisor is noted, who may be wanted in another shift.
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
    taking = _taken(job, row, at)
    seen = around(taking, known_at=known_at)
    # This nozzle is handed over: whoever holds it is not asked for.
    others = [one for one in seen.others if one.placement.first != row.first]
    candidates = []
    for person in record.people:
        time = _taken(job, row, at, by=person.operator)
        verdict = record.placement_standing(
            row,
            operator=person.operator,
            start=at,
            watch=watch_of(record, time, stands=seen.stands, others=others),
        )
        candidates.append(Candidate(person, Standing(person.code, verdict)))
    beside = supervisor_of(job, taking, seen.stands)
    return HandOver(
        at=at,
        placed=next(one for one in page.roster.placements if one.code == code),
        page=page,
        candidates=tuple(candidates),
        supervisor=_name(page, beside),
    )


def _name(page: ShiftPage, operator: UUID | None) -> str:
    """Name who was noted, also one without a place on the job."""
    noted = (one.row.operator for one in page.roster.presences)
    return next((o.legal_name for o in noted if o and o.pk == operator), "")


def _taken(
    job: Job, row: Placement, at: datetime, *, by: Operator | None = None
) -> Time:
    """Return the nozzle time that would begin."""
    held = NozzleTime(job=job, placement=row, operator=by, started_at=at)
    return Time(held, row, None)
