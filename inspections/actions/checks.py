"""What every action here asks before it writes, beside what the crews' actions ask."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db import models
from django.db.models import Max
from django.utils.translation import gettext as _

from crews.actions.checks import (
    for_firm,
    in_force,
    not_later,
    shown,
)
from crews.models import Placement
from inspections.models import DailyReport, ReportVersion
from project import clock
from project.actions.checks import (
    of_job,
    refuse,
)
from project.audit import Deed
from project.domain.units import Quantity
from project.models import Fact, Membership, Version

# The sheet whose amendment is being written: the only signed one that takes entries.
_amending: ContextVar[UUID | None] = ContextVar("sheet being amended", default=None)


def needed(field: str, words: str) -> str:
    """Return words without their outer blanks. Raises where nothing is left."""
    if not words.strip():
        refuse(field, _("Nothing is written here; words are needed."))
    return words.strip()


def one_of(field: str, given: str, allowed: type[StrEnum]) -> str:
    """Return a word of a closed list. Raises for any other, naming the list."""
    words = [str(word) for word in allowed]
    if given not in words:
        message = _("%(given)s is not known; allowed are %(allowed)s.")
        refuse(field, message, given=given, allowed=", ".join(words))
    return str(given)


def own_firm(by: Membership, row: Any) -> None:
    """Refuse a hand on another firm's sheet or finding."""
    if row.organization_id != by.organization_id:
        raise PermissionDenied(f"{row} belongs to another firm")


def own_entry(by: Membership, row: Fact) -> None:
    """Refuse a hand on an entry that another firm wrote down."""
    if row.recorded_by.organization_id != by.organization_id:
        raise PermissionDenied(f"{row} was recorded by another firm")


def at_placement(
    by: Membership, placement: Placement | None, *, sheet: DailyReport | None
) -> None:
    """Refuse another contractor's placement, and one of another shift than the sheet's."""
    if placement is None:
        return
    for_firm(by, placement.shift.organization_id)
    if sheet is not None and placement.shift_id != sheet.shift_id:
        message = _("%(what)s is not of the shift of %(sheet)s.")
        refuse("placement", message, what=placement, sheet=sheet)


def not_ahead(by: Membership, **instants: datetime | None) -> None:
    """Refuse a time that has not come yet: nobody has seen it."""
    for field, at in instants.items():
        if at is not None:
            not_later(field, at, than=clock.now(), job=by.job)


def not_below_zero(**quantities: Quantity | None) -> None:
    """Refuse, by field, a negative quantity."""
    for field, quantity in quantities.items():
        if quantity is not None and quantity.value < 0:
            refuse(field, _("%(given)s; allowed is 0 or more."), given=quantity)


def next_number(model: type[models.Model], by: Membership) -> int:
    """Return the number after the last: the act's lock keeps the row without gaps."""
    rows = model._base_manager.filter(job_id=by.job_id)
    return (rows.aggregate(last=Max("number"))["last"] or 0) + 1


def writable(by: Membership, report: DailyReport) -> DailyReport:
    """Return a sheet that still takes entries, as it stands under the act's lock.

    Raises where it is another firm's or job's, was voided, or is signed: what is
    signed is amended with a reason, and late entries stand without a sheet.
    """
    of_job(by.job, report=report)
    own_firm(by, report)
    sheet = in_force(report)
    if sheet.voided_at is not None:
        message = _("%(sheet)s was voided: %(why)s. It takes no entries.")
        refuse("report", message, sheet=sheet, why=sheet.voided_reason)
    signed = first_version(sheet)
    if signed is not None and _amending.get() != sheet.first:
        message = _(
            "%(sheet)s was signed by %(who)s on %(at)s: nothing can be added. "
            "Amend it with a reason, or record a late entry without a sheet."
        )
        who, at = signed.signature.printed_name, shown(signed.recorded_at, by.job)
        refuse("report", message, sheet=sheet, who=who, at=at)
    return sheet


def about(deed: Deed, row: Version) -> None:
    """Let the act's line be about a record, by the identity everybody knows it by.

    Otherwise the first row written names it: a signature, a move.
    """
    if deed.subject is None:
        first = row.pk == row.first
        deed.subject = row if first else type(row)._base_manager.get(pk=row.first)


def first_version(report: DailyReport) -> ReportVersion | None:
    """Return the first signed version of a sheet, with its signature."""
    rows = ReportVersion.objects.filter(report=report.first).order_by("n")
    return rows.select_related("signature").first()


@contextmanager
def amending(report: DailyReport) -> Iterator[None]:
    """Let entries into one signed sheet while its amendment is written."""
    token = _amending.set(report.first)
    try:
        yield
    finally:
        _amending.reset(token)
