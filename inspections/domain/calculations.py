"""Every calculation of the house by its name, as the page and the command list them."""

from __future__ import annotations

from crews.domain.worked import core_strength
from project.domain.calculation import by_name
from project.domain.worked import editions

CALCULATIONS = by_name(
    core_strength.CALCULATIONS,
    editions.CALCULATIONS,
)
