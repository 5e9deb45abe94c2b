"""What 28 days may bring after 7, judged by this mix's own pairs of sets.

A straight line through the pairs, and an interval in which the next one should lie.
It is a hint of a risk, early enough to act on; it is never a pass.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType

from crews.domain.strength_list import (
    TooFew,
    mean_of,
    one_strength,
    reported_statistic,
    root,
    rounding_of,
    shown_number,
    squares_of,
    strengths,
)
from crews.domain.student_t import central_quantile
from project.domain.units import Quantity, to_decimal
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Named, Step, Working

FEWEST_PAIRS = 5

LINE = Source("least squares: 28 days on 7 days", known=Known.DERIVED)
INTERVAL = Source("prediction interval of a straight line", known=Known.DERIVED)
HINT = Source(
    "project", "a hint of a risk from early results, never a pass", known=Known.PROJECT
)


class Cover(StrEnum):
    """How many of the next pairs the interval is meant to hold."""

    NINETY = "90 %"
    NINETY_FIVE = "95 %"


# The share of Student's t between its two ends; a choice of the reader's.
COVERED: Mapping[Cover, Decimal] = MappingProxyType(
    {Cover.NINETY: Decimal("0.90"), Cover.NINETY_FIVE: Decimal("0.95")}
)


@dataclass(frozen=True, slots=True)
class Pair:
    """One set's strength at 7 days and at 28 days [psi or MPa, both in one unit]."""

    early: Quantity
    later: Quantity


@dataclass(frozen=True, slots=True)
class GainLine:
    """The line of 28-day over 7-day strength of one mix, exact.

    `residual` is the sum of squared distances of the pairs from the line, `apart`
    the 7-day strengths' sum of squares.

    Source: least squares, derived.
    """

    unit: str
    pairs: tuple[Pair, ...]
    slope: Fraction
    mean_early: Fraction
    mean_later: Fraction
    apart: Fraction
    residual: Fraction

    @property
    def n(self) -> int:
        return len(self.pairs)

    @property
    def intercept(self) -> Fraction:
        return self.mean_later - self.slope * self.mean_early

    @property
    def s(self) -> Decimal:
        """The standard deviation about the line, in the pairs' unit."""
        return root(self.residual / (self.n - 2))

    @property
    def ratio(self) -> Decimal:
        """The mean of each pair's 28-day over 7-day strength [1]."""
        ratios = [
            Fraction(pair.later.value) / Fraction(pair.early.value)
            for pair in self.pairs
        ]
        return to_decimal(mean_of(ratios))

    def ratio_working(self) -> Working:
        """Return how the mean ratio of both ages came about."""
        line = f"mean of {self.n} ratios, 28 days / 7 days = {self.ratio:.4f}"
        return Working(
            title="Mean ratio of 28 to 7 days",
            inputs=_pair_inputs(self.pairs),
            steps=(Step("ratio", line, LINE),),
            exact=Quantity(self.ratio, "1"),
            reported=Quantity(Decimal(f"{self.ratio:.2f}"), "1"),
            rounding="once, at the end, to 0.01, ties to even",
        )

    def holds(self, early: Fraction) -> bool:
        """Return whether a 7-day strength lies among those of the pairs."""
        known = [pair.early.value for pair in self.pairs]
        return min(known) <= early <= max(known)


def _pair_inputs(pairs: Sequence[Pair]) -> tuple[Named, ...]:
    named: list[Named] = []
    for number, pair in enumerate(pairs, start=1):
        named.append(Named(f"pair {number}, 7 days", pair.early))
        named.append(Named(f"pair {number}, 28 days", pair.later))
    return tuple(named)


