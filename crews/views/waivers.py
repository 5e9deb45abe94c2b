"""The engineer's waivers: all on one page, given in writing, ended or taken back."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions import waivers as actions
from crews.domain.trade_words import WaivedGate
from crews.forms.fields import ReasonForm, named
from crews.forms.people import EndSuspensionForm, WaiverForm
from crews.queries import choices
from crews.queries.waivers import waivers as known_waivers
from crews.views.common import (
    found,
    look,
    posted,
    posted_id,
    print_note,
    short_form,
    tell_recorded,
    tried,
)
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability
from project.queries.jobs import mixes, parts

_TAB = "operators"
_SENT = ("operator", "part", "gate")


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def waivers(request: SignedIn, door: Door) -> HttpResponse:
    """Show every waiver: what it opens, for whom, and until when."""
    seen = look(request, door)
    places = choices.places(door.job, known_at=seen.known_at, for_member=door.member)
    codes: dict[UUID | None, str] = {one.operator_id: one.code for one in places}
    rows = known_waivers(door.job, known_at=seen.known_at, for_member=door.member)
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "rows": [(codes.get(row.operator_id, ""), row) for row in rows],
        "may_waive": door.may(Ability.GIVE_WAIVER),
    }
    return render(request, "crews/waivers.html", context, status=seen.status)


def _list(door: Door) -> str:
    return reverse("waivers", args=[door.job.code])


@job_view(Ability.GIVE_WAIVER, methods=GET_POST, tab=_TAB)
def give_waiver(request: SignedIn, door: Door) -> HttpResponse:
    """Waive one gate, for a scope and a time."""
    offers = _offers(door)
    form = WaiverForm(
        posted(request),
        job=door.job,
        offers=offers,
        initial={"from_at": door.now, **_asked(request, offers)},
    )
    row = tried(form, lambda: actions.give_waiver(by=door.member, **form.cleaned_data))
    if row is not None:
        tell_recorded(request, door, row)
        return redirect(_list(door))
    return short_form(
        request,
        form,
        label=_("Waivers"),
        title=_("Waive a gate"),
        action_word=_("Give the waiver"),
        cancel_url=_list(door),
    )


def _asked(request: SignedIn, offers: dict[str, Any]) -> dict[str, Any]:
    """Return what the page before named by code: an operator, a part, a gate."""
    asked = {name: request.GET.get(name, "") for name in _SENT}
    return {
        "operator": _coded(offers["operator"], asked["operator"]),
        "part": _coded(offers["part"], asked["part"]),
        "gate": next((g for g in WaivedGate if g.value == asked["gate"]), None),
    }


def _coded(offered: list[tuple[Any, str]], code: str) -> Any:
    """Return the row offered under a code, which its words begin with."""
    return next((row for row, words in offered if words.split(", ")[0] == code), None)


def _offers(door: Door) -> dict[str, Any]:
    job, at = door.job, door.known_at
    places = choices.places(job, known_at=at, for_member=door.member)
    people: dict[UUID | None, Any] = {place.operator_id: place for place in places}
    return {
        "operator": [(p.operator, f"{p.code}, {p.operator}") for p in people.values()],
        "mock_up": [
            (panel, f"{panel.code}, {people[panel.operator_id].code}")
            for panel in choices.mock_ups_of(job, filter(None, people), known_at=at)
        ],
        "part": [
            (p.part, f"{p.code}, {p.revision.name}") for p in parts(job, known_at=at)
        ],
        "mix": named(mixes(job, known_at=at)),
        "rig": named(choices.rigs(job, for_member=door.member)),
    }


def _waiver(door: Door, id: UUID) -> Any:
    row = choices.waiver(door.job, id, known_at=door.known_at, for_member=door.member)
    return found(row, "no such waiver")


@job_view(Ability.GIVE_WAIVER, methods=GET_POST, tab=_TAB)
def end_waiver(request: SignedIn, door: Door, waiver: UUID) -> HttpResponse:
    """Say until when a waiver holds."""
    row = _waiver(door, waiver)
    form = EndSuspensionForm(
        posted(request), job=door.job, initial={"until_at": door.now}
    )
    ended = tried(
        form,
        lambda: actions.end_waiver(by=door.member, waiver=row, **form.cleaned_data),
    )
    if ended is not None:
        tell_recorded(request, door, ended)
        return redirect(_list(door))
    return short_form(
        request,
        form,
        label=_("Waivers"),
        title=_("Say until when the waiver of the %(gate)s holds") % {"gate": row.gate},
        action_word=_("Keep the end"),
        cancel_url=_list(door),
    )


@job_view(Ability.GIVE_WAIVER, methods=GET_POST, tab=_TAB)
def withdraw_waiver(request: SignedIn, door: Door, waiver: UUID) -> HttpResponse:
    """Take back a waiver as if it had not been given."""
    if choices.waiver_sent(door.job, posted_id(request)):
        return redirect(_list(door))
    row = _waiver(door, waiver)
    form = ReasonForm(posted(request), job=door.job)
    gone = tried(
        form,
        lambda: actions.withdraw_waiver(
            by=door.member, waiver=row, **form.cleaned_data
        ),
    )
    if gone is not None:
        tell_recorded(request, door, gone)
        return redirect(_list(door))
    return short_form(
        request,
        form,
        label=_("Waivers"),
        title=_("Take back the waiver of the %(gate)s") % {"gate": row.gate},
        action_word=_("Take it back"),
        cancel_url=_list(door),
        caution=_(
            "It is taken back from its beginning: work shot under it stands as "
            "affected work. To end it from now on, keep an end instead."
        ),
    )
