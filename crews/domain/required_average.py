"""The average a mix must be made for, so that few of its results fall below f_c.

The strength a mix is aimed at lies above f_c by as much as its results scatter. How
much is known of that scatter from a short record is less, so it is made larger; with
no record a fixed surplus stands instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from types import MappingProxyType

from crews.domain.core_strength import as_reported, report_step
from crews.domain.strength_list import one_strength, shown_number
from project.domain.units import Quantity, to_decimal
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

ACI_301 = Source(
    "ACI 318-11 and -14, ACI 301", "required average strength", known=Known.READ
)
ACI_301_MEMORY = Source("ACI 318-11 and -14, ACI 301", "required average strength")
SHORT_RECORD = Source(
    "ACI 318-11 and -14, ACI 301", "factor for s; 15 and 20 tests read, the rest memory"
)

# ACI 318-11 and -14, ACI 301: both pairs of formulas (read).
MEAN_TIMES = Decimal("1.34")  # s above f_c, so that few means of three lie below it
SINGLE_TIMES = Decimal("2.33")  # s above what no single test should lie below
HIGH_SHARE = Decimal("0.90")  # of f_c, where f_c is high


# ACI 318M takes 3.5 MPa; 3.45 MPa is 500 psi in metric, as published examples take it
# (both read).
class Shortfall(StrEnum):
    """How far below f_c one test may lie where f_c is in MPa."""

    CONVERTED = "3.45 MPa (500 psi converted)"
    ROUNDED = "3.5 MPa (ACI 318M)"


SHORTFALL_MPA: Mapping[Shortfall, Decimal] = MappingProxyType(
    {Shortfall.CONVERTED: Decimal("3.45"), Shortfall.ROUNDED: Decimal("3.5")}
)
SHORTFALL_PSI = Decimal(500)  # the same documents (read)

# Tests on record -> factor for s, linear between; the same documents: 15 and 20 tests
# read, 25 and 30 from memory.
RECORD_FACTORS = (
    (15, Decimal("1.16")),
    (20, Decimal("1.08")),
    (25, Decimal("1.03")),
    (30, Decimal("1.00")),
)


@dataclass(frozen=True, slots=True)
class Surplus:
    """Limits and surpluses in one unit [psi or MPa].

    `high` is the f_c up to and with which the first pair of formulas holds, `low` the
    f_c below which the surplus without a record is `below_low`; from there to `high`
    it is `between`, and above it `high_times` f_c plus `above_high`.

    Source: ACI 318-11 and -14, ACI 301; 1200 psi and 8.3 MPa read, the rest memory.
    """

    high: Decimal
    low: Decimal
    below_low: Decimal
    between: Decimal
    high_times: Decimal
    above_high: Decimal


# ACI 318-11 and -14, ACI 301: 1200 psi and 8.3 MPa and both limits read, the rest
# from memory; the metric ones are ACI 318M's.
SURPLUS: Mapping[str, Surplus] = MappingProxyType(
    {
        "psi": Surplus(
            high=Decimal(5000),
            low=Decimal(3000),
            below_low=Decimal(1000),
            between=Decimal(1200),
            high_times=Decimal("1.10"),
            above_high=Decimal(700),
        ),
        "MPa": Surplus(
            high=Decimal(35),
            low=Decimal(21),
            below_low=Decimal("7.0"),
            between=Decimal("8.3"),
            high_times=Decimal("1.10"),
            above_high=Decimal("5.0"),
        ),
    }
)

FEWEST_TESTS = RECORD_FACTORS[0][0]


def record_factor(tests: int) -> Decimal:
    """Return the factor for a standard deviation from a short record.

    Parameters
    ----------
    tests
        Tests on record [1], 15 or more; from 30 the factor is 1.

    Raises ValueError below 15. Source: ACI 318-11 and -14, ACI 301; 15 and 20 tests
    read, 25 and 30 from memory; linear between.

    >>> record_factor(17), record_factor(29), record_factor(30)
    (Decimal('1.128'), Decimal('1.006'), Decimal('1.00'))
    """
    if tests < FEWEST_TESTS:
        raise ValueError(f"tests: {tests}; allowed is {FEWEST_TESTS} or more")
    for (few, above), (many, below) in pairwise(RECORD_FACTORS):
        if tests < many:
            return above + (tests - few) * (below - above) / (many - few)
    return RECORD_FACTORS[-1][1]


@dataclass(frozen=True, slots=True)
class RequiredAverage:
    """The required average strength and the formulas it is the larger of.

    Without a record `s` is nothing, `factor` too, and one formula stands alone.
    `formulas` hold each formula in words, with its numbers put in, and its value.

    Source: ACI 318-11 and -14, ACI 301.
    """

    f_c: Quantity
    s: Quantity | None
    tests: int
    factor: Decimal | None
    formulas: tuple[tuple[str, str, Fraction, Source], ...]

    @property
    def exact(self) -> Quantity:
        """The required average, unrounded, in the unit of f_c."""
        return Quantity(to_decimal(self._largest[2]), self.f_c.unit)

    @property
    def governs(self) -> str:
        """Which formula is the larger, in words; the first where both are equal."""
        return self._largest[0]

    @property
    def _largest(self) -> tuple[str, str, Fraction, Source]:
        return max(self.formulas, key=lambda formula: formula[2])

    def working(self) -> Working:
        """Return how the required average came about."""
        unit = self.f_c.unit
        given = [Named("f_c", self.f_c), Named("tests", _plain(self.tests))]
        if self.s is not None:
            given.append(Named("s", self.s))
        return Working(
            title="Required average strength",
            inputs=tuple(given),
            steps=(*self._record(), *self._lines()),
            exact=self.exact,
            reported=as_reported(self.exact),
            rounding=f"once, at the end, to {report_step(unit)} {unit}, ties to even",
        )

    def _record(self) -> tuple[Step, ...]:
        if self.s is None or self.factor is None:
            line = (
                f"{self.tests} tests on record, fewer than {FEWEST_TESTS}: no s is used"
            )
            return (Step("record", line, SHORT_RECORD),)
        used = f"{self.factor * self.s.value:f}"
        line = f"{self.tests} tests: {self.factor} × {self.s} = {used} {self.s.unit}"
        return (Step("s for this record", line, SHORT_RECORD),)

    def _lines(self) -> tuple[Step, ...]:
        unit = self.f_c.unit
        lines = []
        for name, line, value, source in self.formulas:
            found = shown_number(to_decimal(value), unit, finer=2)
            lines.append(Step(name, f"{line} = {found} {unit}", source))
        if len(lines) > 1:
            lines.append(Step("the larger", f"{self.governs} governs", ACI_301))
        return tuple(lines)


def _plain(number: int) -> Quantity:
    return Quantity(Decimal(number), "1")


def required_average(
    f_c: Quantity,
    *,
    s: Quantity | None = None,
    tests: int = 0,
    shortfall: Shortfall = Shortfall.CONVERTED,
) -> RequiredAverage:
    """Return the average strength a mix must be made for.

    Parameters
    ----------
    f_c
        Specified strength [psi or MPa], above 0.
    s
        Standard deviation of the tests on record, above 0, in the unit of f_c; not
        used below 15 tests, and needed from there.
    tests
        How many tests s was made from, 0 or more.
    shortfall
        For f_c in MPa: 3.45, which is 500 psi converted, or ACI 318M's 3.5.

    Raises ValueError outside those. Source: ACI 318-11 and -14, ACI 301 (formulas
    read, parts of the tables from memory). For concrete made to a record of cylinder
    tests; information where panels and cores are judged.

    >>> strength = Quantity(Decimal(4500), "psi")
    >>> made = required_average(strength, s=Quantity(Decimal(550), "psi"), tests=30)
    >>> str(made.exact), made.governs
    ('5281.5 psi', 'f_c + 2.33 s - 500 psi')
    >>> str(required_average(strength).exact)
    '5700 psi'
    """
    exact = one_strength(f_c, name="f_c")
    if tests < 0:
        raise ValueError(f"tests: {tests}; allowed is 0 or more")
    if s is not None:
        one_strength(s, name="s", unit=f_c.unit)
    if tests < FEWEST_TESTS:
        return RequiredAverage(f_c, None, tests, None, (_no_record(f_c, exact),))
    if s is None:
        raise ValueError(f"s: not given; from {FEWEST_TESTS} tests on it is needed")
    factor = record_factor(tests)
    formulas = _formulas(f_c, exact, factor * s.value, shortfall)
    return RequiredAverage(f_c, s, tests, factor, formulas)


def _no_record(f_c: Quantity, exact: Fraction) -> tuple[str, str, Fraction, Source]:
    unit = f_c.unit
    row = SURPLUS[unit]
    if exact > row.high:
        name = f"{row.high_times} f_c + {row.above_high} {unit}"
        line = f"{row.high_times} × {f_c.value} + {row.above_high}"
        value = Fraction(row.high_times) * exact + Fraction(row.above_high)
        return name, line, value, ACI_301_MEMORY
    low = exact < row.low
    plus, source = (row.below_low, ACI_301_MEMORY) if low else (row.between, ACI_301)
    name, line = f"f_c + {plus} {unit}", f"{f_c.value} + {plus}"
    return name, line, exact + Fraction(plus), source


def _formulas(
    f_c: Quantity, exact: Fraction, s: Decimal, shortfall: Shortfall
) -> tuple[tuple[str, str, Fraction, Source], ...]:
    unit = f_c.unit
    mean = (
        f"f_c + {MEAN_TIMES} s",
        f"{f_c.value} + {MEAN_TIMES} × {s:f}",
        exact + Fraction(MEAN_TIMES) * Fraction(s),
        ACI_301,
    )
    above = Fraction(SINGLE_TIMES) * Fraction(s)
    if exact > SURPLUS[unit].high:
        name = f"{HIGH_SHARE} f_c + {SINGLE_TIMES} s"
        line = f"{HIGH_SHARE} × {f_c.value} + {SINGLE_TIMES} × {s:f}"
        return mean, (name, line, Fraction(HIGH_SHARE) * exact + above, ACI_301)
    less = SHORTFALL_PSI if unit == "psi" else SHORTFALL_MPA[shortfall]
    name = f"f_c + {SINGLE_TIMES} s - {less} {unit}"
    line = f"{f_c.value} + {SINGLE_TIMES} × {s:f} - {less}"
    return mean, (name, line, exact + above - Fraction(less), ACI_301)
