"""The few shapes every drawing is made of.

Measures are pixels of 1/96 inch from the upper left corner, y downwards. A shape names
its ink by token, never by colour: the page's theme or the packet's writer fills it in.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum, StrEnum

Point = tuple[float, float]


class Ink(StrEnum):
    """The inks of the three themes and of paper; see css/tokens.css."""

    INK = "ink"
    SECOND = "ink2"
    RULE = "rule"
    LINE = "line"
    ACCENT = "accent"
    OXIDE = "oxide"
    ON_OXIDE = "on-oxide"
    GRID = "grid"
    PAPER = "paper"
    TINT = "tint"


class Dash(Enum):
    """How a line is broken: pen down, pen up, in the drawing's measure."""

    SOLID = ()
    LONG = (10.0, 5.0)
    DASHES = (6.0, 4.0)
    DOTS = (2.0, 3.0)
    CHAIN = (10.0, 3.0, 2.0, 3.0)


class Anchor(StrEnum):
    """Which end of a text its point holds."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    ink: Ink = Ink.INK
    weight: float = 2
    dash: Dash = Dash.SOLID


@dataclass(frozen=True, slots=True)
class Polyline:
    """A chain of straight lines, open unless `closed`."""

    points: tuple[Point, ...]
    ink: Ink | None = Ink.INK
    weight: float = 2
    dash: Dash = Dash.SOLID
    closed: bool = False
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright rectangle; corners are always square."""

    x: float
    y: float
    width: float
    height: float
    ink: Ink | None = Ink.INK
    weight: float = 2
    dash: Dash = Dash.SOLID
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle round its centre."""

    x: float
    y: float
    radius: float
    ink: Ink | None = Ink.INK
    weight: float = 2
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text on its base line.

    `label` is the narrow face of the form, otherwise what people wrote. `turned`
    reads upwards. `halo` clears the lines behind the letters.
    """

    x: float
    y: float
    words: str
    size: float = 15
    anchor: Anchor = Anchor.START
    bold: bool = False
    label: bool = False
    ink: Ink = Ink.INK
    turned: bool = False
    halo: bool = False


Shape = Line | Polyline | Rect | Circle | Text


@dataclass(frozen=True, slots=True)
class Drawing:
    """A sheet of shapes, drawn in order, with what it shows said in words."""

    width: float
    height: float
    title: str
    description: str
    shapes: tuple[Shape, ...]


def placed(
    shapes: Iterable[Shape],
    x: float,
    y: float,
    scale: float = 1,
    ink: Ink | None = None,
) -> tuple[Shape, ...]:
    """Return shapes moved to a point, enlarged, and drawn in one ink if one is given."""
    return tuple(_placed(shape, x, y, scale, ink) for shape in shapes)


def _placed(shape: Shape, x: float, y: float, k: float, ink: Ink | None) -> Shape:
    if isinstance(shape, Text):
        at = (x + shape.x * k, y + shape.y * k)
        return replace(
            shape, x=at[0], y=at[1], size=shape.size * k, ink=ink or shape.ink
        )
    if isinstance(shape, Line):
        return replace(
            shape,
            x1=x + shape.x1 * k,
            y1=y + shape.y1 * k,
            x2=x + shape.x2 * k,
            y2=y + shape.y2 * k,
            weight=shape.weight * k,
            ink=ink or shape.ink,
        )
    pen = ink if ink and shape.ink else shape.ink
    fill = ink if ink and shape.fill else shape.fill
    weight = shape.weight * k
    if isinstance(shape, Polyline):
        points = tuple((x + px * k, y + py * k) for px, py in shape.points)
        return replace(shape, points=points, weight=weight, ink=pen, fill=fill)
    if isinstance(shape, Circle):
        radius = shape.radius * k
        return replace(
            shape,
            x=x + shape.x * k,
            y=y + shape.y * k,
            radius=radius,
            weight=weight,
            ink=pen,
            fill=fill,
        )
    return replace(
        shape,
        x=x + shape.x * k,
        y=y + shape.y * k,
        width=shape.width * k,
        height=shape.height * k,
        weight=weight,
        ink=pen,
        fill=fill,
    )
