"""Entries put right or taken back: a new version over the old, with a reason."""

from __future__ import annotations

from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    in_force,
)
from inspections.actions.checks import (
    about,
    needed,
    not_ahead,
    not_below_zero,
    own_entry,
    own_firm,
    writable,
)
from inspections.models import (
    DailyReport,
    Deficiency,
    FreshTest,
    Load,
    Nonconformance,
    Photo,
    Reading,
    Remark,
    Round,
    Weather,
)
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import act
from project.domain.roles import Ability
from project.domain.units import Quantity, dimension
from project.models import ElementPart, Fact, Membership, Version
from project.models.records import as_quantity

E = TypeVar("E", bound=Fact)

# The columns a person may put right, for each kind of entry. What an entry hangs on
# (its sheet, its shift, its number) is not corrected but withdrawn and entered anew.
_CORRECTABLE: dict[type[Any], tuple[str, ...]] = {
    Weather: ("at", "air", "concrete", "humidity", "wind", "sky", "means"),
    Load: (
        *("truck", "ticket", "lot", "mix_revision", "mix_as_printed", "volume"),
        *("returned", "batched_at", "arrived_at", "first_shot_at", "last_shot_at"),
        *("water_added", "accepted", "refused_because", "supplier"),
    ),
    FreshTest: ("at", "value", "retest"),
    Reading: ("at", "value", "place", "means"),
    Remark: ("words", "at"),
    Photo: ("caption", "place", "at", "item", "part"),
    Deficiency: (
        *("seen_at", "severity", "place", "words", "cause", "volume_removed", "part"),
    ),
    Nonconformance: (
        *("requirement", "words", "containment", "observed_at", "written_at", "part"),
    ),
}
# Where one unit column serves several measures, its name is theirs in common.
_SHARED = {
    "temperature_unit": ("air", "concrete"),
    "volume_unit": ("volume", "returned"),
}
_UNITS = {name: unit for unit, names in _SHARED.items() for name in names}


def correct_entry(
    *, id: UUID, by: Membership, entry: E, reason: str, **values: Any
) -> E:
    """Put some columns of an entry right; quantities come with their unit.

    A walk is corrected by `correct_round`, whose answers are checked anew.
    """
    allowed = _CORRECTABLE.get(type(entry), ())
    for name in values:
        if name not in allowed:
            message = _("%(name)s cannot be corrected; allowed are %(allowed)s.")
            refuse(name, message, name=name, allowed=", ".join(allowed) or "none")
    not_ahead(by, **{k: v for k, v in values.items() if isinstance(v, datetime)})
    rows = {k: v for k, v in values.items() if isinstance(v, Fact | ElementPart)}
    of_job(by.job, **rows)
    _may_write(by, entry)
    with act(on=by.job, by=by, verb=f"{entry.kind}.corrected") as deed:
        if there := sent_before(deed, type(entry), id, job_id=by.job_id):
            return there
        old = in_force(entry)
        about(deed, old)
        _sheet_takes_it(by, old)
        new = old.revised(id=id)
        for name, value in _columns(old, values).items():
            setattr(new, name, value)
        return deed.supersede(old, new, reason=needed("reason", reason))


def withdraw_entry(*, id: UUID, by: Membership, entry: E, reason: str) -> E:
    """Take an entry back; it stays readable, with the reason, and counts no more."""
    if type(entry) not in (*_CORRECTABLE, Round):
        refuse("entry", _("%(entry)s is not taken back here."), entry=entry)
    _may_write(by, entry)
    with act(on=by.job, by=by, verb=f"{entry.kind}.withdrawn") as deed:
        if there := sent_before(deed, type(entry), id, job_id=by.job_id):
            return there
        old = in_force(entry)
        about(deed, old)
        _sheet_takes_it(by, old)
        new = old.revised(id=id, withdrawn=True)
        return deed.supersede(old, new, reason=needed("reason", reason))


def _may_write(by: Membership, entry: Fact) -> None:
    of_job(by.job, entry=entry)
    if isinstance(entry, Nonconformance):
        require(by, Ability.RAISE_NONCONFORMANCE)
    else:
        require(by, Ability.WRITE_SHEET)
    if isinstance(entry, Deficiency | Photo):
        own_firm(by, entry)
    else:
        own_entry(by, entry)


def _sheet_takes_it(by: Membership, entry: Fact) -> None:
    on = entry.load if isinstance(entry, FreshTest) else entry
    report: DailyReport | None = getattr(on, "report", None)
    if report is not None:
        writable(by, report)


def _columns(old: Fact, values: dict[str, Any]) -> dict[str, Any]:
    """Return the values as columns. Raises for another dimension than before."""
    columns: dict[str, Any] = {}
    for name, value in values.items():
        if isinstance(value, Quantity):
            columns |= _measure(old, name, value, beside=values)
        elif isinstance(value, Version):
            columns[f"{name}_id"] = value.first
        else:
            columns[name] = value
    return columns


def _measure(
    old: Fact, name: str, value: Quantity, *, beside: dict[str, Any]
) -> dict[str, Any]:
    unit = _UNITS.get(name, f"{name}_unit")
    field = old._meta.get_field(unit)
    wanted = getattr(field, "dimension", "") or dimension(getattr(old, unit))
    if value.dimension != wanted:
        message = _("%(given)s is not a %(dimension)s.")
        refuse(name, message, given=value, dimension=wanted)
    if wanted != "temperature":
        not_below_zero(**{name: value})
    # The unit is shared: another one would change what its neighbour says.
    for other in _SHARED.get(unit, ()):
        said = beside.get(other, as_quantity(getattr(old, other), getattr(old, unit)))
        if said is not None and said.unit != value.unit:
            message = _("%(given)s: give it in %(unit)s like the others.")
            refuse(name, message, given=value, unit=said.unit)
    return {name: value.value, unit: value.unit}
