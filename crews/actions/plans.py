"""Planned placements: what is meant to be shot, and who is assigned to it.

Assignment is blocked, recording never: whoever is not qualified on record when the work
begins is not assigned, and that refusal is frozen with its evidence in the same act.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from crews.actions.checks import code_or_next, for_firm, in_force, rekeyed, shown
from crews.domain.planning import may_be_assigned
from crews.domain.trade_words import Method, Moment
from crews.models import (
    Eligibility,
    Enrolment,
    Operator,
    PlannedOperator,
    PlannedPlacement,
    Rig,
)
from crews.queries.plans import assignment_on
from crews.queries.qualification import Record, qualification_record
from project.actions.abilities import require
from project.actions.checks import of_job, refuse, sent_before
from project.audit import Deed, act
from project.domain.frozen import evidence_of, frozen
from project.domain.identity import derived
from project.domain.roles import Ability
from project.domain.verdict import Verdict
from project.models import ElementPart, Job, Membership, MixRevision, Organization

# A start further ahead than this is a mistyped year: project's choice.
FURTHEST = timedelta(days=731)


@dataclass(frozen=True, slots=True)
class Asked:
    """An operator wanted for planned work, and who is to stand beside them."""

    operator: Operator
    supervisor: Operator | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """A plan as it stands now, who was assigned to it, and who was refused and why."""

    planned: PlannedPlacement
    assigned: tuple[PlannedOperator, ...] = ()
    refused: tuple[Eligibility, ...] = ()


def plan_placement(
    *,
    id: UUID,
    by: Membership,
    part: ElementPart,
    mix: MixRevision,
    starts_at: datetime,
    rig: Rig | None = None,
    method: Method = Method.HAND,
    operators: Sequence[Asked] = (),
    code: str = "",
) -> Outcome:
    """Plan that a part is shot with a mix from an instant on, and assign operators.

    The plan is kept whatever the record says of the operators.
    """
    require(by, Ability.PLAN_WORK)
    job, firm = by.job, by.organization
    of_job(job, part=part, mix=mix)
    _of_firm(firm, "rig", rig)
    for n, asked in enumerate(operators, start=1):
        with rekeyed(f"operators.{n}"):
            _may_be_asked(job, firm, asked, operators[: n - 1])
    with act(on=job, by=by, verb="plan.made", also=(firm,)) as deed:
        before = sent_before(deed, PlannedPlacement, id, job_id=job.pk)
        if before is not None:
            return _as_sent(before)
        _ahead(starts_at, deed, job)
        taken = PlannedPlacement.objects.filter(job=job).values_list("code", flat=True)
        planned = deed.add(
            PlannedPlacement(
                id=id,
                job=job,
                organization=firm,
                code=code_or_next(code, prefix="PLAN", taken=taken, width=2),
                part=part,
                mix_revision_id=mix.first,
                rig=rig,
                method=method,
                starts_at=starts_at,
            )
        )
        return _assigned(
            deed, planned, [(_row_id(planned, one), one) for one in operators]
        )


def assign_operator(
    *,
    id: UUID,
    by: Membership,
    planned: PlannedPlacement,
    operator: Operator,
    supervisor: Operator | None = None,
) -> Outcome:
    """Assign an operator to planned work, or freeze why they are refused."""
    asked = Asked(operator, supervisor)
    job, firm = _own_plan(by, planned)
    _may_be_asked(job, firm, asked)
    with act(on=job, by=by, verb="plan.operator_asked", also=(firm,)) as deed:
        if sent_before(deed, PlannedOperator, id, job_id=job.pk) or sent_before(
            deed, Eligibility, derived(id, Moment.PLAN), job_id=job.pk
        ):
            return _as_sent(planned)
        planned = in_force(planned)
        _ahead(planned.starts_at, deed, job)
        on_it = _on(planned).filter(operator=operator)
        if on_it.exists():
            message = _("%(operator)s is assigned to %(plan)s already.")
            refuse("operator", message, operator=operator, plan=planned)
        return _assigned(deed, planned, [(id, asked)])


def take_off_plan(
    *, id: UUID, by: Membership, assigned: PlannedOperator, reason: str
) -> PlannedOperator:
    """Take an operator off planned work; that they were assigned stays readable."""
    job, firm = _own_plan(by, assigned.planned)
    of_job(job, assigned=assigned)
    with act(on=job, by=by, verb="plan.operator_taken_off", also=(firm,)) as deed:
        before = sent_before(deed, PlannedOperator, id, job_id=job.pk)
        if before is not None:
            return before
        row = in_force(assigned)
        return deed.supersede(row, row.revised(id=id, withdrawn=True), reason=reason)


def move_plan(
    *,
    id: UUID,
    by: Membership,
    planned: PlannedPlacement,
    starts_at: datetime,
    mix: MixRevision,
    reason: str,
    rig: Rig | None = None,
    method: Method = Method.HAND,
) -> Outcome:
    """Put planned work at another time, or with another mix, rig or method.

    Everybody assigned is judged anew for it. Who is no longer qualified on record is
    taken off, and the refusal frozen.
    """
    job, firm = _own_plan(by, planned)
    of_job(job, mix=mix)
    _of_firm(firm, "rig", rig)
    with act(on=job, by=by, verb="plan.moved", also=(firm,)) as deed:
        before = sent_before(deed, PlannedPlacement, id, job_id=job.pk)
        if before is not None:
            return _as_sent(before)
        _ahead(starts_at, deed, job)
        old = in_force(planned)
        moved = old.revised(id=id, starts_at=starts_at, rig=rig, method=method)
        moved.mix_revision_id = mix.first
        return _judged_anew(deed, deed.supersede(old, moved, reason=reason))


def withdraw_plan(
    *, id: UUID, by: Membership, planned: PlannedPlacement, reason: str
) -> PlannedPlacement:
    """Take back what was planned; it stays readable as known before."""
    job, firm = _own_plan(by, planned)
    with act(on=job, by=by, verb="plan.withdrawn", also=(firm,)) as deed:
        before = sent_before(deed, PlannedPlacement, id, job_id=job.pk)
        if before is not None:
            return before
        old = in_force(planned)
        return deed.supersede(old, old.revised(id=id, withdrawn=True), reason=reason)


def _own_plan(by: Membership, planned: PlannedPlacement) -> tuple[Job, Organization]:
    """Let in the firm whose plan it is, and no other."""
    require(by, Ability.PLAN_WORK)
    of_job(by.job, planned=planned)
    for_firm(by, planned.organization_id)
    return by.job, planned.organization


def _of_firm(firm: Organization, field: str, row: Rig | Operator | None) -> None:
    if row is not None and row.organization_id != firm.pk:
        refuse(field, _("%(row)s is not of %(firm)s."), row=row, firm=firm)


def _may_be_asked(
    job: Job, firm: Organization, asked: Asked, before: Sequence[Asked] = ()
) -> None:
    """Refuse whom no record can speak of: another firm's, not on the job, named twice."""
    people = {"operator": asked.operator, "supervisor": asked.supervisor}
    for field, person in people.items():
        if person is None:
            continue
        _of_firm(firm, field, person)
        if not Enrolment.objects.filter(job=job, operator=person).exists():
            refuse(field, _("%(person)s is not on this job."), person=person)
    if asked.operator == asked.supervisor:
        message = _("%(person)s; allowed is somebody else than the operator.")
        refuse("supervisor", message, person=asked.supervisor)
    if any(one.operator == asked.operator for one in before):
        message = _("%(person)s is named twice; allowed is once.")
        refuse("operator", message, person=asked.operator)


