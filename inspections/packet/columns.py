"""Columns and cells: how wide each column of a table comes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.packet.draw import Stamps
from inspections.packet.faces import LABEL, Style, width
from inspections.packet.flow import BODY, LABELS, SMALL, STRONG

GAP = 11.0  # between two columns, at least
STAMP = 7.0  # the size of a stamp's words in a row


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell that is more than a plain text."""

    text: str = ""
    second: str = ""  # evidence, smaller, on lines of its own
    bold: bool = False
    stamp: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head, where its words stand, and whether it takes the room left.

    `head` may hold a line end. A column that grows wraps its words; the others are as
    wide as their widest cell, between `least` and `most` of the table.
    """

    head: str
    right: bool = False
    grow: float = 0.0
    bold: bool = False
    most: float = 0.3
    least: float = 0.0  # of the table


Row = Sequence["str | Cell | None"]


def style_of(column: Column, cell: Cell) -> Style:
    return STRONG if column.bold or cell.bold else BODY


def natural(column: Column, cell: str | Cell | None) -> float:
    """Return the width a cell takes on one line."""
    if not cell:
        return 0.0
    if isinstance(cell, str):
        cell = Cell(cell)
    wide = Stamps.measure(*cell.stamp, size=STAMP)[0] if cell.stamp else 0.0
    for text, style in ((cell.text, style_of(column, cell)), (cell.second, SMALL)):
        for line in text.split("\n"):
            wide = max(wide, width(line, style.face, style.size))
    return wide


def _shortest(column: Column, cell: str | Cell | None) -> float:
    """Return the width below which a cell would break a word or lose its stamp."""
    if not cell:
        return 0.0
    if isinstance(cell, str):
        cell = Cell(cell)
    least = Stamps.measure(*cell.stamp, size=STAMP)[0] if cell.stamp else 0.0
    for text, style in ((cell.text, style_of(column, cell)), (cell.second, SMALL)):
        for word in text.replace("\n", " ").split(" "):
            least = max(least, width(word, style.face, style.size))
    return least


def fit_columns(
    columns: Sequence[Column], rows: Sequence[Row], closing: Sequence[Row], room: float
) -> list[float]:
    """Return each column's width; together with their gaps they fill the room."""
    room -= GAP * (len(columns) - 1)
    widths, floors = [], []
    for n, column in enumerate(columns):
        head = max(width(line, LABEL, LABELS.size) for line in column.head.split("\n"))
        cells = [natural(column, row[n]) for row in rows]
        if column.right:  # a closing label runs on, so it asks for no width
            cells += [natural(column, row[n]) for row in closing]
        most = column.most * room
        widths.append(
            max(head, min(max(cells, default=0.0), most), column.least * room)
        )
        word = max((_shortest(column, row[n]) for row in rows), default=0.0)
        floors.append(max(head, min(word, most)))
    spare = room - sum(widths)
    growing = [n for n, column in enumerate(columns) if column.grow]
    if growing:
        spare += sum(widths[n] for n in growing)
        shares = sum(columns[n].grow for n in growing)
        for n in growing:
            widths[n] = max(floors[n], spare * columns[n].grow / shares)
    elif spare > 0 and len(columns) > 1:
        each = spare / (len(columns) - 1)
        widths = [widths[0], *(wide + each for wide in widths[1:])]
    return _squeeze(widths, floors, room)


def _squeeze(
    widths: Sequence[float], floors: Sequence[float], room: float
) -> list[float]:
    """Take from the columns that can wrap what the room lacks.

    When none can, the widest gives way: a long code breaks before a short word does.
    """
    fitted = list(widths)
    while (excess := sum(fitted) - room) > 0.01:
        widest = max(range(len(fitted)), key=lambda n: fitted[n] - floors[n])
        slack = fitted[widest] - floors[widest]
        if slack < 0.5:
            widest = max(range(len(fitted)), key=fitted.__getitem__)
            slack = fitted[widest]
        fitted[widest] -= min(excess, slack, 8.0)
    return fitted
