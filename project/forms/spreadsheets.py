"""A table that somebody sends as a file: CSV or a workbook, read as text by its heads.

Whatever is wrong with the file itself is one error of its field; what is wrong with a
cell is told beside it, for whoever judges the row.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NoReturn

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from project.forms.workbooks import (
    CellFaultError,
    Grid,
    NoWorkbookError,
    cell_text,
    workbook_grid,
)

MOST_BYTES = 5 * 1024 * 1024
MOST_ROWS = 10_000
# Cells may hold lines of their own, and rows be blank; a workbook is no wider.
_MOST_LINES, _MOST_CELLS = 20 * MOST_ROWS, 16_384
_MOST_TOLD = 10
_DELIMITERS = ";,\t"
_WORKBOOK = b"PK\x03\x04"
# An old or a locked workbook: both lie in the same container.
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row: its number in the file, its cells by head, and what could not be read."""

    number: int
    cells: Mapping[str, str]
    faults: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The rows of a file that hold something, and what was left out of it, in words."""

    rows: tuple[SheetRow, ...]
    left_out: str = ""


def read_sheet(
    raw: bytes,
    *,
    name: str,
    heads: Sequence[str],
    needed: Sequence[str],
    dates: Collection[str] = (),
) -> Sheet:
    """Return a file's rows by their heads, which may stand in any order.

    Raises ValidationError naming the file and what is allowed.
    """
    allowed = _("a CSV file in UTF-8 or a workbook (.xlsx), %(mb)s MB at most") % {
        "mb": MOST_BYTES // 1024 // 1024
    }
    if not raw:
        _refuse(name, _("is empty"), allowed)
    if len(raw) > MOST_BYTES:
        most = {"mb": MOST_BYTES // 1024 // 1024}
        _refuse(name, _("has more than %(mb)s MB") % most, allowed)
    if raw.startswith(_OLD_WORKBOOK):
        _refuse(name, _("is an old or a locked workbook"), allowed)
    if raw.startswith(_WORKBOOK):
        try:
            grid = workbook_grid(raw, most_rows=MOST_ROWS + 1)
        except NoWorkbookError as fault:
            _refuse(name, str(fault), allowed)
    else:
        grid = _csv_grid(raw, name, allowed)
    return _by_heads(grid, name, heads, needed, dates)


def _refuse(name: str, why: str, allowed: str) -> NoReturn:
    message = _("%(name)s %(why)s; allowed is %(allowed)s.")
    params = {"name": name, "why": why, "allowed": allowed}
    raise ValidationError(message, params=params)


def _too_many_rows(name: str) -> NoReturn:
    most = {"most": f"{MOST_ROWS:,}"}
    why = _("has more rows than %(most)s below its heads") % most
    _refuse(name, why, _("%(most)s rows a file") % most)


def _csv_grid(raw: bytes, name: str, allowed: str) -> Grid:
    """Return a CSV file's records, its own delimiter read off its first line."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        told = {"line": line, "byte": f"{raw[fault.start]:02X}"}
        _refuse(name, _("is not UTF-8: byte %(byte)s in line %(line)s") % told, allowed)
    if "\0" in text:
        _refuse(name, _("is not text"), allowed)
    if max(text.count("\n"), text.count("\r")) > _MOST_LINES:
        _too_many_rows(name)
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(_DELIMITERS, key=first.count)
    records: list[tuple[int, Sequence[object]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for number, record in enumerate(reader, start=1):
            if any(cell.strip() for cell in record):
                records.append((number, record))
            if len(record) > _MOST_CELLS:
                told = {"n": f"{len(record):,}", "line": reader.line_num}
                why = _("has %(n)s cells in line %(line)s") % told
                _refuse(name, why, _("the heads, each once"))
            if len(records) > MOST_ROWS + 1:
                break
    except csv.Error as fault:
        told = {"line": reader.line_num, "why": fault}
        _refuse(name, _("cannot be read at line %(line)s (%(why)s)") % told, allowed)
    return Grid(tuple(records))


def _by_heads(
    grid: Grid,
    name: str,
    heads: Sequence[str],
    needed: Sequence[str],
    dates: Collection[str],
) -> Sheet:
    rows = (row for row in grid.rows if any(_holds(cell) for cell in row[1]))
    head = next(rows, None)
    if head is None:
        _refuse(name, _("holds no rows"), _("heads, and a row below them"))
    columns = _columns(head[1], name, heads, needed)
    found: list[SheetRow] = []
    for number, cells in rows:
        if len(found) == MOST_ROWS:
            _too_many_rows(name)
        found.append(_row(number, cells, columns, dates))
    if not found:
        _refuse(name, _("holds nothing below its heads"), _("one row or more"))
    return Sheet(tuple(found), grid.left_out)


def _holds(cell: object) -> bool:
    return cell is not None and bool(str(cell).strip())


def _columns(
    cells: Iterable[object], name: str, heads: Sequence[str], needed: Sequence[str]
) -> list[str]:
    """Return what stands in each column; nothing for one without a head."""
    columns = [" ".join(str(c or "").split()).casefold() for c in cells]
    typed = [column for column in columns if column]
    allowed = ", ".join(heads)
    if unknown := [column[:60] for column in typed if column not in heads]:
        told = {"heads": ", ".join(unknown[:_MOST_TOLD])}
        _refuse(name, _("has a head that is not known: %(heads)s") % told, allowed)
    if twice := [column for column, n in Counter(typed).items() if n > 1]:
        told = {"heads": ", ".join(twice)}
        _refuse(name, _("has a head twice: %(heads)s") % told, _("each head once"))
    if missing := [head for head in needed if head not in typed]:
        told = {"heads": ", ".join(missing)}
        _refuse(name, _("has no head: %(heads)s") % told, allowed)
    return columns


def _row(
    number: int, cells: Sequence[object], columns: list[str], dates: Collection[str]
) -> SheetRow:
    texts: dict[str, str] = {}
    faults: dict[str, str] = {}
    stray = False  # a row may be as wide as the file is long: the first cell is told
    for at, cell in enumerate(cells):
        column = columns[at] if at < len(columns) else ""
        if not column:
            if _holds(cell) and not stray:
                stray = True
                told = {"n": at + 1, "cell": str(cell)[:40]}
                faults[_("column %(n)s") % told] = (
                    _("%(cell)s has no head; allowed are cells below one") % told
                )
            continue
        try:
            texts[column] = cell_text(cell, is_date=column in dates)
        except CellFaultError as fault:
            faults[column] = str(fault)
    return SheetRow(number, texts, faults)
