"""What ends next: cards, places, idle limits and waivers by their last day."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from crews.domain.endings import Ending
from crews.domain.planning import Planned
from crews.queries.endings import EndsNext
from crews.queries.endings import ends_next as ends_on_record
from crews.views.common import look, print_note
from project.access import Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability

WINDOWS = (30, 60, 90)


@dataclass(frozen=True, slots=True)
class Row:
    """One ending, whose it is, the days that are left, and the work planned after it."""

    ending: Ending
    code: str
    name: str
    days: int
    reached: tuple[Planned, ...]


@job_view(Ability.READ_OPERATORS, tab="operators")
def ends_next(request: SignedIn, door: Door) -> HttpResponse:
    """Show what ends within 30, 60 and 90 days, and what has ended already."""
    seen = look(request, door)
    found = ends_on_record(
        door.job, at=seen.at, known_at=seen.known_at, for_member=door.member
    )
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "facts": [
            (_("As of"), when_text(seen.at, zone=door.job.zone)),
            (_("As known"), when_text(seen.known_at, zone=door.job.zone)),
        ],
        "windows": _windows(found),
        "ended": _rows(found, found.ended),
        "count": len(found.within(WINDOWS[0])),
    }
    return render(request, "crews/ends_next.html", context, status=seen.status)


def _windows(found: EndsNext) -> list[tuple[int, int, list[Row]]]:
    """Return each stretch of days with what ends in it and in no earlier one."""
    windows, told = [], 0
    for days in WINDOWS:
        every = found.within(days)
        windows.append((days, len(every), _rows(found, every[told:])))
        told = len(every)
    return windows


def _rows(found: EndsNext, some: tuple[Ending, ...]) -> list[Row]:
    return [
        Row(
            ending=one,
            code=one.whose,
            name=found.name(one),
            days=abs(one.days(found.on)),
            reached=found.reached(one),
        )
        for one in some
    ]
