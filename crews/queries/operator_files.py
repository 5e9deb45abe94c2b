"""The files of a job's operators: all versions, read once, known at any instant."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import Protocol, TypeVar
from uuid import UUID

from django.db.models import Model, QuerySet

from crews.domain.activity import Shot
from crews.domain.mock_up import Decision, MockUp
from crews.domain.operator_file import OperatorFile
from crews.domain.trade_words import DecisionOutcome, Method, PanelKind
from crews.models import (
    Certification,
    Enrolment,
    Experience,
    NozzleTime,
    Operator,
    Panel,
    PanelJudgement,
    Suspension,
)
from project.domain.reinforcement import stored
from project.domain.roles import OWN_FIRM_ONLY, Role
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Ref
from project.models import Job, Membership, MixRevision
from project.models.records import as_quantity

R = TypeVar("R", bound=Model)

# What is asked of a nozzle time and of a word on a mock-up; both tables are wide.
_VERSION = ("pk", "recorded_at", "supersedes_id", "withdrawn")
_TIME = (
    *(*_VERSION, "first", "operator_id", "started_at"),
    *("placement__code", "placement__mix_revision__process"),
)
_WORD = (
    *(*_VERSION, "panel_id", "decided_at", "decision", "words"),
    "recorded_by__user__printed_name",
)


@dataclass(frozen=True, slots=True)
class Person:
    """An operator on a job: the code of their place, and their file, all versions."""

    operator: Operator
    code: str
    file: OperatorFile

    @property
    def ref(self) -> Ref:
        return self.file.operator


def own_firm(member: Membership | None) -> UUID | None:
    """Return the firm to which a member's reads are narrowed, or nothing."""
    narrowed = member is not None and Role(member.role) in OWN_FIRM_ONLY
    return member.organization_id if member and narrowed else None


def people_on(
    job: Job,
    *,
    for_member: Membership | None = None,
    operators: Iterable[Operator] | None = None,
) -> list[Person]:
    """Return the job's operators with their files, by code. Eight queries.

    A place that went over to another firm, or a mock-up that turned out somebody
    else's, is withdrawn from this file: the version before would stand again if the
    one that supersedes it were left out.
    """
    every = Enrolment.objects.filter(job=job)
    places = every.select_related("operator", "employer")
    firm = own_firm(for_member)
    if firm is not None:
        places = places.filter(first__in=every.filter(employer=firm).values("first"))
    if operators is not None:
        places = places.filter(operator__in=[operator.pk for operator in operators])
    enrolments = defaultdict(list)
    found: dict[UUID, tuple[Operator, str]] = {}
    for place in _as_recorded(places):
        gone = place.withdrawn or firm not in (None, place.employer_id)
        enrolments[place.operator_id].append(replace(place.facts(), withdrawn=gone))
        found.setdefault(place.operator_id, (place.operator, place.code))
    ids = list(found)
    cards = defaultdict(list)
    for card in _as_recorded(Certification.objects.filter(operator__in=ids)):
        cards[card.operator_id].append(card.facts())
    orders = defaultdict(list)
    given = Suspension.objects.filter(job=job, operator__in=ids).order_by()
    for order in sorted(given, key=attrgetter("from_at", "recorded_at")):
        orders[order.operator_id].append(order.facts())
    refs = {pk: operator.ref(code) for pk, (operator, code) in found.items()}
    mock_ups = _mock_ups(job, refs)
    shots = _shots(job, ids, mock_ups)
    people = [
        Person(
            operator=operator,
            code=code,
            file=OperatorFile(
                operator=refs[pk],
                cards=tuple(cards[pk]),
                enrolments=tuple(enrolments[pk]),
                mock_ups=tuple(mock_ups[pk]),
                suspensions=tuple(orders[pk]),
                shots=tuple(shots[pk]),
            ),
        )
        for pk, (operator, code) in found.items()
    ]
    return sorted(people, key=lambda person: person.code)


def _as_recorded(rows: QuerySet[R]) -> list[R]:
    """Return rows as they came to be known; Django takes longer to say it in SQL."""
    return sorted(rows.order_by(), key=attrgetter("recorded_at"))


class _Mix(Protocol):
    """What never changes of a mix revision."""

    code: str
    revision: int
    process: str


