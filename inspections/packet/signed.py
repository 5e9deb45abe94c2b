"""Names on lines, two beside each other, each with what the name stands for."""

from __future__ import annotations

from collections.abc import Sequence

from inspections.packet.faces import wrap
from inspections.packet.flow import LEADING, SMALL, STRONG, Flow

_GAP, _BELOW = 20.0, 9.0

Name = tuple[str, str]  # who, and what the name says


def signed(flow: Flow, names: Sequence[Name], *, room: float) -> None:
    """Draw names over lines, two to a row."""
    for row in _rows(names):
        tall = _height(row, room)
        flow.need(tall)
        for n, name in enumerate(row):
            _one(flow, name, flow.left + n * (_wide(room) + _GAP), _wide(room), tall)
        flow.used(tall)


def signed_height(names: Sequence[Name], *, room: float) -> float:
    """Return the height that names over lines take."""
    return sum(_height(row, room) for row in _rows(names))


def _rows(names: Sequence[Name]) -> list[Sequence[Name]]:
    return [names[n : n + 2] for n in range(0, len(names), 2)]


def _wide(room: float) -> float:
    return (room - _GAP) / 2


def _lines(name: Name, wide: float) -> tuple[tuple[str, ...], tuple[str, ...]]:
    who, says = name
    return (
        wrap(who, STRONG.face, STRONG.size, wide),
        wrap(says, SMALL.face, SMALL.size, wide),
    )


def _height(row: Sequence[Name], room: float) -> float:
    tall = 0.0
    for name in row:
        who, says = _lines(name, _wide(room))
        tall = max(tall, len(who) * STRONG.size + len(says) * SMALL.size)
    return tall * LEADING + 4 + _BELOW


def _one(flow: Flow, name: Name, x: float, wide: float, tall: float) -> None:
    """Write one name; the lines of a row stand at one height."""
    words, y = [], flow.y
    for lines, style in zip(_lines(name, wide), (STRONG, SMALL), strict=True):
        for line in lines:
            words.append((x, y + style.size, line, style))
            y += style.size * LEADING
    flow.writer.texts(words)
    low = flow.y + tall - _BELOW
    flow.writer.lines([(x, low, x + wide, low)], width=1.0)
