"""How much of the scatter is testing: the ranges inside each test, and the rest.

Cores of one set are one concrete; what they differ by is drilling, capping and the
machine. What is left of the whole scatter lies between the batches.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from crews.domain.strength_list import (
    Strengths,
    TooFew,
    added_up,
    mean_of,
    one_strength,
    reported_statistic,
    root,
    rounding_of,
    shown_number,
    strengths,
)
from crews.domain.strength_statistics import (
    ACI_214R,
    FEWEST_SETS,
    PERCENT_ROUNDING,
    coefficient_of_variation,
    named_list,
    reported_percent,
)
from project.domain.units import Quantity, to_decimal
from project.domain.verdict import Source
from project.domain.working import Named, Step, Working

# Mean range over standard deviation of a normal sample, by its size. ACI 214R-11
# (from memory); recomputed by integration in the tests.
D2: Mapping[int, Decimal] = MappingProxyType(
    {
        2: Decimal("1.128"),
        3: Decimal("1.693"),
        4: Decimal("2.059"),
        5: Decimal("2.326"),
    }
)
D2_TABLE = Source("ACI 214R", "factors for the within-test s", "2011")
BATCH = Source("ACI 214R", "batch-to-batch s from the overall and within-test s")


@dataclass(frozen=True, slots=True)
class WithinTest:
    """The within-test standard deviation of tests of equally many specimens.

    Ranges and mean in one unit [psi or MPa]. Source: ACI 214R-11 (from memory).
    """

    ranges: Strengths
    specimens: int
    exact_mean: Fraction

    @property
    def unit(self) -> str:
        return self.ranges.unit

    @property
    def d2(self) -> Decimal:
        """The factor of the table for this many specimens."""
        return D2[self.specimens]

    @property
    def mean_range(self) -> Decimal:
        return to_decimal(mean_of(self.ranges.fractions))

    @property
    def mean(self) -> Decimal:
        return to_decimal(self.exact_mean)

    @property
    def s1(self) -> Decimal:
        """The within-test standard deviation, in the list's unit."""
        return to_decimal(mean_of(self.ranges.fractions) / Fraction(self.d2))

    @property
    def variation(self) -> Decimal:
        """The within-test coefficient of variation [percent]."""
        return coefficient_of_variation(self.s1, mean=self.mean)

    def working(self) -> Working:
        """Return how the within-test standard deviation came about."""
        exact = self.ranges.of(self.s1)
        return Working(
            title="Within-test standard deviation",
            inputs=named_list("range", self.ranges),
            steps=self._steps(),
            exact=exact,
            reported=reported_statistic(exact),
            rounding=rounding_of(self.unit),
        )

    def variation_working(self) -> Working:
        """Return how the within-test coefficient of variation came about."""
        s1, mean = self._shown(self.s1), self._shown(self.mean)
        line = f"{s1} / {mean} × 100 = {self.variation:.3f} percent"
        return Working(
            title="Within-test coefficient of variation",
            inputs=named_list("range", self.ranges),
            steps=(*self._steps(), Step("variation", line, ACI_214R)),
            exact=Quantity(self.variation, "percent"),
            reported=reported_percent(self.variation),
            rounding=PERCENT_ROUNDING,
        )

    def _shown(self, value: Decimal) -> Decimal:
        return shown_number(value, self.unit, finer=2)

    def _steps(self) -> tuple[Step, ...]:
        mean_range, s1 = self._shown(self.mean_range), self._shown(self.s1)
        added, n = added_up(self.ranges.values), len(self.ranges.values)
        factor = f"{self.specimens} specimens a test: d2 = {self.d2}"
        return (
            Step("mean range", f"({added}) / {n} = {mean_range} {self.unit}"),
            Step("factor", factor, D2_TABLE),
            Step(
                "within-test s",
                f"{mean_range} / {self.d2} = {s1} {self.unit}",
                D2_TABLE,
            ),
        )


