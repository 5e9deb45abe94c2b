"""The daily field report: opened, written on, voided."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    for_firm,
    in_force,
    measured,
    shown,
)
from crews.models import Shift
from inspections.actions.checks import (
    first_version,
    needed,
    next_number,
    not_ahead,
    not_below_zero,
    one_of,
    own_firm,
    writable,
)
from inspections.domain.observed import RemarkKind
from inspections.models import DailyReport, Remark, Weather
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import act
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.models import Membership


def open_report(*, id: UUID, by: Membership, shift: Shift) -> DailyReport:
    """Open the inspector's sheet of a shift, with the job's next number.

    Whoever asks twice, from two tablets or two pages, gets the one sheet.
    """
    require(by, Ability.WRITE_SHEET)
    of_job(by.job, shift=shift)
    for_firm(by, shift.organization_id)
    with act(on=by.job, by=by, verb="report.opened") as deed:
        mine = DailyReport.objects.known_at(deed.at).filter(
            shift=shift.first, inspector=by, voided_at=None
        )
        there = sent_before(deed, DailyReport, id, inspector_id=by.pk) or mine.first()
        return there or deed.add(
            DailyReport(
                id=id,
                job=by.job,
                organization=by.organization,
                shift_id=shift.first,
                inspector=by,
                number=next_number(DailyReport, by),
            )
        )


def void_report(*, by: Membership, report: DailyReport, reason: str) -> DailyReport:
    """Void a sheet opened in error; its number stays taken and is listed as void."""
    require(by, Ability.WRITE_SHEET)
    of_job(by.job, report=report)
    own_firm(by, report)
    reason = needed("reason", reason)
    with act(on=by.job, by=by, verb="report.voided") as deed:
        sheet = in_force(report)
        if sheet.voided_at is not None:
            return sheet
        if signed := first_version(sheet):
            message = _("%(sheet)s was signed on %(at)s; allowed is an amendment.")
            refuse("report", message, sheet=sheet, at=shown(signed.recorded_at, by.job))
        return deed.fill(sheet, voided_at=deed.at, voided_reason=reason)


def add_remark(
    *,
    id: UUID,
    by: Membership,
    report: DailyReport,
    kind: str,
    words: str,
    at: datetime,
) -> Remark:
    """Write a sentence on the sheet."""
    require(by, Ability.WRITE_SHEET)
    one_of("kind", kind, RemarkKind)
    words = needed("words", words)
    not_ahead(by, at=at)
    with act(on=by.job, by=by, verb="remark.added") as deed:
        if there := sent_before(deed, Remark, id, job_id=by.job_id):
            return there
        sheet = writable(by, report)
        return deed.add(
            Remark(
                id=id,
                job=by.job,
                report_id=sheet.first,
                remark_kind=kind,
                words=words,
                at=at,
            )
        )


def record_weather(
    *,
    id: UUID,
    by: Membership,
    report: DailyReport,
    at: datetime,
    air: Quantity | None = None,
    humidity: Quantity | None = None,
    wind: Quantity | None = None,
    concrete: Quantity | None = None,
    sky: str = "",
    means: str = "",
) -> Weather:
    """Keep what was read of the weather; what was not read stays empty."""
    require(by, Ability.WRITE_SHEET)
    not_ahead(by, at=at)
    if not (air or humidity or wind or concrete or sky.strip()):
        refuse("air", _("Nothing was read; at least one reading is needed."))
    values = weather_columns(air=air, humidity=humidity, wind=wind, concrete=concrete)
    with act(on=by.job, by=by, verb="weather.recorded") as deed:
        if there := sent_before(deed, Weather, id, job_id=by.job_id):
            return there
        sheet = writable(by, report)
        return deed.add(
            Weather(
                id=id,
                job=by.job,
                report_id=sheet.first,
                at=at,
                sky=sky.strip(),
                means=means.strip(),
                **values,
            )
        )


def weather_columns(
    *,
    air: Quantity | None,
    humidity: Quantity | None,
    wind: Quantity | None,
    concrete: Quantity | None,
) -> dict[str, Any]:
    """Return the readings as columns. Raises for a wrong unit."""
    not_below_zero(wind=wind)
    return {
        **measured("temperature", unit="temperature_unit", air=air, concrete=concrete),
        **measured("share", unit="humidity_unit", humidity=humidity),
        **measured("speed", unit="wind_unit", wind=wind),
    }
