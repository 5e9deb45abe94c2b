"""The days of the job, a month at a time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.dateformat import format as dated

from inspections.forms.days import MonthForm
from inspections.queries import reports as queries
from inspections.queries.carried import neat_before, neat_sum
from inspections.queries.late_walks import late_walks
from inspections.queries.months import Month, months
from project.access import Door, SignedIn, job_view
from project.domain.roles import Ability, Role
from project.domain.units import Quantity


@dataclass(frozen=True, slots=True)
class DayLine:
    """One shift with its neat volume, and whether the member has a sheet to open."""

    day: queries.Day
    neat: Quantity
    may_open_sheet: bool


@job_view(Ability.READ_SIGNED_SHEETS)
def days(request: SignedIn, door: Door) -> HttpResponse:
    """List the shifts of a month with what was placed and the sheets on them."""
    known = months(door.member, known_at=door.known_at)
    form = MonthForm(request.GET, months=known)
    asked: Month | None = form.cleaned_data["month"] if form.is_valid() else None
    month = asked or (known[-1] if known else None)
    context = {
        "form": form,
        "today": door.local_today(),
        "may_open": door.may(Ability.RECORD_SHOOTING),
        "may_write": door.may(Ability.WRITE_SHEET),
        **(_month(door, month, known) if month else {}),
    }
    status = 200 if form.is_valid() else 422
    return render(request, "inspections/days.html", context, status=status)


def _month(door: Door, month: Month, known: tuple[Month, ...]) -> dict[str, Any]:
    job = door.job
    found = queries.days(
        job,
        door.member,
        known_at=door.known_at,
        first=month.first,
        last=month.last,
    )
    placed = neat_sum(job, (one for day in found for one in day.placements))
    before = neat_before(
        job, known_at=door.known_at, for_member=door.member, day=month.first
    )
    at = known.index(month)
    return {
        "month": month,
        "lines": [_line(door, day) for day in found],
        "late_walks": late_walks(
            job,
            door.member,
            known_at=door.known_at,
            first=month.first,
            last=month.last,
        ),
        "this_month": placed,
        "brought_forward": before,
        "to_date": Quantity(placed.value + before.value, placed.unit),
        "leaf_back": _leaf(known[at - 1]) if at else None,
        "leaf_on": _leaf(known[at + 1]) if at + 1 < len(known) else None,
    }


def _leaf(month: Month) -> dict[str, str]:
    return {"url": f"?month={month}", "name": dated(month.first, "F Y")}


def _line(door: Door, day: queries.Day) -> DayLine:
    firm = door.member.organization_id
    theirs = [one for one in day.sheets if one.row.organization_id == firm]
    return DayLine(
        day=day,
        neat=neat_sum(door.job, day.placements),
        # A colleague's sheet is enough for the list; the shift's page offers another.
        may_open_sheet=may_open_sheet(door, day.shift, day.sheets)
        and all(one.state == queries.VOID for one in theirs),
    )


def may_open_sheet(door: Door, shift: Any, sheets: Iterable[queries.Sheet]) -> bool:
    """Say whether the member writes sheets and has none for this shift."""
    own = (sheet.row.inspector_id for sheet in sheets if sheet.state != queries.VOID)
    if not door.may(Ability.WRITE_SHEET) or door.member.pk in own:
        return False
    firm = shift.organization_id == door.member.organization_id
    return door.role is Role.INSPECTOR or firm
