"""What every action of the crew asks before it writes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.utils.translation import gettext as _

from crews.domain.core_facts import check_measure
from crews.models import Panel
from project.actions.checks import refuse
from project.domain.roles import OWN_FIRM_ONLY, Role
from project.domain.units import Quantity
from project.models import Job, Membership, Organization, User
from project.models.records import Version

V = TypeVar("V", bound=Version)


@contextmanager
def rekeyed(prefix: str) -> Iterator[None]:
    """Name the line of a table in front of each field that is refused in it."""
    try:
        yield
    except ValidationError as fault:
        if not hasattr(fault, "error_dict"):
            raise ValidationError({prefix: fault.error_list}) from fault
        lines = {f"{prefix}.{name}": e for name, e in fault.error_dict.items()}
        raise ValidationError(lines) from fault


def possible(field: str, quantity: Quantity | None, *, measure: str = "") -> None:
    """Refuse, by field, a figure that no core can have."""
    if quantity is None:
        return
    try:
        check_measure(measure or field, quantity)
    except ValueError as fault:
        raise ValidationError({field: str(fault)}) from fault


def in_force(row: V) -> V:
    """Return the version of a fact that stands now; called under the act's lock."""
    last = latest(row)
    if last.withdrawn:
        message = _("%(row)s was withdrawn: %(reason)s")
        raise ValidationError(message, params={"row": row, "reason": last.reason})
    return last


def latest(row: V) -> V:
    """Return the last version of a fact's chain, withdrawn or not."""
    chain = type(row)._base_manager.filter(first=row.first).order_by()
    versions: list[V] = list(chain)
    gone = {version.supersedes_id for version in versions}  # type: ignore[attr-defined]
    return next(version for version in versions if version.pk not in gone)


def for_firm(by: Membership, firm_id: UUID) -> None:
    """Refuse a member whose role reads and writes its own firm's records only."""
    if Role(by.role) in OWN_FIRM_ONLY and by.organization_id != firm_id:
        raise PermissionDenied(f"{by.role} may only do this for their own firm")


def panel_firm(panel: Panel) -> UUID:
    """Return the firm whose work a panel is; nobody's is whose member recorded it."""
    for row in (panel.shift, panel.operator):
        if row is not None:
            return row.organization_id
    return panel.recorded_by.organization_id


def on_job(job: Job, **firms: Organization) -> None:
    """Refuse, by field, a firm that nobody on the job stands for."""
    for field, firm in firms.items():
        if not Membership.objects.filter(job=job, organization=firm).exists():
            refuse(field, _("%(firm)s has no member on this job."), firm=firm)


def a_member(job: Job, **people: User) -> None:
    """Refuse, by field, a person who is nobody on the job."""
    for field, person in people.items():
        if not Membership.objects.filter(job=job, user=person).exists():
            refuse(field, _("%(person)s is not on this job."), person=person)


def not_later(field: str, instant: datetime, *, than: datetime, job: Job) -> None:
    """Refuse an instant of the future."""
    if instant > than:
        message = _("%(given)s lies in the future; allowed is up to %(now)s.")
        refuse(field, message, given=shown(instant, job), now=shown(than, job))


def not_after_today(field: str, day: date, *, at: datetime, job: Job) -> None:
    """Refuse a date of the future, on the job's calendar."""
    today = job.local(at).date()
    if day > today:
        message = _("%(given)s lies in the future; allowed is up to %(today)s.")
        refuse(field, message, given=day, today=today)


def after_shooting(panel: Panel, field: str, instant: datetime) -> None:
    """Refuse an instant at which the panel was not yet shot."""
    if instant < panel.shot_from:
        message = _("%(given)s; allowed is after %(panel)s was shot, %(shot)s.")
        times = {
            "given": shown(instant, panel.job),
            "shot": shown(panel.shot_from, panel.job),
        }
        refuse(field, message, panel=panel, **times)


def shown(instant: datetime, job: Job) -> str:
    """Return an instant as people on the job read it."""
    return f"{job.local(instant):%Y-%m-%d %H:%M}"


def measured(
    dimension: str, *, unit: str, **quantities: Quantity | None
) -> dict[str, Any]:
    """Return the columns of quantities that share one unit column.

    Refuses, by field, another dimension and a second unit beside the first.
    """
    columns: dict[str, Any] = {unit: ""}
    for name, quantity in quantities.items():
        columns[name] = None
        if quantity is None:
            continue
        if quantity.dimension != dimension:
            message = _("%(given)s is not a %(dimension)s.")
            refuse(name, message, given=quantity, dimension=dimension)
        if columns[unit] not in ("", quantity.unit):
            message = _("%(given)s: give it in %(unit)s like the others.")
            refuse(name, message, given=quantity, unit=columns[unit])
        columns[name], columns[unit] = quantity.value, quantity.unit
    return columns


def positive(**quantities: Quantity | None) -> None:
    """Refuse, by field, a quantity that is zero or less."""
    for name, quantity in quantities.items():
        if quantity is not None and quantity.value <= 0:
            refuse(name, _("%(given)s; allowed is more than 0."), given=quantity)


def not_negative(**quantities: Quantity | None) -> None:
    """Refuse, by field, a quantity less than zero."""
    for name, quantity in quantities.items():
        if quantity is not None and quantity.value < 0:
            refuse(name, _("%(given)s; allowed is 0 or more."), given=quantity)


def code_or_next(
    given: str, *, prefix: str, taken: Iterable[str], width: int = 3
) -> str:
    """Return a code of the form XX-000: the one given, or the next after the last.

    Called under the act's lock, so that two people never get the same one.
    """
    kept = set(taken)
    given = given.strip().upper()
    form = re.compile(rf"{prefix}-(\d{{2,6}})")
    if not given:
        numbers = [int(m[1]) for code in kept if (m := form.fullmatch(code))]
        return f"{prefix}-{max(numbers, default=0) + 1:0{width}d}"
    if not form.fullmatch(given):
        message = _("Code %(given)s; allowed is %(prefix)s- and a number.")
        refuse("code", message, given=given, prefix=prefix)
    if given in kept:
        refuse("code", _("Code %(given)s is taken on this job."), given=given)
    return given
