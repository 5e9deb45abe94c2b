"""Strengths in the order they were shot: running means, their scatter, and limits.

Plain data for a chart. Below five sets there are points and running means, but no
centre line and no limits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from crews.domain.strength_list import (
    Strengths,
    TooFew,
    added_up,
    mean_of,
    one_strength,
    reported_statistic,
    rounding_of,
    shown_number,
    strengths,
)
from crews.domain.strength_statistics import ARITHMETIC, FEWEST_SETS, named_list
from project.domain.units import Quantity, to_decimal
from project.domain.verdict import Known, Source
from project.domain.working import Step, Working

RUNNING_OF = 3
RUNNING = Source("ACI 318", "26.12, mean of three consecutive tests", "2019")
MOVING = Source(
    "EN 206", "s from the mean range of consecutive pairs", known=Known.READ
)
ASKED = Source("contract", known=Known.CONTRACT)
THREE_S = Source("three standard deviations either side", known=Known.PRACTICE)

# EN 206 and its guidance: s over the mean range of pairs (read); 1/1.128 is 0.8865.
MOVING_RANGE_FACTOR = Decimal("0.886")
# Common practice, no source: control limits lie three s either side of the centre.
LIMITS_APART = Decimal(3)
# EN 206, continuous production: results it takes for s from moving ranges (read).
FEWEST_RESULTS = 15


def running_means(
    values: Sequence[Decimal], *, of: int = RUNNING_OF
) -> tuple[Decimal | None, ...]:
    """Return beside each value the mean of it and those before it, so many in all.

    Parameters
    ----------
    values
        Numbers in one unit, in the order of the work; there may be none.
    of
        How many make one mean, 1 or more.

    Nothing beside the first ones, which have too few before them. Raises ValueError
    for `of` below 1. Source: ACI 318-19, 26.12, means of three (from memory).

    >>> running_means([Decimal(3600), Decimal(3700), Decimal(4100)])
    (None, None, Decimal('3800'))
    """
    if of < 1:
        raise ValueError(f"of: {of}; allowed is 1 or more")
    exact = [Fraction(value) for value in values]
    means = (
        to_decimal(mean_of(exact[end - of : end])) for end in range(of, len(exact) + 1)
    )
    return (*(None,) * min(of - 1, len(exact)), *means)


def moving_ranges(values: Sequence[Decimal]) -> tuple[Decimal, ...]:
    """Return how far each value lies from the one before it.

    `values` are numbers in one unit, two or more. Raises ValueError for fewer.
    Source: EN 206, range of consecutive pairs (read).

    >>> moving_ranges([Decimal(30), Decimal(34), Decimal(33)])
    (Decimal('4'), Decimal('1'))
    """
    if len(values) < 2:
        raise ValueError(f"values: {len(values)} given; at least 2 are needed")
    return tuple(abs(after - before) for before, after in pairwise(values))


@dataclass(frozen=True, slots=True)
class MovingScatter:
    """A standard deviation from the ranges of consecutive results [psi or MPa].

    Source: EN 206 (read).
    """

    listed: Strengths

    @property
    def ranges(self) -> tuple[Decimal, ...]:
        return moving_ranges(self.listed.values)

    @property
    def exact_mean_range(self) -> Fraction:
        return mean_of([Fraction(each) for each in self.ranges])

    @property
    def sigma(self) -> Decimal:
        """The standard deviation, in the list's unit."""
        return to_decimal(Fraction(MOVING_RANGE_FACTOR) * self.exact_mean_range)

    def working(self) -> Working:
        """Return how the standard deviation came about."""
        exact = self.listed.of(self.sigma)
        return Working(
            title="Standard deviation from moving ranges",
            inputs=named_list("value", self.listed),
            steps=self._steps(),
            exact=exact,
            reported=reported_statistic(exact),
            rounding=rounding_of(self.listed.unit),
        )

    def _steps(self) -> tuple[Step, ...]:
        unit = self.listed.unit
        mean = shown_number(to_decimal(self.exact_mean_range), unit, finer=2)
        sigma = shown_number(self.sigma, unit, finer=2)
        added = f"({added_up(self.ranges)}) / {len(self.ranges)} = {mean} {unit}"
        found = f"{MOVING_RANGE_FACTOR} × {mean} = {sigma} {unit}"
        return Step("mean range", added, MOVING), Step("s", found, MOVING)


def moving_scatter(values: Sequence[Quantity]) -> MovingScatter | TooFew:
    """Return the standard deviation of results in the order of the work.

    Parameters
    ----------
    values
        Results [psi or MPa] in one unit, each above 0, the first made first.

    The count alone below 15 results, from which on EN 206 judges continuous
    production. Raises ValueError for two units or a value not above 0. Source: EN 206,
    0.886 times the mean range of consecutive pairs (read).

    >>> rising = [Quantity(Decimal(30 + n), "MPa") for n in range(15)]
    >>> moving_scatter(rising).sigma
    Decimal('0.886')
    """
    listed = strengths(values)
    if len(values) < FEWEST_RESULTS:
        return TooFew(len(values), FEWEST_RESULTS, "results", MOVING)
    return MovingScatter(listed)


@dataclass(frozen=True, slots=True)
class ChartLine:
    """One level line: its words, its height in the chart's unit, where it is from."""

    words: str
    value: Decimal
    source: Source


@dataclass(frozen=True, slots=True)
class ChartPoint:
    """One set in the order of shooting, with the running mean that ends at it."""

    name: str
    value: Decimal
    running: Decimal | None


