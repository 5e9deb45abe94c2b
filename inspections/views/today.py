"""The home of each role: what needs you today."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from inspections.queries.today import today as needs
from project.access import Door, SignedIn, job_view
from project.domain.roles import Ability


@job_view(Ability.READ_JOB)
def today(request: SignedIn, door: Door) -> HttpResponse:
    """Show what the member owes, overdue first, and what is due this week."""
    found = needs(door.job, door.member, known_at=door.known_at)
    return render(request, "inspections/today.html", {"needs": found})
