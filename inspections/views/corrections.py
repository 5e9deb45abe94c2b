"""Entries of a sheet put right or taken back, each with its reason."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.forms.fields import ReasonForm
from crews.views.common import found, posted
from inspections.actions import corrections as actions
from inspections.forms.corrections import correction_form
from inspections.queries import entries as queries
from inspections.queries.reports import Sheet
from inspections.views.common import TAB, own_sheet
from inspections.views.entries import load_offers, part_offers, written
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability

# The section of the sheet that each kind of entry stands in.
ANCHORS = {
    "weather": "weather",
    "load": "loads",
    "test": "loads",
    "round": "rounds",
    "reading": "readings",
    "remark": "remarks",
    "photograph": "photographs",
    "deficiency": "deficient",
}


def entry_of(door: Door, sheet: Sheet, kind: str, entry: UUID) -> Any:
    """Return an entry of the sheet, or say that there is no such page."""
    if kind not in ANCHORS:
        raise Http404("no such kind of entry")
    row = queries.entry_of(sheet.row, kind, entry, known_at=door.known_at)
    return found(row, "no such entry")


def offers(door: Door, sheet: Sheet, kind: str) -> dict[str, Any]:
    """Return what the lists of an entry's form offer."""
    if kind == "load":
        return load_offers(door, sheet)
    return {"part": part_offers(door)} if kind in ("photograph", "deficiency") else {}


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def correct_entry(
    request: SignedIn, door: Door, number: int, kind: str, entry: UUID
) -> HttpResponse:
    """Put an entry right; what stood there stays readable in the trail."""
    sheet = own_sheet(door, number)
    row = entry_of(door, sheet, kind, entry)
    if kind == "round":
        raise Http404("a walk is put right as a walk")
    form = correction_form(
        row, posted(request), job=door.job, offers=offers(door, sheet, kind)
    )
    return written(
        request,
        door,
        sheet,
        form,
        lambda: actions.correct_entry(
            by=door.member, entry=row, **form.given("id", "reason"), **form.changes()
        ),
        anchor=ANCHORS[kind],
        title=_("Put %(entry)s right") % {"entry": row},
        action_word=_("Put it right"),
        other_url=reverse("withdraw_entry", args=[door.job.code, number, kind, entry]),
        other_words=_("Take it back instead"),
    )


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def withdraw_entry(
    request: SignedIn, door: Door, number: int, kind: str, entry: UUID
) -> HttpResponse:
    """Take an entry back; it stays readable, and counts no more."""
    sheet = own_sheet(door, number)
    row = entry_of(door, sheet, kind, entry)
    form = ReasonForm(posted(request), job=door.job)
    return written(
        request,
        door,
        sheet,
        form,
        lambda: actions.withdraw_entry(
            by=door.member,
            entry=row,
            id=form.cleaned_data["id"],
            reason=form.cleaned_data["reason"],
        ),
        anchor=ANCHORS[kind],
        title=_("Take %(entry)s back") % {"entry": row},
        action_word=_("Take it back"),
    )
