"""The daily field report: opened, read in its fixed order, voided."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.forms.fields import ReasonForm
from crews.queries import choices
from crews.queries.hindsight import ThenAndNow, shift_then_and_now
from crews.views.common import found, posted, short_form, tried
from inspections.actions import reports as actions
from inspections.queries import entries, findings
from inspections.queries import reports as queries
from inspections.queries.carried import neat_before
from inspections.queries.evaporations import (
    Evaporating,
    evaporations,
    mixes_on_record,
)
from inspections.queries.known import moment
from inspections.queries.load_ages import LoadAge, load_ages
from inspections.views.common import TAB, own_sheet, working_url
from project.access import GET_POST, POST, Door, SignedIn, job_view
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.forms.fields import SheetForm


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a sheet: what its content says, and the record behind it."""

    said: dict[str, Any]
    id: UUID | None = None
    tests: tuple[UUID, ...] = ()
    writable: bool = True
    age: LoadAge | None = None
    age_url: str = ""
    evaporating: Evaporating | None = None
    evaporation_url: str = ""


@job_view(Ability.WRITE_SHEET, methods=POST, tab=TAB)
def open_sheet(request: SignedIn, door: Door, shift: UUID) -> HttpResponse:
    """Open the member's sheet of a shift; whoever asks twice gets the one sheet."""
    row = found(
        choices.shift(door.job, shift, known_at=door.known_at, for_member=door.member),
        "no such shift",
    )
    form = SheetForm(request.POST, job=door.job)
    sheet = tried(
        form,
        lambda: actions.open_report(
            id=form.cleaned_data["id"], by=door.member, shift=row
        ),
    )
    if sheet is not None:
        return redirect("report", door.job.code, sheet.number)
    return short_form(
        request,
        form,
        label=str(row),
        title=_("Open my sheet"),
        action_word=_("Open my sheet"),
        cancel_url=reverse("shift", args=[door.job.code, shift]),
    )


