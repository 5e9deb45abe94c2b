"""What a member may see: its firm's own, and what others signed or told.

Shooting facts are the job's. Sheets are a firm's own until they are signed; a
contractor and a laboratory read of others only what is about their own work.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.db.models.expressions import Combinable

from crews.models import NozzleTime, Panel, Placement, Shift
from inspections.models import (
    DailyReport,
    Deficiency,
    Load,
    Move,
    Nonconformance,
    Photo,
    ReportVersion,
)
from project.domain.roles import OWN_FIRM_ONLY, Ability, Role, may
from project.models import Membership


def only_own_work(member: Membership) -> bool:
    """Say whether the member's reads are narrowed to its own firm's work."""
    return Role(member.role) in OWN_FIRM_ONLY


def shifts_for(member: Membership, *, known_at: datetime) -> QuerySet[Shift]:
    """Return the job's shifts, for a contractor its own."""
    rows = Shift.objects.known_at(known_at).filter(job=member.job_id)
    if only_own_work(member):
        rows = rows.filter(organization=member.organization_id)
    return rows


def reports_for(member: Membership, *, known_at: datetime) -> QuerySet[DailyReport]:
    """Return the sheets a member may open: own drafts, and what is signed."""
    rows = DailyReport.objects.known_at(known_at).filter(job=member.job_id)
    if only_own_work(member):
        rows = rows.filter(shift__organization=member.organization_id)
    return rows.filter(_own(member) | Q(_signed(F("first"), known_at)))


def deficiencies_for(member: Membership, *, known_at: datetime) -> QuerySet[Deficiency]:
    """Return the deficiencies a member may read.

    Others see one when its sheet is signed, when it stands without a sheet, or as
    soon as somebody was told of it: who shall put it right must be able to read it.
    """
    rows = Deficiency.objects.known_at(known_at).filter(job=member.job_id)
    if only_own_work(member):
        firm = member.organization_id
        rows = rows.filter(
            Q(organization=firm)
            | Q(report__shift__organization=firm)
            | Q(report=None, part__in=parts_of(firm))
        )
    told = Move.objects.filter(
        deficiency=OuterRef("first"),
        recorded_at__lte=known_at,
        move__in=("notify", "make a nonconformance"),
    )
    return rows.filter(
        _own(member) | Q(report=None) | Q(_signed(F("report"), known_at)) | Exists(told)
    )


def nonconformances_for(
    member: Membership, *, known_at: datetime
) -> QuerySet[Nonconformance]:
    """Return the nonconformance reports a member may read, a contractor its own."""
    rows = Nonconformance.objects.known_at(known_at).filter(job=member.job_id)
    if not only_own_work(member):
        return rows
    firm = member.organization_id
    return rows.filter(
        Q(recorded_by__organization=firm)
        | Q(part__in=parts_of(firm))
        | Q(about_id__in=_of_firm(firm, Load, "shift"))
        | Q(about_id__in=_of_firm(firm, Placement, "shift"))
        | Q(about_id__in=_of_firm(firm, NozzleTime, "placement__shift"))
        | Q(about_id__in=_of_firm(firm, Panel, "shift", "operator"))
    )


def photographs_for(member: Membership, *, known_at: datetime) -> QuerySet[Photo]:
    """Return the photographs a member may see."""
    rows = Photo.objects.known_at(known_at).filter(job=member.job_id)
    if only_own_work(member):
        firm = member.organization_id
        rows = rows.filter(
            Q(organization=firm)
            | Q(report__shift__organization=firm)
            | Q(report=None, part__in=parts_of(firm))
        )
    return rows.filter(
        _own(member) | Q(report=None) | Q(_signed(F("report"), known_at))
    )


def _own(member: Membership) -> Q:
    """Return the rule for the member's own firm: drafts are read by who may."""
    if not may(Role(member.role), Ability.READ_OWN_SHEETS):
        return Q(pk__in=[])
    return Q(organization=member.organization_id)


def _signed(report: Combinable, known_at: datetime) -> Exists:
    return Exists(
        ReportVersion.objects.filter(
            report=OuterRef(report.name),  # type: ignore[attr-defined]
            recorded_at__lte=known_at,
        )
    )


def parts_of(firm: UUID) -> QuerySet[Placement, object]:
    """Return the parts a firm has placed on; what it shoots is its own work."""
    return Placement.objects.filter(shift__organization=firm).values("part")


def _of_firm(firm: UUID, table: type[Any], *owners: str) -> QuerySet[Any, Any]:
    """Return the records of a table that are a firm's work, by the chain's identity."""
    own = Q()
    for owner in owners:
        own |= Q(**{f"{owner}__organization": firm})
    rows: QuerySet[Any, Any] = table.objects.filter(own)
    return rows.values("first")
