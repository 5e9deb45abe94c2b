"""Affected work: what was learned later, what it turned, and who was told otherwise."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from inspections.forms.affected import SinceForm
from inspections.queries.affected import BEGINNING, affected_work
from project.access import Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability


@job_view(Ability.READ_SIGNED_SHEETS, tab="deficiencies")
def affected(request: SignedIn, door: Door) -> HttpResponse:
    """List what later knowledge turned, the unanswered first."""
    form = SinceForm(request.GET or None, job=door.job)
    asked = form.cleaned_data if form.is_valid() else {}
    since, until = asked.get("since") or BEGINNING, asked.get("until") or door.known_at
    lines = affected_work(door.job, since=since, until=until, for_member=door.member)
    fact = asked.get("fact")
    if fact is not None:
        lines = tuple(line for line in lines if fact in line.fact_ids)
    context = {
        "form": form,
        "lines": sorted(lines, key=lambda line: line.answered),
        "waiting": sum(not line.answered for line in lines),
        "of_fact": fact is not None,
        "turned_times": sum(len(line.times) for line in lines),
        "facts": _head(door, asked, until),
        "print_note": _note(door, asked.get("since"), until),
        "may_raise": door.may(Ability.RAISE_NONCONFORMANCE),
        "may_revise": door.may(Ability.PREPARE_PACKET),
    }
    bound_and_wrong = form.is_bound and not form.is_valid()
    status = 422 if bound_and_wrong else 200
    return render(request, "inspections/affected.html", context, status=status)


def _head(door: Door, asked: dict[str, Any], until: datetime) -> list[tuple[str, str]]:
    zone, since = door.job.zone, asked.get("since")
    return [
        (
            _("Learned since"),
            when_text(since, zone=zone, form="full") if since else _("the beginning"),
        ),
        (
            _("As known"),
            when_text(until, zone=zone, form="full")
            if asked.get("until")
            else _("now"),
        ),
    ]


def _note(door: Door, since: datetime | None, until: datetime) -> str:
    zone = door.job.zone
    known = _("as known %(until)s") % {"until": when_text(until, zone=zone)}
    if since is None:
        return known
    learned = _("learned since %(since)s") % {"since": when_text(since, zone=zone)}
    return f"{learned}, {known}"
