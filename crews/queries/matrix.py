"""Who may shoot what: every operator by every part, on one date and as known at one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from crews.domain.demand import NO_PART, Demand, Hardness
from crews.domain.qualification import words
from crews.domain.trade_words import Method
from crews.models import Rig
from crews.queries.operator_files import Person
from crews.queries.qualification import Record, not_on_record, qualification_record
from project.domain.verdict import State, Verdict
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
    """Return how every operator stands for every part. Fourteen queries at most.

    Without a mix each part is judged with the one it is planned with; with `parts` only
    those of these codes. Parts that ask the same of an operator are judged once.
    """
    record = qualification_record(
        job, known_at=known_at, for_member=for_member, rigs=rig is not None
    )
    rows = rows_of(record, as_of, mix=mix, method=method, rig=rig, parts=parts)
    return Matrix(as_of, known_at, record.people, rows)


def rows_of(
    record: Record,
    as_of: datetime,
    *,
    mix: MixRevision | None = None,
    method: Method = Method.HAND,
    rig: Rig | None = None,
    parts: Collection[str] | None = None,
) -> tuple[MatrixRow, ...]:
    """Return how the record's operators stand for each part, as `matrix` does."""
    on = record.job.local(as_of).date()
    terms = record.terms(on)
    # What is asked alike of an operator is judged once, whichever part asks it.
    numbers: dict[tuple[Demand, Hardness], int] = {}
    asked: list[tuple[PartRevision, MixRevision | None, int | None]] = []
    for part in record.parts.values():
        if parts is not None and part.part.code not in parts:
            continue
        used = record.mix(mix.first) if mix else record.planned_mix(part, on=on)
        if used is None:
            asked.append((part, None, None))
            continue
        demand = record.demand(part, used, method=method, rig=rig)
        demand = replace(demand, part=NO_PART).under(terms)
        # Bars are told as they were typed: 8 in is not told as an equal 8.0 in.
        same = demand, demand.hardness
        asked.append((part, used, numbers.setdefault(same, len(numbers))))
    judged = _standings(record, [demand for demand, _ in numbers], as_of)
    return tuple(
        MatrixRow(part, used, _undecided(record) if n is None else judged[n])
        for part, used, n in asked
    )


def _standings(
    record: Record, demands: Sequence[Demand], as_of: datetime
) -> list[tuple[Standing, ...]]:
    """Judge everybody for each demand, those of the same work together."""
    alike: dict[Demand, list[int]] = defaultdict(list)
    for n, demand in enumerate(demands):
        alike[demand.work].append(n)
    judged: list[tuple[Standing, ...]] = [()] * len(demands)
    for numbers in alike.values():
        theirs = [demands[n] for n in numbers]
        columns = [
            [
                Standing(one.code, verdict)
                for verdict in record.standings(one.operator.pk, theirs, start=as_of)
            ]
            for one in record.people
        ]
        for n, row in zip(numbers, zip(*columns, strict=True), strict=False):
            judged[n] = row
    return judged


def _undecided(record: Record) -> tuple[Standing, ...]:
    verdict = not_on_record("mix")
    return tuple(Standing(person.code, verdict) for person in record.people)