def gain_line(pairs: Sequence[Pair]) -> GainLine | TooFew:
    """Return the line of 28-day over 7-day strength, or the count of too few pairs.

    Parameters
    ----------
    pairs
        Sets of one mix that have both ages [psi or MPa], all in one unit, above 0.

    The count alone below five pairs. Raises ValueError for two units, a value not
    above 0, or where all 7-day strengths are equal, which leaves no line. Source:
    least squares, derived; too few is the project's choice.

    >>> known = [(2000, 3500), (2200, 3650), (2100, 3600), (2400, 3900), (2300, 3750)]
    >>> pairs = [Pair(Quantity(Decimal(a), "psi"), Quantity(Decimal(b), "psi"))
    ...          for a, b in known]
    >>> line = gain_line(pairs)
    >>> str(line.slope), str(line.intercept), f"{line.s:.2f}"
    ('19/20', '1590', '30.28')
    """
    listed = strengths([pair.early for pair in pairs], name="pairs")
    after = strengths([pair.later for pair in pairs], name="pairs")
    if after.unit != listed.unit:
        raise ValueError(f"pairs: 7 days in {listed.unit}, 28 days in {after.unit}")
    if len(pairs) < FEWEST_PAIRS:
        return TooFew(len(pairs), FEWEST_PAIRS, "pairs")
    early, later = listed.fractions, after.fractions
    apart = squares_of(early)
    if not apart:
        raise ValueError("pairs: all 7-day strengths are equal; a line needs two")
    mean_early, mean_later = mean_of(early), mean_of(later)
    together = sum(
        (
            (x - mean_early) * (y - mean_later)
            for x, y in zip(early, later, strict=True)
        ),
        Fraction(0),
    )
    residual = squares_of(later) - together**2 / apart
    return GainLine(
        unit=listed.unit,
        pairs=tuple(pairs),
        slope=together / apart,
        mean_early=mean_early,
        mean_later=mean_later,
        apart=apart,
        residual=residual,
    )


@dataclass(frozen=True, slots=True)
class Prediction:
    """Where 28 days should lie after one 7-day strength [all in the line's unit].

    `t` is the quantile used. The lower end is not below 0.

    Source: prediction interval of a straight line, derived.
    """

    line: GainLine
    early: Quantity
    cover: Cover
    likely: Decimal
    apart: Decimal
    t: Decimal

    @property
    def low(self) -> Decimal:
        return max(self.likely - self.t * self.apart, Decimal(0))

    @property
    def high(self) -> Decimal:
        return self.likely + self.t * self.apart

    @property
    def outside(self) -> bool:
        """Whether the 7-day strength lies outside those of the pairs."""
        return not self.line.holds(Fraction(self.early.value))

    @property
    def words(self) -> str:
        """The warning where the line is used beyond what it was made from."""
        return "7 days lie outside the pairs: a guess" if self.outside else ""

    def hint(self, needed: Quantity) -> Verdict:
        """Return what the interval hints of a needed strength; never a pass.

        Raises ValueError for another unit. Source: project's choice.
        """
        limit = to_decimal(one_strength(needed, name="needed", unit=self.line.unit))
        found = f"{self._shown(self.low)} to {self._shown(self.high)} {self.line.unit}"
        asked = f"{self.cover} interval at 28 days against {needed}"
        margin = Quantity(self.low - limit, self.line.unit)
        told = State.INFORMATION
        reason = Reason("28 days", asked, told, found, HINT, needed, margin)
        return Verdict(told, "a hint of a risk, never a pass", (reason,))

    def against(self, needed: Quantity) -> str:
        """Return in words how the interval lies to a needed strength.

        Raises ValueError for another unit. Source: project's choice.
        """
        limit = one_strength(needed, name="needed", unit=self.line.unit)
        if self.high < limit:
            words = "the whole interval lies below what is needed"
        elif self.low < limit:
            words = "the interval reaches below what is needed"
        else:
            words = "the interval does not reach below what is needed; this is no pass"
        return "; ".join(filter(None, (words, self.words)))

    def working(self) -> Working:
        """Return how the likely 28-day strength came about."""
        return self._working("Likely strength at 28 days", self.likely, ())

    def low_working(self) -> Working:
        """Return how the lower end of the interval came about."""
        return self._end("Lower end at 28 days", "-", self.low)

    def high_working(self) -> Working:
        """Return how the upper end of the interval came about."""
        return self._end("Upper end at 28 days", "+", self.high)

    def _end(self, title: str, sign: str, value: Decimal) -> Working:
        likely, apart = self._shown(self.likely), self._shown(self.apart)
        line = f"{likely} {sign} {self.t:.4f} × {apart} = {self._shown(value)}"
        floor = ", not below 0" if sign == "-" and not value else ""
        last = Step("end of the interval", f"{line} {self.line.unit}{floor}", INTERVAL)
        return self._working(title, value, (*self._apart_steps(), last))

    def _working(self, title: str, value: Decimal, more: tuple[Step, ...]) -> Working:
        unit = self.line.unit
        exact = Quantity(value, unit)
        return Working(
            title=title,
            inputs=(Named("seven", self.early), *_pair_inputs(self.line.pairs)),
            steps=(*self._line_steps(), *more),
            exact=exact,
            reported=reported_statistic(exact),
            rounding=rounding_of(unit),
        )

    def _shown(self, value: Decimal) -> Decimal:
        return shown_number(value, self.line.unit, finer=2)

    def _exact(self, value: Fraction) -> Decimal:
        return self._shown(to_decimal(value))

    def _line_steps(self) -> tuple[Step, ...]:
        line, unit = self.line, self.line.unit
        slope, start = f"{to_decimal(line.slope):.4f}", self._exact(line.intercept)
        means = (
            f"{self._exact(line.mean_later)} - {slope} × {self._exact(line.mean_early)}"
        )
        likely = (
            f"{start} + {slope} × {self.early.value:f} = {self._shown(self.likely)}"
        )
        return (
            Step("slope", f"{line.n} pairs: Σxy / Σxx = {slope}", LINE),
            Step("start", f"{means} = {start} {unit}", LINE),
            Step("likely", f"{likely} {unit}", LINE),
        )

    def _apart_steps(self) -> tuple[Step, ...]:
        line, unit = self.line, self.line.unit
        s, far = self._shown(line.s), self._shown(self.early.value)
        off, left = self._exact(line.residual), f"({line.n} - 2)"
        mean, apart = self._exact(line.mean_early), self._exact(line.apart)
        found = self._shown(self.apart)
        under = f"1 + 1/{line.n} + ({far} - {mean})² / {apart}"
        return (
            Step("s about the line", f"√({off} / {left}) = {s} {unit}", LINE),
            Step("s of the next", f"{s} × √({under}) = {found} {unit}", INTERVAL),
            Step("t", f"{self.cover}, {line.n - 2} degrees: {self.t:.4f}", INTERVAL),
        )


