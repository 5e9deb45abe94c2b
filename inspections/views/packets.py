"""The packets that the owner was told with."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from inspections.queries.packets import issued_packets
from project.access import Door, SignedIn, job_view
from project.domain.roles import Ability


@job_view(Ability.READ_PACKETS)
def packets(request: SignedIn, door: Door) -> HttpResponse:
    """List what was issued, the latest first."""
    rows = issued_packets(door.job, known_at=door.known_at)
    return render(request, "inspections/packets.html", {"packets": rows})
