"""Shooting facts put right or taken back: a new version over the old, with a reason.

What a fact hangs on (its shift, its panel, its code) is not put right but taken back
and entered anew. Cards, enrolments, judgements and reports have their own actions.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    after_shooting,
    for_firm,
    in_force,
    measured,
    not_later,
    not_negative,
    panel_firm,
    positive,
    possible,
)
from crews.actions.cores import may_core
from crews.actions.nozzle import freeze_again, not_on_another
from crews.actions.panels import named_on_panel
from crews.models import (
    Core,
    LabResult,
    NozzleTime,
    Panel,
    PanelJudgement,
    Placement,
    Presence,
    Shift,
)
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import Deed, act
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.models import ElementPart, Fact, Membership
from project.models.records import Version

E = TypeVar("E", bound=Fact)

_CORRECTABLE: dict[type[Any], tuple[str, ...]] = {
    Shift: ("starts_at", "stops_at", "no_work_reason"),
    Presence: ("role", "part", "from_at", "to_at"),
    Placement: (
        *("part", "coat", "mix_revision", "crew", "rig", "method"),
        *("area", "thickness", "extent", "repairs"),
        *("line_waste", "removed", "cuttings"),
    ),
    NozzleTime: ("operator", "started_at", "stopped_at", "volume", "volume_basis"),
    Panel: (
        *("mix_revision", "method", "rig", "position", "operator", "shared_with"),
        *("supervisor", "shot_from", "shot_to", "part", "length", "width", "depth"),
        *("mockup_class", "thickness", "reinforcement", "laboratory"),
    ),
    Core: (
        *("x", "y", "grid", "planned_age_days", "due_on", "diameter"),
        *("drilled_at", "hole_ok"),
    ),
}
_SIDES = ("length", "width", "depth")
_WASTE = ("line_waste", "removed", "cuttings")
_NAMED = ("operator", "shared_with", "supervisor", "rig", "laboratory")
# column of a measure -> (dimension, its unit's column, who shares that unit)
_MEASURES: dict[type[Any], dict[str, tuple[str, str, tuple[str, ...]]]] = {
    Placement: {
        "area": ("area", "area_unit", ("area",)),
        "thickness": ("length", "thickness_unit", ("thickness",)),
        **dict.fromkeys(_WASTE, ("volume", "waste_unit", _WASTE)),
    },
    NozzleTime: {"volume": ("volume", "volume_unit", ("volume",))},
    Panel: {
        **dict.fromkeys(_SIDES, ("length", "size_unit", _SIDES)),
        "thickness": ("length", "thickness_unit", ("thickness",)),
    },
    Core: {
        "x": ("length", "place_unit", ("x", "y")),
        "y": ("length", "place_unit", ("x", "y")),
        "diameter": ("length", "diameter_unit", ("diameter",)),
    },
}


def correct(*, id: UUID, by: Membership, row: E, reason: str, **values: Any) -> E:
    """Put some columns of a fact right; quantities come with their unit.

    A nozzle time put right is judged again, beside the conclusions frozen before.
    """
    _only_correctable(row, values)
    _may_write(by, row)
    with act(on=by.job, by=by, verb=f"{row.kind}.corrected") as deed:
        if there := sent_before(deed, type(row), id, job_id=by.job_id):
            return there
        old = in_force(row)
        new = old.revised(id=id)
        for name, value in _columns(by, old, values).items():
            setattr(new, name, value)
        _check(deed, by, old, new, values)
        made = deed.supersede(old, new, reason=reason)
        if isinstance(made, NozzleTime):
            freeze_again(deed, made)
        return made


def withdraw(*, id: UUID, by: Membership, row: E, reason: str) -> E:
    """Take a fact back; it stays readable, with the reason, and counts no more."""
    _only_correctable(row, {})
    _may_write(by, row)
    with act(on=by.job, by=by, verb=f"{row.kind}.withdrawn") as deed:
        if there := sent_before(deed, type(row), id, job_id=by.job_id):
            return there
        old = in_force(row)
        hanging = _hanging_on(old, deed.at)
        if hanging:
            message = _("%(row)s has %(others)s; take those back first.")
            refuse("row", message, row=old, others=", ".join(map(str, hanging)))
        new = old.revised(id=id, withdrawn=True)
        return deed.supersede(old, new, reason=reason)


def _only_correctable(row: Fact, values: dict[str, Any]) -> None:
    allowed = _CORRECTABLE.get(type(row))
    if allowed is None:
        refuse("row", _("%(row)s is not put right here."), row=row)
    for name in values:
        if name not in allowed:
            message = _("%(name)s cannot be put right; allowed are %(allowed)s.")
            refuse(name, message, name=name, allowed=", ".join(allowed))


def _may_write(by: Membership, row: Fact) -> None:
    of_job(by.job, row=row)
    if isinstance(row, Core):
        may_core(by, row.panel)
        return
    require(by, Ability.RECORD_SHOOTING)
    for_firm(by, _firm_of(row))


def _firm_of(row: Fact) -> UUID:
    """Return the contractor whose shooting a fact is of."""
    if isinstance(row, Shift):
        return row.organization_id
    if isinstance(row, NozzleTime):
        return row.placement.shift.organization_id
    if isinstance(row, Placement | Presence):
        return row.shift.organization_id
    if isinstance(row, Panel):
        return panel_firm(row)
    raise TypeError(f"a {row.kind} is nobody's shooting")


def _columns(by: Membership, old: Fact, values: dict[str, Any]) -> dict[str, Any]:
    measures = _MEASURES.get(type(old), {})
    columns: dict[str, Any] = {}
    for name, value in values.items():
        if name in measures:
            columns |= _measure(old, name, value, measures[name], values)
        elif isinstance(value, Version):
            of_job(by.job, **{name: value})
            columns[f"{name}_id"] = value.first
        else:
            if isinstance(value, ElementPart):
                of_job(by.job, **{name: value})
            columns[name] = value
    return columns


def _measure(
    old: Fact,
    name: str,
    value: Quantity | None,
    about: tuple[str, str, tuple[str, ...]],
    values: dict[str, Any],
) -> dict[str, Any]:
    """Return a measure and its unit; what shares the unit stays in that unit."""
    dimension, unit, together = about
    given: dict[str, Quantity | None] = {}
    for other in together:
        kept = getattr(old, other)
        stays = None if kept is None else Quantity(kept, getattr(old, unit))
        given[other] = values.get(other, stays)
    # Nothing left in the line is a measure too.
    (not_negative if name in _WASTE else positive)(**{name: value})
    return measured(dimension, unit=unit, **given)


def _check(
    deed: Deed, by: Membership, old: Fact, new: Fact, values: dict[str, Any]
) -> None:
    for name, value in values.items():
        if isinstance(value, datetime):
            not_later(name, value, than=deed.at, job=by.job)
    if isinstance(new, NozzleTime):
        not_on_another(
            new.operator,
            by=by,
            start=new.started_at,
            stop=new.stopped_at,
            apart_from=old.pk,
        )
    if isinstance(new, Placement):
        firm = new.shift.organization_id
        for field, row in (("crew", new.crew), ("rig", new.rig)):
            if row.organization_id != firm:
                refuse(field, _("%(row)s is not of this shift's firm."), row=row)
    if isinstance(new, Panel):
        named_on_panel(by, **{k: v for k, v in values.items() if k in _NAMED})
        if new.shift_id is None:
            new.work_date = by.job.local(new.shot_from).date()
    if isinstance(new, Core):
        possible("diameter", values.get("diameter"))
        if new.drilled_at is not None:
            after_shooting(in_force(new.panel), "drilled_at", new.drilled_at)


# What hangs on a fact: (table, its column) that names it.
_HANGS: dict[type[Any], tuple[tuple[type[Any], str], ...]] = {
    Shift: ((Placement, "shift"), (Presence, "shift"), (Panel, "shift")),
    Placement: ((NozzleTime, "placement"), (Panel, "placement")),
    Panel: ((Core, "panel"), (PanelJudgement, "panel")),
}


def _hanging_on(row: Fact, at: datetime) -> list[Any]:
    if isinstance(row, Core):
        return list(LabResult.objects.filter(core=row.first)[:3])
    found: list[Any] = []
    for table, column in _HANGS.get(type(row), ()):
        named = table.objects.known_at(at).filter(**{column: row.first})
        found.extend(named[:3])
    return found
