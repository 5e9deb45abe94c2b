"""The roll call: who was on the nozzle, and who stood beside it."""

from __future__ import annotations

from datetime import date

from django.http import HttpResponse
from django.http.request import QueryDict
from django.shortcuts import render
from django.utils.translation import gettext as _

from crews.queries.roll_call import roll_call as called_on
from crews.views.common import look, print_note
from project.access import Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability


@job_view(Ability.READ_OPERATORS, tab="operators")
def roll_call(request: SignedIn, door: Door) -> HttpResponse:
    """Show each nozzle time of a date with its blowpipe and supervisor, minute by minute."""
    seen = look(request, door)
    called = called_on(
        door.job, at=seen.at, known_at=seen.known_at, for_member=door.member
    )
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "called": called,
        "facts": [
            (_("As known"), when_text(seen.known_at, zone=door.job.zone)),
        ],
        "before_url": _of(called.before, request.GET),
        "after_url": _of(called.after, request.GET),
    }
    return render(request, "crews/roll_call.html", context, status=seen.status)


def _of(day: date | None, asked: QueryDict) -> str:
    """Return the address of another date's roll call, with the knowledge asked for."""
    if day is None:
        return ""
    kept = asked.copy()
    kept["at"] = day.isoformat()
    return f"?{kept.urlencode()}"
