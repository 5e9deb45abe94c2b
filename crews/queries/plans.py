"""Planned placements as known: when, what, who, and whether they may still be assigned."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import QuerySet

from crews.domain.planning import (
    Assigned,
    Planned,
    PlanStart,
    assignment,
    may_be_assigned,
    named_too,
)
from crews.domain.trade_words import Method, Moment
from crews.models import Eligibility, Operator, PlannedOperator, PlannedPlacement
from crews.queries.hindsight import Hindsight, hindsight
from crews.queries.matrix import Standing
from crews.queries.operator_files import Person, own_firm
from crews.queries.qualification import Record, not_on_record
from project.domain.clocks import FactVersion
from project.domain.frozen import thawed
from project.domain.verdict import Reason, Verdict
from project.models import Job, Membership, MixRevision, PartRevision

_MICROSECOND = timedelta(microseconds=1)


def assignment_on(
    record: Record,
    planned: PlannedPlacement,
    operator: Operator,
    supervisor: Operator | None,
) -> Verdict:
    """Judge an operator for the start of planned work, as a record knows it."""
    return _judged(record, planned, operator.pk, supervisor.pk if supervisor else None)


def _judged(
    record: Record, planned: PlannedPlacement, operator: UUID, supervisor: UUID | None
) -> Verdict:
    part = record.parts.get(planned.part_id)
    mix = record.mix(planned.mix_revision_id)
    if part is None or mix is None:
        return not_on_record("part" if part is None else "mix")
    verdict = record.standing(
        operator,
        record.demand(part, mix, method=Method(planned.method), rig=planned.rig),
        start=planned.starts_at,
        watch=record.named(supervisor),
    )
    beside = record.files.get(supervisor) if supervisor else None
    return assignment(verdict, supervisor=beside.operator if beside else None)


@dataclass(frozen=True, slots=True)
class OnPlan:
    """An operator assigned to planned work, and their standing for its start by now."""

    row: PlannedOperator
    person: Person
    supervisor: Person | None
    verdict: Verdict
    # When the record first said that they may no longer be assigned.
    lost_at: datetime | None
    # The other plans of the same hour that name one of the two.
    named_too: tuple[tuple[Person, PlanStart], ...]

    @property
    def code(self) -> str:
        return self.person.code

    @property
    def stands(self) -> bool:
        """Whether they may still be assigned."""
        return may_be_assigned(self.verdict)


@dataclass(frozen=True, slots=True)
class Refusal:
    """Somebody who was not assigned, with the conclusion that was frozen then."""

    row: Eligibility
    person: Person
    verdict: Verdict

    @property
    def code(self) -> str:
        return self.person.code

    @property
    def holding(self) -> tuple[Reason, ...]:
        """The gates that held."""
        unmet = self.verdict.unmet
        return tuple(one for one in self.verdict.reasons if one not in unmet)


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One planned placement as known."""

    row: PlannedPlacement
    part: PartRevision | None
    mix: MixRevision | None
    operators: tuple[OnPlan, ...]
    refused: tuple[Refusal, ...]

    @property
    def code(self) -> str:
        return self.row.code

    @property
    def starts_at(self) -> datetime:
        return self.row.starts_at

    @property
    def lost(self) -> tuple[OnPlan, ...]:
        """Those whose standing is gone since they were assigned."""
        return tuple(one for one in self.operators if not one.stands)

    @property
    def named_twice(self) -> bool:
        """Whether somebody is named on another plan of the same hour."""
        return any(one.named_too for one in self.operators)


@dataclass(frozen=True, slots=True)
class PlanPage:
    """One planned placement, and how everybody of the firm stands for it."""

    plan: PlanRow
    standings: tuple[tuple[Person, Standing], ...]

    @property
    def instead(self) -> tuple[Person, ...]:
        """Who is qualified on record and not on the plan yet."""
        on_it = {one.person.operator.pk for one in self.plan.operators}
        return tuple(
            person
            for person, standing in self.standings
            if may_be_assigned(assignment(standing.verdict, supervisor=None))
            and person.operator.pk not in on_it
        )


