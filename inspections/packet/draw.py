"""Draws the shapes of `project.charts` with the packet's pen."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from django.utils.translation import gettext

from inspections.packet.faces import BOLD, LABEL, TEXT, Style, width
from inspections.packet.writer import Writer
from project.charts.drawing import (
    Anchor,
    Circle,
    Ink,
    Line,
    Polyline,
    Rect,
    Shape,
    Text,
)
from project.charts.stamps import stamp_named, stamp_shapes

# Shapes are measured in pixels of 1/96 inch, the page in points of 1/72.
PIXEL = 0.75


def draw(
    writer: Writer, shapes: Iterable[Shape], *, x: float, y: float, k: float
) -> None:
    """Draw shapes with their upper left corner at a point, `k` points to a pixel."""
    for shape in shapes:
        if isinstance(shape, Text):
            _text(writer, shape, x, y, k)
        elif isinstance(shape, Line):
            ends = (
                x + shape.x1 * k,
                y + shape.y1 * k,
                x + shape.x2 * k,
                y + shape.y2 * k,
            )
            dash = _dash(shape, k)
            writer.lines([ends], width=shape.weight * k, ink=shape.ink, dash=dash)
        elif isinstance(shape, Circle):
            at = (x + shape.x * k, y + shape.y * k, shape.radius * k)
            line = shape.weight * k
            writer.circle(*at, fill=shape.fill, stroke=shape.ink, line=line)
        else:
            _outline(writer, shape, x, y, k)


def _outline(
    writer: Writer, shape: Polyline | Rect, x: float, y: float, k: float
) -> None:
    line, dash = shape.weight * k, _dash(shape, k)
    if isinstance(shape, Rect):
        box = (x + shape.x * k, y + shape.y * k, shape.width * k, shape.height * k)
        writer.rect(*box, fill=shape.fill, stroke=shape.ink, line=line, dash=dash)
        return
    points = [(x + px * k, y + py * k) for px, py in shape.points]
    writer.path(
        points,
        closed=shape.closed,
        fill=shape.fill,
        stroke=shape.ink,
        line=line,
        dash=dash,
    )


def _dash(shape: Line | Polyline | Rect, k: float) -> tuple[float, ...]:
    return tuple(step * k for step in shape.dash.value)


def _text(writer: Writer, shape: Text, x: float, y: float, k: float) -> None:
    face = LABEL if shape.label else BOLD if shape.bold else TEXT
    style = Style(face, shape.size * k, shape.ink)
    long = width(shape.words, face, style.size)
    back = {Anchor.START: 0.0, Anchor.MIDDLE: long / 2, Anchor.END: long}[shape.anchor]
    at_x, at_y = x + shape.x * k, y + shape.y * k
    if shape.turned:
        writer.turned(at_x, at_y + back, shape.words, style)
        return
    if shape.halo:
        high = style.size
        writer.rect(at_x - back - 1, at_y - high * 0.8, long + 2, high, fill=Ink.PAPER)
    writer.text(at_x - back, at_y, shape.words, style)


class Stamps:
    """Stamps drawn once each, as forms, and shown wherever they are wanted."""

    def __init__(self, writer: Writer) -> None:
        self._writer = writer
        self._names: dict[tuple[str, str, float], str] = {}

    @staticmethod
    def measure(name: str, words: str, *, size: float) -> tuple[float, float]:
        """Return the width and height of a stamp whose words are `size` points."""
        _, wide, high = _stamp(name, words, size)
        return wide, high

    def place(self, name: str, words: str, *, x: float, y: float, size: float) -> None:
        """Show a stamp with its upper left corner at a point."""
        key = (name, words, size)
        form = self._names.get(key)
        if form is None:
            form = self._names[key] = f"stamp{len(self._names) + 1}"
            with self._writer.form(form):
                draw(self._writer, _stamp(name, words, size)[0], x=0, y=0, k=1)
        self._writer.place_form(form, x, y)


def _stamp(
    name: str, words: str, size: float
) -> tuple[tuple[Shape, ...], float, float]:
    return _stamped(name, words or gettext(stamp_named(name).word), size)


@lru_cache(maxsize=2_000)
def _stamped(
    name: str, words: str, size: float
) -> tuple[tuple[Shape, ...], float, float]:
    long = width(words, LABEL, size)
    return stamp_shapes(stamp_named(name), word_width=long, words=words, size=size)
