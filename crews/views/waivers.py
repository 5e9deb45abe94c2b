"""The engineer's waivers: given in writing, ended by name."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions import waivers as actions
from crews.forms.fields import named
from crews.forms.people import EndSuspensionForm, WaiverForm
from crews.queries import choices
from crews.views.common import found, posted, short_form, tell_recorded, tried
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability
from project.queries.jobs import mixes, parts

_TAB = "operators"


def _operator(door: Door, code: str) -> Any:
    place = choices.place(
        door.job, code, known_at=door.known_at, for_member=door.member
    )
    return found(place, "no such operator").operator


def _sheet(door: Door, code: str) -> str:
    return reverse("operator", args=[door.job.code, code]) + "#waivers"


@job_view(Ability.GIVE_WAIVER, methods=GET_POST, tab=_TAB)
def give_waiver(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Waive one gate of an operator, for a scope and a time."""
    operator = _operator(door, code)
    form = WaiverForm(
        posted(request),
        job=door.job,
        offers=_offers(door, operator),
        initial={"from_at": door.now},
    )
    row = tried(
        form,
        lambda: actions.give_waiver(
            by=door.member, operator=operator, **form.cleaned_data
        ),
    )
    if row is not None:
        tell_recorded(request, door, row)
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Waive a gate for %(name)s") % {"name": operator},
        action_word=_("Give the waiver"),
        cancel_url=_sheet(door, code),
    )


def _offers(door: Door, operator: Any) -> dict[str, Any]:
    job, at = door.job, door.known_at
    drawn = parts(job, known_at=at)
    firm = operator.organization_id
    return {
        "mock_up": named(choices.mock_ups_of(job, operator, known_at=at)),
        "part": [(p.part, f"{p.code}, {p.revision.name}") for p in drawn],
        "mix": named(mixes(job, known_at=at)),
        "rig": named(choices.rigs(job, for_member=door.member, firm=firm)),
    }


@job_view(Ability.GIVE_WAIVER, methods=GET_POST, tab=_TAB)
def end_waiver(request: SignedIn, door: Door, code: str, waiver: UUID) -> HttpResponse:
    """Say until when a waiver holds."""
    operator = _operator(door, code)
    row = found(
        choices.waiver(door.job, operator, waiver, known_at=door.known_at),
        "no such waiver",
    )
    form = EndSuspensionForm(
        posted(request), job=door.job, initial={"until_at": door.now}
    )
    ended = tried(
        form,
        lambda: actions.end_waiver(by=door.member, waiver=row, **form.cleaned_data),
    )
    if ended is not None:
        tell_recorded(request, door, ended)
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Say until when the waiver of the %(gate)s holds") % {"gate": row.gate},
        action_word=_("Keep the end"),
        cancel_url=_sheet(door, code),
    )
