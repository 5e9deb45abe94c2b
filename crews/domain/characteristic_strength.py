"""The strength most results lie above, from their mean and standard deviation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType

from crews.domain.control_series import FEWEST_RESULTS
from crews.domain.strength_list import (
    TooFew,
    one_strength,
    reported_statistic,
    rounding_of,
    shown_number,
)
from crews.domain.strength_statistics import (
    ACI_214R,
    PERCENT_ROUNDING,
    coefficient_of_variation,
    reported_percent,
)
from project.domain.units import Quantity, to_decimal
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working


class Basis(StrEnum):
    """How many standard deviations below the mean."""

    EN_206 = "1.48 s (EN 206, EN 13791:2007 A)"
    FRACTILE = "1.65 s (5 % fractile)"


EN_206 = Source(
    "EN 206 and EN 13791", "mean - 1.48 s from 15 results", "2007", Known.READ
)
FRACTILE = Source("normal distribution", "5 % fractile, rounded", known=Known.DERIVED)

# 1.48: EN 206 and EN 13791:2007 A (read). 1.65: the normal distribution's 1.645 as it
# is commonly rounded.
TIMES: Mapping[Basis, Decimal] = MappingProxyType(
    {Basis.EN_206: Decimal("1.48"), Basis.FRACTILE: Decimal("1.65")}
)
_SOURCES = {Basis.EN_206: EN_206, Basis.FRACTILE: FRACTILE}


@dataclass(frozen=True, slots=True)
class CharacteristicStrength:
    """A mean less some standard deviations [psi or MPa], and what it was made of.

    Source: EN 206 and EN 13791:2007 A (read), or the normal distribution.
    """

    mean: Quantity
    s: Quantity
    basis: Basis
    exact: Quantity

    @property
    def variation(self) -> Decimal:
        """The coefficient of variation, s over the mean [percent]."""
        return coefficient_of_variation(self.s.value, mean=self.mean.value)

    def variation_working(self) -> Working:
        """Return how the coefficient of variation came about."""
        line = f"{self.s.value:f} / {self.mean.value:f} × 100 = {self.variation:.3f}"
        return Working(
            title="Coefficient of variation",
            inputs=(Named("mean", self.mean), Named("s", self.s)),
            steps=(Step("variation", f"{line} percent", ACI_214R),),
            exact=Quantity(self.variation, "percent"),
            reported=reported_percent(self.variation),
            rounding=PERCENT_ROUNDING,
        )

    def working(self) -> Working:
        """Return how the characteristic strength came about."""
        unit, times = self.mean.unit, TIMES[self.basis]
        found = shown_number(self.exact.value, unit, finer=2)
        line = f"{self.mean.value:f} - {times} × {self.s.value:f} = {found} {unit}"
        return Working(
            title="Characteristic strength",
            inputs=(Named("mean", self.mean), Named("s", self.s)),
            steps=(Step("characteristic", line, _SOURCES[self.basis]),),
            exact=self.exact,
            reported=reported_statistic(self.exact),
            rounding=rounding_of(unit),
        )


def characteristic_strength(
    mean: Quantity, *, s: Quantity, basis: Basis, results: int | None = None
) -> CharacteristicStrength | TooFew:
    """Return a mean less so many standard deviations.

    Parameters
    ----------
    mean
        Mean of the results [psi or MPa], above 0.
    s
        Their standard deviation in the same unit, 0 or more.
    basis
        1.48 s, or the 5 % fractile of the normal distribution.
    results
        How many stand behind mean and s; nothing where somebody else states both.

    The count alone below 15 results. Raises ValueError outside those, and where
    nothing above 0 is left. Source: EN 206 and EN 13791:2007 A (read).

    >>> mean, s = Quantity(Decimal("34.99"), "MPa"), Quantity(Decimal("9.72"), "MPa")
    >>> str(characteristic_strength(mean, s=s, basis=Basis.EN_206, results=32).exact)
    '20.6044 MPa'
    """
    above = one_strength(mean, name="mean")
    below = one_strength(s, name="s", unit=mean.unit, zero=True)
    if results is not None and results < 0:
        raise ValueError(f"results: {results}; allowed is 0 or more")
    if results is not None and results < FEWEST_RESULTS:
        return TooFew(results, FEWEST_RESULTS, "results", EN_206)
    left = above - Fraction(TIMES[basis]) * below
    if left <= 0:
        raise ValueError(f"s: {s}; with a mean of {mean} nothing above 0 is left")
    exact = Quantity(to_decimal(left), mean.unit)
    return CharacteristicStrength(mean, s, basis, exact)
