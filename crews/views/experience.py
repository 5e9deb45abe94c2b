"""What an operator had shot before this record began, stated by name."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions import experience as actions
from crews.forms.people import CorrectExperienceForm, ExperienceForm
from crews.queries import choices, papers
from crews.views.common import (
    found,
    posted,
    posted_id,
    short_form,
    tell_recorded,
    tried,
)
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability

_KEPT = ("process", "method", "hours", "last_shot_on", "stated_by", "stated_on")


def _operator(door: Door, code: str) -> Any:
    row = choices.place(door.job, code, known_at=door.known_at, for_member=door.member)
    return found(row, "no such operator").operator


def _back(door: Door, code: str) -> str:
    return reverse("operator", args=[door.job.code, code]) + "#experience"


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab="operators")
def state_experience(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Write down hours and the last day shot, as somebody states them."""
    operator = _operator(door, code)
    form = ExperienceForm(
        posted(request),
        request.FILES or None,
        job=door.job,
        initial={"stated_on": door.local_today()},
    )
    row = tried(
        form,
        lambda: actions.state_experience(
            id=form.cleaned_data["id"],
            by=door.member,
            operator=operator,
            paper=form.cleaned_data["attachment"],
            **form.facts(),
        ),
    )
    if row is not None:
        tell_recorded(request, door, row)
        return redirect(_back(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("What %(name)s shot before this record") % {"name": operator},
        action_word=_("Write it down"),
        cancel_url=_back(door, code),
    )


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab="operators")
def correct_experience(
    request: SignedIn, door: Door, code: str, stated: UUID
) -> HttpResponse:
    """Write a statement down anew; the version before stays on record."""
    operator = _operator(door, code)
    if papers.experience_sent(operator, posted_id(request)):
        return redirect(_back(door, code))
    before = found(
        papers.experience(operator, stated, known_at=door.known_at),
        "no such statement",
    )
    form = CorrectExperienceForm(
        posted(request),
        request.FILES or None,
        job=door.job,
        initial={name: getattr(before, name) for name in _KEPT},
    )
    row = tried(
        form,
        lambda: actions.state_experience(
            id=form.cleaned_data["id"],
            by=door.member,
            operator=operator,
            paper=form.cleaned_data["attachment"],
            supersedes=before,
            reason=form.cleaned_data["reason"],
            **form.facts(),
        ),
    )
    if row is not None:
        tell_recorded(request, door, row)
        return redirect(_back(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Correct what %(name)s shot before this record") % {"name": operator},
        action_word=_("Keep the new version"),
        cancel_url=_back(door, code),
    )
