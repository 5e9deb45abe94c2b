"""Every calculation of the house by its name, as the page and the command list them."""

from __future__ import annotations

from crews.domain.worked import (
    bars,
    control,
    core_sets,
    core_strength,
    core_validity,
    panel_size,
    panels,
    rolling,
    statistics,
)
from inspections.domain.worked import (
    air,
    curing,
    delivery,
    early_age,
    ordering,
    placing,
    weather,
)
from inspections.domain.worked import rolling as rates
from project.domain.calculation import by_name
from project.domain.worked import editions, units

CALCULATIONS = by_name(
    core_strength.CALCULATIONS,
    core_sets.CALCULATIONS,
    core_validity.CALCULATIONS,
    panel_size.CALCULATIONS,
    panels.CALCULATIONS,
    bars.CALCULATIONS,
    statistics.CALCULATIONS,
    control.CALCULATIONS,
    rolling.CALCULATIONS,
    delivery.CALCULATIONS,
    curing.CALCULATIONS,
    early_age.CALCULATIONS,
    ordering.CALCULATIONS,
    placing.CALCULATIONS,
    rates.CALCULATIONS,
    air.CALCULATIONS,
    weather.CALCULATIONS,
    units.CALCULATIONS,
    editions.CALCULATIONS,
)
