"""The cores drilled from a panel, or from the work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    after_shooting,
    for_firm,
    in_force,
    measured,
    not_later,
    panel_firm,
    positive,
    possible,
    rekeyed,
)
from crews.models import Core, Panel
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import Deed, act
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.models import Membership


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreEntry:
    """One core: where on the panel, how old it shall be at the test, when drilled.

    Without `due_on` the test is due so many days after the panel's day of shooting.
    """

    id: UUID
    number: int
    planned_age_days: int
    drilled_at: datetime | None = None
    due_on: date | None = None
    x: Quantity | None = None
    y: Quantity | None = None
    grid: str = ""
    diameter: Quantity | None = None
    hole_ok: bool | None = None


def drill_cores(
    *, by: Membership, panel: Panel, cores: Sequence[CoreEntry]
) -> list[Core]:
    """Record the cores of a panel, all of them in one act."""
    may_core(by, panel)
    if not cores:
        refuse("cores", _("No core given; allowed is one or more."))
    with act(on=by.job, by=by, verb="cores.drilled") as deed:
        panel = in_force(panel)
        made = []
        for index, entry in enumerate(cores):
            with rekeyed(f"cores.{index}"):
                before = sent_before(deed, Core, entry.id, panel_id=panel.first)
                made.append(before or _core(deed, panel, entry))
        return made


def may_core(by: Membership, panel: Panel) -> None:
    """Let in whoever records the work, and the laboratory the panel goes to."""
    of_job(by.job, panel=panel)
    if by.organization_id == panel.laboratory_id:
        require(by, Ability.ENTER_RESULTS)
        return
    require(by, Ability.RECORD_SHOOTING)
    for_firm(by, panel_firm(panel))


def _core(deed: Deed, panel: Panel, entry: CoreEntry) -> Core:
    taken = Core.objects.filter(panel=panel.first, number=entry.number)
    if taken.exists():
        message = _("%(panel)s has a core %(number)s already; allowed is a new number.")
        refuse("number", message, panel=panel, number=entry.number)
    if entry.planned_age_days < 1:
        message = _("Age %(given)s days; allowed is 1 or more.")
        refuse("planned_age_days", message, given=entry.planned_age_days)
    if entry.drilled_at is not None:
        not_later("drilled_at", entry.drilled_at, than=deed.at, job=panel.job)
        after_shooting(panel, "drilled_at", entry.drilled_at)
    positive(x=entry.x, y=entry.y)
    possible("diameter", entry.diameter)
    shot_on = panel.job.local(panel.shot_from).date()
    due_on = entry.due_on or shot_on + timedelta(days=entry.planned_age_days)
    if due_on < shot_on:
        message = _("Due %(due)s; allowed is after the day of shooting, %(shot)s.")
        refuse("due_on", message, due=due_on, shot=shot_on)
    return deed.add(
        Core(
            id=entry.id,
            job=panel.job,
            panel_id=panel.first,
            number=entry.number,
            grid=entry.grid,
            planned_age_days=entry.planned_age_days,
            due_on=due_on,
            drilled_at=entry.drilled_at,
            hole_ok=entry.hole_ok,
            **measured("length", unit="place_unit", x=entry.x, y=entry.y),
            **measured("length", unit="diameter_unit", diameter=entry.diameter),
        )
    )
