"""Reinforcing bars by their designation, with their nominal diameters."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source

ASTM_BARS = Source("ASTM A615/A615M", "table 1, nominal diameter", known=Known.MEMORY)
CSA_BARS = Source("CSA G30.18", "nominal diameter", known=Known.MEMORY)
EN_BARS = Source(
    "EN 10080", "nominal diameter, the designation itself", known=Known.MEMORY
)

# Inch numbers are eighths of an inch up to No. 8; from No. 9 a bar has the area of the
# square bar it replaced (ASTM_BARS). A metric bar with an M is named after its rounded
# diameter (CSA_BARS), one in millimetres after its own (EN_BARS).
BAR_DIAMETERS: Mapping[str, Quantity] = {
    "No. 3": Quantity(Decimal("0.375"), "in"),
    "No. 4": Quantity(Decimal("0.500"), "in"),
    "No. 5": Quantity(Decimal("0.625"), "in"),
    "No. 6": Quantity(Decimal("0.750"), "in"),
    "No. 7": Quantity(Decimal("0.875"), "in"),
    "No. 8": Quantity(Decimal("1.000"), "in"),
    "No. 9": Quantity(Decimal("1.128"), "in"),
    "No. 10": Quantity(Decimal("1.270"), "in"),
    "No. 11": Quantity(Decimal("1.410"), "in"),
    "No. 14": Quantity(Decimal("1.693"), "in"),
    "No. 18": Quantity(Decimal("2.257"), "in"),
    "10M": Quantity(Decimal("11.3"), "mm"),
    "15M": Quantity(Decimal("16.0"), "mm"),
    "20M": Quantity(Decimal("19.5"), "mm"),
    "25M": Quantity(Decimal("25.2"), "mm"),
    "30M": Quantity(Decimal("29.9"), "mm"),
    "35M": Quantity(Decimal("35.7"), "mm"),
    "45M": Quantity(Decimal("43.7"), "mm"),
    "55M": Quantity(Decimal("56.4"), "mm"),
    "8 mm": Quantity(Decimal(8), "mm"),
    "10 mm": Quantity(Decimal(10), "mm"),
    "12 mm": Quantity(Decimal(12), "mm"),
    "14 mm": Quantity(Decimal(14), "mm"),
    "16 mm": Quantity(Decimal(16), "mm"),
    "20 mm": Quantity(Decimal(20), "mm"),
    "25 mm": Quantity(Decimal(25), "mm"),
    "28 mm": Quantity(Decimal(28), "mm"),
    "32 mm": Quantity(Decimal(32), "mm"),
    "40 mm": Quantity(Decimal(40), "mm"),
}


def bar_diameter(bar: str) -> Quantity:
    """Return the nominal diameter of a bar [length], in its standard's unit.

    Raises ValueError for a bar that is not in the table. Source: ASTM A615/A615M,
    table 1; CSA G30.18; EN 10080 (all from memory).

    >>> str(bar_diameter("No. 9")), str(bar_diameter("25M"))
    ('1.128 in', '25.2 mm')
    >>> bar_diameter("No. 12")
    Traceback (most recent call last):
    ValueError: bar 'No. 12': allowed are No. 3, No. 4, No. 5, No. 6, No. 7, No. 8,
        No. 9, No. 10, No. 11, No. 14, No. 18, 10M, 15M, 20M, 25M, 30M, 35M, 45M, 55M,
        8 mm, 10 mm, 12 mm, 14 mm, 16 mm, 20 mm, 25 mm, 28 mm, 32 mm, 40 mm
    """
    try:
        return BAR_DIAMETERS[bar]
    except KeyError:
        allowed = ", ".join(BAR_DIAMETERS)
        raise ValueError(f"bar {bar!r}: allowed are {allowed}") from None


def bar_source(bar: str) -> Source:
    """Return the standard that names a bar and its diameter.

    Raises ValueError for a bar that is not in the table. Source: as `bar_diameter`.

    >>> str(bar_source("10M")), bar_source("10 mm").document
    ('CSA G30.18, nominal diameter (from memory)', 'EN 10080')
    """
    bar_diameter(bar)
    if bar.startswith("No."):
        return ASTM_BARS
    return CSA_BARS if bar.endswith("M") else EN_BARS


def thickness_of(bar: str) -> Decimal:
    """Return the nominal diameter of a bar in millimetres, to compare bars by [mm].

    An inch is 25.4 mm, so that nothing is rounded. Raises ValueError for a bar that
    is not in the table. Source: as `bar_diameter`.

    >>> thickness_of("No. 5") < thickness_of("15M")
    True
    """
    return convert(bar_diameter(bar), to="mm").value


def thickest(bars: Iterable[str]) -> str:
    """Return the bar with the largest nominal diameter, the first of equal ones.

    Raises ValueError where there is none, or one that is not in the table.
    Source: as `bar_diameter`.

    >>> thickest(["No. 5", "No. 10", "10M"])
    'No. 10'
    """
    named = list(bars)
    if not named:
        raise ValueError("bars: none given; allowed is at least one")
    return max(named, key=thickness_of)