def within_test(
    ranges: Sequence[Quantity], *, specimens: int, mean: Quantity
) -> WithinTest | TooFew:
    """Return the within-test scatter from each test's range.

    Parameters
    ----------
    ranges
        Largest less smallest of each test [psi or MPa], 0 or more.
    specimens
        How many specimens each test has, 2 to 5.
    mean
        Mean of all results, above 0, in the same unit.

    The count alone below five tests. Raises ValueError outside those, and for two
    units. Source: ACI 214R-11, s1 = mean range / d2 (from memory).

    >>> made = within_test([Quantity(Decimal(282), "psi")] * 5, specimens=2,
    ...                    mean=Quantity(Decimal(5000), "psi"))
    >>> made.s1, made.variation
    (Decimal('250'), Decimal('5'))
    """
    if specimens not in D2:
        raise ValueError(
            f"specimens: {specimens}; allowed is from {min(D2)} to {max(D2)}"
        )
    listed = strengths(ranges, name="ranges", zero=True)
    exact_mean = one_strength(mean, name="mean", unit=listed.unit)
    if len(ranges) < FEWEST_SETS:
        return TooFew(len(ranges), FEWEST_SETS, "sets")
    return WithinTest(listed, specimens, exact_mean)


def within_test_of(tests: Sequence[Sequence[Quantity]]) -> WithinTest | TooFew:
    """Return the within-test scatter from the results of each test.

    Parameters
    ----------
    tests
        The results of each test [psi or MPa]; 2 to 5, and in each test as many.

    The count alone below five tests. Raises ValueError where the tests differ in how
    many they have, for two units, or a value not above 0. Source: ACI 214R-11 (from
    memory); the table of d2 holds for tests of one size.

    >>> pair = [Quantity(Decimal(4000), "psi"), Quantity(Decimal(4282), "psi")]
    >>> within_test_of([pair] * 5).s1
    Decimal('250')
    """
    sizes = {len(test) for test in tests}
    if len(sizes) != 1 or sizes == {0}:
        told = " and ".join(str(size) for size in sorted(sizes)) or "no"
        raise ValueError(f"tests: of {told} results; all must have equally many")
    unit = tests[0][0].unit
    exact = [
        [one_strength(value, name=f"tests {number}", unit=unit) for value in test]
        for number, test in enumerate(tests, start=1)
    ]
    ranges = [Quantity(to_decimal(max(test) - min(test)), unit) for test in exact]
    mean = Quantity(to_decimal(mean_of([x for test in exact for x in test])), unit)
    return within_test(ranges, specimens=sizes.pop(), mean=mean)


@dataclass(frozen=True, slots=True)
class BatchScatter:
    """What lies between batches: the overall scatter without the testing [one unit].

    Source: ACI 214R-11 (from memory).
    """

    s: Quantity
    s1: Quantity

    @property
    def squares(self) -> Fraction:
        """The overall variance less the within-test variance; it may be below 0."""
        return Fraction(self.s.value) ** 2 - Fraction(self.s1.value) ** 2

    @property
    def s2(self) -> Decimal:
        """The batch-to-batch standard deviation; zero where testing is all of it."""
        return root(max(self.squares, Fraction(0)))

    def working(self) -> Working:
        """Return how the batch-to-batch standard deviation came about."""
        unit = self.s.unit
        s, s1, s2 = (
            shown_number(value, unit, finer=2)
            for value in (self.s.value, self.s1.value, self.s2)
        )
        line = f"√({s}² - {s1}²) = {s2} {unit}"
        if self.squares < 0:
            line = f"{s}² - {s1}² is below 0: testing is all of it, so 0 {unit}"
        exact = Quantity(self.s2, unit)
        return Working(
            title="Batch-to-batch standard deviation",
            inputs=(Named("s", self.s), Named("s1", self.s1)),
            steps=(Step("batch-to-batch s", line, BATCH),),
            exact=exact,
            reported=reported_statistic(exact),
            rounding=rounding_of(unit),
        )


def batch_scatter(s: Quantity, *, s1: Quantity) -> BatchScatter:
    """Return the scatter between batches, zero where testing is all of it.

    Parameters
    ----------
    s
        Overall standard deviation [psi or MPa], 0 or more.
    s1
        Within-test standard deviation in the same unit, 0 or more.

    Raises ValueError for two units or a negative value. Source: ACI 214R-11, square
    root of s² - s1² (from memory).

    >>> s, s1 = Quantity(Decimal(500), "psi"), Quantity(Decimal(300), "psi")
    >>> f"{batch_scatter(s, s1=s1).s2:f}", f"{batch_scatter(s1, s1=s).s2:f}"
    ('400', '0')
    """
    one_strength(s, name="s", zero=True)
    one_strength(s1, name="s1", unit=s.unit, zero=True)
    return BatchScatter(s, s1)