def plans_known(
    job: Job, *, known_at: datetime, for_member: Membership | None = None
) -> QuerySet[PlannedPlacement]:
    """Return the plans in force as known, by their start; a contractor's own only."""
    rows = PlannedPlacement.objects.known_at(known_at).filter(job=job)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(organization=firm)
    rows = rows.select_related("part", "rig", "organization")
    return rows.order_by("starts_at", "code")


def on_plans(job: Job, *, known_at: datetime) -> dict[UUID, list[PlannedOperator]]:
    """Return who is assigned to each plan as known, in the order they were."""
    rows = PlannedOperator.objects.known_at(known_at).filter(job=job)
    found: dict[UUID, list[PlannedOperator]] = defaultdict(list)
    for row in rows.order_by("recorded_at", "id"):
        found[row.planned_id].append(row)
    return found


def plan_list(
    job: Job,
    *,
    known_at: datetime,
    at: datetime | None = None,
    for_member: Membership | None = None,
) -> tuple[PlanRow, ...]:
    """Return every plan with its people as known, by its start. Twenty-two queries at most.

    Of work that was to begin before `at` it is not asked since when a standing is gone.
    """
    rows = plans_known(job, known_at=known_at, for_member=for_member)
    return tuple(_rows(hindsight(job), list(rows), known_at, at))


def plan_page(
    job: Job,
    code: str,
    *,
    known_at: datetime,
    for_member: Membership | None = None,
) -> PlanPage | None:
    """Return one plan by its code, or nothing where it is not to be seen."""
    rows = list(plans_known(job, known_at=known_at, for_member=for_member))
    record = hindsight(job)
    plan = next(_rows(record, rows, known_at, only=code), None)
    if plan is None:
        return None
    known = record.record(
        at=known_at, operators=record.people, parts=[plan.row.part_id]
    )
    standings = []
    for person in sorted(known.people, key=lambda person: person.code):
        if person.operator.organization_id == plan.row.organization_id:
            verdict = _judged_alone(known, plan.row, person)
            standings.append((person, Standing(person.code, verdict)))
    return PlanPage(plan, tuple(standings))


def _judged_alone(record: Record, plan: PlannedPlacement, person: Person) -> Verdict:
    part, mix = record.parts.get(plan.part_id), record.mix(plan.mix_revision_id)
    if part is None or mix is None:
        return not_on_record("part" if part is None else "mix")
    demand = record.demand(part, mix, method=Method(plan.method), rig=plan.rig)
    return record.standing(person.operator.pk, demand, start=plan.starts_at)


def _rows(
    record: Hindsight,
    rows: list[PlannedPlacement],
    known_at: datetime,
    at: datetime | None = None,
    *,
    only: str = "",
) -> Iterator[PlanRow]:
    on_it = on_plans(record.job, known_at=known_at)
    named = _named(rows, on_it)
    refusals: dict[UUID, list[Eligibility]] = defaultdict(list)
    frozen = Eligibility.objects.filter(job=record.job, moment=Moment.PLAN)
    for row in frozen.filter(recorded_at__lte=known_at).order_by("recorded_at", "id"):
        if row.planned_id is not None:
            refusals[row.planned_id].append(row)
    for plan in rows:
        if only not in ("", plan.code):
            continue
        chain = record.part_chains.get(plan.part_id)
        ahead = at is None or plan.starts_at >= at
        yield PlanRow(
            row=plan,
            part=record.parts.known(chain, at=known_at) if chain else None,
            mix=record.mixes.known(plan.mix_revision_id, at=known_at),
            operators=tuple(
                _on_plan(record, plan, one, known_at, named=named, ask_since=ahead)
                for one in on_it[plan.first]
            ),
            refused=tuple(
                Refusal(one, record.people[one.operator_id], thawed(one.verdict))
                for one in refusals[plan.first]
            ),
        )


def _named(
    rows: Iterable[PlannedPlacement], on_it: dict[UUID, list[PlannedOperator]]
) -> dict[UUID | None, list[PlanStart]]:
    """Return on which plans each person is named, to shoot or to stand beside."""
    found: dict[UUID | None, list[PlanStart]] = defaultdict(list)
    for plan in rows:
        for one in on_it[plan.first]:
            for pk in (one.operator_id, one.supervisor_id):
                found[pk].append(PlanStart(plan.code, plan.starts_at))
    return found


