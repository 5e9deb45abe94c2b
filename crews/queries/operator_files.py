"""The files of a job's operators: all versions, read once, known at any instant."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from crews.domain.mockup_coverage import Decision, MockUp
from crews.domain.operator_file import OperatorFile
from crews.domain.trade_words import DecisionOutcome, Method, PanelKind
from crews.models import (
    Certification,
    Enrolment,
    Operator,
    Panel,
    PanelJudgement,
    Suspension,
)
from project.domain.reinforcement import Reinforcement
from project.domain.roles import OWN_FIRM_ONLY, Role
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Ref
from project.models import Job, Membership, MixRevision
from project.models.records import as_quantity


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
    """Return the job's operators with their files, by code. Six queries."""
    places = Enrolment.objects.filter(job=job).select_related("operator", "employer")
    firm = own_firm(for_member)
    if firm is not None:
        places = places.filter(employer=firm)
    if operators is not None:
        places = places.filter(operator__in=[operator.pk for operator in operators])
    enrolments = defaultdict(list)
    found: dict[UUID, tuple[Operator, str]] = {}
    for place in places.order_by("recorded_at"):
        enrolments[place.operator_id].append(place.facts())
        found.setdefault(place.operator_id, (place.operator, place.code))
    ids = list(found)
    cards = defaultdict(list)
    for card in Certification.objects.filter(operator__in=ids).order_by("recorded_at"):
        cards[card.operator_id].append(card.facts())
    orders = defaultdict(list)
    for order in Suspension.objects.filter(job=job, operator__in=ids):
        orders[order.operator_id].append(order.facts())
    mock_ups = _mock_ups(job, {pk: code for pk, (_, code) in found.items()})
    people = [
        Person(
            operator=operator,
            code=code,
            file=OperatorFile(
                operator=operator.ref(code),
                cards=tuple(cards[pk]),
                enrolments=tuple(enrolments[pk]),
                mock_ups=tuple(mock_ups[pk]),
                suspensions=tuple(orders[pk]),
            ),
        )
        for pk, (operator, code) in found.items()
    ]
    return sorted(people, key=lambda person: person.code)


def _mock_ups(job: Job, codes: dict[UUID, str]) -> dict[UUID, list[MockUp]]:
    """Return every version of every mock-up, by operator."""
    panels = list(
        Panel.objects.filter(
            job=job, panel_kind=PanelKind.MOCK_UP, operator__in=list(codes)
        )
        .select_related("operator", "rig")
        .order_by("code", "recorded_at")
    )
    decisions = _decisions(panel.first for panel in panels)
    # A revision's code, number and process never change from version to version.
    revisions = MixRevision.objects.filter(job=job, supersedes=None)
    mixes = {mix.pk: mix for mix in revisions}
    made: dict[UUID, list[MockUp]] = defaultdict(list)
    for panel in panels:
        operator = panel.operator
        if operator is not None:
            made[operator.pk].append(
                mock_up_of(
                    panel,
                    operator=operator.ref(codes[operator.pk]),
                    mix=mixes[panel.mix_revision_id],
                    decisions=decisions.get(panel.first, ()),
                )
            )
    return made


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
        reinforcement=Reinforcement.from_json(panel.reinforcement),
        thickness=as_quantity(panel.thickness, panel.thickness_unit),
        shared=panel.shared_with_id is not None,
        mock_up_class=panel.mockup_class,
        decisions=tuple(decisions),
    )


def _decisions(panels: Iterable[UUID]) -> dict[UUID, list[Decision]]:
    rows = PanelJudgement.objects.filter(panel__in=set(panels))
    found: dict[UUID, list[Decision]] = defaultdict(list)
    for row in rows.select_related("recorded_by__user").order_by("decided_at"):
        found[row.panel_id].append(
            Decision(
                id=row.pk,
                recorded_at=row.recorded_at,
                supersedes=row.supersedes_id,
                withdrawn=row.withdrawn,
                outcome=DecisionOutcome(row.decision),
                decided_at=row.decided_at,
                decided_by=row.recorded_by.user.printed_name,
                words=row.words,
            )
        )
    return found
