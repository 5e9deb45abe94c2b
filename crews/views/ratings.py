"""The visual rating of a panel's cores."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from crews.actions.ratings import rate_cores
from crews.forms.ratings import RatingForm
from crews.queries.panels import PanelRow, panel_page
from crews.queries.ratings import ratings
from crews.views.common import found, posted, short_form, tell_recorded, tried
from crews.views.panels import panel_url
from project.access import GET_POST, Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability


@job_view(Ability.RATE_CORES, methods=GET_POST, tab="panels")
def rate(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Rate the faces of a panel's cores, or correct an earlier rating."""
    page = found(
        panel_page(
            door.job,
            code,
            known_at=door.known_at,
            on=door.local_today(),
            for_member=door.member,
        ),
        "no such panel",
    )
    row = page.panel
    form = RatingForm(
        posted(request),
        job=door.job,
        drilled=[core.row for one in row.sets for core in one.cores],
        offers={"supersedes": _earlier(door, row)},
        initial={"rated_at": door.now},
    )
    rated = tried(
        form, lambda: rate_cores(by=door.member, panel=row.row, **form.cleaned_data)
    )
    if rated is not None:
        tell_recorded(request, door, rated)
        return redirect(panel_url(door, code) + "#ratings")
    return short_form(
        request,
        form,
        label=f"{row.kind}, {row.operator_code}".rstrip(", "),
        title=_("Rate the faces of the cores of %(panel)s") % {"panel": code},
        action_word=_("Keep the rating"),
        cancel_url=panel_url(door, code),
    )


def _earlier(door: Door, row: PanelRow) -> list[tuple[Any, str]]:
    """Offer each rating that stands to be corrected."""
    told = _("a correction of: %(decision)s, seen %(when)s")
    return [
        (one.row, told % {"decision": one.decision, "when": when})
        for one in ratings([row.id], known_at=door.known_at)
        if one.stands and (when := when_text(one.row.rated_at, zone=door.job.zone))
    ]
