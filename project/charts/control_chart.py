"""The strength of panel sets in the order they were shot, against their limits.

Only geometry: means, running means and failures come from the acceptance rules.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil, floor, log10

from project.charts.drawing import (
    Anchor,
    Circle,
    Dash,
    Drawing,
    Ink,
    Line,
    Point,
    Polyline,
    Rect,
    Shape,
    Text,
)
from project.charts.text import number_text

_LEFT, _RIGHT, _TOP, _BOTTOM = 64.0, 124.0, 16.0, 52.0
_APART = 19.0  # least distance of two labels at the lines' ends
_LETTER = 7.6  # of a label, on average
_TURN_UNDER = 46.0  # narrower columns turn their names upright


@dataclass(frozen=True, slots=True)
class ChartSet:
    """One set of cores: its panel, where it was shot, its figures and how it stands."""

    code: str
    place: str
    mean: Decimal
    cores: tuple[Decimal, ...]
    failed: bool = False
    running: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit with the words at its line's end."""

    words: str
    value: Decimal


@dataclass(frozen=True, slots=True)
class ChartWords:
    """The words on a chart; the page translates them."""

    title: str
    description: str
    running: str = "mean of 3 sets"
    empty: str = "No set tested yet"


@dataclass(frozen=True, slots=True)
class _Scale:
    """Where a column and a value lie on the sheet."""

    columns: int
    low: float
    high: float
    step: float
    right: float
    bottom: float

    @property
    def pitch(self) -> float:
        return (self.right - _LEFT) / max(self.columns, 1)

    def x(self, column: int) -> float:
        return _LEFT + self.pitch * (column + 0.5)

    def y(self, value: Decimal | float) -> float:
        share = (float(value) - self.low) / (self.high - self.low)
        return self.bottom - share * (self.bottom - _TOP)


def control_chart(
    sets: Sequence[ChartSet],
    *,
    specified: Limit,
    mean_limit: Limit,
    least_limit: Limit,
    unit: str,
    words: ChartWords,
    width: float = 760,
    height: float = 420,
) -> Drawing:
    """Return the chart: squares for means, open circles for cores, three limits.

    The limits are told apart by their dashes and named at their ends, so no key is
    needed; the axis starts at a round number, which keeps a low core visible.
    """
    limits = (specified, mean_limit, least_limit)
    scale = _scale(sets, limits, width - _RIGHT, height - _BOTTOM)
    shapes = [
        *_grid(scale, unit),
        *_limits(scale, limits),
        *_running(scale, sets),
        *_end_labels(scale, limits, sets, words.running),
        *(s for n, one in enumerate(sets) for s in _one_set(scale, n, one)),
        *_names(scale, sets),
    ]
    if not sets:
        at = ((_LEFT + scale.right) / 2, scale.bottom - 14)
        shapes.append(Text(*at, words.empty, anchor=Anchor.MIDDLE, halo=True))
    return Drawing(width, height, words.title, words.description, tuple(shapes))


def round_step(span: float, *, wanted: int = 7) -> float:
    """Return a step of 1, 2 or 5 times a power of ten that parts a span well.

    >>> round_step(3500), round_step(24)
    (500.0, 5.0)
    """
    raw = span / wanted
    power = 10.0 ** floor(log10(raw))
    return next(power * k for k in (1, 2, 5, 10) if power * k >= raw)


def _scale(
    sets: Sequence[ChartSet], limits: Sequence[Limit], right: float, bottom: float
) -> _Scale:
    values = [limit.value for limit in limits]
    for one in sets:
        values += [one.mean, *one.cores]
    least, most = float(min(values)), float(max(values))
    step = round_step(max(most - least, most * 0.1, 1.0))
    low = floor((least - step * 0.2) / step) * step
    high = ceil((most + step * 0.2) / step) * step
    return _Scale(len(sets), low, high, step, right, bottom)