@job_view(Ability.READ_SIGNED_SHEETS, tab=TAB)
def report(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Show a sheet: as it was last signed, or as it stands while it is a draft."""
    page = found(
        queries.sheet_page(door.job, door.member, number, known_at=door.known_at),
        "no such sheet",
    )
    lines = plain_lines(page.content)
    if page.may_write:
        lines = lines_with_records(door, page.sheet, page.content)
    context = {
        "page": page,
        "flags": page.flags,
        "version": page.sheet.last,
        "may_clear": _may_clear(door, page),
        **_shown(door, page.sheet, page.content, lines),
    }
    return render(request, "inspections/report.html", context)


@job_view(Ability.READ_SIGNED_SHEETS, tab=TAB)
def report_version(request: SignedIn, door: Door, number: int, n: int) -> HttpResponse:
    """Show one signed version of a sheet as it was signed."""
    version = found(
        queries.signed_content(
            door.job, door.member, number, n, known_at=door.known_at
        ),
        "no such version",
    )
    sheet = found(
        entries.sheet_of(door.job, door.member, number, known_at=door.known_at),
        "no such sheet",
    )
    context = {
        "version": version,
        "superseded": version.n < len(sheet.versions),
        **_shown(door, sheet, version.content, plain_lines(version.content)),
    }
    return render(request, "inspections/report.html", context)


def _may_clear(door: Door, page: queries.SheetPage) -> bool:
    own = page.sheet.row.organization_id == door.member.organization_id
    able = door.may(Ability.WRITE_SHEET) or door.may(Ability.REVIEW_REPORT)
    return own and able


def _shown(
    door: Door,
    sheet: queries.Sheet,
    content: dict[str, Any],
    lines: dict[str, list[Line]],
) -> dict[str, Any]:
    """Return what every view of a sheet draws."""
    numbers = entries.numbers(door.member, known_at=door.known_at)
    lines["loads"] = _aged(door, sheet, lines["loads"])
    lines["weather"] = _evaporating(door, sheet, content, lines["weather"])
    at = numbers.index(sheet.row.number)
    return {
        "sheet": sheet,
        "content": content,
        "lines": lines,
        "day": content["shift"]["work_date"],
        "again": _known_since(door, sheet),
        "totals": _totals(door, sheet, content),
        "as_they_stand": {
            row.code: row
            for row in findings.deficiencies(
                door.job,
                door.member,
                known_at=door.known_at,
                report=sheet.row.first,
            )
        },
        "reviews": [move for move in sheet.moves if move.move == "review"],
        "leaf_back": _leaf(door, numbers[at - 1]) if at else None,
        "leaf_on": _leaf(door, numbers[at + 1]) if at + 1 < len(numbers) else None,
        "foot_note": _("Written by %(who)s, %(firm)s")
        % {"who": content["sheet"]["inspector"], "firm": content["sheet"]["firm"]},
    }


def _known_since(door: Door, sheet: queries.Sheet) -> dict[str, ThenAndNow]:
    """Return what is known since of each nozzle time, by what a signed line says.

    A draft says nothing that could stay behind: its shift's page shows both.
    """
    if not sheet.versions:
        return {}
    found = shift_then_and_now(door.job, sheet.shift, at=door.known_at)
    return {
        f"{code}{(moment(start, job=door.job) or {}).get('utc', '')}": both
        for (code, start), both in found.items()
    }


def _aged(door: Door, sheet: queries.Sheet, lines: list[Line]) -> list[Line]:
    """Return the lines of loads with their ages, each with the way to its working."""
    ages = load_ages(
        door.job,
        [line.said for line in lines],
        terms=sheet.terms,
        known_at=door.known_at,
    )
    return [
        line
        if age is None
        else replace(line, age=age, age_url=_age_url(door, sheet, age))
        for line, age in zip(lines, ages, strict=True)
    ]


def _age_url(door: Door, sheet: queries.Sheet, age: LoadAge) -> str:
    given: dict[str, object] = {
        "batched_at": age.batched_at.isoformat(),
        "last_shot_at": age.last_shot_at.isoformat(),
    }
    if age.mix_limit is not None:
        given["mix_limit"] = [f"{age.mix_limit.value:f}", age.mix_limit.unit]
    return working_url(door, "load-age", given, on=sheet.shift.work_date)


def _evaporating(
    door: Door, sheet: queries.Sheet, content: dict[str, Any], lines: list[Line]
) -> list[Line]:
    """Return the lines of weather with what would evaporate, and its working."""
    if not lines:
        return lines
    mixes = mixes_on_record(door.job, known_at=door.known_at)
    found = evaporations(content, mixes=mixes, terms=sheet.terms)
    return [
        replace(
            line, evaporating=each, evaporation_url=_evaporation_url(door, sheet, each)
        )
        for line, each in zip(lines, found, strict=True)
    ]


def _evaporation_url(door: Door, sheet: queries.Sheet, each: Evaporating) -> str:
    given: dict[str, object] = {
        name: [f"{read.value:f}", read.unit] for name, read in each.read.items()
    }
    if each.mix.evaporation is not None:
        limit = each.mix.evaporation
        given["mix_limit"] = [f"{limit.value:f}", limit.unit]
    given["silica_fume"] = each.mix.silica_fume
    return working_url(door, "evaporation", given, on=sheet.shift.work_date)


def _leaf(door: Door, number: int) -> dict[str, str]:
    url = reverse("report", args=[door.job.code, number])
    return {"url": url, "name": _("Sheet %(n)s") % {"n": number}}


def _totals(
    door: Door, sheet: queries.Sheet, content: dict[str, Any]
) -> dict[str, Quantity]:
    """Return neat volume of this sheet, of the shifts before it, and both."""
    shift = sheet.shift
    before = neat_before(
        door.job,
        known_at=door.known_at,
        for_member=door.member,
        day=shift.work_date,
        starts_at=shift.starts_at,
    )
    neats = [Decimal(one["neat"][0]) for one in content["placed"] if one["neat"]]
    here = Quantity(sum(neats, Decimal(0)), before.unit)
    both = Quantity(here.value + before.value, before.unit)
    return {"here": here, "before": before, "both": both}


_SECTIONS = (
    *("loads", "weather", "rounds", "readings", "deficiencies"),
    *("remarks", "photographs"),
)


def plain_lines(content: dict[str, Any]) -> dict[str, list[Line]]:
    """Return a sheet's lines without the records behind them: nothing to press."""
    return {name: [Line(said) for said in content[name]] for name in _SECTIONS}


def lines_with_records(
    door: Door, sheet: queries.Sheet, content: dict[str, Any]
) -> dict[str, list[Line]]:
    """Return a sheet's lines as they stand, each with the record behind it."""
    known_at: datetime = door.known_at
    ids = entries.identities(sheet.row, known_at=known_at)
    tests = entries.test_identities(sheet.row, known_at=known_at)
    own = entries.own_loads(sheet.row, door.member, known_at=known_at)
    lines = {}
    for name in _SECTIONS:
        pairs = zip(content[name], ids[name], strict=True)
        lines[name] = [
            Line(
                said,
                id,
                tuple(tests.get(id, ())),
                writable=name != "loads" or id in own,
            )
            for said, id in pairs
        ]
    return lines


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def void_sheet(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Void a sheet opened in error; its number stays taken."""
    sheet = own_sheet(door, number)
    form = ReasonForm(posted(request), job=door.job)
    voided = tried(
        form,
        lambda: actions.void_report(
            by=door.member, report=sheet.row, reason=form.cleaned_data["reason"]
        ),
    )
    if voided is not None:
        messages.success(request, _("%(sheet)s is void.") % {"sheet": sheet.code})
        return redirect("days", door.job.code)
    return short_form(
        request,
        form,
        label=sheet.code,
        title=_("Void this sheet"),
        action_word=_("Void %(sheet)s") % {"sheet": sheet.code},
        cancel_url=reverse("report", args=[door.job.code, number]),
    )
