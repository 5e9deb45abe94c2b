"""Ruled tables: columns fitted to their words, cut into chunks of one page.

A cell is a text, a stamp, or a text over its evidence. Rows are never split unless one is
higher than a page; heads repeat; closing rows stay with the last row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.packet.columns import (
    GAP,
    STAMP,
    Cell,
    Column,
    Row,
    fit_columns,
    natural,
    style_of,
)
from inspections.packet.faces import LABEL, Style, width, wrap
from inspections.packet.flow import (
    BODY,
    HAIR,
    HEADING_HEIGHT,
    HEAVY,
    LABELS,
    LEADING,
    SMALL,
    STRONG,
    Flow,
)
from inspections.packet.writer import Word
from project.charts.drawing import Ink

PAD = 2.9  # above and below the words of a row


@dataclass(frozen=True, slots=True)
class _Line:
    """One set row: its height, its words and stamps from its upper left corner."""

    height: float
    words: list[Word]
    stamps: list[tuple[str, str, float, float]]
    glued: bool = False  # it belongs to the row above


def table(
    flow: Flow,
    columns: Sequence[Column],
    rows: Sequence[Row],
    *,
    heading: str = "",
    under: str = "",
    closing: Sequence[Row] = (),
    numbered: bool = False,
) -> None:
    """Draw a table from the cursor on, over as many pages as it takes.

    A heading, or the smaller one that stands under it, stays with the first rows. A row
    with an empty first cell belongs to the row above and stays with it. Closing rows stand under a heavy line, the last one above a double line; their first
    words run on over the empty cells beside them. A column without a cell is left out.
    """
    columns, rows, closing = _without_empty(columns, rows, closing)
    margin = width(str(len(rows)), SMALL.face, SMALL.size) + 10 if numbered else 0.0
    widths = fit_columns(columns, rows, closing, flow.width - margin)
    setter = _Setter(flow, columns, widths, margin)
    body = [
        setter.row(row, number=n + 1 if numbered else 0) for n, row in enumerate(rows)
    ]
    last = len(closing) - 1
    ends = [
        setter.closing(row, figures=n in (0, last), label=n == last)
        for n, row in enumerate(closing)
    ]
    if heading or under:
        write = flow.heading if heading else flow.subheading
        write(heading or under, keep=setter.beginning(body, ends))
    setter.draw(body, ends)


def height(
    flow: Flow, columns: Sequence[Column], rows: Sequence[Row], *, heading: bool
) -> float:
    """Return the height a table would take on one page."""
    columns, rows, _none = _without_empty(columns, rows, [])
    setter = _Setter(flow, columns, fit_columns(columns, rows, [], flow.width), 0.0)
    body = sum(setter.row(row).height for row in rows)
    return body + setter.head_height() + (HEADING_HEIGHT if heading else 0.0)


def _without_empty(
    columns: Sequence[Column], rows: Sequence[Row], closing: Sequence[Row]
) -> tuple[list[Column], list[Row], list[Row]]:
    """Drop the columns that no row fills."""
    used = [n for n in range(len(columns)) if any(row[n] for row in rows or closing)]
    if len(used) == len(columns) or not used:
        return list(columns), list(rows), list(closing)
    return (
        [columns[n] for n in used],
        [[row[n] for n in used] for row in rows],
        [[row[n] for n in used] for row in closing],
    )


class _Setter:
    """Sets the rows of one table."""

    def __init__(
        self,
        flow: Flow,
        columns: Sequence[Column],
        widths: Sequence[float],
        margin: float,
    ) -> None:
        self._flow, self._columns, self._margin = flow, columns, margin
        self._places: list[tuple[float, float]] = []
        x = flow.left + margin
        for wide in widths:
            self._places.append((x, wide))
            x += wide + GAP

    def row(self, row: Row, *, number: int = 0) -> _Line:
        """Set one row: wrap its cells and find its height."""
        words: list[Word] = []
        stamps: list[tuple[str, str, float, float, float]] = []
        tall = BODY.size * LEADING
        for column, (x, wide), cell in zip(
            self._columns, self._places, row, strict=True
        ):
            if cell:
                shown = Cell(cell) if isinstance(cell, str) else cell
                tall = max(tall, self._cell(column, x, wide, shown, words))
                if shown.stamp:
                    stamps.append(self._stamp(column, x, wide, shown.stamp))
                    tall = max(tall, stamps[-1][4] + 3.6 - 2 * PAD)
        if number:
            text = str(number)
            at = (
                self._flow.left + self._margin - 7 - width(text, SMALL.face, SMALL.size)
            )
            words.insert(0, (at, PAD + BODY.size, text, SMALL))
        return self._line(tall, words, stamps, glued=not row[0])

    def closing(self, row: Row, *, figures: bool, label: bool) -> _Line:
        """Set one closing row; its words run on over the empty cells beside them."""
        words: list[Word] = []
        ends = [
            x + wide - natural(column, cell) if column.right else x
            for column, (x, wide), cell in zip(
                self._columns, self._places, row, strict=True
            )
            if cell
        ]
        ends = [*(x - GAP for x in ends[1:]), self._flow.right]
        tall = BODY.size * LEADING
        for column, (x, wide), cell in zip(
            self._columns, self._places, row, strict=True
        ):
            if cell:
                bold = figures if column.right else label
                room = wide if column.right else ends[0] - x
                ends.pop(0)
                text = cell if isinstance(cell, str) else cell.text
                style = STRONG if bold else BODY
                tall = max(tall, self._text(text, style, column, x, room, 0.0, words))
        return self._line(tall, words, [])

    def _line(
        self,
        tall: float,
        words: list[Word],
        stamps: Sequence[tuple[str, str, float, float, float]],
        *,
        glued: bool = False,
    ) -> _Line:
        height = tall + 2 * PAD
        # Beside one or two lines a stamp stands in the middle, beside more at the first.
        middle = height / 2 if tall < 2.5 * BODY.size * LEADING else PAD + BODY.size
        placed = [(n, w, x, middle - high / 2) for n, w, x, _wide, high in stamps]
        return _Line(height, words, placed, glued)

    def _stamp(
        self, column: Column, x: float, wide: float, stamp: tuple[str, str]
    ) -> tuple[str, str, float, float, float]:
        long, high = self._flow.stamps.measure(*stamp, size=STAMP)
        return (*stamp, x + wide - long if column.right else x, long, high)

    def _cell(
        self, column: Column, x: float, wide: float, cell: Cell, words: list[Word]
    ) -> float:
        """Set the words of one cell and return the height they take."""
        tall = 0.0
        if cell.text:
            tall = self._text(
                cell.text, style_of(column, cell), column, x, wide, 0, words
            )
        if cell.second:
            tall = self._text(cell.second, SMALL, column, x, wide, tall, words)
        return tall

    def _text(
        self,
        text: str,
        style: Style,
        column: Column,
        x: float,
        wide: float,
        above: float,
        words: list[Word],
    ) -> float:
        step = style.size * LEADING
        for line in wrap(text, style.face, style.size, wide + 0.01):
            at = x + wide - width(line, style.face, style.size) if column.right else x
            words.append((at, PAD + above + style.size, line, style))
            above += step
        return above

    # Drawing

    def beginning(self, body: Sequence[_Line], ends: Sequence[_Line]) -> float:
        """Return the height of the head and the rows that must not part from it."""
        two = _group(body, min(_group(body, 0), len(body) - 1)) if body else 0
        first = body[:two] if two < len(body) else [*body, *ends]
        height = self.head_height() + sum(line.height for line in first)
        return min(height, self._flow.bottom / 2)

    def draw(self, body: list[_Line], ends: list[_Line]) -> None:
        """Draw the set rows, a page at a time."""
        flow = self._flow
        last = sum(line.height for line in ends)
        at, head = 0, self.head_height()
        while at < len(body):
            end = _group(body, at)
            tail = last if end == len(body) else 0.0
            high = head + sum(line.height for line in body[at:end]) + tail
            # What no page can hold begins where it stands and is cut.
            flow.need(high if high < flow.whole_page else head + 80)
            if body[at].height > flow.room - head:
                body[at : at + 1] = _cut(body[at], flow.room - head)
            chunk = self._page_full(body[at:], flow.room - head, last)
            at += len(chunk)
            self._chunk(chunk, ends if at == len(body) else [])
            if at < len(body):
                flow.turn()
        if not body and ends:
            flow.need(head + last)
            self._chunk([], ends)

    def _page_full(self, body: list[_Line], room: float, last: float) -> list[_Line]:
        """Return the rows that fit into a room, groups whole, at least one row."""
        end, used = 0, 0.0
        while end < len(body):
            after = _group(body, end)
            high = sum(line.height for line in body[end:after])
            # The closing rows never stand without a row of their own.
            if used + high + (last if after == len(body) else 0.0) > room:
                break
            used, end = used + high, after
        return body[: max(end, 1)]

    def head_height(self) -> float:
        lines = max(column.head.count("\n") for column in self._columns) + 1
        return 4.5 + 9 * lines

    def _chunk(self, body: list[_Line], ends: list[_Line]) -> None:
        flow = self._flow
        words = self._head(flow.y)
        y = flow.y + self.head_height()
        heavy, hairs = [y], []
        placed: list[tuple[str, str, float, float]] = []
        for n, line in enumerate(body):
            words.extend((x, y + dy, text, style) for x, dy, text, style in line.words)
            placed.extend((n, w, x, y + dy) for n, w, x, dy in line.stamps)
            y += line.height
            if n + 1 == len(body) or not body[n + 1].glued:
                hairs.append(y)
        if ends:
            heavy.append(hairs.pop() if hairs else y)
        for line in ends:
            words.extend((x, y + dy, text, style) for x, dy, text, style in line.words)
            y += line.height
        ruled = [(flow.left, at, flow.right, at) for at in hairs]
        flow.writer.texts(words)
        flow.writer.lines(ruled, width=HAIR, ink=Ink.RULE)
        flow.writer.lines(
            [(flow.left, at, flow.right, at) for at in heavy], width=HEAVY
        )
        if ends:
            double = [(flow.left, y + dy, flow.right, y + dy) for dy in (0.0, 2.2)]
            flow.writer.lines(double, width=0.75)
            y += 2.2
        for name, label, x, top in placed:
            flow.stamps.place(name, label, x=x, y=top, size=STAMP)
        flow.used(y - flow.y)

    def _head(self, top: float) -> list[Word]:
        base = top + self.head_height() - 5
        words: list[Word] = []
        for column, (x, wide) in zip(self._columns, self._places, strict=True):
            lines = column.head.split("\n")
            for n, line in enumerate(lines):
                long = width(line, LABEL, LABELS.size)
                at = x + wide - long if column.right else x
                words.append((at, base - 9 * (len(lines) - 1 - n), line, LABELS))
        return words


def _group(body: Sequence[_Line], at: int) -> int:
    """Return where the rows end that belong to the one at a place."""
    end = at + 1
    while end < len(body) and body[end].glued:
        end += 1
    return end


def _cut(line: _Line, room: float) -> list[_Line]:
    """Cut a row that is higher than a page in two, between its lines."""
    first = [word for word in line.words if word[1] <= room - PAD]
    rest = [word for word in line.words if word[1] > room - PAD]
    if not first or not rest:
        return [line]
    above = min(y for _x, y, _text, _style in rest) - PAD - BODY.size
    moved = [(x, y - above, text, style) for x, y, text, style in rest]
    return [_Line(room, first, line.stamps), _Line(line.height - above, moved, [])]
