"""One core or cube as it was placed, measured and broken: facts, no judgement."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass
from datetime import date, datetime
from decimal import Context, Decimal
from enum import StrEnum
from functools import cache

from project.domain.units import Quantity, convert
from project.domain.verdict import Ref

# Beyond these a figure is a slip of the pen, not a specimen (project's choice).
RANGES: Mapping[str, tuple[Quantity, Quantity]] = {
    "d1": (Quantity(Decimal(25), "mm"), Quantity(Decimal(300), "mm")),
    "d2": (Quantity(Decimal(25), "mm"), Quantity(Decimal(300), "mm")),
    "diameter": (Quantity(Decimal(25), "mm"), Quantity(Decimal(300), "mm")),
    "length": (Quantity(Decimal(10), "mm"), Quantity(Decimal(1500), "mm")),
    "length_drilled": (Quantity(Decimal(10), "mm"), Quantity(Decimal(1500), "mm")),
    "load": (Quantity(Decimal("0.1"), "kN"), Quantity(Decimal(5000), "kN")),
    "strength": (Quantity(Decimal("0.1"), "MPa"), Quantity(Decimal(300), "MPa")),
    "density": (Quantity(Decimal(500), "kg/m3"), Quantity(Decimal(5000), "kg/m3")),
}

# Enough digits that a quotient and its product give the strength back.
DIGITS = Context(prec=34)


class Specimen(StrEnum):
    """What was broken: a drilled core or a sawn cube; one set holds one kind."""

    CORE = "core"
    CUBE = "cube"


@dataclass(frozen=True, slots=True)
class CorePlace:
    """The centre of a core from two edges of its panel: along the length, and across."""

    x: Quantity
    y: Quantity


@dataclass(frozen=True, slots=True)
class PanelShape:
    """The panel a core was drilled from."""

    length: Quantity
    width: Quantity
    depth: Quantity


@cache
def _bounds(field: str, unit: str) -> tuple[Decimal, Decimal]:
    low, high = RANGES[field]
    return convert(low, to=unit).value, convert(high, to=unit).value


def check_measure(field: str, quantity: Quantity) -> None:
    """Refuse a figure no core can have.

    Raises ValueError naming the field, the value and the range; also for a unit of
    another dimension. Source: `RANGES`, project's choice.

    >>> check_measure("d1", Quantity(Decimal(40), "in"))
    Traceback (most recent call last):
    ValueError: d1 40 in: allowed is 25 mm to 300 mm
    """
    low, high = RANGES[field]
    if quantity.dimension == low.dimension:
        least, most = _bounds(field, quantity.unit)
        if least <= quantity.value <= most:
            return
    raise ValueError(f"{field} {quantity}: allowed is {low} to {high}")


@dataclass(frozen=True, slots=True)
class CoreTest:
    """One core, or one cube, and, once it was tested, its test.

    `diameter` is the nominal one the core was ordered with, `d1` and `d2` are
    measured at right angles, `length` is as tested (after sawing, grinding or
    capping), `load` the breaking load. A laboratory that states only a strength
    fills `strength`; with both, the two are compared. `reinforcement` and
    `conditioning` are empty where nobody stated them; `damage` is empty where none
    was noted. `shape` is nothing for a core from the work itself. `density` is that
    of lightweight concrete, where it is one.

    Of a cube `d1` and `d2` are the sides of the face the load bears on; it has no
    diameter, no place and no length of its own to be judged.

    Raises ValueError for a figure no core can have. Source: `RANGES`, project's choice.
    """

    core: str
    _: KW_ONLY
    planned_age: int
    d1: Quantity | None = None
    d2: Quantity | None = None
    diameter: Quantity | None = None
    length: Quantity | None = None
    length_drilled: Quantity | None = None
    load: Quantity | None = None
    strength: Quantity | None = None
    density: Quantity | None = None
    specimen: Specimen = Specimen.CORE
    conditioning: str = ""
    reinforcement: str = ""
    damage: str = ""
    shot_on: date | None = None
    shot_at: datetime | None = None
    drilled_at: datetime | None = None
    tested_on: date | None = None
    place: CorePlace | None = None
    shape: PanelShape | None = None
    evidence: tuple[Ref, ...] = ()

    def __post_init__(self) -> None:
        for field in RANGES:
            quantity = getattr(self, field)
            if quantity is not None:
                check_measure(field, quantity)

    @property
    def tested(self) -> bool:
        """Whether a breaking load or a strength is on record."""
        return self.load is not None or self.strength is not None

    @property
    def age(self) -> int | None:
        """The age when tested, in whole calendar days from the day of shooting [d]."""
        if self.shot_on is None or self.tested_on is None:
            return None
        return (self.tested_on - self.shot_on).days

    def over_diameter(self, length: Quantity | None) -> Decimal | None:
        """Return a length over the mean diameter [1], unrounded to 34 digits.

        One place for the quotient, so that validity and factor see the same figure.
        """
        if length is None:
            return None
        diameter = self.mean_diameter(length.unit)
        return None if diameter is None else DIGITS.divide(length.value, diameter)

    def mean_diameter(self, unit: str) -> Decimal | None:
        """Return the mean of the two measured diameters in a unit of length."""
        d1, d2 = self.d1, self.d2
        if d1 is None or d2 is None:
            return None
        if d1.unit == unit == d2.unit:  # as typed, nothing to convert
            return (d1.value + d2.value) / 2
        return (convert(d1, to=unit).value + convert(d2, to=unit).value) / 2
