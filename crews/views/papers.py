"""Scans of cards and papers of statements, to whoever may read the operator."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings
from django.http import Http404, HttpResponse, HttpResponseNotModified
from django.utils.http import content_disposition_header

from crews.queries import choices, papers
from crews.views.common import found
from project.access import Door, SignedIn, job_view
from project.actions.files import DamagedFile, read_kept
from project.actions.pictures import COPIES, ORIGINALS
from project.domain.roles import Ability

logger = logging.getLogger(__name__)

_TAB = "operators"
_SMALL, _LARGE = "320", "1600"


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def card_scan(request: SignedIn, door: Door, code: str, card: UUID) -> HttpResponse:
    """Send the scan of a card; `?small` asks for a picture's small copy."""
    operator = _operator(door, code)
    kept = papers.card_scan(operator, card, known_at=door.known_at)
    return _sent(request, found(kept, "no scan"))


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def experience_paper(
    request: SignedIn, door: Door, code: str, stated: UUID
) -> HttpResponse:
    """Send the paper that states what was shot before."""
    operator = _operator(door, code)
    kept = papers.experience_paper(operator, stated, known_at=door.known_at)
    return _sent(request, found(kept, "no paper"))


def _operator(door: Door, code: str) -> Any:
    row = choices.place(door.job, code, known_at=door.known_at, for_member=door.member)
    return found(row, "no such operator").operator


def _sent(request: SignedIn, kept: Any) -> HttpResponse:
    """Send a picture's clean copy to be shown, a PDF as it came to be saved.

    What a PDF contains was not looked at: it never opens inside a page of this site.
    """
    folder = Path(settings.MEDIA_ROOT)
    if kept.file_kind == "pdf":
        digest, kind, inline = kept.sha256, "application/pdf", False
        place, suffix, name = folder / ORIGINALS, "", kept.name
    else:
        longest = _SMALL if "small" in request.GET else _LARGE
        digest, kind, inline = kept.derivatives[longest]["sha256"], "image/jpeg", True
        place, suffix = folder / COPIES, ".jpg"
        name = f"{Path(kept.name).stem}.jpg"
    headers = {
        "ETag": f'"{digest}"',
        "Cache-Control": "private, max-age=86400",
        "X-Content-Type-Options": "nosniff",
        "Content-Disposition": content_disposition_header(not inline, name) or "",
    }
    if request.headers.get("If-None-Match") == headers["ETag"]:
        return HttpResponseNotModified(headers=headers)
    try:
        data = read_kept(place, digest, suffix=suffix)
    except DamagedFile as damaged:
        logger.exception("paper %s", kept.pk)
        raise Http404(str(damaged)) from damaged
    return HttpResponse(data, content_type=kind, headers=headers)
