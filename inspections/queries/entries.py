"""The rows behind a sheet's lines: which record a line shows, and may be put right."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from crews.models import Placement
from inspections.models import (
    DailyReport,
    Deficiency,
    FreshTest,
    Load,
    Photo,
    Reading,
    Remark,
    Round,
    Weather,
)
from inspections.queries.reports import Sheet, sheets
from inspections.queries.scope import reports_for
from project.models import Fact, Job, Membership

# The kinds of entry that a sheet's lines show, and the order its content lists them in.
_ORDER: Mapping[str, tuple[type[Any], tuple[str, ...]]] = {
    "weather": (Weather, ("at", "id")),
    "rounds": (Round, ("at", "id")),
    "readings": (Reading, ("reading_kind", "at", "place", "id")),
    "deficiencies": (Deficiency, ("number",)),
    "remarks": (Remark, ("at", "id")),
    "photographs": (Photo, ("number",)),
}
_LOADS = ("shift__work_date", "order", "id")
_TESTS = ("at", "test_kind", "retest", "id")

KINDS: Mapping[str, type[Any]] = {
    "weather": Weather,
    "load": Load,
    "test": FreshTest,
    "round": Round,
    "reading": Reading,
    "remark": Remark,
    "photograph": Photo,
    "deficiency": Deficiency,
}


def sheet_of(
    job: Job, member: Membership, number: int, *, known_at: datetime
) -> Sheet | None:
    """Return a sheet by its number, or nothing where it is not to be seen."""
    rows = reports_for(member, known_at=known_at).filter(number=number)
    found = sheets(job, rows, known_at=known_at)
    return found[0] if found else None


def numbers(member: Membership, *, known_at: datetime) -> list[int]:
    """Return the numbers of the sheets a member may open. One query."""
    rows = reports_for(member, known_at=known_at).order_by("number")
    return list(rows.values_list("number", flat=True))


def identities(report: DailyReport, *, known_at: datetime) -> dict[str, list[UUID]]:
    """Return the records behind a sheet's lines, each list in its content's order.

    Loads are the shift's, as they are on the sheet; what a test hangs on is named by
    its load. Eight queries.
    """
    found = {
        name: list(
            model.objects.known_at(known_at)
            .filter(report=report.first)
            .order_by(*order)
            .values_list("first", flat=True)
        )
        for name, (model, order) in _ORDER.items()
    }
    loads = Load.objects.known_at(known_at).filter(shift=report.shift_id)
    found["loads"] = list(loads.order_by(*_LOADS).values_list("first", flat=True))
    return found


def test_identities(
    report: DailyReport, *, known_at: datetime
) -> dict[UUID, list[UUID]]:
    """Return the tests of each load of the sheet's shift, in its content's order."""
    rows = FreshTest.objects.known_at(known_at).filter(load__shift=report.shift_id)
    found: dict[UUID, list[UUID]] = {}
    for load, first in rows.order_by(*_TESTS).values_list("load_id", "first"):
        found.setdefault(load, []).append(first)
    return found


def own_loads(
    report: DailyReport, member: Membership, *, known_at: datetime
) -> set[UUID]:
    """Return the loads of the sheet's shift that the member's firm wrote down."""
    rows = Load.objects.known_at(known_at).filter(
        shift=report.shift_id, recorded_by__organization=member.organization_id
    )
    return set(rows.values_list("first", flat=True))


def entry_of(
    report: DailyReport, kind: str, first: UUID, *, known_at: datetime
) -> Fact | None:
    """Return an entry of a sheet in the version in force, or nothing."""
    model = KINDS[kind]
    rows = model.objects.known_at(known_at).filter(job=report.job_id, first=first)
    if model is FreshTest:
        rows = rows.filter(load__shift=report.shift_id).select_related("load")
    elif model is Load:
        rows = rows.filter(shift=report.shift_id).select_related("mix_revision")
    else:
        rows = rows.filter(report=report.first)
    found: Fact | None = rows.select_related("recorded_by").first()
    return found


def load_of(report: DailyReport, first: UUID, *, known_at: datetime) -> Load | None:
    """Return a load of the sheet's shift in the version in force, or nothing."""
    row = entry_of(report, "load", first, known_at=known_at)
    return row if isinstance(row, Load) else None


def placements_of(report: DailyReport, *, known_at: datetime) -> list[Placement]:
    """Return what was placed in the sheet's shift, by code. One query."""
    rows = Placement.objects.known_at(known_at).filter(shift=report.shift_id)
    rows = rows.select_related("part", "mix_revision", "shift")
    return list(rows.order_by("code"))