@dataclass(frozen=True, slots=True)
class ChartSeries:
    """What a control chart is drawn from: points, centre, limits, asked-for lines.

    All in one unit [psi or MPa]. `centre` and `limits` are nothing below five sets,
    and `too_few` says so. `outside` names the points beyond a limit.

    Source: common practice, no source, for three s either side; EN 206 for s (read).
    """

    unit: str
    points: tuple[ChartPoint, ...]
    centre: ChartLine | None
    limits: tuple[ChartLine, ...]
    asked: tuple[ChartLine, ...]
    too_few: TooFew | None

    @property
    def outside(self) -> tuple[str, ...]:
        """The names of the points above or below the limits."""
        if not self.limits:
            return ()
        low, high = (line.value for line in self.limits)
        return tuple(p.name for p in self.points if not low <= p.value <= high)

    @property
    def lowest_running(self) -> int | None:
        """The point, from 1, at which the lowest running mean ends; the first of two."""
        ended = [
            (point.running, number)
            for number, point in enumerate(self.points, start=1)
            if point.running is not None
        ]
        return min(ended)[1] if ended else None

    def running_working(self, end: int) -> Working:
        """Return how the running mean came about that ends at a point, from 1.

        Raises ValueError where none ends there.
        """
        point = self.points[end - 1]
        if point.running is None:
            raise ValueError(f"end: {end}; a running mean takes {RUNNING_OF} sets")
        taken = [each.value for each in self.points[end - RUNNING_OF : end]]
        shown = shown_number(point.running, self.unit, finer=2)
        line = f"({added_up(taken)}) / {RUNNING_OF} = {shown} {self.unit}"
        exact = Quantity(point.running, self.unit)
        return Working(
            title=f"Running mean of three, ending at {point.name}",
            inputs=named_list("value", Strengths(self.unit, tuple(taken))),
            steps=(Step("running mean", line, RUNNING),),
            exact=exact,
            reported=reported_statistic(exact),
            rounding=rounding_of(self.unit),
        )

    def line_working(self, line: ChartLine) -> Working:
        """Return how the centre line or a limit came about."""
        listed = Strengths(self.unit, tuple(p.value for p in self.points))
        exact = listed.of(line.value)
        return Working(
            title=line.words,
            inputs=named_list("value", listed),
            steps=self._line_steps(listed, line),
            exact=exact,
            reported=reported_statistic(exact),
            rounding=rounding_of(self.unit),
        )

    def _line_steps(self, listed: Strengths, line: ChartLine) -> tuple[Step, ...]:
        mean = to_decimal(mean_of(listed.fractions))
        shown, unit = shown_number(mean, self.unit, finer=2), self.unit
        added = f"({added_up(listed.values)}) / {len(listed.values)} = {shown} {unit}"
        first = Step("centre", added, ARITHMETIC)
        if line == self.centre:
            return (first,)
        scatter = MovingScatter(listed)
        s = shown_number(scatter.sigma, unit, finer=2)
        sign = "-" if line.value < mean else "+"
        found = shown_number(line.value, unit, finer=2)
        last = f"{shown} {sign} {LIMITS_APART} × {s} = {found} {unit}"
        steps = scatter.working().steps
        return (first, *steps, Step(line.words, last, THREE_S))


def chart_series(
    sets: Sequence[tuple[str, Quantity]], *, asked: Sequence[tuple[str, Quantity]] = ()
) -> ChartSeries:
    """Return what a control chart of one mix is drawn from.

    Parameters
    ----------
    sets
        Name and mean [psi or MPa] of each set in the order of shooting, each above 0.
    asked
        Words and strength of each line the contract asks for, in the same unit.

    The limits show whether the mix has changed; they judge no set. Raises ValueError
    for no sets, two units, or a value not above 0. Source: centre and three standard
    deviations either side, common practice, no source; s from moving ranges, EN 206
    (read); too few below five sets, project's choice.

    >>> sets = [(f"TP-00{n}", Quantity(Decimal(4000 + 100 * (n % 2)), "psi"))
    ...         for n in range(1, 6)]
    >>> series = chart_series(sets)
    >>> series.centre.value, [str(line.value) for line in series.limits]
    (Decimal('4060'), ['3794.2', '4325.8'])
    >>> chart_series(sets[:4]).too_few.words
    'too few: 4 of the 5 sets it takes'
    """
    listed = strengths([value for _name, value in sets])
    for _words, value in asked:
        one_strength(value, name="asked", unit=listed.unit)
    means = running_means(listed.values)
    points = tuple(
        ChartPoint(name, value.value, mean)
        for (name, value), mean in zip(sets, means, strict=True)
    )
    lines = tuple(ChartLine(words, q.value, ASKED) for words, q in asked)
    if len(sets) < FEWEST_SETS:
        few = TooFew(len(sets), FEWEST_SETS, "sets")
        return ChartSeries(listed.unit, points, None, (), lines, few)
    centre, limits = _levels(listed)
    return ChartSeries(listed.unit, points, centre, limits, lines, None)


def _levels(listed: Strengths) -> tuple[ChartLine, tuple[ChartLine, ...]]:
    mean = mean_of(listed.fractions)
    apart = Fraction(LIMITS_APART) * Fraction(MovingScatter(listed).sigma)
    centre = ChartLine("centre", to_decimal(mean), ARITHMETIC)
    low = ChartLine("lower limit", to_decimal(mean - apart), THREE_S)
    high = ChartLine("upper limit", to_decimal(mean + apart), THREE_S)
    return centre, (low, high)
