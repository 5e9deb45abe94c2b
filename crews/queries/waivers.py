"""The engineer's waivers as known at an instant, by when they begin."""

from __future__ import annotations

from datetime import datetime
from operator import attrgetter
from uuid import UUID

from django.db.models import Q

from crews.domain import waivers as waived
from crews.models import Enrolment, Waiver
from crews.queries.operator_files import own_firm
from project.models import Job, Membership

# What the gates ask, put together once.
_WAIVERS = Waiver.objects.for_facts().order_by()
_when = attrgetter("from_at", "until_at", "recorded_at")


def waivers(
    job: Job,
    *,
    known_at: datetime,
    for_member: Membership | None = None,
    operator: UUID | None = None,
) -> list[Waiver]:
    """Return the waivers that reach an operator, or all. One query.

    A contractor reads what reaches its own people, and what reaches everybody but with
    another firm's rig.
    """
    rows = Waiver.objects.known_at(known_at).filter(job=job)
    firm = own_firm(for_member)
    if firm is not None:
        own = Enrolment.objects.known_at(known_at).filter(job=job, employer=firm)
        everybody = Q(operator=None) & (Q(rig=None) | Q(rig__organization=firm))
        rows = rows.filter(everybody | Q(operator__in=own.values("operator")))
    if operator is not None:
        rows = rows.filter(Q(operator=None) | Q(operator=operator))
    rows = rows.select_related("part", "mix_revision", "rig", "mock_up", "operator")
    rows = rows.select_related("recorded_by__user")
    return sorted(rows.order_by(), key=_when)


def in_force(job: Job, *, known_at: datetime) -> tuple[waived.Waiver, ...]:
    """Return what is known of every waiver of a job, as the gates ask it. One query."""
    rows = _WAIVERS.known_at(known_at).filter(job=job)
    return tuple(row.facts() for row in sorted(rows, key=_when))