def _ahead(starts_at: datetime, deed: Deed, job: Job) -> None:
    """Refuse a start that has passed, or one that nobody plans for."""
    told = {"start": shown(starts_at, job), "now": shown(deed.at, job)}
    if starts_at <= deed.at:
        message = _("%(start)s has passed; allowed is later than now, %(now)s.")
        refuse("starts_at", message, **told)
    if starts_at > deed.at + FURTHEST:
        told["last"] = shown(deed.at + FURTHEST, job)
        message = _("%(start)s lies too far ahead; allowed is up to %(last)s.")
        refuse("starts_at", message, **told)


def _row_id(planned: PlannedPlacement, asked: Asked) -> UUID:
    return derived(planned.pk, str(asked.operator.pk))


def _on(planned: PlannedPlacement) -> QuerySet[PlannedOperator]:
    """Return who is assigned to a plan now."""
    gone = PlannedOperator.objects.exclude(supersedes=None).values("supersedes")
    rows = PlannedOperator.objects.filter(planned=planned.first, withdrawn=False)
    return rows.exclude(pk__in=gone).select_related("operator", "supervisor")


def _as_sent(planned: PlannedPlacement) -> Outcome:
    """Return what stands of a plan whose request came a second time."""
    refusals = Eligibility.objects.filter(planned=planned.first, moment=Moment.PLAN)
    return Outcome(planned, tuple(_on(planned)), tuple(refusals))


