"""How finely a computed figure is reported, by its unit; rounded once, at the end."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from project.domain.units import Quantity

# Unit -> the step a computed figure is reported in. Strength: ASTM C42/C42M. Fresh
# temperature: ASTM C1064/C1064M. Unit weight: ASTM C138/C138M. All three from memory;
# every other step is this project's choice, about as fine as it can be measured.
REPORT_STEPS: Mapping[str, Decimal] = {
    "m": Decimal("0.001"),
    "mm": Decimal(1),
    "in": Decimal("0.01"),
    "ft": Decimal("0.01"),
    "yd": Decimal("0.01"),
    "m2": Decimal("0.1"),
    "mm2": Decimal(1),
    "in2": Decimal("0.01"),
    "ft2": Decimal(1),
    "m3": Decimal("0.01"),
    "ft3": Decimal("0.1"),
    "yd3": Decimal("0.01"),
    "gal": Decimal("0.1"),
    "l": Decimal(1),
    "N": Decimal(10),
    "kN": Decimal("0.1"),
    "lbf": Decimal(10),
    "Pa": Decimal(1000),
    "kPa": Decimal(10),
    "MPa": Decimal("0.1"),
    "psi": Decimal(10),
    "C": Decimal("0.5"),
    "F": Decimal(1),
    "m/s": Decimal("0.1"),
    "km/h": Decimal(1),
    "mph": Decimal(1),
    "ft/s": Decimal(1),
    "kg/m2/h": Decimal("0.01"),
    "lb/ft2/h": Decimal("0.01"),
    "kg/m3": Decimal(1),
    "pcf": Decimal("0.1"),
    "kg": Decimal("0.1"),
    "lb": Decimal(1),
    "kg/m2": Decimal(1),
    "lb/ft2": Decimal(1),
    "m2/l": Decimal("0.1"),
    "ft2/gal": Decimal(1),
    "m3/min": Decimal("0.1"),
    "cfm": Decimal(1),
    "m3/h": Decimal("0.01"),
    "yd3/h": Decimal("0.01"),
    "m2/h": Decimal("0.1"),
    "ft2/h": Decimal(1),
    "s": Decimal(1),
    "min": Decimal(1),
    "h": Decimal("0.01"),
    "d": Decimal("0.01"),
    "percent": Decimal("0.1"),
    "1": Decimal("0.01"),
}
# Beyond every number an input may have, so that rounding never runs out of digits.
_PRECISION = 100


def reported(exact: Quantity) -> Quantity:
    """Return any figure rounded to the step of its unit, ties to even.

    Source: the steps above; ties as in ASTM E29 (from memory).

    >>> print(reported(Quantity(Decimal("3869.9"), "psi")))
    3870 psi
    >>> print(reported(Quantity(Decimal("25.4"), "mm")))
    25 mm
    """
    return to_step(exact, step=REPORT_STEPS[exact.unit])


def to_step(exact: Quantity, *, step: Decimal) -> Quantity:
    """Return a figure rounded to a multiple of a step, ties to even.

    The step is in the figure's unit and above 0. Raises ValueError for another step. Source: ASTM E29 (from memory).

    >>> print(to_step(Quantity(Decimal("2.5"), "in"), step=Decimal(1)))
    2 in
    """
    if not step.is_finite() or step <= 0:
        raise ValueError(f"step {step}: allowed is a number above 0")
    with localcontext(prec=_PRECISION):
        steps = (exact.value / step).quantize(Decimal(1), ROUND_HALF_EVEN)
        return Quantity(steps * step, exact.unit)


def rounding_words(unit: str) -> str:
    """Return how a unit's figures are rounded. Raises ValueError for another unit.

    Source: the steps above.

    >>> rounding_words("yd3")
    'to 0.01 yd3, ties to even'
    """
    return f"to {Quantity(REPORT_STEPS[unit], unit)}, ties to even"