def predict(line: GainLine, *, early: Quantity, cover: Cover) -> Prediction:
    """Return where the 28-day strength should lie after one 7-day strength.

    Parameters
    ----------
    line
        The mix's own line, of five pairs or more.
    early
        Strength at 7 days [psi or MPa], above 0, in the line's unit.
    cover
        90 % or 95 % of the next pairs.

    A hint of a risk, never a pass. Over the 114 mixtures of the open data with both
    ages (Yeh, 1998), each left out in turn, the 90 % interval held 88.6 % and the
    95 % one 94.7 %. Raises ValueError outside those. Source: prediction interval of
    a straight line with Student's t of n - 2 degrees of freedom, derived.

    >>> known = [(2000, 3500), (2200, 3650), (2100, 3600), (2400, 3900), (2300, 3750)]
    >>> line = gain_line([Pair(Quantity(Decimal(a), "psi"), Quantity(Decimal(b), "psi"))
    ...                   for a, b in known])
    >>> found = predict(line, early=Quantity(Decimal(2150), "psi"), cover=Cover.NINETY)
    >>> f"{found.low:.1f} to {found.high:.1f}"
    '3553.6 to 3711.4'
    """
    at = one_strength(early, name="seven", unit=line.unit)
    t = central_quantile(COVERED[cover], df=line.n - 2)
    far = 1 + Fraction(1, line.n) + (at - line.mean_early) ** 2 / line.apart
    return Prediction(
        line=line,
        early=early,
        cover=cover,
        likely=to_decimal(line.intercept + line.slope * at),
        apart=root(line.residual / (line.n - 2) * far),
        t=t,
    )
