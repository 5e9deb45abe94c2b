"""The home of each role: what needs you today."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.dateformat import format as dated
from django.utils.translation import gettext as _

from inspections.queries.packets import packet_rows
from inspections.queries.today import Today
from inspections.queries.today import today as needs
from inspections.views.needs import lines, next_words, this_week, title
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
    issued = [row for row in packets if row.issued]
    owed = lines(found, door)
    context = {
        "title": title(len(owed)),
        "facts": _facts(door, found, issued),
        "lines": owed,
        "next": next_words(found, door),
        "coming": this_week(found),
        "may_strength": door.may(Ability.READ_STRENGTH),
        "may_enter": door.may(Ability.ENTER_RESULTS),
        "may_packets": door.may(Ability.READ_PACKETS),
        "packets": issued[:3],
        "on": found.on,
    }
    return render(request, "inspections/today.html", context)


def _facts(door: Door, found: Today, issued: list[Any]) -> list[tuple[str, str]]:
    """Return what stands in the head: who shoots today, what was told last."""
    facts = []
    if door.may(Ability.READ_PANELS):
        firms = ", ".join(shift.organization.name for shift in found.shifts_today)
        facts.append((_("Shooting today"), firms or _("no shift open")))
    if issued:
        last = issued[0].row
        told = f"{last.code}, {dated(last.to_on, 'j M')}"
        facts.append((_("Last packet"), told))
    return facts
