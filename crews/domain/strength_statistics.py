"""How far strengths scatter: mean, standard deviation, coefficient of variation.

The arithmetic holds for two values and more. Of a mix, which is judged by it, nothing
but counts is told below five sets.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from crews.domain.strength_list import (
    Strengths,
    TooFew,
    added_up,
    mean_of,
    reported_statistic,
    root,
    rounding_of,
    shown_number,
    squares_of,
    strengths,
)
from project.domain.units import Quantity, to_decimal
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

FEWEST_SETS = 5
FEWEST_VALUES = 2

ACI_214R = Source("ACI 214R", "evaluation of strength test results", "2011")
ARITHMETIC = Source("arithmetic", known=Known.DERIVED)

# The share of a whole, told in percent.
_HUNDRED = 100


@dataclass(frozen=True, slots=True)
class Spread:
    """How strengths scatter: exact mean and sum of squares, and what follows of them.

    `listed` are the strengths [psi or MPa] in the order given.

    Source: ACI 214R-11 (from memory); s is made with n - 1.
    """

    listed: Strengths
    exact_mean: Fraction
    squares: Fraction

    @property
    def n(self) -> int:
        return len(self.listed.values)

    @property
    def unit(self) -> str:
        return self.listed.unit

    @property
    def mean(self) -> Decimal:
        """The mean, in the list's unit."""
        return to_decimal(self.exact_mean)

    @property
    def s(self) -> Decimal:
        """The standard deviation with n - 1, in the list's unit."""
        return root(self.squares / (self.n - 1))

    @property
    def least(self) -> Decimal:
        return min(self.listed.values)

    @property
    def most(self) -> Decimal:
        return max(self.listed.values)

    @property
    def range(self) -> Decimal:
        """The largest less the smallest, in the list's unit."""
        return self.most - self.least

    @property
    def variation(self) -> Decimal:
        """The coefficient of variation, s over the mean [percent]."""
        return coefficient_of_variation(self.s, mean=self.mean)

    def working(self) -> Working:
        """Return how the standard deviation came about."""
        exact = self.listed.of(self.s)
        return self._working("Standard deviation", exact, self._steps())

    def mean_working(self) -> Working:
        """Return how the mean came about."""
        exact = self.listed.of(self.mean)
        return self._working("Mean", exact, self._steps()[:1])

    def variation_working(self) -> Working:
        """Return how the coefficient of variation came about."""
        s, mean = self._shown(self.s), self._shown(self.mean)
        percent = self.variation
        line = f"{s} / {mean} × 100 = {percent:.3f} percent"
        return Working(
            title="Coefficient of variation",
            inputs=self._inputs(),
            steps=(*self._steps(), Step("variation", line, ACI_214R)),
            exact=Quantity(percent, "percent"),
            reported=reported_percent(percent),
            rounding=PERCENT_ROUNDING,
        )

    def range_working(self) -> Working:
        """Return how the range came about."""
        line = f"{self.most:f} - {self.least:f} = {self.range:f} {self.unit}"
        exact = self.listed.of(self.range)
        return self._working("Range", exact, (Step("range", line, ARITHMETIC),))

    def _working(self, title: str, exact: Quantity, steps: tuple[Step, ...]) -> Working:
        return Working(
            title=title,
            inputs=self._inputs(),
            steps=steps,
            exact=exact,
            reported=reported_statistic(exact),
            rounding=rounding_of(self.unit),
        )

    def _inputs(self) -> tuple[Named, ...]:
        return named_list("value", self.listed)

    def _shown(self, value: Decimal) -> Decimal:
        return shown_number(value, self.unit, finer=2)

    def _steps(self) -> tuple[Step, ...]:
        mean, s = self._shown(self.mean), self._shown(self.s)
        squares = self._shown(to_decimal(self.squares))
        added = added_up(self.listed.values)
        apart = f"Σ (value - {mean})² = {squares} {self.unit}²"
        found = f"√({squares} / ({self.n} - 1)) = {s} {self.unit}"
        return (
            Step("mean", f"({added}) / {self.n} = {mean} {self.unit}", ARITHMETIC),
            Step("sum of squares", apart, ARITHMETIC),
            Step("standard deviation", found, ACI_214R),
        )


