"""Badges: whom they name, and how the one who is scanned stands now."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from crews.models import Operator
from crews.queries.folding import Fold, folded
from crews.queries.matrix import rows_of
from crews.queries.operator_files import Person, people_on
from crews.queries.qualification import qualification_record
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class Holder:
    """An operator with a place on the job, and the firm whose place it is."""

    person: Person
    employer: str

    @property
    def code(self) -> str:
        return self.person.code

    @property
    def name(self) -> str:
        return self.person.operator.legal_name

    @property
    def number(self) -> str:
        return self.person.operator.badge_number


@dataclass(frozen=True, slots=True)
class Scanned:
    """The operator a badge names, and their standing for each part."""

    holder: Holder
    folds: tuple[Fold, ...]


def badge_holders(
    job: Job, *, on: date, known_at: datetime, for_member: Membership
) -> list[Holder]:
    """Return the operators with a place on the job on a date, by code. Six queries."""
    found = []
    for person in people_on(job, for_member=for_member):
        places = person.file.known_at(known_at).enrolments
        here = [place for place in places if place.active(on)]
        if here:
            found.append(Holder(person, here[-1].employer))
    return found


def scanned(
    job: Job,
    operator: UUID,
    *,
    at: datetime,
    known_at: datetime,
    for_member: Membership,
) -> Scanned | None:
    """Return whom a badge names and how they stand; nothing where not to be seen."""
    row = Operator.objects.filter(pk=operator).first()
    if row is None:
        return None
    record = qualification_record(
        job, known_at=known_at, for_member=for_member, operators=[row]
    )
    if not record.people:
        return None
    places = record.files[row.pk].enrolments
    return Scanned(
        holder=Holder(record.people[0], places[-1].employer if places else ""),
        folds=folded(rows_of(record, at)),
    )
