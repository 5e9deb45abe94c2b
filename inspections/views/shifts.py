"""One shift: who shot what, what was delivered, which panels it owes, its sheets."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render

from crews.queries.hindsight import then_and_now
from crews.queries.shifts import shift_page
from crews.views.common import found, look, print_note
from inspections.queries.carried import neat_sum
from inspections.queries.shift_record import loads_of
from inspections.queries.shift_sheets import sheets_of
from inspections.views.common import TAB
from inspections.views.days import may_open_sheet
from project.access import Door, SignedIn, job_view
from project.domain.roles import Ability


@job_view(Ability.READ_SIGNED_SHEETS, tab=TAB)
def shift(request: SignedIn, door: Door, shift: UUID) -> HttpResponse:
    """Show the job's facts of a shift and the sheets that may be read of it."""
    seen = look(request, door)
    page = found(
        shift_page(
            door.job,
            shift,
            known_at=seen.known_at,
            on=door.job.local(seen.at).date(),
            for_member=door.member,
        ),
        "no such shift",
    )
    own = sheets_of(door.job, door.member, page.shift, known_at=seen.known_at)
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "page": page,
        "again": then_and_now(door.job, page.roster.held, at=seen.known_at),
        "shift": page.shift,
        "stops_at": page.shift.as_known("stops_at", at=seen.known_at),
        "neat": neat_sum(door.job, page.roster.placements),
        "loads": loads_of([page.shift.first], known_at=seen.known_at),
        "sheets": own,
        "may_open_sheet": may_open_sheet(door, page.shift, own),
        "may_shoot": door.may(Ability.RECORD_SHOOTING),
    }
    return render(request, "inspections/shift.html", context, status=seen.status)
