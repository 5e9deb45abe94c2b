"""The home of each role: what needs you today."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from inspections.queries.packets import packet_rows
from inspections.queries.today import today as needs
from inspections.views.needs import coming, lines
from project.access import Door, SignedIn, job_view
from project.domain.roles import Ability


@job_view(Ability.READ_JOB)
def today(request: SignedIn, door: Door) -> HttpResponse:
    """Show what the member owes, overdue first, and what is due this week."""
    found = needs(door.job, door.member, known_at=door.known_at)
    packets = (
        packet_rows(door.job, door.member, known_at=door.known_at)
        if door.may(Ability.READ_PACKETS)
        else ()
    )
    context = {
        "lines": lines(found, door),
        "coming": coming(found),
        "may_panels": door.may(Ability.READ_PANELS),
        "may_enter": door.may(Ability.ENTER_RESULTS),
        "may_packets": door.may(Ability.READ_PACKETS),
        "packets": [row for row in packets if row.issued][:3],
        "on": found.on,
    }
    return render(request, "inspections/today.html", context)