def _mock_ups(job: Job, operators: dict[UUID, Ref]) -> dict[UUID, list[MockUp]]:
    """Return every version of every mock-up that was ever an operator's."""
    made = Panel.objects.filter(job=job, panel_kind=PanelKind.MOCK_UP)
    theirs = made.filter(operator__in=list(operators)).values("first")
    chains: dict[UUID, list[Panel]] = defaultdict(list)
    versions = made.filter(first__in=theirs).select_related("rig")
    for panel in _as_recorded(versions):
        chains[panel.first].append(panel)
    decisions = _decisions(chains)
    # A revision's code, number and process never change from version to version.
    revisions = MixRevision.objects.filter(job=job, supersedes=None).order_by()
    named = revisions.values_list("pk", "code", "revision", "process", named=True)
    mixes = {mix.pk: mix for mix in named}
    found: dict[UUID, list[MockUp]] = defaultdict(list)
    for first, chain in chains.items():
        for pk in operators.keys() & {panel.operator_id for panel in chain}:
            for panel in chain:
                one = mock_up_of(
                    panel,
                    operator=operators[pk],
                    mix=mixes[panel.mix_revision_id],
                    decisions=decisions.get(first, ()),
                )
                gone = one.withdrawn or panel.operator_id != pk
                found[pk].append(replace(one, withdrawn=gone))
    return found


def _shots(
    job: Job, ids: list[UUID], mock_ups: dict[UUID, list[MockUp]]
) -> dict[UUID, list[Shot]]:
    """Return what each operator is known to have shot: here, and as stated before."""
    found: dict[UUID, list[Shot]] = defaultdict(list)
    for stated in _as_recorded(Experience.objects.filter(operator__in=ids)):
        found[stated.operator_id].append(stated.shot(job.zone))
    for pk, made in mock_ups.items():
        found[pk].extend(_shooting(mock_up) for mock_up in made)
    chains: dict[UUID, list[tuple[UUID, Shot]]] = defaultdict(list)
    theirs = NozzleTime.objects.filter(job=job, operator__in=ids).values("first")
    times = NozzleTime.objects.filter(first__in=theirs).order_by()
    rows = times.values_list(*_TIME, named=True)
    for row in sorted(rows, key=attrgetter("started_at", "recorded_at")):
        shot = Shot(
            id=row.pk,
            recorded_at=row.recorded_at,
            supersedes=row.supersedes_id,
            withdrawn=row.withdrawn,
            process=Process(row.placement__mix_revision__process),
            begun=row.started_at,
            name=row.placement__code,
        )
        chains[row.first].append((row.operator_id, shot))
    for chain in chains.values():
        for pk in {whose for whose, _shot in chain}.intersection(ids):
            for whose, shot in chain:
                # A time that turned out another's is taken back from this file.
                gone = shot.withdrawn or whose != pk
                found[pk].append(replace(shot, withdrawn=gone) if gone else shot)
    return found


def _shooting(mock_up: MockUp) -> Shot:
    return Shot(
        id=mock_up.id,
        recorded_at=mock_up.recorded_at,
        supersedes=mock_up.supersedes,
        withdrawn=mock_up.withdrawn,
        process=mock_up.process,
        begun=mock_up.shot_from or mock_up.recorded_at,
        kind="panel",
        name=mock_up.code,
    )


def mock_up_of(
    panel: Panel,
    *,
    operator: Ref,
    mix: _Mix,
    decisions: Iterable[Decision],
) -> MockUp:
    """Return a mock-up as the gates compare it."""
    rig = panel.rig
    return MockUp(
        id=panel.pk,
        recorded_at=panel.recorded_at,
        supersedes=panel.supersedes_id,
        withdrawn=panel.withdrawn,
        code=panel.code,
        operator=operator,
        mix_code=mix.code,
        mix_revision=mix.revision,
        process=Process(mix.process),
        method=Method(panel.method),
        position=Position(panel.position),
        rig=None if rig is None else rig.ref,
        reinforcement=stored(panel.reinforcement),
        thickness=as_quantity(panel.thickness, panel.thickness_unit),
        shared=panel.shared_with_id is not None,
        mock_up_class=panel.mockup_class,
        decisions=tuple(decisions),
        first=str(panel.first),
        shot_from=panel.shot_from,
    )


def _decisions(panels: Iterable[UUID]) -> dict[UUID, list[Decision]]:
    made = PanelJudgement.objects.filter(panel__in=set(panels)).order_by()
    rows = made.values_list(*_WORD, named=True)
    found: dict[UUID, list[Decision]] = defaultdict(list)
    for row in sorted(rows, key=attrgetter("decided_at", "recorded_at")):
        found[row.panel_id].append(
            Decision(
                id=row.pk,
                recorded_at=row.recorded_at,
                supersedes=row.supersedes_id,
                withdrawn=row.withdrawn,
                outcome=DecisionOutcome(row.decision),
                decided_at=row.decided_at,
                decided_by=row.recorded_by__user__printed_name,
                words=row.words,
            )
        )
    return found