def _grid(scale: _Scale, unit: str) -> Iterator[Shape]:
    count = round((scale.high - scale.low) / scale.step)
    for n in range(count + 1):
        value = scale.low + n * scale.step
        y = scale.y(value)
        yield Line(_LEFT, y, scale.right, y, ink=Ink.GRID, weight=1)
        shown = number_text(Decimal(repr(round(value, 6))).normalize())
        yield Text(_LEFT - 8, y + 5, shown, size=14, anchor=Anchor.END)
    yield Line(_LEFT, _TOP, _LEFT, scale.bottom, ink=Ink.LINE)
    yield Line(_LEFT, scale.bottom, scale.right, scale.bottom, ink=Ink.LINE)
    yield Text(_LEFT + 8, _TOP + 12, unit, size=14, ink=Ink.SECOND, halo=True)


def _limits(scale: _Scale, limits: Sequence[Limit]) -> Iterator[Shape]:
    for limit, dash in zip(limits, (Dash.SOLID, Dash.LONG, Dash.DOTS), strict=True):
        y = scale.y(limit.value)
        yield Line(_LEFT, y, scale.right, y, weight=2.2, dash=dash)


def _running(scale: _Scale, sets: Sequence[ChartSet]) -> Iterator[Shape]:
    """Yield the running mean; a gap where there is none, never a bridge over it."""
    chain: list[Point] = []
    for n, one in enumerate((*sets, None)):
        if one is not None and one.running is not None:
            chain.append((scale.x(n), scale.y(one.running)))
            continue
        if len(chain) > 1:
            yield Polyline(tuple(chain), ink=Ink.ACCENT, weight=3.5)
        chain = []


def _end_labels(
    scale: _Scale, limits: Sequence[Limit], sets: Sequence[ChartSet], running: str
) -> Iterator[Shape]:
    labels = [(scale.y(limit.value), limit.words, Ink.INK) for limit in limits]
    means = [one.running for one in sets if one.running is not None]
    if len(means) > 1:
        labels.append((scale.y(means[-1]), running, Ink.ACCENT))
    last = -_APART
    for y, words, ink in sorted(labels):
        last = max(y, last + _APART)
        yield Text(scale.right + 8, last + 5, words, size=14, bold=True, ink=ink)


def _one_set(scale: _Scale, column: int, one: ChartSet) -> Iterator[Shape]:
    x, y = scale.x(column), scale.y(one.mean)
    beside = min(15.0, scale.pitch * 0.3)
    for core in one.cores:
        yield Circle(x + beside, scale.y(core), 4.6, weight=1.8, fill=Ink.PAPER)
    if not one.failed:
        yield Rect(x - 6.5, y - 6.5, 13, 13, ink=None, fill=Ink.INK)
        return
    yield Rect(x - 11, y - 11, 22, 22, ink=None, fill=Ink.OXIDE)
    for sign in (1, -1):
        yield Line(
            x - 4.5, y - 4.5 * sign, x + 4.5, y + 4.5 * sign, Ink.ON_OXIDE, weight=2.4
        )
    yield _failed_value(scale, x, y, one)


def _failed_value(scale: _Scale, x: float, y: float, one: ChartSet) -> Text:
    """Return the failed set's name and mean, on the side where there is room."""
    words = f"{one.code}, {number_text(one.mean)}"
    left = x - _LEFT > len(words) * 9
    at, anchor = (x - 17, Anchor.END) if left else (x + 26, Anchor.START)
    return Text(
        at, y + 5, words, size=14, anchor=anchor, bold=True, ink=Ink.OXIDE, halo=True
    )


def _names(scale: _Scale, sets: Sequence[ChartSet]) -> Iterator[Shape]:
    turned = scale.pitch < _TURN_UNDER
    # Names of places that would run into each other stand in the table only.
    places = all(len(one.place) * _LETTER < scale.pitch for one in sets)
    every = max(1, ceil(16 / scale.pitch)) if sets else 1
    for n, one in enumerate(sets):
        ink = Ink.OXIDE if one.failed else Ink.INK
        short = one.code.rsplit("-", 1)[-1]
        x, y = scale.x(n), scale.bottom
        if not turned:
            yield Text(x, y + 20, short, 14, Anchor.MIDDLE, one.failed, ink=ink)
            if places:
                yield Text(x, y + 39, one.place, 14, Anchor.MIDDLE, ink=Ink.SECOND)
        elif n % every == 0 or one.failed:
            yield Text(
                x + 5, y + 8, short, 14, Anchor.END, one.failed, ink=ink, turned=True
            )
