"""The strength of one core or cube, and how that figure came about.

Strength is the breaking load over the area, times a factor for short cores. The
length over diameter and every step are kept unrounded; only the reported figure
is rounded, once, at the end.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_EVEN, Decimal

from crews.domain.core_facts import DIGITS, CoreTest, Specimen
from project.domain.reporting import REPORT_STEPS
from project.domain.term_kinds import LD_175, LD_194
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

C42_FACTOR = Source(
    "ASTM C42/C42M", "strength correction factor; table read, between its rows linear"
)
C42_AREA = Source("ASTM C42/C42M", "area from the mean of two diameters")
C42_STRENGTH = Source("ASTM C42/C42M", "compressive strength of cores")
CUBE_STRENGTH = Source(
    "common practice, no source", "load over the loaded face", known=Known.PRACTICE
)
AS_STATED = Source("laboratory report", "strength as stated", known=Known.CONTRACT)

# The circle's ratio, to fifty places.
PI = Decimal("3.14159265358979323846264338327950288419716939937511")

# Length over diameter -> factor (ASTM C42/C42M, table read). The last row is the end
# point of the older rule (from memory).
FACTORS: tuple[tuple[Decimal, Decimal], ...] = (
    (Decimal("1.00"), Decimal("0.87")),
    (Decimal("1.25"), Decimal("0.93")),
    (Decimal("1.50"), Decimal("0.96")),
    (Decimal("1.75"), Decimal("0.98")),
    (Decimal("2.00"), Decimal("1.00")),
)
# Not tested when shorter than its diameter as tested, or longer than 2.1 diameters
# (ASTM C42/C42M, read as quoted).
LD_LEAST, LD_MOST = Decimal("1.00"), Decimal("2.10")

# Up to where a factor is applied. 1.75 or less: ASTM C39/C39M (from memory; a page
# read says "less than"). Under 1.94 diameters: an older C42, UFGS 03371 (read).
CORRECTED_UP_TO: Mapping[str, Decimal] = {
    LD_175: Decimal("1.75"),
    LD_194: Decimal("1.94"),
}

# Strength unit -> the units of length and force whose quotient it is.
_PARTS = {"psi": ("in", "lbf"), "MPa": ("mm", "N")}
# The settings every strength is made under.
_SETTINGS = ("strength_unit", "ld_limit")


def is_corrected(ld: Decimal, *, limit: str) -> bool:
    """Return whether a core of this length over diameter gets a factor.

    Parameters
    ----------
    ld
        Length over diameter [1].
    limit
        A word of the term `ld_limit`: at exactly 1.75 the one still corrects, at
        exactly 1.94 the other no longer does.

    Raises KeyError for another word. Source: ASTM C42/C42M and C39/C39M, 1.75 or less
    (from memory); an older C42 and UFGS 03371, under 1.94 D (read).

    >>> is_corrected(Decimal("1.75"), limit="1.75 or less")
    True
    >>> is_corrected(Decimal("1.94"), limit="under 1.94")
    False
    """
    most = CORRECTED_UP_TO[limit]
    return ld <= most if limit == LD_175 else ld < most


def correction_factor(ld: Decimal, *, limit: str) -> Decimal:
    """Return the factor for a core's length over diameter, unrounded.

    Parameters
    ----------
    ld
        Length over diameter [1], from 1.00 to 2.10.
    limit
        Up to where to correct: the term `ld_limit`.

    Raises ValueError outside the range. Source: ASTM C42/C42M, table of strength
    correction factors (read); linear between its rows (from memory).

    >>> correction_factor(Decimal("1.2"), limit="1.75 or less")
    Decimal('0.918')
    >>> correction_factor(Decimal("1.8"), limit="1.75 or less")
    Decimal('1')
    """
    if not LD_LEAST <= ld <= LD_MOST:
        raise ValueError(f"length over diameter {ld}: {LD_LEAST} to {LD_MOST} is valid")
    if not is_corrected(ld, limit=limit):
        return Decimal(1)
    (low, below), (high, above) = _rows_around(ld)
    return below + (ld - low) * (above - below) / (high - low)


def _rows_around(
    ld: Decimal,
) -> tuple[tuple[Decimal, Decimal], tuple[Decimal, Decimal]]:
    above = 1
    while FACTORS[above][0] < ld:
        above += 1
    return FACTORS[above - 1], FACTORS[above]


def as_reported(strength: Quantity) -> Quantity:
    """Return a strength as it is reported: to 10 psi or 0.1 MPa, ties to even.

    Raises ValueError for another unit. Source: ASTM C42/C42M (from memory); ties as
    in ASTM E29 (from memory).

    >>> str(as_reported(Quantity(Decimal("3869.9"), "psi")))
    '3870 psi'
    >>> str(as_reported(Quantity(Decimal("31.17"), "MPa")))
    '31.2 MPa'
    """
    step = report_step(strength.unit)
    steps = (strength.value / step).quantize(Decimal(1), ROUND_HALF_EVEN)
    return Quantity(steps * step, strength.unit)


def report_step(unit: str) -> Decimal:
    """Return the step a strength is reported in. Raises ValueError for another unit.

    Source: ASTM C42/C42M (from memory).

    >>> report_step("psi"), report_step("MPa")
    (Decimal('10'), Decimal('0.1'))
    """
    if unit not in _PARTS:
        allowed = ", ".join(_PARTS)
        raise ValueError(f"strength unit {unit!r}: allowed are {allowed}")
    return REPORT_STEPS[unit]


@dataclass(frozen=True, slots=True)
class CoreStrength:
    """A core's or cube's strength, unrounded, with what it was made of.

    Without a breaking load the laboratory's stated strength stands, and area, length
    over diameter and factor are nothing; a cube has an area alone.

    Source: `core_strength`.

    >>> from datetime import date
    >>> q = Quantity(Decimal("4444.4"), "psi")
    >>> test = CoreTest("1", planned_age=28, strength=q)
    >>> terms = Terms(1, "", date(2026, 7, 1), {})
    >>> str(CoreStrength(q, test, "1.75 or less", terms).reported)
    '4440 psi'
    """

    exact: Quantity
    test: CoreTest = field(repr=False)
    limit: str = field(repr=False)
    terms: Terms = field(repr=False)
    ld: Decimal | None = None
    factor: Decimal | None = None

    @property
    def reported(self) -> Quantity:
        """The strength as it is reported, rounded once."""
        return as_reported(self.exact)

    @property
    def area(self) -> Quantity | None:
        """The area the load bore on; nothing where the strength was stated."""
        if self.test.load is None:
            return None
        unit, _ = _PARTS[self.exact.unit]
        if self.test.specimen is Specimen.CUBE:
            return Quantity(_face(self.test, unit), f"{unit}2")
        diameter = self.test.mean_diameter(unit) or Decimal(0)
        return Quantity(_circle(diameter), f"{unit}2")

    @property
    def otherwise(self) -> CoreStrength | None:
        """The strength by the other limit of correction; nothing where both agree."""
        if self.ld is None or self.factor is None:
            return None
        other = LD_194 if self.limit == LD_175 else LD_175
        if correction_factor(self.ld, limit=other) == self.factor:
            return None
        return _made(self.test, self.exact.unit, other, self.terms)

    def working(self) -> Working:
        """Return how the figure came about, with its numbers put in."""
        test = self.test
        names = ("d1", "d2", "length", "load", "strength")
        given = ((name, getattr(test, name)) for name in names)
        return Working(
            title=f"Strength of {_named(test)}",
            inputs=tuple(Named(name, q) for name, q in given if q is not None),
            steps=_steps(self),
            exact=self.exact,
            reported=self.reported,
            rounding=f"once, at the end, to {report_step(self.exact.unit)} "
            f"{self.exact.unit}, ties to even",
            settings=self.terms.used(*_SETTINGS),
        )


def core_strength(test: CoreTest, *, terms: Terms) -> CoreStrength:
    """Return the strength of one tested core or cube, whether or not it may count.

    Parameters
    ----------
    test
        Diameters and length [length], breaking load [force] or stated strength
        [pressure], each in the unit it was typed in.
    terms
        Gives `strength_unit` [psi or MPa] and `ld_limit`.

    Raises ValueError where the core was not tested, a size is not given, or its
    length over diameter lies outside 1.00 to 2.10. Source: ASTM C42/C42M (factors
    read, the rest from memory).

    >>> from datetime import date
    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> test = CoreTest("TP-001/1", planned_age=7, d1=Quantity(Decimal("3.06"), "in"),
    ...                 d2=Quantity(Decimal("3.07"), "in"),
    ...                 length=Quantity(Decimal("4.6"), "in"),
    ...                 load=Quantity(Decimal(29740), "lbf"))
    >>> strength = core_strength(test, terms=terms)
    >>> str(strength.reported), f"{strength.factor:.4f}"
    ('3870 psi', '0.9601')
    >>> print(strength.working().steps[3].line)
    0.96 + (1.5008 - 1.50) × (0.98 - 0.96) / (1.75 - 1.50) = 0.9601
    """
    unit, limit = terms.choice("strength_unit"), terms.choice("ld_limit")
    if unit is None or limit is None:
        raise ValueError("terms: strength_unit and ld_limit must be given")
    return _made(test, unit, limit, terms)


def _made(test: CoreTest, unit: str, limit: str, terms: Terms) -> CoreStrength:
    if test.load is None:
        if test.strength is None:
            raise ValueError(f"core {test.core}: neither load nor strength is given")
        return CoreStrength(convert(test.strength, to=unit), test, limit, terms)
    length_unit, force_unit = _PARTS[unit]
    load = convert(test.load, to=force_unit).value
    if test.specimen is Specimen.CUBE:
        strength = DIGITS.divide(load, _face(test, length_unit))
        return CoreStrength(Quantity(strength, unit), test, limit, terms)
    diameter, ld = test.mean_diameter(length_unit), test.over_diameter(test.length)
    if diameter is None or ld is None:
        raise ValueError(f"core {test.core}: d1, d2 and length are needed")
    factor = correction_factor(ld, limit=limit)
    raw = DIGITS.divide(load, _circle(diameter))
    exact = Quantity(DIGITS.multiply(raw, factor), unit)
    return CoreStrength(exact, test, limit, terms, ld, factor)


def _named(test: CoreTest) -> str:
    """Name a core or cube once: one that is called so already is not called so twice."""
    said = test.core.split(maxsplit=1)[0] if test.core else ""
    return test.core if said == test.specimen else f"{test.specimen} {test.core}"


def _circle(diameter: Decimal) -> Decimal:
    return DIGITS.divide(DIGITS.multiply(PI, diameter * diameter), 4)


def _face(test: CoreTest, unit: str) -> Decimal:
    """Return the face of a cube that the load bears on, in the square of a unit."""
    if test.d1 is None or test.d2 is None:
        raise ValueError(f"cube {test.core}: d1 and d2, its sides, are needed")
    first, second = convert(test.d1, to=unit).value, convert(test.d2, to=unit).value
    return DIGITS.multiply(first, second)


def _short(value: Decimal, places: str = "0.0001") -> str:
    return f"{value.quantize(Decimal(places)).normalize():f}"


def _psi_places(unit: str) -> str:
    return "0.1" if unit == "psi" else "0.001"


def _steps(made: CoreStrength) -> tuple[Step, ...]:
    square = made.area
    if square is None:
        line = f"{made.test.strength} as the laboratory stated it"
        return (Step("strength", line, AS_STATED),)
    unit = made.exact.unit
    length_unit, force_unit = _PARTS[unit]
    d1, d2, length, load = _converted(made.test, length_unit, force_unit)
    area = _short(square.value)
    exact = _short(made.exact.value, _psi_places(unit))
    if made.ld is None or made.factor is None:
        return (
            Step("loaded face", f"{d1} × {d2} = {area} {length_unit}2", CUBE_STRENGTH),
            Step("strength", f"{load} / {area} = {exact} {unit}", CUBE_STRENGTH),
        )
    mean = _short(made.test.mean_diameter(length_unit) or Decimal(0))
    ratio, factor = _short(made.ld), made.factor
    raw = _short(made.exact.value / factor, _psi_places(unit))
    return (
        Step("mean diameter", f"({d1} + {d2}) / 2 = {mean} {length_unit}", C42_AREA),
        Step("area", f"π × {mean}² / 4 = {area} {length_unit}2", C42_AREA),
        Step("length over diameter", f"{length} / {mean} = {ratio}", C42_STRENGTH),
        Step("factor", _factor_line(made.ld, factor, made.limit), C42_FACTOR),
        Step("load over area", f"{load} / {area} = {raw} {unit}", C42_STRENGTH),
        Step("strength", f"{raw} × {_short(factor)} = {exact} {unit}", C42_STRENGTH),
        *_other_step(made, raw),
    )


def _other_step(made: CoreStrength, raw: str) -> tuple[Step, ...]:
    """Show what the other limit would make of the same core, where they differ."""
    other = made.otherwise
    if other is None or other.factor is None:
        return ()
    unit = made.exact.unit
    exact = _short(other.exact.value, _psi_places(unit))
    line = f"{raw} × {_short(other.factor)} = {exact} {unit}"
    name = f"not used: corrected {other.limit}, reported {other.reported}"
    return (Step(name, line, C42_FACTOR),)


def _converted(test: CoreTest, length_unit: str, force_unit: str) -> tuple[str, ...]:
    """Return sides, length and load in the units of the strength, as text."""
    sizes = (test.d1, test.d2, test.length)
    texts = ["" if q is None else _in(q, length_unit) for q in sizes]
    return (*texts, "" if test.load is None else _in(test.load, force_unit))


def _in(quantity: Quantity, unit: str) -> str:
    return _short(convert(quantity, to=unit).value)


def _factor_line(ld: Decimal, factor: Decimal, limit: str) -> str:
    ratio = _short(ld)
    if not is_corrected(ld, limit=limit):
        return f"{ratio}: corrected only {limit}, so 1"
    (low, below), (high, above) = _rows_around(ld)
    slope = f"({above} - {below}) / ({high} - {low})"
    return f"{below} + ({ratio} - {low}) × {slope} = {_short(factor)}"
