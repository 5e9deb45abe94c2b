"""The operators' pages: operators by parts, and one operator with everything on record."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime

from crews.domain.demand import Demand
from crews.domain.mockup_coverage import Decision, MockUp
from crews.domain.operator_file import OperatorFile
from crews.domain.qualification import words
from crews.domain.trade_words import Method
from crews.models import (
    Certification,
    Enrolment,
    Experience,
    Operator,
    Rig,
    Suspension,
    Waiver,
)
from crews.queries.operator_files import Person
from crews.queries.qualification import (
    Record,
    not_on_record,
    qualification_record,
)
from crews.queries.shooting import Held, Placed, shooting
from crews.queries.waivers import waivers
from project.domain.reinforcement import AsTyped, as_typed
from project.domain.verdict import Ref, State, Verdict
from project.models import Job, Membership, MixRevision, PartRevision


@dataclass(frozen=True, slots=True)
class Standing:
    """One operator for one part: the conclusion and its words."""

    code: str
    verdict: Verdict

    @property
    def state(self) -> State:
        return self.verdict.state

    @property
    def words(self) -> str:
        return words(self.verdict)


@dataclass(frozen=True, slots=True)
class MatrixRow:
    """One part with its planned mix, and how each operator stands."""

    part: PartRevision
    mix: MixRevision | None
    standings: tuple[Standing, ...]

    @property
    def code(self) -> str:
        return self.part.part.code

    @property
    def qualified(self) -> tuple[str, ...]:
        """The codes of those qualified on record without a condition."""
        return tuple(s.code for s in self.standings if s.state is State.PASS)


@dataclass(frozen=True, slots=True)
class Matrix:
    """Operators by parts, as of one instant and as known at another."""

    as_of: datetime
    known_at: datetime
    people: tuple[Person, ...]
    rows: tuple[MatrixRow, ...]


def matrix(
    job: Job,
    *,
    as_of: datetime,
    known_at: datetime,
    for_member: Membership | None = None,
    mix: MixRevision | None = None,
    method: Method = Method.HAND,
    rig: Rig | None = None,
    parts: Collection[str] | None = None,
) -> Matrix:
    """Return how every operator stands for every part. Fifteen queries.

    Without a mix each part is judged with the one it is planned with; with `parts` only
    those of these codes. Parts that ask the same of an operator are judged once.
    """
    record = qualification_record(job, known_at=known_at, for_member=for_member)
    on = job.local(as_of).date()
    terms = record.terms(on)
    judged: dict[tuple[Demand, AsTyped], tuple[Standing, ...]] = {}
    rows = []
    for part in record.parts.values():
        if parts is not None and part.part.code not in parts:
            continue
        used = record.mix(mix.first) if mix else record.planned_mix(part, on=on)
        if used is None:
            rows.append(MatrixRow(part, None, _undecided(record)))
            continue
        demand = record.demand(part, used, method=method, rig=rig)
        demand = replace(demand, part=_ANY_PART).under(terms)
        # Bars are told as they were typed: 8 in is not told as an equal 8.0 in.
        same = demand, as_typed(demand.reinforcement)
        if same not in judged:
            judged[same] = _standings(record, demand, as_of)
        rows.append(MatrixRow(part, used, judged[same]))
    return Matrix(as_of, known_at, record.people, tuple(rows))


# No gate looks at which part it is, only at what the part asks.
_ANY_PART = Ref("partrevision", "", "")


def _standings(record: Record, demand: Demand, as_of: datetime) -> tuple[Standing, ...]:
    return tuple(
        Standing(person.code, record.standing(person.operator.pk, demand, start=as_of))
        for person in record.people
    )


def _undecided(record: Record) -> tuple[Standing, ...]:
    verdict = not_on_record("mix")
    return tuple(Standing(person.code, verdict) for person in record.people)


@dataclass(frozen=True, slots=True)
class MockUpRow:
    """A mock-up as known, with every decision taken of it, the failed ones too."""

    mock_up: MockUp
    decisions: tuple[Decision, ...]

    @property
    def code(self) -> str:
        return self.mock_up.code

    @property
    def latest(self) -> Decision | None:
        return self.decisions[-1] if self.decisions else None


@dataclass(frozen=True, slots=True)
class OperatorPage:
    """One operator with everything on record, and how they stand today."""

    operator: Operator
    code: str
    file: OperatorFile
    cards: tuple[Certification, ...]
    earlier_cards: tuple[Certification, ...]
    enrolments: tuple[Enrolment, ...]
    suspensions: tuple[Suspension, ...]
    waivers: tuple[Waiver, ...]
    experience: tuple[Experience, ...]
    mock_ups: tuple[MockUpRow, ...]
    standings: tuple[tuple[PartRevision, Standing], ...]
    held: tuple[tuple[Placed, Held], ...]

    @property
    def minutes(self) -> int:
        """Minutes on the nozzle on this job, of the times that were left."""
        return sum(held.minutes or 0 for _, held in self.held)


def operator_page(
    job: Job,
    code: str,
    *,
    as_of: datetime,
    known_at: datetime,
    for_member: Membership | None = None,
) -> OperatorPage | None:
    """Return one operator by their code, or nothing where they are not to be seen.

    Twenty-eight queries: the file, the standings for each part, and every nozzle time.
    """
    places = Enrolment.objects.filter(job=job, code=code).select_related("operator")
    place = places.first()
    if place is None:
        return None
    record = qualification_record(
        job, known_at=known_at, for_member=for_member, operators=[place.operator]
    )
    if not record.people:
        return None
    person = record.people[0]
    operator = person.operator
    file = record.files[operator.pk]
    cards = _all_cards(operator, known_at)
    in_force = {card.id for card in file.cards}
    rows = rows_of(record, as_of)
    return OperatorPage(
        operator=operator,
        code=person.code,
        file=file,
        cards=tuple(card for card in cards if card.pk in in_force),
        earlier_cards=tuple(card for card in cards if card.pk not in in_force),
        enrolments=tuple(
            Enrolment.objects.known_at(known_at)
            .filter(job=job, operator=operator)
            .select_related("employer", "recorded_by__user")
            .order_by("from_on")
        ),
        experience=tuple(
            Experience.objects.known_at(known_at)
            .filter(operator=operator)
            .order_by("process", "stated_on")
        ),
        waivers=tuple(waivers(job, known_at=known_at, operator=operator.pk)),
        suspensions=tuple(
            Suspension.objects.known_at(known_at)
            .filter(job=job, operator=operator)
            .order_by("from_at")
        ),
        mock_ups=tuple(
            MockUpRow(one, tuple(sorted(one.decisions, key=lambda d: d.decided_at)))
            for one in sorted(file.mock_ups, key=lambda one: one.code)
        ),
        standings=rows,
        held=_times_of(job, operator, known_at=known_at, for_member=for_member),
    )


def _all_cards(operator: Operator, known_at: datetime) -> list[Certification]:
    """Return every version of the operator's cards, the latest first."""
    rows = Certification.objects.filter(operator=operator, recorded_at__lte=known_at)
    rows = rows.select_related("verified_by", "recorded_by", "scan")
    return list(rows.order_by("-recorded_at"))


def rows_of(
    record: Record, as_of: datetime
) -> tuple[tuple[PartRevision, Standing], ...]:
    """Return how the record's first operator stands for each part, as planned."""
    on = record.job.local(as_of).date()
    person = record.people[0]
    rows = []
    for part in record.parts.values():
        mix = record.planned_mix(part, on=on)
        verdict = not_on_record("mix")
        if mix is not None:
            demand = record.demand(part, mix)
            verdict = record.standing(person.operator.pk, demand, start=as_of)
        rows.append((part, Standing(person.code, verdict)))
    return tuple(rows)


def _times_of(
    job: Job,
    operator: Operator,
    *,
    known_at: datetime,
    for_member: Membership | None,
) -> tuple[tuple[Placed, Held], ...]:
    placed = shooting(job, known_at=known_at, for_member=for_member)
    return tuple(
        (one, held) for one in placed for held in one.times if held.operator == operator
    )