def _record(deed: Deed, planned: PlannedPlacement, people: Sequence[Asked]) -> Record:
    named = {one.operator for one in people}
    named |= {one.supervisor for one in people if one.supervisor is not None}
    return qualification_record(planned.job, known_at=deed.at, operators=named)


def _assigned(
    deed: Deed, planned: PlannedPlacement, asked: Sequence[tuple[UUID, Asked]]
) -> Outcome:
    """Judge each operator for the start of the work; assign them, or freeze why not."""
    record = _record(deed, planned, [one for _id, one in asked])
    assigned, refused = [], []
    for id, one in asked:
        verdict = assignment_on(record, planned, one.operator, one.supervisor)
        if may_be_assigned(verdict):
            row = PlannedOperator(
                id=id,
                job=planned.job,
                planned_id=planned.first,
                operator=one.operator,
                supervisor=one.supervisor,
            )
            assigned.append(deed.add(row))
        else:
            refused.append(_frozen(deed, id, planned, one, verdict, record))
    return Outcome(planned, tuple(assigned), tuple(refused))


def _judged_anew(deed: Deed, planned: PlannedPlacement) -> Outcome:
    """Judge whoever is on a plan for how it stands now."""
    rows = list(_on(planned))
    asked = [Asked(row.operator, row.supervisor) for row in rows]
    record = _record(deed, planned, asked)
    kept, refused = [], []
    for row, one in zip(rows, asked, strict=True):
        verdict = assignment_on(record, planned, one.operator, one.supervisor)
        if may_be_assigned(verdict):
            kept.append(row)
            continue
        id = _row_id(planned, one)
        off = row.revised(id=id, withdrawn=True)
        deed.supersede(row, off, reason=_("Refused for the plan as it was moved."))
        refused.append(_frozen(deed, id, planned, one, verdict, record))
    return Outcome(planned, tuple(kept), tuple(refused))


def _frozen(
    deed: Deed,
    id: UUID,
    planned: PlannedPlacement,
    asked: Asked,
    verdict: Verdict,
    record: Record,
) -> Eligibility:
    """Keep a refusal with everything it rested on."""
    terms = record.terms_row(planned.job.local(planned.starts_at).date())
    rows = (record.parts.get(planned.part_id), terms, planned)
    rested_on = [[ref.kind, ref.id] for ref in evidence_of(verdict)]
    rested_on += [[row.kind, str(row.pk)] for row in rows if row is not None]
    return deed.add(
        Eligibility(
            id=derived(id, Moment.PLAN),
            job=planned.job,
            operator=asked.operator,
            part_id=planned.part_id,
            mix_revision_id=planned.mix_revision_id,
            method=planned.method,
            rig_id=planned.rig_id,
            moment=Moment.PLAN,
            planned_id=planned.first,
            as_of=planned.starts_at,
            known_at=deed.at,
            state=verdict.state,
            verdict=frozen(verdict),
            evidence=rested_on,
            terms_number=terms.number if terms else None,
        )
    )
