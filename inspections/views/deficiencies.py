"""Deficiencies: what was not right, whose move it is, and each move."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from inspections.queries import findings
from project.access import Door, SignedIn, job_view
from project.domain.roles import Ability


@job_view(Ability.READ_SIGNED_SHEETS)
def deficiencies(request: SignedIn, door: Door) -> HttpResponse:
    """List the deficiencies the member may read, the open ones first."""
    rows = findings.deficiencies(door.job, door.member, known_at=door.known_at)
    context = {
        "open": [row for row in rows if row.is_open],
        "closed": [row for row in reversed(rows) if not row.is_open],
    }
    return render(request, "inspections/deficiencies.html", context)
