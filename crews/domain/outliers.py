"""Whether one strength stands out of its list, where a test can say so at all.

A value that stands out is looked into; it is not dropped for that. Among three values
the statistic has a ceiling that lies a hair above what it would have to reach.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType

from crews.domain.strength_list import cut, root, shown_number
from crews.domain.strength_statistics import Spread, named_list
from crews.domain.student_t import MOST_DF, upper_quantile
from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Step, Working

E178 = Source(
    "ASTM E178", "one-sided test of the largest or smallest", known=Known.READ
)
CAUSE = Source("ACI 214.4R", "a core is rejected only with a physical cause too")
CEILING = Source("arithmetic: (n - 1) / √n is never exceeded", known=Known.DERIVED)

FEWEST_POSSIBLE = 3
FEWEST_TELLING = 4
_GUARD_DIGITS = 50


class Side(StrEnum):
    """Which value is doubted; it is chosen before looking."""

    LOWEST = "lowest"
    HIGHEST = "highest"


class Level(StrEnum):
    """How often the test calls out a value of a sound list."""

    FIVE = "5 %"
    ONE = "1 %"


# ASTM E178, one-sided (5 % read at 3 to 20 values, 1 % at 5 to 20).
SIGNIFICANCE: Mapping[Level, Decimal] = MappingProxyType(
    {Level.FIVE: Decimal("0.05"), Level.ONE: Decimal("0.01")}
)


def ceiling(n: int) -> Decimal:
    """Return what the statistic of n values can never exceed [1].

    `n` is 3 or more. Raises ValueError below. Source: arithmetic; it is reached where
    all values but one are equal.

    >>> f"{ceiling(3):.4f}", f"{ceiling(4):.4f}"
    ('1.1547', '1.5000')
    """
    if n < FEWEST_POSSIBLE:
        raise ValueError(f"n: {n}; allowed is {FEWEST_POSSIBLE} or more")
    return root(Fraction((n - 1) ** 2, n))


def critical_value(n: int, *, level: Level) -> Decimal:
    """Return what the statistic of n values exceeds once in so many sound lists [1].

    Parameters
    ----------
    n
        How many values [1], 3 to 1002.
    level
        5 % or 1 %, one-sided.

    Raises ValueError outside those. Source: ASTM E178, one-sided table (read),
    recomputed from Student's t, which it comes from.

    >>> [f"{critical_value(n, level=Level.FIVE):.2f}" for n in (3, 8, 10, 20)]
    ['1.15', '2.03', '2.18', '2.56']
    """
    most = MOST_DF + 2
    if not FEWEST_POSSIBLE <= n <= most:
        raise ValueError(f"n: {n}; allowed is from {FEWEST_POSSIBLE} to {most}")
    with localcontext(prec=_GUARD_DIGITS, rounding=ROUND_HALF_EVEN):
        t = upper_quantile(SIGNIFICANCE[level] / n, df=n - 2)
        share = t * t / (n - 2 + t * t)
        found = (n - 1) * (share / n).sqrt()
    return cut(found)


@dataclass(frozen=True, slots=True)
class Doubted:
    """The doubted value of a list, how far out it lies, and what that would take.

    `statistic` is its distance from the mean over s; `critical` what it would have to
    exceed, `most` what it can reach at all [1].

    Source: ASTM E178 (read).
    """

    made: Spread
    side: Side
    level: Level
    statistic: Decimal
    critical: Decimal
    most: Decimal

    @property
    def value(self) -> Quantity:
        """The doubted value, as typed."""
        low = self.side is Side.LOWEST
        return self.made.listed.of(self.made.least if low else self.made.most)

    @property
    def state(self) -> State:
        """Information; of three values, not testable. Never a fail."""
        few = self.made.n < FEWEST_TELLING
        return State.NOT_TESTABLE if few else State.INFORMATION

    @property
    def words(self) -> str:
        """What the test says, and what it does not."""
        most, critical = f"{self.most:.4f}", f"{self.critical:.4f}"
        if self.state is State.NOT_TESTABLE:
            return (
                f"not tested: with {self.made.n} values the statistic never exceeds "
                f"{most}, and {critical} is already where the test begins; look at the "
                "core, the report and the hole"
            )
        if self.statistic > self.critical:
            return (
                f"the {self.side} stands out at {self.level}: look for the cause; "
                "a core is not dropped without one"
            )
        return f"the {self.side} does not stand out at {self.level}"

    def verdict(self) -> Verdict:
        """Return what the test says, as information."""
        found = f"{self.statistic:.4f}"
        asked = f"statistic of the {self.side} at most {self.critical:.4f}"
        reasons = (
            Reason("statistic", asked, self.state, found, E178),
            Reason("cause", "a physical cause", State.INFORMATION, "not asked", CAUSE),
        )
        rule = f"one-sided test of the {self.side} at {self.level}; it rejects nothing"
        return Verdict(self.state, rule, reasons)

    def working(self) -> Working:
        """Return how the statistic came about."""
        made = self.made
        mean, s = (
            shown_number(value, made.unit, finer=2) for value in (made.mean, made.s)
        )
        line = f"|{self.value.value:f} - {mean}| / {s} = {self.statistic:.4f}"
        most = f"({made.n} - 1) / √{made.n} = {self.most:.4f}"
        exact = Quantity(self.statistic, "1")
        return Working(
            title=f"Statistic of the {self.side} of {made.n}",
            inputs=named_list("value", made.listed),
            steps=(
                *made.working().steps,
                Step("statistic", line, E178),
                Step("it can reach", most, CEILING),
                self._critical_step(),
            ),
            exact=exact,
            reported=_to_four(exact),
            rounding="once, at the end, to 0.0001, ties to even",
        )

    def critical_working(self) -> Working:
        """Return where the critical value comes from."""
        exact = Quantity(self.critical, "1")
        return Working(
            title=f"Critical value of {self.made.n} at {self.level}",
            inputs=(),
            steps=(self._critical_step(),),
            exact=exact,
            reported=_to_four(exact),
            rounding="once, at the end, to 0.0001, ties to even",
        )

    def _critical_step(self) -> Step:
        n, share = self.made.n, SIGNIFICANCE[self.level]
        t = upper_quantile(share / n, df=n - 2)
        line = (
            f"t of {n - 2} degrees of freedom with {share} / {n} above it = {t:.4f}; "
            f"({n} - 1) / √{n} × √(t² / ({n} - 2 + t²)) = {self.critical:.4f}"
        )
        return Step("critical value", line, E178)


def _to_four(value: Quantity) -> Quantity:
    return Quantity(value.value.quantize(Decimal("0.0001"), ROUND_HALF_EVEN), "1")


def doubted(made: Spread, *, side: Side, level: Level) -> Doubted:
    """Return how far out the lowest or highest of a list lies.

    Parameters
    ----------
    made
        The list's spread, of 3 to 1002 values [psi or MPa] that are not all equal.
    side
        Which end is doubted, chosen before looking; testing the farther of both ends
        doubles the level.
    level
        5 % or 1 %, one-sided.

    Raises ValueError outside those. Source: ASTM E178 (read).

    >>> from crews.domain.strength_statistics import spread
    >>> cores = [Quantity(Decimal(value), "psi") for value in (4000, 4000, 3100)]
    >>> found = doubted(spread(cores), side=Side.LOWEST, level=Level.FIVE)
    >>> f"{found.statistic:.4f}", found.state.value
    ('1.1547', 'not testable')
    """
    if made.n < FEWEST_POSSIBLE:
        raise ValueError(
            f"values: {made.n} given; at least {FEWEST_POSSIBLE} are needed"
        )
    critical = critical_value(made.n, level=level)
    if not made.squares:
        raise ValueError(f"values: all {made.n} are equal; none of them stands out")
    at = made.least if side is Side.LOWEST else made.most
    apart = abs(Fraction(at) - made.exact_mean)
    statistic = root(apart**2 / (made.squares / (made.n - 1)))
    return Doubted(made, side, level, statistic, critical, ceiling(made.n))
