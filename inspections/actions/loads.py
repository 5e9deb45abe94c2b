"""Trucks and bags as they came, and the tests of their fresh concrete.

What contradicts itself is kept and flagged, never refused: a load shot before it was
batched happened on paper, and somebody has to look into it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import Max
from django.utils.translation import gettext as _

from crews.actions.checks import (
    for_firm,
    in_force,
    measured,
)
from crews.models import Placement, Shift
from inspections.actions.checks import (
    not_ahead,
    not_below_zero,
    one_of,
    writable,
)
from inspections.domain.observed import (
    FRESH_TEST_DIMENSIONS,
    FreshTestKind,
    LoadKind,
)
from inspections.models import DailyReport, FreshTest, Load
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import act
from project.domain.roles import Ability
from project.domain.units import Quantity, convert
from project.models import Membership, MixRevision, Organization


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadAsCame:
    """One truck or bag as its ticket and the clock say. What is not known is absent."""

    kind: str
    volume: Quantity
    supplier: Organization | None = None
    truck: str = ""
    ticket: str = ""
    lot: str = ""
    mix_revision: MixRevision | None = None
    mix_as_printed: str = ""
    batched_at: datetime | None = None
    arrived_at: datetime | None = None
    first_shot_at: datetime | None = None
    last_shot_at: datetime | None = None
    returned: Quantity | None = None
    water_added: Quantity | None = None
    accepted: bool = True
    refused_because: str = ""


def record_load(
    *,
    id: UUID,
    by: Membership,
    shift: Shift,
    load: LoadAsCame,
    report: DailyReport | None = None,
    placement: Placement | None = None,
) -> Load:
    """Keep a load. Contradictions are saved; the page and the review show them.

    Given on a sheet, the sheet must still take entries.
    """
    require(by, Ability.RECORD_SHOOTING)
    of_job(by.job, shift=shift, placement=placement, mix_revision=load.mix_revision)
    for_firm(by, shift.organization_id)
    columns = load_columns(by, load)
    with act(on=by.job, by=by, verb="load.recorded") as deed:
        if there := sent_before(deed, Load, id, job_id=by.job_id):
            return there
        sheet = None if report is None else writable(by, report)
        _of_shift(shift, sheet=sheet, placement=placement)
        return deed.add(
            Load(
                id=id,
                job=by.job,
                report_id=None if sheet is None else sheet.first,
                shift_id=shift.first,
                placement_id=None if placement is None else placement.first,
                order=_next_in_shift(shift),
                **columns,
            )
        )


def finish_load(
    *,
    by: Membership,
    load: Load,
    last_shot_at: datetime | None = None,
    returned: Quantity | None = None,
) -> Load:
    """Add what is known only when a load is shot: its last shot, what went back.

    The same value again changes nothing; another one is a correction with a reason.
    """
    require(by, Ability.RECORD_SHOOTING)
    of_job(by.job, load=load)
    for_firm(by, load.shift.organization_id)
    not_ahead(by, last_shot_at=last_shot_at)
    with act(on=by.job, by=by, verb="load.finished") as deed:
        row = in_force(load)
        _sheet_still_open(by, row)
        values: dict[str, Any] = {}
        if last_shot_at is not None and row.last_shot_at != last_shot_at:
            values["last_shot_at"] = last_shot_at
        given = _returned(returned, volume=Quantity(row.volume, row.volume_unit))
        if given is not None and row.returned != given:
            values["returned"] = given
        return deed.fill(row, **values) if values else row


def record_fresh_test(
    *,
    id: UUID,
    by: Membership,
    load: Load,
    at: datetime,
    kind: str,
    value: Quantity,
    retest: bool = False,
) -> FreshTest:
    """Keep one test of a load's fresh concrete; a retest is a second row."""
    require(by, Ability.RECORD_SHOOTING)
    of_job(by.job, load=load)
    for_firm(by, load.shift.organization_id)
    not_ahead(by, at=at)
    one_of("kind", kind, FreshTestKind)
    wanted = FRESH_TEST_DIMENSIONS[FreshTestKind(kind)]
    if wanted != "temperature":
        not_below_zero(value=value)
    columns = measured(wanted, unit="value_unit", value=value)
    with act(on=by.job, by=by, verb="fresh_test.recorded") as deed:
        if there := sent_before(deed, FreshTest, id, job_id=by.job_id):
            return there
        row = in_force(load)
        _sheet_still_open(by, row)
        return deed.add(
            FreshTest(
                id=id,
                job=by.job,
                load_id=row.first,
                at=at,
                test_kind=kind,
                retest=retest,
                **columns,
            )
        )


def load_columns(by: Membership, load: LoadAsCame) -> dict[str, Any]:
    """Return a load's columns. Raises for what cannot be, keeps what contradicts."""
    one_of("kind", load.kind, LoadKind)
    not_ahead(
        by,
        batched_at=load.batched_at,
        arrived_at=load.arrived_at,
        first_shot_at=load.first_shot_at,
        last_shot_at=load.last_shot_at,
    )
    not_below_zero(water_added=load.water_added)
    columns = measured("volume", unit="volume_unit", volume=load.volume)
    water = measured("volume", unit="water_added_unit", water_added=load.water_added)
    return {
        "load_kind": load.kind,
        "supplier": load.supplier,
        "truck": load.truck.strip(),
        "ticket": load.ticket.strip(),
        "lot": load.lot.strip(),
        "mix_revision_id": load.mix_revision.first if load.mix_revision else None,
        "mix_as_printed": load.mix_as_printed.strip(),
        **columns,
        **water,
        "returned": _returned(load.returned, volume=load.volume),
        "batched_at": load.batched_at,
        "arrived_at": load.arrived_at,
        "first_shot_at": load.first_shot_at,
        "last_shot_at": load.last_shot_at,
        "accepted": load.accepted,
        "refused_because": load.refused_because.strip(),
    }


def _returned(returned: Quantity | None, *, volume: Quantity) -> Decimal | None:
    """Return what went back in the load's own unit, to the column's four places."""
    if returned is None:
        return None
    measured("volume", unit="returned_unit", returned=returned)
    value = convert(returned, to=volume.unit).value
    return value if returned.unit == volume.unit else round(value, 4)


def _sheet_still_open(by: Membership, load: Load) -> None:
    """Refuse another hand on a load whose sheet is signed or is another firm's."""
    if load.report is not None:
        writable(by, load.report)


def _of_shift(
    shift: Shift, *, sheet: DailyReport | None, placement: Placement | None
) -> None:
    if sheet is not None and sheet.shift_id != shift.first:
        message = _("%(sheet)s is not of the shift %(shift)s.")
        refuse("report", message, sheet=sheet, shift=shift)
    if placement is not None and placement.shift_id != shift.first:
        message = _("%(what)s is not of the shift %(shift)s.")
        refuse("placement", message, what=placement, shift=shift)


def _next_in_shift(shift: Shift) -> int:
    rows = Load._base_manager.filter(shift=shift.first)
    return (rows.aggregate(last=Max("order"))["last"] or 0) + 1
