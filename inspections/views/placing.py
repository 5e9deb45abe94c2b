"""One placement: its volumes, thickness and warmth, each figure with its working."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from crews.actions import shooting as acts
from crews.forms.shooting import WasteForm
from crews.queries import choices
from crews.views.common import found, posted, short_form, tried
from inspections.queries.placing import placement_page
from inspections.views.common import TAB
from project.access import GET_POST, Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability

# What of the delivery went elsewhere, in the order it is taken off.
_GONE = {
    "returned": gettext_lazy("Went back"),
    "line_waste": gettext_lazy("Left in the line"),
    "panels": gettext_lazy("Taken by panels"),
    "removed": gettext_lazy("Taken out while fresh"),
    "cuttings": gettext_lazy("Cut off by the finishers"),
}


@job_view(Ability.READ_SIGNED_SHEETS, tab=TAB)
def placement(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Show what became of a placement's concrete, and how thick and warm it was."""
    page = found(
        placement_page(door.job, code, known_at=door.known_at, for_member=door.member),
        "no such placement",
    )
    shift, part = page.placed.shift, page.placed.part
    asked = request.GET.get("figure", "")
    code = page.row.part.code
    context = {
        "page": page,
        "asked": asked,
        "chosen": page.working(asked),
        "title": f"{code}, {part.name}" if part else code,
        "gone": [(words, getattr(page.tickets, name)) for name, words in _GONE.items()]
        if page.tickets
        else [],
        "facts": [
            (_("Shift"), f"{when_text(shift.work_date, form='day')}, {shift.name}"),
            (_("Mix"), str(page.placed.mix or _("not on record"))),
            (_("Rig"), page.row.rig.code),
        ],
        "terms": page.terms.revision if page.terms else None,
        "may_record": door.may(Ability.RECORD_SHOOTING) and not page.waste_told,
    }
    return render(request, "inspections/placement.html", context)


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=TAB)
def record_waste(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Say what of a placement's delivery is not in place."""
    row = found(
        choices.placement(
            door.job, code, known_at=door.known_at, for_member=door.member
        ),
        "no such placement",
    )
    form = WasteForm(posted(request), job=door.job)
    told = tried(
        form,
        lambda: acts.record_waste(
            by=door.member,
            placement=row,
            **form.given("line_waste", "removed", "cuttings"),
        ),
    )
    back = reverse("placement", args=[door.job.code, row.code])
    if told is not None:
        return redirect(back)
    return short_form(
        request,
        form,
        label=f"{row.code}, {row.part.code}",
        title=_("Say what was delivered and is not in place"),
        action_word=_("Record it"),
        cancel_url=back,
    )
