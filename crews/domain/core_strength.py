"""The strength of one drilled core, and how that figure came about.

Strength is the breaking load over the area, times a factor for short cores. The
length over diameter and every step are kept unrounded; only the reported figure
is rounded, once, at the end.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from itertools import pairwise

from crews.domain.core_facts import CoreTest
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
AS_STATED = Source("laboratory report", "strength as stated", known=Known.CONTRACT)

PI = Decimal("3.14159265358979323846264338327950288419716939937511")

# Length over diameter -> factor. The last row is the end point of the older rule.
FACTORS = tuple(
    (Decimal(ratio), Decimal(factor))
    for ratio, factor in (
        ("1.00", "0.87"),
        ("1.25", "0.93"),
        ("1.50", "0.96"),
        ("1.75", "0.98"),
        ("2.00", "1.00"),
    )
)
LD_LEAST, LD_MOST = Decimal("1.00"), Decimal("2.10")
_LIMITS = {LD_175: Decimal("1.75"), LD_194: Decimal("1.94")}

# Strength unit -> (length unit, force unit) whose quotient it is; step when reported.
_PARTS = {"psi": ("in", "lbf"), "MPa": ("mm", "N")}
_STEPS = {"psi": Decimal(10), "MPa": Decimal("0.1")}


def is_corrected(ld: Decimal, *, limit: str) -> bool:
    """Return whether a core of this length over diameter gets a factor.

    `limit` is one of the term `ld_limit`: at exactly 1.75 the one still corrects, at
    exactly 1.94 the other no longer does. Source: ASTM C42/C42M and C39/C39M, 1.75
    or less (from memory); an older C42 and UFGS 03371, under 1.94 D (read).

    >>> is_corrected(Decimal("1.75"), limit="1.75 or less")
    True
    >>> is_corrected(Decimal("1.94"), limit="under 1.94")
    False
    """
    most = _LIMITS[limit]
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
    return next(pair for pair in pairwise(FACTORS) if ld <= pair[1][0])


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
    try:
        return _STEPS[unit]
    except KeyError:
        allowed = ", ".join(_STEPS)
        raise ValueError(f"strength unit {unit!r}: allowed are {allowed}") from None


@dataclass(frozen=True, slots=True)
class CoreStrength:
    """A core's strength: unrounded, reported, and what it was made of.

    Without a breaking load the laboratory's stated strength stands, and diameter,
    area, length over diameter and factor are nothing.
    """

    core: str
    exact: Quantity
    reported: Quantity
    diameter: Quantity | None
    area: Quantity | None
    ld: Decimal | None
    factor: Decimal | None
    test: CoreTest = field(repr=False)
    limit: str = field(repr=False)

    def working(self) -> Working:
        """Return how the figure came about, with its numbers put in."""
        test = self.test
        names = ("d1", "d2", "length", "load", "strength")
        given = ((name, getattr(test, name)) for name in names)
        return Working(
            title=f"Strength of core {self.core}",
            inputs=tuple(Named(name, q) for name, q in given if q is not None),
            steps=_steps(self),
            exact=self.exact,
            reported=self.reported,
            rounding=f"once, at the end, to {report_step(self.exact.unit)} "
            f"{self.exact.unit}, ties to even",
        )


def core_strength(test: CoreTest, *, terms: Terms) -> CoreStrength:
    """Return the strength of one tested core, whether or not it may be counted.

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
    if test.load is None:
        return _as_stated(test, unit, limit)
    length_unit, force_unit = _PARTS[unit]
    diameter, ld = test.mean_diameter(length_unit), test.over_diameter(test.length)
    if diameter is None or ld is None:
        raise ValueError(f"core {test.core}: d1, d2 and length are needed")
    with localcontext(prec=34):
        area = PI * diameter * diameter / 4
        factor = correction_factor(ld, limit=limit)
        exact = convert(test.load, to=force_unit).value / area * factor
    strength = Quantity(exact, unit)
    return CoreStrength(
        core=test.core,
        exact=strength,
        reported=as_reported(strength),
        diameter=Quantity(diameter, length_unit),
        area=Quantity(area, f"{length_unit}2"),
        ld=ld,
        factor=factor,
        test=test,
        limit=limit,
    )


def _as_stated(test: CoreTest, unit: str, limit: str) -> CoreStrength:
    if test.strength is None:
        raise ValueError(f"core {test.core}: neither load nor strength is given")
    exact = convert(test.strength, to=unit)
    reported = as_reported(exact)
    return CoreStrength(test.core, exact, reported, None, None, None, None, test, limit)


def _short(value: Decimal, places: str = "0.0001") -> str:
    return f"{value.quantize(Decimal(places)).normalize():f}"


def _steps(made: CoreStrength) -> tuple[Step, ...]:
    diameter, area, ld, factor = made.diameter, made.area, made.ld, made.factor
    if diameter is None or area is None or ld is None or factor is None:
        line = f"{made.test.strength} as the laboratory stated it"
        return (Step("strength", line, AS_STATED),)
    unit = made.exact.unit
    length_unit, force_unit = _PARTS[unit]
    d1, d2, length, load = _converted(made.test, length_unit, force_unit)
    mean, round_area, ratio = _short(diameter.value), _short(area.value), _short(ld)
    raw = _short(made.exact.value / factor, "0.1")
    exact = _short(made.exact.value, "0.1" if unit == "psi" else "0.001")
    return (
        Step("mean diameter", f"({d1} + {d2}) / 2 = {mean} {length_unit}", C42_AREA),
        Step("area", f"π × {mean}² / 4 = {round_area} {length_unit}2", C42_AREA),
        Step("length over diameter", f"{length} / {mean} = {ratio}", C42_STRENGTH),
        Step("factor", _factor_line(ld, factor, made.limit), C42_FACTOR),
        Step("load over area", f"{load} / {round_area} = {raw} {unit}", C42_STRENGTH),
        Step("strength", f"{raw} × {_short(factor)} = {exact} {unit}", C42_STRENGTH),
    )


def _converted(test: CoreTest, length_unit: str, force_unit: str) -> tuple[str, ...]:
    sizes = (test.d1, test.d2, test.length)
    texts = [_short(convert(q, to=length_unit).value) for q in sizes if q is not None]
    loads = (test.load,)
    texts += [_short(convert(q, to=force_unit).value) for q in loads if q is not None]
    return tuple(texts)


def _factor_line(ld: Decimal, factor: Decimal, limit: str) -> str:
    ratio = _short(ld)
    if not is_corrected(ld, limit=limit):
        return f"{ratio}: corrected only {limit}, so 1"
    (low, below), (high, above) = _rows_around(ld)
    slope = f"({above} - {below}) / ({high} - {low})"
    return f"{below} + ({ratio} - {low}) × {slope} = {_short(factor)}"
