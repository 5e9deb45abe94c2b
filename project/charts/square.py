"""A square code (QR, ISO/IEC 18004) as runs of dark modules, for page and packet."""

from __future__ import annotations

from collections.abc import Iterator

import segno

from project.charts.drawing import Drawing, Ink, Rect

# Modules of quiet paper that a reader needs round the code (ISO/IEC 18004, from memory).
QUIET = 4


def dark_runs(text: str) -> tuple[int, tuple[tuple[int, int, int], ...]]:
    """Return a code's modules to a side, and each dark run as column, row and length."""
    rows = list(segno.make_qr(text, error="m", boost_error=False).matrix)
    return len(rows), tuple(_runs(rows))


def _runs(rows: list[bytearray]) -> Iterator[tuple[int, int, int]]:
    for n, row in enumerate(rows):
        start = None
        for m, dark in enumerate([*row, 0]):
            if dark and start is None:
                start = m
            elif not dark and start is not None:
                yield start, n, m - start
                start = None


def square_code(text: str, *, side: float, title: str, description: str) -> Drawing:
    """Draw a code with its quiet margin; the page keeps it dark on light."""
    modules, runs = dark_runs(text)
    step = side / (modules + 2 * QUIET)
    white = Rect(0, 0, side, side, ink=None, fill=Ink.PAPER)
    dark = (
        Rect(
            (QUIET + column) * step,
            (QUIET + row) * step,
            length * step,
            step,
            ink=None,
            fill=Ink.INK,
        )
        for column, row, length in runs
    )
    return Drawing(side, side, title, description, (white, *dark))
