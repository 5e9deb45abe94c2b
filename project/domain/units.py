"""Quantities as they were typed, and exact conversion between units.

Factors are exact by definition: the inch is 0.0254 m, the pound 0.45359237 kg, the
pound-force that times 9.80665 m/s2, the gallon 231 in3 (NIST SP 811, 2008, appendix
B, from memory). They stand here as that appendix prints them, quotients as quotients.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext
from fractions import Fraction
from functools import cache, lru_cache

# unit -> (dimension, factor to the SI unit of that dimension, zero offset in it)
_UNITS: Mapping[str, tuple[str, Fraction, Fraction]] = {
    "m": ("length", Fraction(1), Fraction(0)),
    "mm": ("length", Fraction("0.001"), Fraction(0)),
    "in": ("length", Fraction("0.0254"), Fraction(0)),
    "ft": ("length", Fraction("0.3048"), Fraction(0)),
    "yd": ("length", Fraction("0.9144"), Fraction(0)),
    "m2": ("area", Fraction(1), Fraction(0)),
    "mm2": ("area", Fraction("0.000001"), Fraction(0)),
    "in2": ("area", Fraction("0.00064516"), Fraction(0)),
    "ft2": ("area", Fraction("0.09290304"), Fraction(0)),
    "m3": ("volume", Fraction(1), Fraction(0)),
    "ft3": ("volume", Fraction("0.028316846592"), Fraction(0)),
    "yd3": ("volume", Fraction("0.764554857984"), Fraction(0)),
    "gal": ("volume", Fraction("0.003785411784"), Fraction(0)),
    "l": ("volume", Fraction("0.001"), Fraction(0)),
    "N": ("force", Fraction(1), Fraction(0)),
    "kN": ("force", Fraction(1000), Fraction(0)),
    "lbf": ("force", Fraction("4.4482216152605"), Fraction(0)),
    "Pa": ("pressure", Fraction(1), Fraction(0)),
    "kPa": ("pressure", Fraction(1000), Fraction(0)),
    "MPa": ("pressure", Fraction(10**6), Fraction(0)),
    "psi": (
        "pressure",
        Fraction("4.4482216152605") / Fraction("0.00064516"),
        Fraction(0),
    ),
    "C": ("temperature", Fraction(1), Fraction("273.15")),
    "F": ("temperature", Fraction(5, 9), Fraction("459.67") * Fraction(5, 9)),
    "m/s": ("speed", Fraction(1), Fraction(0)),
    "km/h": ("speed", Fraction(5, 18), Fraction(0)),
    "mph": ("speed", Fraction("0.44704"), Fraction(0)),
    "ft/s": ("speed", Fraction("0.3048"), Fraction(0)),
    "kg/m2/h": ("evaporation", Fraction(1), Fraction(0)),
    "lb/ft2/h": (
        "evaporation",
        Fraction("0.45359237") / Fraction("0.09290304"),
        Fraction(0),
    ),
    "kg/m3": ("density", Fraction(1), Fraction(0)),
    "pcf": (
        "density",
        Fraction("0.45359237") / Fraction("0.028316846592"),
        Fraction(0),
    ),
    "kg": ("mass", Fraction(1), Fraction(0)),
    "lb": ("mass", Fraction("0.45359237"), Fraction(0)),
    "kg/m2": ("mass on an area", Fraction(1), Fraction(0)),
    "lb/ft2": (
        "mass on an area",
        Fraction("0.45359237") / Fraction("0.09290304"),
        Fraction(0),
    ),
    "m2/l": ("coverage", Fraction(1000), Fraction(0)),
    "ft2/gal": (
        "coverage",
        Fraction("0.09290304") / Fraction("0.003785411784"),
        Fraction(0),
    ),
    "m3/min": ("flow", Fraction(1), Fraction(0)),
    "cfm": ("flow", Fraction("0.028316846592"), Fraction(0)),
    "m3/h": ("placing rate", Fraction(1), Fraction(0)),
    "yd3/h": ("placing rate", Fraction("0.764554857984"), Fraction(0)),
    "m2/h": ("covering rate", Fraction(1), Fraction(0)),
    "ft2/h": ("covering rate", Fraction("0.09290304"), Fraction(0)),
    "s": ("time", Fraction(1), Fraction(0)),
    "min": ("time", Fraction(60), Fraction(0)),
    "h": ("time", Fraction(3600), Fraction(0)),
    "d": ("time", Fraction(86400), Fraction(0)),
    "percent": ("share", Fraction("0.01"), Fraction(0)),
    "1": ("share", Fraction(1), Fraction(0)),
}

UNITS = tuple(_UNITS)


def dimension(unit: str) -> str:
    """Return the dimension of a unit. Raises ValueError for an unknown unit.

    Source: the table of units above.

    >>> dimension("psi")
    'pressure'
    """
    try:
        return _UNITS[unit][0]
    except KeyError:
        allowed = ", ".join(_UNITS)
        raise ValueError(f"unit {unit!r}: allowed are {allowed}") from None


def units_of(kind: str) -> tuple[str, ...]:
    """Return the units of one dimension, in the order of the table; none is no error.

    Source: the table of units above.

    >>> units_of("force")
    ('N', 'kN', 'lbf')
    """
    return tuple(unit for unit, (dim, _, _) in _UNITS.items() if dim == kind)


def si_factor(unit: str) -> Fraction:
    """Return the exact factor from a unit to the SI unit of its dimension.

    Raises ValueError for an unknown unit and for a temperature, whose zero moves too.
    Source: NIST SP 811, 2008, appendix B (from memory).

    >>> si_factor("ft2") * si_factor("in") / si_factor("yd3")
    Fraction(1, 324)
    """
    kind = dimension(unit)
    if kind == "temperature":
        raise ValueError(f"unit {unit}: a temperature has no factor alone")
    return _UNITS[unit][1]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit, kept as typed (2.50 in stays 2.50 in).

    Raises ValueError for an unknown unit or a value that is not finite. Source: the
    table of units above.

    >>> print(Quantity(Decimal("2.50"), "in"))
    2.50 in
    """

    value: Decimal
    unit: str

    def __post_init__(self) -> None:
        dimension(self.unit)
        if not self.value.is_finite():
            raise ValueError(f"value {self.value}: a finite number is needed")

    @property
    def dimension(self) -> str:
        return dimension(self.unit)

    def __str__(self) -> str:
        text = f"{self.value:f}"
        return text if self.unit == "1" else f"{text} {self.unit}"


