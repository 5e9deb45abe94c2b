"""Entries written on a sheet: weather, loads and tests, readings, remarks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from crews.forms.fields import named
from crews.views.common import found, posted, tried
from inspections.actions import loads as load_actions
from inspections.actions import reports as actions
from inspections.actions.fresh_tests import record_fresh_tests
from inspections.actions.readings import Measured
from inspections.actions.readings import record_readings as keep_readings
from inspections.forms import entries as forms
from inspections.queries import entries as queries
from inspections.queries.flags import uncleared_flags
from inspections.queries.reports import Sheet
from inspections.views.common import TAB, back_to_sheet, entry_form, own_sheet
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability
from project.queries.jobs import mixes, now_on, parts, plants


def written(
    request: SignedIn,
    door: Door,
    sheet: Sheet,
    form: Any,
    do: Callable[[], object],
    *,
    anchor: str,
    names: Mapping[str, str] | None = None,
    **words: Any,
) -> HttpResponse:
    """Write an entry and go back to its section, or show what needs another look."""
    if tried(form, do, names) is None:
        return entry_form(request, door, sheet, form, **words)
    return back_to_sheet(door, sheet, anchor)


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def record_weather(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Write down what was read of the weather."""
    sheet = own_sheet(door, number)
    form = forms.WeatherForm(posted(request), job=door.job, initial={"at": door.now})
    return written(
        request,
        door,
        sheet,
        form,
        lambda: actions.record_weather(
            by=door.member, report=sheet.row, **form.cleaned_data
        ),
        anchor="weather",
        title=_("Weather at the wall"),
        action_word=_("Save weather"),
    )


def load_offers(door: Door, sheet: Sheet) -> dict[str, Any]:
    """Return what a load may be of: mixes, their plants, the shift's placements."""
    known = mixes(door.job, known_at=door.known_at)
    return {
        "mix_revision": named(known),
        "supplier": named(plants(known)),
        "placement": placement_offers(door, sheet),
    }


def placement_offers(door: Door, sheet: Sheet) -> list[tuple[Any, str]]:
    rows = queries.placements_of(sheet.row, known_at=door.known_at)
    return [(row, f"{row.code}, {row.part.code}") for row in rows]


def only(offered: list[tuple[Any, str]]) -> Any:
    """Return the one row that is offered; nothing where there is a choice."""
    return offered[0][0] if len(offered) == 1 else None


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def record_load(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Write down a load as it came; what contradicts itself is kept and flagged."""
    sheet = own_sheet(door, number)
    offers = load_offers(door, sheet)
    placement = only(offers["placement"])
    form = forms.LoadForm(
        posted(request),
        job=door.job,
        offers=offers,
        initial={
            "arrived_at": door.now,
            "placement": placement,
            "mix_revision": placement and placement.mix_revision,
        },
    )
    before = _flags(door, sheet)
    row = tried(
        form,
        lambda: load_actions.record_load(
            id=form.cleaned_data["id"],
            by=door.member,
            shift=sheet.shift,
            load=_as_came(form),
            report=sheet.row,
            placement=form.cleaned_data["placement"],
        ),
    )
    if row is None:
        return entry_form(
            request,
            door,
            sheet,
            form,
            title=_("Record a load"),
            action_word=_("Save load"),
        )
    _say_flags(request, door, sheet, before)
    return back_to_sheet(door, sheet, "loads")


def _as_came(form: forms.LoadForm) -> load_actions.LoadAsCame:
    data = dict(form.cleaned_data)
    for name in ("id", "placement"):
        data.pop(name)
    return load_actions.LoadAsCame(**data)


def _flags(door: Door, sheet: Sheet) -> set[str]:
    found = uncleared_flags(sheet.row, known_at=door.known_at)
    return {flag.mark for flag in found}


def _say_flags(request: SignedIn, door: Door, sheet: Sheet, before: set[str]) -> None:
    """Tell what the entry contradicts; it is kept all the same."""
    flags = uncleared_flags(sheet.row, known_at=now_on(door.job))
    new = [flag.words for flag in flags if flag.mark not in before]
    if new:
        message = ngettext(
            "Saved, with a flag to be cleared before review: %(flags)s.",
            "Saved, with flags to be cleared before review: %(flags)s.",
            len(new),
        )
        messages.warning(request, message % {"flags": "; ".join(new)})


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def finish_load(request: SignedIn, door: Door, number: int, load: UUID) -> HttpResponse:
    """Add what is known of a load only when it is shot."""
    sheet = own_sheet(door, number)
    row = found(
        queries.load_of(sheet.row, load, known_at=door.known_at), "no such load"
    )
    form = forms.FinishLoadForm(
        posted(request), job=door.job, initial={"last_shot_at": door.now}
    )
    before = _flags(door, sheet)
    done = tried(
        form,
        lambda: load_actions.finish_load(
            by=door.member,
            load=row,
            **form.given("last_shot_at", "returned"),
        ),
    )
    if done is None:
        return entry_form(
            request,
            door,
            sheet,
            form,
            title=_("Finish %(load)s") % {"load": row},
            action_word=_("Finish load"),
        )
    _say_flags(request, door, sheet, before)
    return back_to_sheet(door, sheet, "loads")


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def record_test(request: SignedIn, door: Door, number: int, load: UUID) -> HttpResponse:
    """Write down what was tested of a load's fresh concrete."""
    sheet = own_sheet(door, number)
    row = found(
        queries.load_of(sheet.row, load, known_at=door.known_at), "no such load"
    )
    form = forms.FreshTestsForm(posted(request), job=door.job, initial={"at": door.now})
    return written(
        request,
        door,
        sheet,
        form,
        lambda: record_fresh_tests(
            by=door.member,
            load=row,
            figures=form.figures(),
            **form.given("id", "at", "retest"),
        ),
        anchor="loads",
        names={"value": "slump"},
        title=_("Fresh tests of %(load)s") % {"load": row},
        action_word=_("Save tests"),
    )


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def record_readings(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Write down a set of measurements of one kind."""
    sheet = own_sheet(door, number)
    placements = placement_offers(door, sheet)
    form = forms.ReadingsForm(
        posted(request),
        job=door.job,
        offers={"placement": placements, "part": part_offers(door)},
        initial={"at": door.now, "placement": only(placements)},
    )
    return written(
        request,
        door,
        sheet,
        form,
        lambda: keep_readings(
            by=door.member,
            report=sheet.row,
            readings=[Measured(*one) for one in form.cleaned_data["readings"]],
            **form.given("id", "kind", "at", "placement", "part", "means"),
        ),
        anchor="readings",
        names={"value": "value_1", "readings": "value_1"},
        title=_("Record readings"),
        action_word=_("Save readings"),
    )


def part_offers(door: Door) -> list[tuple[Any, str]]:
    """Return the job's parts by code and name."""
    rows = parts(door.job, known_at=door.known_at)
    return [(row.part, f"{row.code}, {row.revision.name}") for row in rows]


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def add_remark(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Write a sentence on the sheet."""
    sheet = own_sheet(door, number)
    form = forms.RemarkForm(posted(request), job=door.job, initial={"at": door.now})
    return written(
        request,
        door,
        sheet,
        form,
        lambda: actions.add_remark(
            by=door.member, report=sheet.row, **form.cleaned_data
        ),
        anchor="remarks",
        title=_("Write a remark"),
        action_word=_("Save remark"),
    )
