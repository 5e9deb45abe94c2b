"""A core with its panel and its result, as the rules of strength read it."""

from __future__ import annotations

from typing import Any

from crews.domain.core_facts import CorePlace, CoreTest, PanelShape
from crews.domain.trade_words import PanelKind
from crews.models import Core, LabResult, Panel
from project.domain.verdict import Ref
from project.models import Job
from project.models.records import as_quantity


def is_in_place(panel: Panel) -> bool:
    """Return whether the cores come from the work itself."""
    return panel.panel_kind == PanelKind.IN_PLACE


def core_test(
    panel: Panel, core: Core, result: LabResult | None, *, job: Job
) -> CoreTest:
    """Return a core with its result as the rules read it."""
    evidence = [Ref(core.kind, str(core.pk), str(core.number))]
    x, y = (as_quantity(side, core.place_unit) for side in (core.x, core.y))
    measured = {} if result is None else _as_tested(result, job)
    if result is not None:
        evidence.append(Ref(result.kind, str(result.pk), result.lab_number))
    return CoreTest(
        f"{panel.code}/{core.number}",
        planned_age=core.planned_age_days,
        diameter=as_quantity(core.diameter, core.diameter_unit),
        shot_on=job.local(panel.shot_from).date(),
        shot_at=panel.shot_from,
        drilled_at=core.drilled_at,
        place=CorePlace(x, y) if x and y else None,
        shape=None if is_in_place(panel) else panel_shape(panel),
        evidence=tuple(evidence),
        **measured,
    )


def _as_tested(result: LabResult, job: Job) -> dict[str, Any]:
    return {
        "d1": as_quantity(result.d1, result.diameter_unit),
        "d2": as_quantity(result.d2, result.diameter_unit),
        "length": as_quantity(result.length_tested, result.length_unit),
        "length_drilled": as_quantity(result.length_drilled, result.length_unit),
        "load": as_quantity(result.breaking_load, result.breaking_load_unit),
        "strength": as_quantity(result.strength, result.strength_unit),
        "conditioning": result.conditioning,
        "reinforcement": result.reinforcement,
        "damage": result.damage,
        "tested_on": job.local(result.tested_at).date(),
    }


def panel_shape(panel: Panel) -> PanelShape | None:
    """Return a panel's size as the rules read it; nothing where a side is not given."""
    unit = panel.size_unit
    sides = (panel.length, panel.width, panel.depth)
    length, width, depth = (as_quantity(side, unit) for side in sides)
    if length is None or width is None or depth is None:
        return None
    return PanelShape(length, width, depth)
