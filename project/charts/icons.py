"""Icons as shapes in a box of 18 x 18; ink means whatever ink stands around them."""

from __future__ import annotations

from math import cos, radians, sin

from project.charts.drawing import Circle, Ink, Line, Point, Polyline, Rect, Shape

BOX = 18.0


def _arc(x: float, y: float, r: float, start: int, sweep: int) -> tuple[Point, ...]:
    """Return points along an arc; degrees clockwise from three o'clock."""
    steps = max(2, abs(sweep) // 18)
    angles = (radians(start + sweep * n / steps) for n in range(steps + 1))
    return tuple((round(x + r * cos(a), 1), round(y + r * sin(a), 1)) for a in angles)


def _dot(x: float, y: float, r: float) -> Circle:
    return Circle(x, y, r, ink=None, fill=Ink.INK)


def _block(x: float, y: float, width: float, height: float) -> Rect:
    return Rect(x, y, width, height, ink=None, fill=Ink.INK)


def _path(*points: Point, weight: float = 2) -> Polyline:
    return Polyline(points, weight=weight)


def _clock(x: float, y: float, r: float) -> tuple[Shape, ...]:
    return (
        Circle(x, y, r),
        _path((x, y - r * 0.55), (x, y), (x + r * 0.5, y), weight=1.8),
    )


ICONS: dict[str, tuple[Shape, ...]] = {
    "tick": (_path((3, 9.5), (7, 13.5), (15, 4.5), weight=2.2),),
    "cross": (
        Line(3.5, 3.5, 14.5, 14.5, weight=2.2),
        Line(14.5, 3.5, 3.5, 14.5, weight=2.2),
    ),
    "dash": (Line(2.5, 9, 15.5, 9, weight=2.4),),
    "dot above bar": (_dot(9, 5.8, 2.8), Line(1, 12.6, 17, 12.6, weight=2.4)),
    "dot below bar": (Line(1, 5.4, 17, 5.4, weight=2.4), _dot(9, 12.2, 2.8)),
    "disc": (_dot(9, 9, 6.6),),
    "arrow leaving a gate": (
        Line(2.5, 2.5, 2.5, 15.5, weight=2.2),
        Line(5, 9, 15, 9),
        _path((11, 5), (15, 9), (11, 13)),
    ),
    "tick in brackets": (
        _path((5, 2), (1.6, 2), (1.6, 16), (5, 16)),
        _path((13, 2), (16.4, 2), (16.4, 16), (13, 16)),
        _path((5.2, 9.4), (7.9, 12), (12.8, 6.2)),
    ),
    "two uprights": (_block(4, 2.5, 3.6, 13), _block(10.4, 2.5, 3.6, 13)),
    "four corners": tuple(
        _path((x, y + dy), (x, y), (x + dx, y), weight=2.4)
        for x, y, dx, dy in (
            (2.6, 2.6, 4, 4),
            (15.4, 2.6, -4, 4),
            (2.6, 15.4, 4, -4),
            (15.4, 15.4, -4, -4),
        )
    ),
    "clock": _clock(9, 9, 6.8),
    "clock with a mark": (
        *_clock(7.6, 10, 6),
        Line(16, 1.2, 16, 7, weight=2.4),
        _dot(16, 10, 1.4),
    ),
    "ring not closed": (Polyline(_arc(9, 9, 6.4, -15, 306), weight=2.2),),
    "two dots of three": (
        _dot(3, 9, 2.4),
        _dot(9, 9, 2.4),
        Circle(15, 9, 1.9, weight=1.4),
    ),
    "question mark": (
        Polyline((*_arc(9, 6, 4, 180, 234), (9, 10), (9, 11.6)), weight=2.2),
        _dot(9, 15.2, 1.4),
    ),
    "circle struck through": (Circle(9, 9, 6), Line(2.6, 15.4, 15.4, 2.6)),
    "three dots": (
        _block(1.4, 7.6, 2.8, 2.8),
        _block(7.6, 7.6, 2.8, 2.8),
        _block(13.8, 7.6, 2.8, 2.8),
    ),
    "pencil": (
        Polyline(((3, 11.6), (11.4, 3.2), (14.2, 6), (5.8, 14.4), (3, 14.4)), closed=True),
        Line(8.6, 16.6, 16.4, 16.6),
    ),
    "two sheets": (
        Rect(2.5, 2, 8.6, 10.6),
        _path((13.6, 5.4), (15.6, 5.4), (15.6, 16), (6.4, 16), (6.4, 14.6)),
    ),
    "signature": (
        _path((2, 11), (5, 4), (6.4, 11), (9.4, 7), (10.6, 11), (15.6, 9), weight=1.8),
        Line(1.4, 15.4, 16.6, 15.4),
    ),
    "sheet read": (
        _path((13, 6), (13, 2), (2.4, 2), (2.4, 16), (7, 16)),
        Line(5.2, 6, 10.2, 6, weight=1.6),
        Line(5.2, 9.4, 8.6, 9.4, weight=1.6),
        _path((8.6, 13), (11, 15.6), (16.4, 9.6)),
    ),
    "sheet leaving": (
        _path((10.6, 5), (10.6, 2), (2.4, 2), (2.4, 16), (10.6, 16), (10.6, 13)),
        Line(6, 9, 16, 9),
        _path((12.6, 5.6), (16, 9), (12.6, 12.4)),
    ),
    "flag": (
        Line(4, 1.6, 4, 16.8, weight=2.2),
        Polyline(((4, 2.6), (15, 2.6), (11.6, 6.4), (15, 10.2), (4, 10.2)), weight=1.8),
    ),
    "page": (
        _path((11, 2), (3.4, 2), (3.4, 16), (14.6, 16), (14.6, 5.6), (11, 2)),
        Line(6.4, 8.4, 11.6, 8.4, weight=1.6),
        Line(6.4, 12, 11.6, 12, weight=1.6),
    ),
    "arrow left": (Line(2.5, 9, 15.5, 9), _path((8, 3.5), (2.5, 9), (8, 14.5))),
    "arrow right": (Line(2.5, 9, 15.5, 9), _path((10, 3.5), (15.5, 9), (10, 14.5))),
    "arrow down": (Line(9, 2, 9, 14), _path((4, 9), (9, 14), (14, 9))),
    "back again": (
        _path((6.6, 2.4), (2.6, 6.4), (6.6, 10.4)),
        Polyline(((2.6, 6.4), (11, 6.4), *_arc(11, 10.8, 4.4, -90, 180), (7, 15.2))),
    ),
    "plus": (Line(9, 2.5, 9, 15.5), Line(2.5, 9, 15.5, 9)),
    "camera": (
        Polyline(
            ((1.4, 5), (5.4, 5), (7, 2.6), (11, 2.6), (12.6, 5), (16.6, 5), (16.6, 15),
             (1.4, 15)),
            closed=True,
        ),
        Circle(9, 9.8, 3),
    ),
    "person": (
        Circle(9, 5.6, 3.4),
        Polyline(_arc(9, 17.4, 6.6, 180, 180)),
    ),
}  # fmt: skip


def icon_shapes(name: str) -> tuple[Shape, ...]:
    """Return an icon's shapes. Raises ValueError naming the icons there are."""
    try:
        return ICONS[name]
    except KeyError:
        raise ValueError(f"icon {name!r}: allowed are {', '.join(ICONS)}") from None
