"""Rolling records: of all operators, and of one beside others of the same mix."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.domain.rolling_record import LAST_SETS, PanelSet, failing_run
from crews.domain.strength_statistics import FEWEST_SETS
from crews.queries.shooting import UNIT_OF_VOLUME
from crews.views.common import Look, found, look, print_note
from inspections.domain.rolling_record import FEWEST_VOLUME, PER
from inspections.queries.catalogue import edition
from inspections.queries.rolling_record import (
    Cell,
    Group,
    OperatorPage,
    OperatorRecord,
    operator_record,
    operator_records,
)
from inspections.views.rolling_figures import (
    Addresses,
    figures,
    rating_words,
    working_of,
)
from project.access import Door, SignedIn, job_view
from project.charts.stamps import strength_stamp
from project.charts.text import quantity_text, when_text
from project.domain.roles import OWN_FIRM_ONLY, Ability
from project.domain.units import Quantity, convert
from project.queries.jobs import terms_in_force

# Whose figures stand here: each has a page of its own that asks the same.
_NEEDED = (Ability.READ_OPERATORS, Ability.READ_PANELS, Ability.READ_STRENGTH)


@job_view(Ability.READ_SIGNED_SHEETS, tab="operators")
def rolling_records(request: SignedIn, door: Door) -> HttpResponse:
    """Show every operator's record in plain figures, by code and never by score."""
    _may_read(door)
    seen = look(request, door)
    rows = operator_records(
        door.job, at=seen.at, known_at=seen.known_at, for_member=door.member
    )
    context = _common(door, seen) | {
        "rows": [
            {
                "row": row,
                "figures": figures(row, Addresses(_page(door, row), seen)),
                "ratings": rating_words(row.record),
            }
            for row in rows
        ],
    }
    return render(
        request, "inspections/rolling_records.html", context, status=seen.status
    )


@job_view(Ability.READ_SIGNED_SHEETS, tab="operators")
def rolling_record(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Show one operator's record beside the same mix by others, by crew and by rig."""
    _may_read(door)
    seen = look(request, door)
    page = found(
        operator_record(
            door.job,
            code,
            at=seen.at,
            known_at=seen.known_at,
            for_member=door.member,
        ),
        "no such operator",
    )
    row = page.record
    addresses = Addresses("", seen, asked=request.GET)
    context = _common(door, seen) | {
        "row": row,
        "whole": figures(row, addresses),
        "ratings": row.record.ratings,
        "cells": [_cell(door, row, cell, addresses) for cell in row.cells],
        "sets": [(one, strength_stamp(one.state)) for one in row.sets],
        "deficiencies": _deficiencies(page),
        "runs": _runs(row),
        "asks_at": _asks_at(door, seen),
        "asked": addresses.wanted,
        "chosen": working_of(row, addresses.wanted),
        "keep": addresses.wanted,
    }
    return render(
        request, "inspections/rolling_record.html", context, status=seen.status
    )


def _may_read(door: Door) -> None:
    for ability in _NEEDED:
        if not door.may(ability):
            raise PermissionDenied(ability.value)


def _page(door: Door, row: OperatorRecord) -> str:
    return reverse("rolling_record", args=[door.job.code, row.code])


def _common(door: Door, seen: Look) -> dict[str, Any]:
    zone, unit = door.job.zone, UNIT_OF_VOLUME[door.job.unit_system]
    known = _("now")
    if seen.known_at != door.known_at:
        known = when_text(seen.known_at, zone=zone)
    least = convert(FEWEST_VOLUME, to=unit).value
    return {
        "look": seen,
        "print_note": print_note(door, seen),
        "facts": [
            (_("As of"), when_text(seen.at, zone=zone, form="full")),
            (_("As known"), known),
        ],
        "unit": unit,
        "per": PER,
        "fewest_sets": FEWEST_SETS,
        "last_sets": LAST_SETS,
        "fewest_volume": quantity_text(Quantity(Decimal(f"{least:.4g}"), unit)),
        "own_only": door.role in OWN_FIRM_ONLY,
    }


def _cell(
    door: Door, row: OperatorRecord, cell: Cell, addresses: Addresses
) -> dict[str, Any]:
    return {
        "mix": cell.mix or _("mix not on record"),
        "position": cell.position or _("position not on record"),
        "earlier": cell.groups[0].record.sets.earlier,
        "told": any(group.record.sets.count for group in cell.groups),
        "lines": [
            {
                "name": _name(door, row, group),
                "own": group.key == "own",
                "ratings": rating_words(group.record),
                "record": group.record,
                "figures": figures(group.record, addresses.of(cell, group)),
            }
            for group in cell.groups
        ],
    }


def _name(door: Door, row: OperatorRecord, group: Group) -> str:
    if group.key == "own":
        return row.code
    if group.key == "others":
        own = door.role in OWN_FIRM_ONLY
        return _("Others of your firm") if own else _("Other operators")
    kind, _space, name = group.key.partition(" ")
    return _("Crew %(name)s") % {"name": name} if kind == "crew" else name


def _runs(row: OperatorRecord) -> list[tuple[Cell, tuple[PanelSet, ...]]]:
    """Return the sets of each mix and position that failed in a row up to the last."""
    own = ((cell, cell.group("own")) for cell in row.cells)
    runs = ((cell, failing_run(g.record.sets.sets)) for cell, g in own if g)
    return [(cell, run) for cell, run in runs if run]


def _asks_at(door: Door, seen: Look) -> Decimal | None:
    """Return after how many failing sets the contract asks the engineer."""
    on = door.job.local(seen.at).date()
    terms = terms_in_force(door.job, on=on, known_at=seen.known_at)
    return terms.decimal("requalify_failing_sets") if terms else None


def _deficiencies(page: OperatorPage) -> list[dict[str, Any]]:
    return [
        {
            "row": one,
            "title": edition(*([one.round.edition] if one.round else [])).item(
                one.item
            ),
        }
        for one in page.deficiencies
    ]
