"""Every calculation of the house by its name, as the page and the command list them."""

from __future__ import annotations

from crews.domain.worked import (
    bars,
    control,
    core_places,
    core_sets,
    core_strength,
    panel_size,
    panels,
    statistics,
)
from inspections.domain.worked import (
    curing,
    delivery,
    early_age,
)
from project.domain.calculation import by_name
from project.domain.worked import editions

CALCULATIONS = by_name(
    core_strength.CALCULATIONS,
    core_sets.CALCULATIONS,
    core_places.CALCULATIONS,
    panel_size.CALCULATIONS,
    panels.CALCULATIONS,
    bars.CALCULATIONS,
    statistics.CALCULATIONS,
    control.CALCULATIONS,
    delivery.CALCULATIONS,
    curing.CALCULATIONS,
    early_age.CALCULATIONS,
    editions.CALCULATIONS,
)
