"""The rows that a member's forms may offer, and the row that an address names.

Whatever is not found here is not of this job, or not the member's to see: a form
refuses it and a page says there is no such thing.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from crews.domain.trade_words import PanelKind
from crews.models import (
    Certification,
    Crew,
    Enrolment,
    LabReport,
    LabResult,
    NozzleTime,
    Operator,
    Panel,
    Placement,
    PlannedOperator,
    PlannedPlacement,
    Presence,
    Rig,
    RigEquivalence,
    Shift,
    Suspension,
    Waiver,
)
from crews.queries.operator_files import own_firm
from crews.queries.waivers import waivers
from project.models import (
    Coat,
    ElementPart,
    Job,
    Membership,
    MixRevision,
    Organization,
    User,
)
from project.queries import jobs

M = TypeVar("M", Crew, Rig)


def contractors(job: Job, *, for_member: Membership) -> list[Organization]:
    """Return the contractors that have a member on the job; its own for one of them."""
    return _firms(job, "contractor", own_firm(for_member))


def laboratories(job: Job) -> list[Organization]:
    """Return the laboratories that have a member on the job."""
    return _firms(job, "laboratory", None)


def _firms(job: Job, kind: str, firm: UUID | None) -> list[Organization]:
    ids = Membership.objects.filter(job=job).values("organization")
    rows = Organization.objects.filter(pk__in=ids, org_kind=kind)
    return list(rows if firm is None else rows.filter(pk=firm))


def people(job: Job) -> list[User]:
    """Return everybody who is or was let in to the job, by name."""
    ids = Membership.objects.filter(job=job).values("user")
    return list(User.objects.filter(pk__in=ids).order_by("printed_name"))


def members_present(job: Job) -> list[Membership]:
    """Return the memberships that nobody has ended, by name."""
    rows = Membership.objects.filter(job=job, to_on=None).select_related("user")
    return list(rows.order_by("user__printed_name", "role"))


def places(
    job: Job, *, known_at: datetime, for_member: Membership, code: str | None = None
) -> list[Enrolment]:
    """Return the operators' places on the job as known, by code."""
    rows = Enrolment.objects.known_at(known_at).filter(job=job)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(employer=firm)
    if code is not None:
        rows = rows.filter(code=code)
    rows = rows.select_related("operator__organization", "employer")
    return list(rows.order_by("code"))


def place(
    job: Job, code: str, *, known_at: datetime, for_member: Membership
) -> Enrolment | None:
    """Return the place on the job that goes by a code."""
    found = places(job, known_at=known_at, for_member=for_member, code=code)
    return found[0] if found else None


def without_place(job: Job, *, for_member: Membership) -> list[Operator]:
    """Return the contractors' operators who have no place on this job yet."""
    firms = [firm.pk for firm in contractors(job, for_member=for_member)]
    placed = Enrolment.objects.filter(job=job).values("operator")
    rows = Operator.objects.filter(organization__in=firms).exclude(pk__in=placed)
    return list(rows.select_related("organization").order_by("legal_name"))


def card(operator: Operator, id: UUID, *, known_at: datetime) -> Certification | None:
    """Return a card of an operator, in the version that stands."""
    rows = Certification.objects.known_at(known_at).filter(operator=operator, pk=id)
    found: Certification | None = rows.select_related("verified_by").first()
    return found


def card_sent(operator: Operator, id: UUID | None) -> bool:
    """Say whether the same request made a version of the operator's cards before."""
    rows = Certification.objects.filter(operator=operator)
    return id is not None and rows.filter(pk=id).exists()


def place_sent(job: Job, id: UUID | None) -> Enrolment | None:
    """Return the place that the same request made before."""
    rows = Enrolment.objects.filter(job=job)
    return None if id is None else rows.filter(pk=id).first()


def plan_sent(job: Job, id: UUID | None) -> bool:
    """Say whether the same request made a version of a plan, or of who is on one."""
    kept = (PlannedPlacement, PlannedOperator)
    rows = (model.objects.filter(job=job, pk=id) for model in kept)
    return id is not None and any(found.exists() for found in rows)


def waiver_sent(job: Job, id: UUID | None) -> bool:
    """Say whether the same request made a version of a waiver before."""
    return id is not None and Waiver.objects.filter(job=job, pk=id).exists()


def report_sent(member: Membership, id: UUID | None) -> bool:
    """Say whether the same request made a letter of one's own reports before."""
    rows = LabReport.objects.filter(job=member.job, laboratory=member.organization)
    return id is not None and rows.filter(pk=id).exists()


def suspension(
    job: Job, operator: Operator, id: UUID, *, known_at: datetime
) -> Suspension | None:
    """Return an order about an operator, in the version that stands."""
    rows = Suspension.objects.known_at(known_at).filter(job=job, operator=operator)
    found: Suspension | None = rows.filter(first=id).first()
    return found


def waiver(
    job: Job, id: UUID, *, known_at: datetime, for_member: Membership
) -> Waiver | None:
    """Return a waiver that a member may read, in the version that stands."""
    rows = waivers(job, known_at=known_at, for_member=for_member)
    return next((row for row in rows if row.first == id), None)


def mock_ups_of(
    job: Job, operators: Iterable[UUID], *, known_at: datetime
) -> list[Panel]:
    """Return the operators' own mock-ups, by code."""
    rows = Panel.objects.known_at(known_at).filter(job=job, operator__in=operators)
    rows = rows.filter(panel_kind=PanelKind.MOCK_UP).select_related("operator")
    return list(rows.order_by("code"))


