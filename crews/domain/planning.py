"""Planned work: who may be assigned to it, and which endings come before it begins."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from crews.domain.demand import Demand
from crews.domain.endings import Ending, EndingKind
from crews.domain.gates import gates
from crews.domain.operator_file import OperatorFile
from crews.domain.qualification import standing
from crews.domain.supervision import Watch
from project.domain.clocks import Interval
from project.domain.terms import Terms
from project.domain.verdict import Known, Reason, Ref, Source, State, Verdict

# Nobody publishes how planned work is assigned.
SOURCE = Source("assignment to planned work", known=Known.PROJECT)

# A plan says when work begins and not how long it takes: two that begin closer than this
# are of one hour.
ONE_HOUR = timedelta(hours=1)

# Which gates an ending may shut; those of a card are one question, its level the other
# half. The end of an order opens a gate and shuts none.
_SHUTS: Mapping[EndingKind, tuple[tuple[str, ...], ...]] = {
    EndingKind.CARD: (("card", "level"),),
    EndingKind.PLACE: (("enrolment",),),
    EndingKind.IDLE: (("activity",),),
    EndingKind.WAIVER: (("mock-up",), ("activity",)),
    EndingKind.SUSPENSION: (),
}
_OPEN = (State.PASS, State.CONDITION, State.INFORMATION)


@dataclass(frozen=True, slots=True)
class Assigned:
    """One operator of planned work, and who is named to stand beside them."""

    operator: Ref
    supervisor: Ref | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """Work that is meant to be shot: when it begins, what it asks, who is assigned.

    `terms` are those in force on the local date it begins. Source: the record's own.

    >>> from crews.domain import examples
    >>> examples.planned().code
    'PLAN-01'
    """

    code: str
    part: str
    starts_at: datetime
    demand: Demand
    terms: Terms | None
    operators: tuple[Assigned, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanStart:
    """A plan on which somebody is named, to shoot or to stand beside, and its start.

    Source: the record's own.

    >>> from crews.domain import examples
    >>> PlanStart("PLAN-01", examples.AT).plan
    'PLAN-01'
    """

    plan: str
    starts_at: datetime


def named_too(here: PlanStart, named: Iterable[PlanStart]) -> tuple[PlanStart, ...]:
    """Return the other plans of one hour that name the same person, the first on top.

    Parameters
    ----------
    here
        The plan that is looked at.
    named
        Every plan that names the person, this one too, as known at one instant.

    Nobody is in two places at once; but who is on one plan may take turns on it, so a
    plan says nothing against itself. Exactly an hour apart are two hours. Source:
    project's choice, no published rule found. Raises nothing.

    >>> from crews.domain import examples
    >>> here = PlanStart("PLAN-01", examples.AT)
    >>> named_too(here, [here, PlanStart("PLAN-02", examples.AT + ONE_HOUR)])
    ()
    """
    near = {
        other
        for other in named
        if other.plan != here.plan and abs(other.starts_at - here.starts_at) < ONE_HOUR
    }
    return tuple(sorted(near, key=lambda other: (other.starts_at, other.plan)))


def assignment(verdict: Verdict, *, supervisor: Ref | None) -> Verdict:
    """Return an operator's standing at the start of planned work as a word on the plan.

    Parameters
    ----------
    verdict
        By `standing`, judged with the supervisor beside the operator where one is named.
    supervisor
        Who is named, or nobody.

    Under a condition somebody must be named: without a name this is one reason more, and
    it fails. Whoever is named and may not supervise has failed a gate already. Raises
    nothing. Source: assignment is blocked, recording never (project's choice).

    >>> free = Verdict(State.PASS, "every gate holds")
    >>> assignment(free, supervisor=None) is free
    True
    >>> under = Verdict(State.CONDITION, "every gate holds")
    >>> assignment(under, supervisor=None).failed[0].found
    'nobody is named'
    """
    if verdict.state is not State.CONDITION or supervisor is not None:
        return verdict
    missing = Reason(
        key="supervisor",
        requirement="a named supervisor, qualified on record, for whoever shoots under"
        " a condition",
        state=State.FAIL,
        found="nobody is named",
        source=SOURCE,
    )
    return replace(verdict, state=State.FAIL, reasons=(*verdict.reasons, missing))


def may_be_assigned(verdict: Verdict) -> bool:
    """Say whether an `assignment` lets the operator be put on the plan.

    What is undecided is no pass. Source: as `assignment`. Raises nothing.

    >>> may_be_assigned(Verdict(State.UNDECIDED, "every gate holds"))
    False
    """
    return verdict.state in (State.PASS, State.CONDITION)


def to_assign_anew(
    plan: Planned, *, files: Mapping[str, OperatorFile], zone: str
) -> tuple[Assigned, ...]:
    """Return those assigned to planned work who may be so no longer, as known by now.

    Parameters
    ----------
    plan
        As known at one instant.
    files
        Each operator's file by the operator's identity, as known then; of whoever has
        none, nothing is on record.
    zone
        The job's.

    Source: as `assignment`. Raises as `standing` does.

    >>> from crews.domain import examples
    >>> file = examples.operator_file()
    >>> to_assign_anew(examples.planned(), files={file.operator.id: file},
    ...                zone=examples.ZONE)
    ()
    """
    take = Interval(plan.starts_at, None, zone)

    def stands(one: Assigned) -> bool:
        beside = files.get(one.supervisor.id) if one.supervisor else None
        verdict = standing(
            files.get(one.operator.id) or OperatorFile(operator=one.operator),
            plan.demand,
            interval=take,
            watch=None if beside is None else Watch(supervisor=beside),
            terms=plan.terms,
        )
        named = None if beside is None else one.supervisor
        return may_be_assigned(assignment(verdict, supervisor=named))

    return tuple(one for one in plan.operators if not stands(one))


def plans_reached(
    ending: Ending,
    plans: Sequence[Planned],
    *,
    files: Mapping[str, OperatorFile],
    zone: str,
) -> tuple[Planned, ...]:
    """Return the planned work that an ending comes before and shuts somebody out of.

    Parameters
    ----------
    ending
        By `endings`, as known at one instant.
    plans
        Planned work, as known at the same instant, in any order.
    files
        Each operator's file by the operator's identity, as known then.
    zone
        The job's.

    An ending reaches a plan where its operator is assigned or named beside one, it lies
    before the start, and the gate it belongs to holds on its last instant and no longer
    at the start. So a dry-mix card says nothing of wet-mix work, and what is followed by
    another ends nothing. The first plan is on top. Raises as `gates` does. Source: the
    records' own dates (project's choice).

    >>> from crews.domain import examples
    >>> file = examples.operator_file()
    >>> plans_reached(examples.ending(), [examples.planned()],
    ...               files={file.operator.id: file}, zone=examples.ZONE)
    ()
    """
    ahead = (plan for plan in plans if ending.until < plan.starts_at)
    reached = [plan for plan in ahead if _reaches(ending, plan, files, zone)]
    return tuple(sorted(reached, key=lambda plan: (plan.starts_at, plan.code)))


def _reaches(
    ending: Ending, plan: Planned, files: Mapping[str, OperatorFile], zone: str
) -> bool:
    if ending.operator is None:
        return plan.demand.mix.ref.id == ending.ref.id
    named = {
        ref.id
        for one in plan.operators
        for ref in (one.operator, one.supervisor)
        if ref is not None
    }
    file = files.get(ending.operator.id)
    if file is None or ending.operator.id not in named:
        return False
    then = _gates_at(ending.until, plan, file, zone)
    at_start = _gates_at(plan.starts_at, plan, file, zone)
    return any(_shuts(then, at_start, keys) for keys in _SHUTS[ending.kind])


def _gates_at(
    at: datetime, plan: Planned, file: OperatorFile, zone: str
) -> dict[str, State]:
    take = Interval(at, None, zone)
    found = gates(file, plan.demand, interval=take, watch=None, terms=plan.terms)
    return {reason.key: reason.state for reason in found}


def _shuts(
    then: Mapping[str, State], at_start: Mapping[str, State], keys: Sequence[str]
) -> bool:
    """Say whether gates that were open are so no longer, or only under a condition."""
    if not all(then[key] in _OPEN for key in keys):
        return False
    return any(
        at_start[key] not in _OPEN
        or (at_start[key] is State.CONDITION is not then[key])
        for key in keys
    )