PERCENT_ROUNDING = "once, at the end, to 0.1 percent, ties to even"


def reported_percent(percent: Decimal) -> Quantity:
    """Return a share [percent] as it is told: to 0.1 percent, ties to even.

    Any finite number. Source: project's choice.

    >>> str(reported_percent(Decimal("12.565")))
    '12.6 percent'
    """
    return Quantity(Decimal(f"{percent:.1f}"), "percent")


def named_list(name: str, listed: Strengths) -> tuple[Named, ...]:
    """Return the strengths [psi or MPa] of a list as inputs numbered from 1.

    Source: project's choice.

    >>> named_list("value", Strengths("psi", (Decimal(4000),)))[0].name
    'value 1'
    """
    counted = enumerate(listed.values, start=1)
    return tuple(Named(f"{name} {n}", listed.of(value)) for n, value in counted)


def spread(values: Sequence[Quantity], *, name: str = "values") -> Spread:
    """Return how two or more strengths scatter.

    Parameters
    ----------
    values
        Strengths [psi or MPa], all in one unit, each above 0.
    name
        What an error calls them.

    Raises ValueError for fewer than two, for two units, or a value not above 0.
    Source: ACI 214R-11 (from memory); s with n - 1.

    >>> four = [Quantity(Decimal(value), "MPa") for value in (25, 28, 32, 31)]
    >>> made = spread(four)
    >>> made.mean, f"{made.s:.4f}", f"{made.variation:.2f}", made.range
    (Decimal('29'), '3.1623', '10.90', Decimal('7'))
    """
    listed = strengths(values, name=name, fewest=FEWEST_VALUES)
    exact = listed.fractions
    return Spread(listed, mean_of(exact), squares_of(exact))


def mix_spread(sets: Sequence[Quantity]) -> Spread | TooFew:
    """Return how the sets of one mix scatter, or the count where they are too few.

    Parameters
    ----------
    sets
        The mean of each set [psi or MPa], in one unit, each above 0.

    Raises ValueError for two units or a value not above 0. Source: project's choice,
    nothing but counts below five sets; ACI 214R-11 for the rest (from memory).

    >>> mix_spread([Quantity(Decimal(4000), "psi")] * 4).words
    'too few: 4 of the 5 sets it takes'
    >>> mix_spread([Quantity(Decimal(4000), "psi")] * 5).s
    Decimal('0')
    """
    if len(sets) < FEWEST_SETS:
        if sets:
            strengths(sets, name="values")
        return TooFew(len(sets), FEWEST_SETS, "sets")
    return spread(sets)


def coefficient_of_variation(s: Decimal, *, mean: Decimal) -> Decimal:
    """Return a standard deviation over a mean [percent].

    Parameters
    ----------
    s
        Standard deviation, 0 or more, in any unit.
    mean
        Mean in the same unit, above 0.

    Raises ValueError outside those. Source: ACI 214R-11 (from memory).

    >>> f"{coefficient_of_variation(Decimal('7.5'), mean=Decimal('45.4')):.2f}"
    '16.52'
    """
    if not (s.is_finite() and s >= 0):
        raise ValueError(f"s: {s}; allowed is 0 or more")
    if not (mean.is_finite() and mean > 0):
        raise ValueError(f"mean: {mean}; allowed is above 0")
    return to_decimal(Fraction(s) / Fraction(mean) * _HUNDRED)


def share_reached(results: int, *, below: int) -> Decimal | TooFew:
    """Return the share of results that reached a limit [percent].

    Parameters
    ----------
    results
        How many there are, 1 or more.
    below
        How many of them lie below the limit, from 0 to all.

    Only the count below five results. Raises ValueError outside those. Source:
    arithmetic; too few is the project's choice.

    >>> f"{share_reached(482, below=16):.2f}"
    '96.68'
    """
    if results < 1:
        raise ValueError(f"results: {results}; allowed is 1 or more")
    if not 0 <= below <= results:
        raise ValueError(f"below: {below}; allowed is from 0 to {results}")
    if results < FEWEST_SETS:
        return TooFew(results, FEWEST_SETS, "results")
    return to_decimal(Fraction(results - below, results) * _HUNDRED)
