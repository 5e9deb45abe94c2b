"""Badges to print, and the page that scanning one opens."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.queries.badges import Holder, badge_holders
from crews.queries.badges import scanned as who_is
from crews.views.common import found
from project.access import Door, SignedIn, job_view
from project.charts.drawing import Drawing
from project.charts.square import square_code
from project.charts.text import when_text
from project.domain.roles import Ability

_SIDE = 168


@job_view(Ability.KEEP_OPERATORS, tab="operators")
def badges(request: SignedIn, door: Door) -> HttpResponse:
    """Show a badge for each operator with a place on the job, or for those named."""
    people = badge_holders(
        door.job,
        on=door.local_today(),
        known_at=door.known_at,
        for_member=door.member,
    )
    asked = request.GET.getlist("operator")
    chosen = [holder for holder in people if not asked or holder.code in asked]
    context = {
        "people": people,
        "badges": [(holder, _code(request, door, holder)) for holder in chosen],
        "asked": asked,
        "unknown": sorted(set(asked) - {holder.code for holder in people}),
    }
    return render(request, "crews/badges.html", context)


def _code(request: SignedIn, door: Door, holder: Holder) -> Drawing:
    path = reverse("badge", args=[door.job.code, holder.person.operator.pk])
    name = holder.name
    return square_code(
        request.build_absolute_uri(path),
        side=_SIDE,
        title=_("Square code of %(name)s") % {"name": name},
        description=_("Opens how %(name)s stands on record now.") % {"name": name},
    )


@job_view(Ability.READ_OPERATORS, tab="operators")
def badge(request: SignedIn, door: Door, operator: UUID) -> HttpResponse:
    """Show how the operator whose badge was scanned stands on record now."""
    seen = found(
        who_is(
            door.job,
            operator,
            at=door.now,
            known_at=door.known_at,
            for_member=door.member,
        ),
        "no such operator",
    )
    context = {
        "seen": seen,
        "holder": seen.holder,
        "facts": [
            (_("Badge"), seen.holder.number),
            (_("Employer"), seen.holder.employer),
            (_("Now"), when_text(door.now, zone=door.job.zone, form="full")),
        ],
    }
    return render(request, "crews/badge.html", context)
