"""What an operator had shot before this record began, stated by name."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions import experience as actions
from crews.forms.people import ExperienceForm
from crews.queries import choices
from crews.views.common import found, posted, short_form, tell_recorded, tried
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab="operators")
def state_experience(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Write down hours and the last day shot, as somebody states them."""
    place = found(
        choices.place(door.job, code, known_at=door.known_at, for_member=door.member),
        "no such operator",
    )
    form = ExperienceForm(
        posted(request), job=door.job, initial={"stated_on": door.local_today()}
    )
    row = tried(
        form,
        lambda: actions.state_experience(
            by=door.member, operator=place.operator, **form.cleaned_data
        ),
    )
    back = reverse("operator", args=[door.job.code, code]) + "#experience"
    if row is not None:
        tell_recorded(request, door, row)
        return redirect(back)
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("What %(name)s shot before this record") % {"name": place.operator},
        action_word=_("Write it down"),
        cancel_url=back,
    )
