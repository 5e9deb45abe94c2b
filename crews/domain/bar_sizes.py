"""The plain geometry of one bar: area, girth, and the spacing that leaves a gap."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.core_strength import PI
from project.domain.bars import bar_diameter
from project.domain.units import Quantity, convert

_SQUARE = {"in": "in2", "mm": "mm2"}


def bar_area(bar: str) -> Quantity:
    """Return the area of a round bar of the nominal diameter [area].

    Raises ValueError for a bar that is not in the table. Source: geometry; printed
    tables of ASTM A615 and CSA G30.18 agree to their last digit or to 1 percent.

    >>> bar = bar_area("No. 5")
    >>> round(bar.value, 2), bar.unit
    (Decimal('0.31'), 'in2')
    """
    diameter = bar_diameter(bar)
    area = PI * diameter.value * diameter.value / Decimal(4)
    return Quantity(area, _SQUARE[diameter.unit])


def bar_girth(bar: str) -> Quantity:
    """Return the length once around a bar [length], which concrete has to close on.

    Raises ValueError for a bar that is not in the table. Source: geometry.

    >>> round(bar_girth("No. 8").value, 3)
    Decimal('3.142')
    """
    diameter = bar_diameter(bar)
    return Quantity(PI * diameter.value, diameter.unit)


def spacing_for(bar: str, *, clear: Quantity) -> Quantity:
    """Return the centre spacing that leaves a clear gap, in the gap's unit.

    Parameters
    ----------
    bar
        One of the table.
    clear
        Between two bars [length], above 0.

    Raises ValueError for an unknown bar or another gap. Source: geometry.

    >>> str(spacing_for("No. 5", clear=Quantity(Decimal(2), "in")))
    '2.625 in'
    """
    if clear.dimension != "length" or clear.value <= 0:
        raise ValueError(f"clear {clear}: allowed is a length above 0")
    diameter = convert(bar_diameter(bar), to=clear.unit)
    return Quantity(clear.value + diameter.value, clear.unit)
