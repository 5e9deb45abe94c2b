"""Operators and cards from a file: sent, shown row by row, then saved as it was shown."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import InvalidPage, Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions import imports as actions
from crews.domain.import_outcomes import Outcome, RowState
from crews.forms.fields import named
from crews.forms.imports import (
    HEADS,
    ImportForm,
    SaveImportForm,
    as_cells,
    read_operators,
)
from crews.queries import choices
from crews.queries.imports import LaidBeside, laid_beside
from crews.views.common import found, posted, tried
from project.access import GET_POST, Door, SignedIn, job_view
from project.actions.files import DamagedFile, StorageFull, keep_bytes, read_kept
from project.actions.pictures import clean_name
from project.domain.roles import Ability

_TAB = "operators"
_A_PAGE = 200


def imports_folder(firm: UUID) -> Path:
    """Return where a firm's files are kept: no other firm's page reads there."""
    return Path(settings.MEDIA_ROOT) / "imports" / str(firm)


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def import_operators(request: SignedIn, door: Door) -> HttpResponse:
    """Take a file in and keep it; nothing of it is on record before it was shown."""
    firms = named(choices.contractors(door.job, for_member=door.member))
    form = ImportForm(
        posted(request),
        request.FILES or None,
        job=door.job,
        offers={"organization": firms},
    )
    shown = tried(form, lambda: _keep(door, form))
    if shown is not None:
        return redirect(shown)
    context = {"form": form, "sample": _SAMPLE_ROWS}
    status = 422 if form.is_bound else 200
    return render(request, "crews/import_operators.html", context, status=status)


# A row as it may be typed; invented, and in no file.
_SAMPLE = (
    *("B-104", "Noor Castellane", "CP-60", "WV-2210", "hand", "full"),
    *("wet vertical, wet overhead", "2024-05-01", "2029-05-01"),
)
_SAMPLE_ROWS = tuple(zip(HEADS, _SAMPLE, strict=True))


def _keep(door: Door, form: ImportForm) -> str:
    raw, name = form.cleaned_data["file"]
    firm = form.cleaned_data["organization"]
    try:
        digest = keep_bytes(imports_folder(firm.pk), raw)
    except StorageFull as full:
        raise ValidationError({"file": str(full)}) from full
    path = reverse("preview_import", args=[door.job.code, firm.pk, digest])
    return f"{path}?{urlencode({'file': clean_name(name)})}"


@job_view(Ability.KEEP_OPERATORS, tab=_TAB)
def import_template(request: SignedIn, door: Door) -> HttpResponse:
    """Give out a file with the heads alone."""
    out = io.StringIO()
    csv.writer(out).writerow(HEADS)
    response = HttpResponse(out.getvalue().encode("utf-8-sig"), "text/csv")
    response["Content-Disposition"] = 'attachment; filename="operators-and-cards.csv"'
    return response


@dataclass(frozen=True, slots=True)
class Preview:
    """A kept file as it is read now, beside the record."""

    file: actions.ReadFile
    organization: Any
    found: LaidBeside
    left_out: str


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def preview_import(
    request: SignedIn, door: Door, firm: UUID, digest: str
) -> HttpResponse:
    """Show what becomes of each row; save them as they were shown."""
    preview = _preview(door, firm, digest, request.GET.get("file", ""))
    corrects = RowState.CHANGED in preview.found.counts
    form = SaveImportForm(posted(request), job=door.job, corrects=corrects)
    saved = tried(
        form,
        lambda: actions.import_operators(
            id=form.cleaned_data["id"],
            by=door.member,
            organization=preview.organization,
            file=preview.file,
            digest=form.cleaned_data["digest"],
            reason=form.cleaned_data.get("reason", ""),
        ),
    )
    if saved is not None:
        messages.success(request, _told(saved))
        return redirect("operators", door.job.code)
    return _shown(request, door, preview, form)


def _preview(door: Door, firm: UUID, digest: str, name: str) -> Preview:
    """Read a kept file again; 404 for one that is not there, or not of one's firm."""
    firms = choices.contractors(door.job, for_member=door.member)
    one = found(next((row for row in firms if row.pk == firm), None), "no such firm")
    name = clean_name(name)
    try:
        raw = read_kept(imports_folder(firm), digest)
        sheet = read_operators(raw, name=name)
    except (DamagedFile, ValueError, ValidationError) as error:
        raise Http404("no such file") from error
    file = actions.ReadFile(digest, name, as_cells(sheet))
    beside = laid_beside(
        file.rows,
        file=digest,
        organization=one,
        known_at=door.known_at,
        today=door.local_today(),
    )
    return Preview(file, one, beside, sheet.left_out)


def _told(saved: actions.Imported) -> str:
    said = _(
        "On record from the file: operators entered %(operators)s, cards recorded"
        " %(cards)s, cards corrected %(corrected)s. Nobody has verified these cards yet."
    ) % {
        "operators": saved.operators,
        "cards": saved.cards,
        "corrected": saved.corrected,
    }
    if not saved.corrected:
        return said
    return f"{said} {_('Affected work tells what the corrections turn.')}"


def _place(row: Outcome) -> tuple[int, int]:
    """Put first what somebody must look at: refused, changed, remarked on."""
    ahead = (RowState.REFUSED, RowState.CHANGED)
    place = ahead.index(row.state) if row.state in ahead else 2 + (not row.remarks)
    return place, row.number


def _shown(
    request: SignedIn, door: Door, preview: Preview, form: SaveImportForm
) -> HttpResponse:
    found = preview.found
    rows = sorted(
        (row for row in found.rows if row.state is not RowState.UNCHANGED),
        key=_place,
    )
    try:
        page = Paginator(rows, _A_PAGE).page(request.GET.get("page", 1))
    except InvalidPage as error:
        raise Http404("no such page") from error
    context = {
        "form": form,
        # What is posted is what this page shows, whatever an earlier one had.
        "digest": found.digest,
        "facts": [
            (_("Firm"), str(preview.organization)),
            (_("Rows"), f"{len(found.rows):,}"),
        ],
        "name": preview.file.name,
        "left_out": preview.left_out,
        "counts": [(state, found.counts[state]) for state in RowState],
        "refused": len(found.refused),
        "to_save": len(found.to_save),
        "page": page,
        "unchanged": _ranges(found.rows),
    }
    status = 422 if form.is_bound else 200
    return render(request, "crews/preview_import.html", context, status=status)


def _ranges(rows: tuple[Outcome, ...]) -> str:
    """Return the numbers of the rows that change nothing, neighbours joined."""
    spans: list[list[int]] = []
    for row in rows:
        if row.state is not RowState.UNCHANGED:
            continue
        if spans and row.number == spans[-1][1] + 1:
            spans[-1][1] = row.number
        else:
            spans.append([row.number, row.number])
    return ", ".join(f"{a}" if a == b else f"{a}–{b}" for a, b in spans)
