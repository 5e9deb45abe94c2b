"""What the pages of sheets share: the sheet an address names, and the way back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.views.common import found
from inspections.domain.calculations import CALCULATIONS
from inspections.forms.working_address import TERMS_ON, address_of
from inspections.queries.entries import sheet_of
from inspections.queries.reports import Sheet
from project.access import Door, SignedIn

TAB = "days"


def own_sheet(door: Door, number: int) -> Sheet:
    """Return a sheet of the member's firm: 404 unseen, 403 another firm's."""
    sheet = found(
        sheet_of(door.job, door.member, number, known_at=door.known_at),
        "no such sheet",
    )
    if sheet.row.organization_id != door.member.organization_id:
        raise PermissionDenied("another firm's sheet")
    return sheet


def back_to_sheet(door: Door, sheet: Sheet, anchor: str = "") -> HttpResponse:
    """Go back to the sheet, to one of its sections."""
    return redirect(sheet_url(door, sheet) + (f"#{anchor}" if anchor else ""))


def sheet_url(door: Door, sheet: Sheet) -> str:
    return reverse("report", args=[door.job.code, sheet.row.number])


def working_url(door: Door, name: str, given: Mapping[str, object], *, on: date) -> str:
    """Return the address at which a figure's working opens, filled in.

    `on` is the day of the work: its terms made the figure, and make it again.
    """
    asked = address_of(CALCULATIONS[name], given, zone=door.job.zone)
    page = reverse("working", args=[door.job.code, name])
    return f"{page}?{asked}&{TERMS_ON}={on.isoformat()}"


def elapsed_url(door: Door, start: datetime, stop: datetime) -> str:
    """Return the address at which the time between two instants is worked out."""
    given = {
        "shot_at": door.job.local(start).replace(microsecond=0).isoformat(),
        "at": door.job.local(stop).replace(microsecond=0).isoformat(),
        "zone": door.job.zone,
    }
    return working_url(door, "elapsed", given, on=door.job.local(start).date())


def entry_form(
    request: SignedIn, door: Door, sheet: Sheet, form: Any, **words: Any
) -> HttpResponse:
    """Draw the page of one entry; a sheet that takes none any more says so."""
    if request.method != "POST" and sheet.state != "draft":
        message = _("%(sheet)s is %(state)s and takes no entries; amend it instead.")
        told = {"sheet": sheet.code, "state": sheet.state}
        messages.warning(request, message % told)
        return back_to_sheet(door, sheet)
    words.setdefault("cancel_url", sheet_url(door, sheet))
    words.setdefault("label", sheet.code)
    if not getattr(form, "ROWS", ()):
        words["form_class"] = "form-narrow"
    status = 422 if form.is_bound else 200
    context = {"form": form, **words}
    return render(request, "inspections/entry.html", context, status=status)


def pdf_file(data: bytes, name: str) -> HttpResponse:
    """Send a file to be kept; it is for its reader's eyes, not for caches between."""
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        "Cache-Control": "private, no-store",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(data, content_type="application/pdf", headers=headers)
