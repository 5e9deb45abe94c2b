"""How a laboratory of cylinders would call a mix's control; information, no more.

The classes were written for cylinders of 6 by 12 inches at 28 days. Cores of
shotcrete panels scatter more than that, so no class decides anything here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from types import MappingProxyType

from crews.domain.strength_list import one_strength
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict

STANDARDS = Source("ACI 214R", "standards of concrete control", "2011")
STANDARDS_CAUTION = (
    "written for 6 by 12 in cylinders at 28 days, not for shotcrete cores"
)
BOUNDARY = Source(
    "a boundary belongs to the class it is the lower limit of", known=Known.PROJECT
)
CLASSES = ("excellent", "very good", "good", "fair", "poor")


class Scatter(StrEnum):
    """What scatters: the whole, or what lies inside one test."""

    OVERALL = "overall"
    FIELD = "within test, field"
    LABORATORY = "within test, laboratory"


# ACI 214R-11 (from memory): the classes' boundaries, worse upwards. Overall, up to an
# f_c of 5000 psi, they are of s [psi]; else of the coefficient of variation [percent].
HIGH_F_C = Quantity(Decimal(5000), "psi")
OVERALL_PSI = (Decimal(400), Decimal(500), Decimal(600), Decimal(700))
PERCENTS: Mapping[Scatter, tuple[Decimal, ...]] = MappingProxyType(
    {
        Scatter.OVERALL: (Decimal(7), Decimal(9), Decimal(11), Decimal(14)),
        Scatter.FIELD: (Decimal(3), Decimal(4), Decimal(5), Decimal(6)),
        Scatter.LABORATORY: (Decimal(2), Decimal(3), Decimal(4), Decimal(5)),
    }
)


@dataclass(frozen=True, slots=True)
class ControlClass:
    """The class of a scatter: its name, what was classed, and between what it lies.

    `measured` is s [psi] or a coefficient of variation [percent].

    Source: ACI 214R-11 (from memory).
    """

    name: str
    scatter: Scatter
    measured: Quantity
    limits: tuple[Decimal, ...]

    @property
    def bounds(self) -> str:
        """What the class lies between, in words."""
        at, unit = CLASSES.index(self.name), self.measured.unit
        if at == 0:
            return f"below {self.limits[0]} {unit}"
        if at == len(self.limits):
            return f"above {self.limits[-1]} {unit}"
        last = at == len(self.limits) - 1
        to = "to" if last else "to below"
        return f"from {self.limits[at - 1]} {to} {self.limits[at]} {unit}"

    def verdict(self) -> Verdict:
        """Return the class as information."""
        rule = f"informative: {STANDARDS_CAUTION}"
        found = str(self.measured)
        told = State.INFORMATION
        reason = Reason(
            "class", f"{self.scatter}: {self.bounds}", told, found, STANDARDS
        )
        return Verdict(told, rule, (reason,))


def overall_class(
    s: Quantity, *, f_c: Quantity, variation: Decimal | None = None
) -> ControlClass:
    """Return the class of a mix's overall scatter, as information.

    Parameters
    ----------
    s
        Overall standard deviation [psi or MPa; MPa is compared in psi], 0 or more.
    f_c
        Specified strength in the same unit, above 0.
    variation
        Overall coefficient of variation [percent], 0 or more; needed where f_c lies
        above 5000 psi, where it is classed instead of s.

    Raises ValueError outside those. Source: ACI 214R-11, general construction (from
    memory); the boundary belongs to the class above it, project's choice.

    >>> f_c = Quantity(Decimal(4000), "psi")
    >>> overall_class(Quantity(Decimal(400), "psi"), f_c=f_c).name
    'very good'
    """
    one_strength(f_c, name="f_c")
    one_strength(s, name="s", unit=f_c.unit, zero=True)
    if convert(f_c, to="psi").value <= HIGH_F_C.value:
        in_psi = convert(s, to="psi")
        return _class(in_psi, OVERALL_PSI, Scatter.OVERALL)
    if variation is None:
        raise ValueError(
            f"mean: not given; above {HIGH_F_C} the share s / mean is classed"
        )
    return percent_class(variation, scatter=Scatter.OVERALL)


def percent_class(variation: Decimal, *, scatter: Scatter) -> ControlClass:
    """Return the class of a coefficient of variation, as information.

    Parameters
    ----------
    variation
        Coefficient of variation [percent], 0 or more.
    scatter
        Overall (f_c above 5000 psi), or within test in the field or the laboratory.

    Raises ValueError below 0. Source: ACI 214R-11 (from memory).

    >>> percent_class(Decimal("4.2"), scatter=Scatter.FIELD).name
    'good'
    """
    if not (variation.is_finite() and variation >= 0):
        raise ValueError(f"variation: {variation}; allowed is 0 or more")
    return _class(Quantity(variation, "percent"), PERCENTS[scatter], scatter)


def _class(
    measured: Quantity, limits: tuple[Decimal, ...], scatter: Scatter
) -> ControlClass:
    """Return the class; only the last boundary belongs below, as the table prints it."""
    reached = sum(measured.value >= limit for limit in limits[:-1])
    reached += measured.value > limits[-1]
    return ControlClass(CLASSES[reached], scatter, measured, limits)
