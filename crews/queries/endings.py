"""What ends next on a job, and what has ended, as of and as known when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from crews.domain.endings import (
    Ending,
    endings,
    mix_ending,
    what_ends_next,
    what_has_ended,
)
from crews.domain.operator_file import OperatorFile
from crews.domain.planning import Assigned, Planned, plans_reached, to_assign_anew
from crews.queries.operator_files import Person
from crews.queries.plans import planned_work, plans_known
from crews.queries.qualification import Record, qualification_record
from project.domain.clocks import Interval
from project.domain.verdict import Ref
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class EndsNext:
    """Everything on record that ends, whose it is, and the work that is planned."""

    on: date
    zone: str
    people: dict[str, Person]
    files: dict[str, OperatorFile]
    found: tuple[Ending, ...]
    planned: tuple[Planned, ...]

    def within(self, days: int) -> tuple[Ending, ...]:
        """Return what ends within some days, the first on top."""
        return what_ends_next(self.found, on=self.on, days=days)

    @property
    def ended(self) -> tuple[Ending, ...]:
        """Cards and idle limits that have ended and were not followed."""
        return what_has_ended(self.found, on=self.on)

    def name(self, ending: Ending) -> str:
        """Return the name of whose ending it is; nothing for a mix."""
        person = self.people.get(ending.whose)
        return person.operator.legal_name if person else ""

    @property
    def to_assign_anew(self) -> tuple[tuple[Planned, Assigned], ...]:
        """Those assigned to planned work who may be so no longer."""
        return tuple(
            (plan, one)
            for plan in self.planned
            for one in to_assign_anew(plan, files=self.files, zone=self.zone)
        )

    def reached(self, ending: Ending) -> tuple[Planned, ...]:
        """Return the planned work that an ending shuts somebody out of."""
        return plans_reached(ending, self.planned, files=self.files, zone=self.zone)


def ends_next(
    job: Job,
    *,
    at: datetime,
    known_at: datetime,
    for_member: Membership | None = None,
    every_plan: bool = False,
) -> EndsNext:
    """Return what ends of each operator with a place on the job, and of the mixes.

    Work that was to begin before the instant looked at is left out, unless every plan
    is asked for. Sixteen queries at most.
    """
    record = qualification_record(job, known_at=known_at, for_member=for_member)
    rows = plans_known(job, known_at=known_at, for_member=for_member)
    ahead = rows if every_plan else rows.filter(starts_at__gte=at)
    planned = planned_work(record, ahead, known_at)
    return _ends(record, at=at, planned=planned)


def _ends(record: Record, *, at: datetime, planned: tuple[Planned, ...]) -> EndsNext:
    zone = record.job.zone
    on = record.job.local(at).date()
    asked, terms = Interval(at, None, zone), record.terms(on)
    files = [record.files[person.operator.pk] for person in record.people]
    found = [
        ending
        for file in files
        for ending in endings(file, at=asked, terms=terms, waivers=record.waivers)
    ]
    for mix in record.mixes:
        ending = mix_ending(
            str(mix),
            mix.withdrawn_on,
            ref=Ref(mix.kind, str(mix.pk), str(mix)),
            recorded_at=mix.recorded_at,
            zone=zone,
        )
        found += [ending] if ending else []
    return EndsNext(
        on=on,
        zone=zone,
        people={person.code: person for person in record.people},
        files={file.operator.id: file for file in files},
        found=tuple(found),
        planned=planned,
    )