def _on_plan(
    record: Hindsight,
    plan: PlannedPlacement,
    row: PlannedOperator,
    known_at: datetime,
    *,
    named: dict[UUID | None, list[PlanStart]],
    ask_since: bool,
) -> OnPlan:
    verdict = _known_then(record, plan, row, known_at)
    lost = None
    if ask_since and not may_be_assigned(verdict):
        lost = _lost_at(record, plan, row, known_at, verdict)
    person = record.people[row.operator_id]
    supervisor = record.people.get(row.supervisor_id) if row.supervisor_id else None
    here = PlanStart(plan.code, plan.starts_at)
    too = tuple(
        (one, other)
        for one in (person, supervisor)
        if one is not None
        for other in named_too(here, named[one.operator.pk])
    )
    return OnPlan(row, person, supervisor, verdict, lost, too)


def _known_then(
    record: Hindsight, plan: PlannedPlacement, row: PlannedOperator, at: datetime
) -> Verdict:
    """Judge an assigned operator for a plan as it stands, with an instant's knowledge."""
    people = [pk for pk in (row.operator_id, row.supervisor_id) if pk is not None]
    known = record.record(at=at, operators=people, parts=[plan.part_id])
    return _judged(known, plan, row.operator_id, row.supervisor_id)


def _lost_at(
    record: Hindsight,
    plan: PlannedPlacement,
    row: PlannedOperator,
    known_at: datetime,
    verdict: Verdict,
) -> datetime:
    """Return the instant at which a fact was recorded that took the standing away.

    Looked for from the latest fact back: the last time that it turned is told. What was
    shot is recorded daily, and asked only where it can have turned anything.
    """
    since = max(row.recorded_at, plan.recorded_at)
    shots = row.supervisor_id is not None
    shots = shots or any(reason.key == "activity" for reason in verdict.unmet)
    instants: set[datetime] = {
        fact.recorded_at
        for fact in (
            *record.parts,
            *record.mixes,
            *record.equivalences,
            *record.waivers,
            *record.terms,
            *record.ratings,
            *record.rated,
            *_facts_of(record, row.operator_id, shots=shots),
            *_facts_of(record, row.supervisor_id, shots=shots),
        )
    }
    turned = sorted((at for at in instants if since < at <= known_at), reverse=True)
    for at in turned:
        if may_be_assigned(_known_then(record, plan, row, at - _MICROSECOND)):
            return at
    return since


def _facts_of(
    record: Hindsight, operator: UUID | None, *, shots: bool
) -> Iterator[FactVersion]:
    person = record.people.get(operator) if operator else None
    if person is None:
        return
    file = person.file
    yield from (*file.cards, *file.enrolments, *file.suspensions)
    if shots:
        yield from file.shots
    for mock_up in file.mock_ups:
        yield mock_up
        yield from mock_up.decisions


def planned_work(
    record: Record, rows: Iterable[PlannedPlacement], known_at: datetime
) -> tuple[Planned, ...]:
    """Return plans as the domain knows them; what is asked must be on record. One query."""
    on_it = on_plans(record.job, known_at=known_at)
    names = {person.operator.pk: person.ref for person in record.people}
    found = []
    for row in rows:
        part = record.parts.get(row.part_id)
        mix = record.mix(row.mix_revision_id)
        if part is None or mix is None:
            continue
        people = on_it[row.first]
        found.append(
            Planned(
                code=row.code,
                part=row.part.code,
                starts_at=row.starts_at,
                demand=record.demand(part, mix, method=Method(row.method), rig=row.rig),
                terms=record.terms(record.job.local(row.starts_at).date()),
                operators=tuple(
                    Assigned(
                        names[one.operator_id],
                        names.get(one.supervisor_id) if one.supervisor_id else None,
                    )
                    for one in people
                    if one.operator_id in names
                ),
            )
        )
    return tuple(found)