def crews(job: Job, *, for_member: Membership, firm: UUID | None = None) -> list[Crew]:
    """Return the crews of the job's contractors, or of one of them."""
    rows = Crew.objects.prefetch_related("members").order_by("organization__code")
    return list(_of_firms(rows, job, for_member, firm).order_by("code"))


def rigs(job: Job, *, for_member: Membership, firm: UUID | None = None) -> list[Rig]:
    """Return the rigs of the job's contractors, or of one of them."""
    return list(_of_firms(Rig.objects.all(), job, for_member, firm).order_by("code"))


def _of_firms(
    rows: QuerySet[M], job: Job, for_member: Membership, firm: UUID | None
) -> QuerySet[M]:
    ids = Membership.objects.filter(job=job).values("organization")
    rows = rows.select_related("organization").filter(organization__in=ids)
    for narrowed in (own_firm(for_member), firm):
        if narrowed is not None:
            rows = rows.filter(organization=narrowed)
    return rows


def equivalences(job: Job, *, known_at: datetime) -> list[RigEquivalence]:
    """Return which rigs the engineer accepted as equal, in the order accepted."""
    rows = RigEquivalence.objects.known_at(known_at).filter(job=job)
    rows = rows.select_related("rig", "other", "recorded_by__user")
    return list(rows.order_by("accepted_at"))


def coats(job: Job, *, known_at: datetime) -> list[Coat]:
    """Return the coats of the job's parts, part by part."""
    rows = Coat.objects.known_at(known_at).filter(job=job).select_related("part")
    return list(rows.order_by("part__code", "order"))


def shift(
    job: Job, id: UUID, *, known_at: datetime, for_member: Membership
) -> Shift | None:
    """Return a shift by the identity of its chain."""
    rows = Shift.objects.known_at(known_at).filter(job=job, first=id)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(organization=firm)
    found: Shift | None = rows.select_related("organization").first()
    return found


def placement(
    job: Job, code: str, *, known_at: datetime, for_member: Membership
) -> Placement | None:
    """Return a placement by its code."""
    rows = Placement.objects.known_at(known_at).filter(job=job, code=code)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(shift__organization=firm)
    rows = rows.select_related("shift__organization", "part__element", "rig", "crew")
    found: Placement | None = rows.first()
    return found


def plan(
    job: Job, code: str, *, known_at: datetime, for_member: Membership
) -> PlannedPlacement | None:
    """Return a plan of the member's own firm by its code."""
    rows = PlannedPlacement.objects.known_at(known_at).filter(job=job, code=code)
    rows = rows.filter(organization=for_member.organization_id)
    found: PlannedPlacement | None = rows.select_related("organization", "rig").first()
    return found


def on_plan(
    job: Job, code: str, id: UUID, *, known_at: datetime
) -> PlannedOperator | None:
    """Return who is assigned to a plan, by the identity of the assignment's chain."""
    rows = PlannedOperator.objects.known_at(known_at).filter(job=job, first=id)
    rows = rows.filter(planned__code=code)
    found: PlannedOperator | None = rows.select_related(
        "operator", "planned__organization"
    ).first()
    return found


def nozzle_time(
    job: Job, id: UUID, *, known_at: datetime, for_member: Membership
) -> NozzleTime | None:
    """Return a nozzle time by the identity of its chain."""
    rows = NozzleTime.objects.known_at(known_at).filter(job=job, first=id)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(placement__shift__organization=firm)
    rows = rows.select_related("placement__shift", "placement__part", "operator")
    found: NozzleTime | None = rows.first()
    return found


def presence(
    job: Job, id: UUID, *, known_at: datetime, for_member: Membership
) -> Presence | None:
    """Return who stood beside the nozzle, by the identity of its chain."""
    rows = Presence.objects.known_at(known_at).filter(job=job, first=id)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(shift__organization=firm)
    found: Presence | None = rows.select_related(
        "shift", "operator", "crew_member", "membership__user"
    ).first()
    return found


def report(
    job: Job, id: UUID, *, known_at: datetime, member: Membership
) -> tuple[LabReport, list[LabResult]] | None:
    """Return the letter that stands of a laboratory's own report, and its results."""
    rows = LabReport.objects.known_at(known_at).filter(job=job, pk=id)
    found = rows.filter(laboratory=member.organization).first()
    if found is None:
        return None
    results = LabResult.objects.filter(report=found).select_related("core__panel")
    return found, list(results.order_by("core__panel__code", "core__number"))


def placements(
    job: Job, *, known_at: datetime, for_member: Membership
) -> list[Placement]:
    """Return the placements a panel may have been shot with, the latest first."""
    rows = Placement.objects.known_at(known_at).filter(job=job)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(shift__organization=firm)
    rows = rows.select_related("part", "shift__organization", "rig", "mix_revision")
    return list(rows.order_by("-code"))


def reports(job: Job, *, known_at: datetime, member: Membership) -> list[LabReport]:
    """Return the letters that stand of a laboratory's own reports, the latest first."""
    rows = LabReport.objects.known_at(known_at).filter(job=job)
    rows = rows.filter(laboratory=member.organization)
    rows = rows.prefetch_related("results__core__panel")
    return list(rows.order_by("-received_at", "number"))


def planned_mix(
    job: Job, part: ElementPart, *, on: date, known_at: datetime
) -> MixRevision:
    """Return the mix a part is planned with on a date; a form's error without one."""
    drawn = (row for row in jobs.parts(job, known_at=known_at) if row.part == part)
    code = next((row.revision.mix_code for row in drawn), "")
    found = jobs.planned_mix(jobs.mixes(job, known_at=known_at), code, on=on)
    if found is None:
        message = _("No mix is planned for %(part)s; allowed is one of this list.")
        error = ValidationError(message, params={"part": part})
        raise ValidationError({"mix": error})
    return found
