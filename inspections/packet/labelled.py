"""Rows of a label and its words, for what is told rather than counted."""

from __future__ import annotations

from inspections.packet.faces import LABEL, width, wrap
from inspections.packet.flow import BODY, HAIR, LABELS, LEADING, Flow
from project.charts.drawing import Ink

_STEP = BODY.size * LEADING


def labelled(flow: Flow, lines: list[tuple[str, str]]) -> None:
    """Print rows of a label and its words; a label without words is left out."""
    for label, wrapped, wide in _wrapped(flow, lines):
        flow.need(min(_STEP * len(wrapped) + 6, flow.bottom / 2))
        rest = wrapped
        while rest:
            fits = max(1, int((flow.room - 6) // _STEP))
            _labelled(flow, label, rest[:fits], wide)
            rest = rest[fits:]
            if rest:
                flow.turn()


def labelled_height(flow: Flow, lines: list[tuple[str, str]]) -> float:
    """Return the height that rows of labels and words take."""
    return sum(
        _STEP * len(wrapped) + 6 for _label, wrapped, _w in _wrapped(flow, lines)
    )


def _wrapped(
    flow: Flow, lines: list[tuple[str, str]]
) -> list[tuple[str, tuple[str, ...], float]]:
    shown = [(label, words) for label, words in lines if words]
    longest = (width(label, LABEL, LABELS.size) for label, _words in shown)
    wide = min(max(longest, default=0.0), flow.width * 0.3) + 16
    room = flow.width - wide
    return [
        (label, wrap(words, BODY.face, BODY.size, room), wide) for label, words in shown
    ]


def _labelled(flow: Flow, label: str, lines: tuple[str, ...], wide: float) -> None:
    base = flow.y + 3 + BODY.size
    words = [(flow.left, base - 0.4, label, LABELS)]
    words += [
        (flow.left + wide, base + n * _STEP, line, BODY) for n, line in enumerate(lines)
    ]
    flow.writer.texts(words)
    flow.used(_STEP * len(lines) + 6)
    flow.writer.lines(
        [(flow.left, flow.y, flow.right, flow.y)], width=HAIR, ink=Ink.RULE
    )
