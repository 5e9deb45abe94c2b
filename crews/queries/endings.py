"""What ends next on a job, and what has ended, as of and as known when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from crews.domain.endings import Ending, endings, what_ends_next, what_has_ended
from crews.queries.operator_files import Person
from crews.queries.qualification import qualification_record
from project.domain.clocks import Interval
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class EndsNext:
    """Everything on record that ends, with whom it belongs to."""

    on: date
    people: dict[str, Person]
    found: tuple[Ending, ...]

    def within(self, days: int) -> tuple[Ending, ...]:
        """Return what ends within some days, the first on top."""
        return what_ends_next(self.found, on=self.on, days=days)

    @property
    def ended(self) -> tuple[Ending, ...]:
        """Cards and idle limits that have ended and were not followed."""
        return what_has_ended(self.found, on=self.on)


def ends_next(
    job: Job,
    *,
    at: datetime,
    known_at: datetime,
    for_member: Membership | None = None,
) -> EndsNext:
    """Return what ends of each operator with a place on the job. Thirteen queries."""
    record = qualification_record(job, known_at=known_at, for_member=for_member)
    on = job.local(at).date()
    asked = Interval(at, None, job.zone)
    found = [
        ending
        for person in record.people
        for ending in endings(
            record.files[person.operator.pk],
            at=asked,
            terms=record.terms(on),
            waivers=record.waivers,
        )
    ]
    people = {person.code: person for person in record.people}
    return EndsNext(on, people, tuple(found))
