"""Crews and rigs of the job's contractors."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions import crews as actions
from crews.forms.crews import CrewForm, CrewMemberForm, EqualRigsForm, RigForm
from crews.forms.fields import named
from crews.queries import choices
from crews.views.common import found, posted, short_form, tried
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability

_TAB = "operators"


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def crews(request: SignedIn, door: Door) -> HttpResponse:
    """Show the crews, the rigs, and which rigs the engineer accepted as equal."""
    context = {
        "crews": choices.crews(door.job, for_member=door.member),
        "rigs": choices.rigs(door.job, for_member=door.member),
        "equal": choices.equivalences(door.job, known_at=door.known_at),
        "may_keep": door.may(Ability.KEEP_OPERATORS),
        "may_judge": door.may(Ability.JUDGE_MOCK_UP),
    }
    return render(request, "crews/crews.html", context)


def _firms(door: Door) -> dict[str, list[tuple[Any, str]]]:
    firms = choices.contractors(door.job, for_member=door.member)
    return {"organization": named(firms)}


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def enter_crew(request: SignedIn, door: Door) -> HttpResponse:
    """Enter a crew of a firm."""
    form = CrewForm(posted(request), job=door.job, offers=_firms(door))
    row = tried(form, lambda: actions.enter_crew(by=door.member, **form.cleaned_data))
    if row is not None:
        return redirect("crews", door.job.code)
    return _short(request, door, form, _("Enter a crew"), _("Enter crew"))


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def enter_crew_member(request: SignedIn, door: Door, crew: UUID) -> HttpResponse:
    """Enter a person of a crew who is not on the nozzle."""
    rows = choices.crews(door.job, for_member=door.member)
    row = found(next((one for one in rows if one.pk == crew), None), "no such crew")
    form = CrewMemberForm(posted(request), job=door.job)
    entered = tried(
        form,
        lambda: actions.enter_crew_member(
            by=door.member, crew=row, **form.cleaned_data
        ),
    )
    if entered is not None:
        return redirect("crews", door.job.code)
    title = _("Enter a person of crew %(crew)s") % {"crew": row}
    return _short(request, door, form, title, _("Enter person"))


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def enter_rig(request: SignedIn, door: Door) -> HttpResponse:
    """Enter what carries the concrete to the nozzle."""
    form = RigForm(posted(request), job=door.job, offers=_firms(door))
    row = tried(form, lambda: actions.enter_rig(by=door.member, **form.cleaned_data))
    if row is not None:
        return redirect("crews", door.job.code)
    return _short(request, door, form, _("Enter a rig"), _("Enter rig"))


@job_view(Ability.JUDGE_MOCK_UP, methods=GET_POST, tab=_TAB)
def accept_equal_rigs(request: SignedIn, door: Door) -> HttpResponse:
    """Accept that a mock-up shot with one rig speaks for another."""
    rigs = named(choices.rigs(door.job, for_member=door.member))
    form = EqualRigsForm(
        posted(request),
        job=door.job,
        offers={"rig": rigs, "other": rigs},
        initial={"accepted_at": door.now},
    )
    row = tried(
        form,
        lambda: actions.accept_rig_equivalence(by=door.member, **form.cleaned_data),
    )
    if row is not None:
        return redirect("crews", door.job.code)
    title = _("Accept one rig as equal to another")
    return _short(request, door, form, title, _("Accept as equal"))


def _short(
    request: SignedIn, door: Door, form: Any, title: str, action_word: str
) -> HttpResponse:
    return short_form(
        request,
        form,
        label=_("Crews and rigs"),
        title=title,
        action_word=action_word,
        cancel_url=reverse("crews", args=[door.job.code]),
    )
