"""Photographs: taken in on a sheet, and shown to those who may see them."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, HttpResponseNotModified
from django.utils.translation import gettext as _

from crews.views.common import posted
from inspections.actions.photographs import add_photograph as keep_photograph
from inspections.forms.photographs import PhotographForm
from inspections.queries import findings
from inspections.queries import photographs as queries
from inspections.queries.reports import Sheet
from inspections.views.common import TAB, own_sheet
from inspections.views.entries import (
    only,
    part_offers,
    placement_offers,
    written,
)
from project.access import GET_POST, Door, SignedIn, job_view
from project.actions.files import DamagedFile, StorageFull, read_kept
from project.actions.pictures import MOST_BYTES
from project.domain.roles import Ability

logger = logging.getLogger(__name__)


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def add_photograph(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Take a photograph in; what is no picture is refused by its name."""
    sheet = own_sheet(door, number)
    placements = placement_offers(door, sheet)
    form = PhotographForm(
        posted(request),
        request.FILES or None,
        job=door.job,
        most=MOST_BYTES,
        offers={
            "placement": placements,
            "part": part_offers(door),
            "deficiency": _deficiencies(door, sheet),
        },
        initial={
            "deficiency": request.GET.get("deficiency", ""),
            "placement": only(placements),
        },
    )
    return written(
        request,
        door,
        sheet,
        form,
        lambda: _kept(door, sheet, form),
        anchor="photographs",
        names={"photograph": "picture"},
        title=_("Add a photograph"),
        action_word=_("Save photograph"),
    )


def _kept(door: Door, sheet: Sheet, form: PhotographForm) -> Any:
    data = dict(form.cleaned_data)
    data.pop("picture")
    try:
        return keep_photograph(
            by=door.member, report=sheet.row, **form.given_file(), **data
        )
    except StorageFull as full:
        raise ValidationError({"picture": str(full)}) from full


def _deficiencies(door: Door, sheet: Sheet) -> list[tuple[Any, str]]:
    rows = findings.deficiencies(
        door.job, door.member, known_at=door.known_at, report=sheet.row.first
    )
    title = door.job.language
    return [
        (one.row, f"{one.code}, {one.item.title.in_language(title)}") for one in rows
    ]


@job_view(Ability.READ_PANELS)
def photograph(
    request: SignedIn, door: Door, number: int, longest: int
) -> HttpResponse:
    """Send a picture's copy to whoever may see it; it never changes under its name."""
    rows = queries.photographs(
        door.job, door.member, known_at=door.known_at, number=number
    )
    copies = rows[0].row.attachment.derivatives if rows else {}
    if str(longest) not in copies:
        raise Http404("no such photograph")
    digest = rows[0].picture(longest)["sha256"]
    headers = {
        "ETag": f'"{digest}"',
        "Cache-Control": "private, max-age=86400",
        "X-Content-Type-Options": "nosniff",
    }
    if request.headers.get("If-None-Match") == headers["ETag"]:
        return HttpResponseNotModified(headers=headers)
    try:
        data = read_kept(Path(settings.MEDIA_ROOT) / "pictures", digest, suffix=".jpg")
    except DamagedFile as damaged:
        logger.exception("photograph %s", rows[0].code)
        raise Http404(str(damaged)) from damaged
    headers["Content-Disposition"] = f'inline; filename="{rows[0].code}.jpg"'
    return HttpResponse(data, content_type="image/jpeg", headers=headers)
