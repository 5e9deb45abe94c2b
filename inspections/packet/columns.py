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
        return _longest(cell, STRONG if column.bold else BODY)
    wide = Stamps.measure(*cell.stamp, size=STAMP)[0] if cell.stamp else 0.0
    if cell.text:
        wide = max(wide, _longest(cell.text, style_of(column, cell)))
    return max(wide, _longest(cell.second, SMALL)) if cell.second else wide


def _longest(text: str, style: Style) -> float:
    if "\n" not in text:
        return width(text, style.face, style.size)
    return max(width(line, style.face, style.size) for line in text.split("\n"))


def _shortest(column: Column, rows: Sequence[Row], n: int) -> float:
    """Return the width below which a column breaks a word or loses a stamp."""
    least = 0.0
    for row in rows:
        cell = row[n]
        if not cell:
            continue
        if isinstance(cell, str):
            cell = Cell(cell)
        if cell.stamp:
            least = max(least, Stamps.measure(*cell.stamp, size=STAMP)[0])
        for text, style in ((cell.text, style_of(column, cell)), (cell.second, SMALL)):
            for word in text.replace("\n", " ").split(" "):
                least = max(least, width(word, style.face, style.size))
    return least


def fit_columns(
    columns: Sequence[Column], rows: Sequence[Row], closing: Sequence[Row], room: float
) -> list[float]:
    """Return each column's width; together with their gaps they fill the room."""
    room -= GAP * (len(columns) - 1)
    heads, wanted, widths = [], [], []
    for n, column in enumerate(columns):
        head = max(width(line, LABEL, LABELS.size) for line in column.head.split("\n"))
        cells = [natural(column, row[n]) for row in rows]
        if column.right:  # a closing label runs on, so it asks for no width
            cells += [natural(column, row[n]) for row in closing]
        heads.append(head)
        wanted.append(max(head, max(cells, default=0.0), column.least * room))
        widths.append(min(wanted[n], max(head, column.most * room)))
    _share(columns, widths, room - sum(widths))
    on_one_line = all(
        wide >= want - 0.01 for wide, want in zip(widths, wanted, strict=True)
    )
    if on_one_line and sum(widths) <= room + 0.01:
        return widths
    floors = [
        max(heads[n], min(_shortest(column, rows, n), column.most * room))
        for n, column in enumerate(columns)
    ]
    widths = [max(wide, floor) for wide, floor in zip(widths, floors, strict=True)]
    return _squeeze(widths, floors, room)


def _share(columns: Sequence[Column], widths: list[float], spare: float) -> None:
    """Give what is left to the columns that grow, or else to all but the first."""
    growing = [n for n, column in enumerate(columns) if column.grow]
    if growing:
        spare += sum(widths[n] for n in growing)
        shares = sum(columns[n].grow for n in growing)
        for n in growing:
            widths[n] = spare * columns[n].grow / shares
    elif spare > 0 and len(columns) > 1:
        for n in range(1, len(columns)):
            widths[n] += spare / (len(columns) - 1)


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
