"""Measurements at a place: thickness, pressure, the temperature of a surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    measured,
)
from crews.models import Placement
from inspections.actions.checks import (
    at_placement,
    not_ahead,
    not_below_zero,
    one_of,
    writable,
)
from inspections.domain.observed import READING_DIMENSIONS, ReadingKind
from inspections.models import DailyReport, Reading
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import act
from project.domain.identity import derived
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.models import ElementPart, Membership


@dataclass(frozen=True, slots=True)
class Measured:
    """One measurement: where on the part, and what was read."""

    value: Quantity
    place: str = ""


def record_readings(
    *,
    id: UUID,
    by: Membership,
    report: DailyReport | None,
    kind: str,
    at: datetime,
    readings: Sequence[Measured],
    placement: Placement | None = None,
    part: ElementPart | None = None,
    means: str = "",
) -> list[Reading]:
    """Keep a set of readings of one kind; each row's identity derives from the set's."""
    require(by, Ability.WRITE_SHEET)
    of_job(by.job, placement=placement, part=part)
    one_of("kind", kind, ReadingKind)
    not_ahead(by, at=at)
    where = part if placement is None else placement.part
    if where is None and report is None:
        refuse("part", _("No sheet and no part; allowed is one of them."))
    if not readings:
        refuse("readings", _("None given; at least one is needed."))
    columns = [_columns(kind, one) for one in readings]
    with act(on=by.job, by=by, verb="readings.recorded") as deed:
        ids = [derived(id, str(n)) for n in range(1, len(readings) + 1)]
        before = [
            sent_before(deed, Reading, row_id, job_id=by.job_id) for row_id in ids
        ]
        there = [row for row in before if row is not None]
        if there:
            return there
        sheet = None if report is None else writable(by, report)
        at_placement(by, placement, sheet=sheet)
        return [
            deed.add(
                Reading(
                    id=row_id,
                    job=by.job,
                    report_id=None if sheet is None else sheet.first,
                    placement_id=None if placement is None else placement.first,
                    part=where,
                    reading_kind=kind,
                    at=at,
                    place=one.place,
                    means=means,
                    **values,
                )
            )
            for row_id, one, values in zip(ids, readings, columns, strict=True)
        ]


def _columns(kind: str, one: Measured) -> dict[str, Any]:
    wanted = READING_DIMENSIONS[ReadingKind(kind)]
    if wanted != "temperature":
        not_below_zero(value=one.value)
    return measured(wanted, unit="value_unit", value=one.value)