@lru_cache(maxsize=4096)
def in_days(count: int) -> Quantity:
    """Return whole days as a time [d]. Source: none needed. Raises nothing.

    >>> str(in_days(90))
    '90 d'
    """
    return Quantity(Decimal(count), "d")


# Nothing is colder (by definition of the kelvin).
ABSOLUTE_ZERO = Quantity(Decimal("-273.15"), "C")


def to_decimal(value: Fraction) -> Decimal:
    """Return a fraction as a decimal of 28 significant digits, half to even.

    Any value, whatever its unit.

    Source: arithmetic.

    >>> to_decimal(Fraction(1, 8))
    Decimal('0.125')
    """
    with localcontext(prec=28, rounding=ROUND_HALF_EVEN):
        return Decimal(value.numerator) / Decimal(value.denominator)


def convert(quantity: Quantity, *, to: str) -> Quantity:
    """Return a quantity in another unit of its dimension.

    The arithmetic is exact; only the last step is cut to 28 digits. Raises
    ValueError when the dimensions differ. Source: NIST SP 811, 2008, appendix B (from
    memory).

    >>> convert(Quantity(Decimal("1"), "in"), to="mm").value
    Decimal('25.4')
    >>> convert(Quantity(Decimal("50"), "F"), to="C").value
    Decimal('10')
    """
    if quantity.unit == to:
        return quantity
    here, factor, offset = _UNITS[quantity.unit]
    there = dimension(to)
    if here != there:
        raise ValueError(f"{quantity}: a {here} cannot be given in {to} ({there})")
    if offset:
        _, to_factor, to_offset = _UNITS[to]
        base = Fraction(quantity.value) * factor + offset
        return Quantity(to_decimal((base - to_offset) / to_factor), to)
    multiply, divide = _ratio(quantity.unit, to)
    return Quantity(_parted(quantity.value, multiply, divide), to)


@cache
def _ratio(unit: str, to: str) -> tuple[Decimal, Decimal]:
    """Return the whole numbers to multiply by and to divide by."""
    ratio = _UNITS[unit][1] / _UNITS[to][1]
    return Decimal(ratio.numerator), Decimal(ratio.denominator)


# Wide enough that no product of a typed number is cut before it is divided.
_EXACT = Context(prec=200, rounding=ROUND_HALF_EVEN)
_CUT = Context(prec=28, rounding=ROUND_HALF_EVEN)


def _parted(value: Decimal, multiply: Decimal, divide: Decimal) -> Decimal:
    """Return a quotient cut once, written as `to_decimal` would write it."""
    cut = _CUT.divide(_EXACT.multiply(value, multiply), divide).normalize(_CUT)
    if cut != cut.to_integral_value():
        return cut
    return cut.quantize(Decimal(1), context=_CUT) if cut else Decimal(0)
