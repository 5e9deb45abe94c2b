"""The files of a job's operators: all versions, read once, known at any instant."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from operator import attrgetter
from uuid import UUID

from django.db.models import Q

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
from project.queries.chains import Chains
from project.queries.jobs import mix_chains

# What is asked of each table, put together once: half of what a small query takes is
# Django putting it together. Unordered: few rows are sorted faster here than in SQL.
_PLACES = Enrolment.objects.select_related("operator", "employer").order_by()
_CARDS = Certification.objects.for_facts("operator").order_by()
_ORDERS = Suspension.objects.for_facts("operator").order_by()
_STATED = Experience.objects.for_facts("operator").order_by()
_MOCK_UPS = Panel.objects.filter(panel_kind=PanelKind.MOCK_UP).for_facts().order_by()
_VERSION = ("pk", "recorded_at", "supersedes_id", "withdrawn")
_TIMES = NozzleTime.objects.order_by().values_list(
    *(*_VERSION, "first", "operator_id", "started_at"),
    *("placement__code", "placement__mix_revision__process"),
    named=True,
)
_WORDS = PanelJudgement.objects.order_by().values_list(
    *(*_VERSION, "panel_id", "decided_at", "decision", "words"),
    "recorded_by__user__printed_name",
    named=True,
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
    mixes: Chains[MixRevision] | None = None,
) -> list[Person]:
    """Return the job's operators with their files, by code. Eight queries.

    One fewer where the job's `mixes` are on hand.

    A place that went over to another firm, or a mock-up or nozzle time that turned out
    somebody else's, is withdrawn from this file: the version before would stand again if the
    one that supersedes it were left out.
    """
    places = _PLACES.filter(job=job)
    firm = own_firm(for_member)
    if firm is not None:
        every = Enrolment.objects.filter(job=job)
        places = places.filter(first__in=every.filter(employer=firm).values("first"))
    if operators is not None:
        places = places.filter(operator__in=[operator.pk for operator in operators])
    enrolments = defaultdict(list)
    found: dict[UUID, tuple[Operator, str]] = {}
    for place in sorted(places, key=_by_time):
        gone = place.withdrawn or firm not in (None, place.employer_id)
        enrolments[place.operator_id].append(replace(place.facts(), withdrawn=gone))
        found.setdefault(place.operator_id, (place.operator, place.code))
    ids = list(found)
    cards = defaultdict(list)
    for card in sorted(_CARDS.filter(operator__in=ids), key=_by_time):
        cards[card.operator_id].append(card.facts())
    orders = defaultdict(list)
    given = _ORDERS.filter(job=job, operator__in=ids)
    for order in sorted(given, key=attrgetter("from_at", "recorded_at")):
        orders[order.operator_id].append(order.facts())
    refs = {pk: operator.ref(code) for pk, (operator, code) in found.items()}
    mock_ups = _mock_ups(job, refs, mix_chains(job) if mixes is None else mixes)
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


_by_time = attrgetter("recorded_at")


def ever_of(model: type[Panel | NozzleTime], job: Job, operators: Iterable[UUID]) -> Q:
    """Ask for every version of what was ever one of some operators' on a job.

    The version before would stand again if the one that supersedes it were left out.
    """
    own = model.objects.filter(job=job, operator__in=list(operators)).order_by()
    return Q(first__in=own.values("first"))


def _mock_ups(
    job: Job, operators: dict[UUID, Ref], mixes: Chains[MixRevision]
) -> dict[UUID, list[MockUp]]:
    """Return every version of every mock-up that was ever an operator's."""
    chains: dict[UUID, list[Panel]] = defaultdict(list)
    made = _MOCK_UPS.filter(ever_of(Panel, job, operators))
    for panel in sorted(made, key=_by_time):
        chains[panel.first].append(panel)
    decisions = _decisions(chains)
    found: dict[UUID, list[MockUp]] = defaultdict(list)
    for first, chain in chains.items():
        for pk in operators.keys() & {panel.operator_id for panel in chain}:
            for panel in chain:
                one = mock_up_of(
                    panel,
                    operator=operators[pk],
                    # Its code, number and process are those of every version.
                    mix=mixes.versions(panel.mix_revision_id)[0],
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
    for stated in sorted(_STATED.filter(operator__in=ids), key=_by_time):
        found[stated.operator_id].append(stated.shot(job.zone))
    for pk, made in mock_ups.items():
        found[pk].extend(_shooting(mock_up) for mock_up in made)
    chains: dict[UUID, list[tuple[UUID, Shot]]] = defaultdict(list)
    times = _TIMES.filter(ever_of(NozzleTime, job, ids))
    for row in sorted(times, key=attrgetter("started_at", "recorded_at")):
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
    mix: MixRevision,
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
    rows = _WORDS.filter(panel__in=set(panels))
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
