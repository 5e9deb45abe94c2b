"""A workbook's first sheet as a grid of cells, read without trusting the file.

A workbook is a ZIP of XML. What it unpacks to is summed up before anything is opened;
XML goes through defusedxml, which openpyxl uses where it is installed. Formulas are
never computed: the value that was kept with one counts, and one without is told.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from openpyxl import DEFUSEDXML, load_workbook

MOST_UNPACKED = 40 * 1024 * 1024
MOST_PARTS = 500
# A sheet may be formatted down to its last line: so many rows are looked at, no more.
_MOST_BLANK = 100_000
# Columns beyond the head's last one that are still looked at, to tell what stands there.
_BESIDE = 8
# A workbook keeps no more digits of a number than this.
_MOST_DIGITS = 15

if not DEFUSEDXML:  # pragma: no cover - requirements.txt has it
    raise ImportError("defusedxml is needed to read workbooks, and is not installed")


class NoWorkbookError(ValueError):
    """A file that is no workbook to be read, with the reason in words."""


class CellFaultError(ValueError):
    """A cell that cannot be taken as it stands, with what it holds and what is allowed."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number of a workbook, with its digits as they are shown."""

    shown: str
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A cell whose content says nothing."""

    words: str


@dataclass(frozen=True, slots=True)
class Grid:
    """Rows by their number in the file, and what was left out of it."""

    rows: tuple[tuple[int, Sequence[object]], ...]
    left_out: str = ""


def cell_text(cell: object, *, is_date: bool) -> str:
    """Return a cell as text, a date as year-month-day. Raises CellFaultError."""
    if isinstance(cell, Unreadable):
        raise CellFaultError(cell.words)
    if isinstance(cell, Number):
        return _digits(cell, is_date=is_date)
    if isinstance(cell, datetime) and cell.time() != time():
        told = {"cell": cell.isoformat(" ")}
        raise CellFaultError(_("%(cell)s has a time of day; allowed is a date") % told)
    if isinstance(cell, date):
        day = cell.date() if isinstance(cell, datetime) else cell
        if is_date:
            return day.isoformat()
        message = _("the workbook made the date %(cell)s of it; allowed is a text cell")
        raise CellFaultError(message % {"cell": day.isoformat()})
    text = "" if cell is None else str(cell)
    if text.lstrip().startswith("="):
        message = _("%(cell)s is a formula; allowed is its value")
        raise CellFaultError(message % {"cell": text.strip()[:40]})
    return text


def _digits(cell: Number, *, is_date: bool) -> str:
    if is_date:
        message = _(
            "%(cell)s is a number; allowed is a date cell, or text such as 2026-08-19"
        )
        raise CellFaultError(message % {"cell": cell.shown})
    if cell.fault:
        raise CellFaultError(cell.fault)
    return cell.shown


def workbook_grid(raw: bytes, *, most_rows: int) -> Grid:
    """Return the first sheet that shows, its rows down to one more than `most_rows`.

    Raises NoWorkbookError with the reason.
    """
    has_formulas = _look_inside(raw)
    try:
        with warnings.catch_warnings():
            # It warns of styles and rules that it leaves out; none of them is read.
            warnings.simplefilter("ignore")
            return _grid(raw, most_rows, has_formulas=has_formulas)
    except NoWorkbookError:
        raise
    # A hostile workbook can make the reader fail in any way; each of them is a refusal.
    except Exception as error:
        raise NoWorkbookError(_("is damaged and cannot be read")) from error


def _look_inside(raw: bytes) -> bool:
    """Refuse what is no plain workbook, before it is opened; say if it has formulas."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            parts = archive.infolist()
            names = {part.filename for part in parts}
            unpacked = sum(part.file_size for part in parts)
            if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED:
                message = _(
                    "unpacks to %(mb)s MB in %(n)s parts, of %(most)s MB at most"
                )
                told = {"mb": unpacked // 1024 // 1024, "n": len(parts)}
                most = MOST_UNPACKED // 1024 // 1024
                raise NoWorkbookError(message % {**told, "most": most})
            if any(part.flag_bits & 1 for part in parts):
                raise NoWorkbookError(_("is locked with a password"))
            if "[Content_Types].xml" not in names or not any(
                name.startswith("xl/") for name in names
            ):
                raise NoWorkbookError(_("is a ZIP file and no workbook (.xlsx)"))
            if any("vbaproject" in name.lower() for name in names):
                raise NoWorkbookError(_("is a workbook with macros"))
            sheets = [n for n in names if n.startswith("xl/worksheets/")]
            # A part that unpacks to more than it claims is cut there, and fails its sum.
            return any(b"<f" in archive.read(name) for name in sheets)
    except NoWorkbookError:
        raise
    except Exception as error:
        raise NoWorkbookError(_("is damaged and cannot be read")) from error


def _grid(raw: bytes, most_rows: int, *, has_formulas: bool) -> Grid:
    book = load_workbook(
        io.BytesIO(raw), read_only=True, data_only=True, keep_links=False
    )
    shown = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
    if not shown:
        raise NoWorkbookError(_("has no sheet that shows"))
    rows = list(_rows(shown[0], most_rows))
    if has_formulas:
        rows = _without_lost_values(raw, shown[0].title, rows)
    others = len(book.worksheets) - 1
    left_out = ngettext(
        "Read is the sheet %(title)s; %(n)s other was not.",
        "Read is the sheet %(title)s; %(n)s others were not.",
        others,
    ) % {"title": shown[0].title, "n": others}
    book.close()
    return Grid(tuple(rows), left_out if others else "")


def _rows(sheet: Any, most_rows: int) -> Iterator[tuple[int, list[object]]]:
    """Yield the rows that hold something, up to one more than the most."""
    # What the file claims as its size is not believed.
    sheet.reset_dimensions()
    width, seen = None, 0
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        read = [_cell(cell) for cell in cells[:width]]
        if any(cell not in (None, "") for cell in read):
            yield number, read
            seen += 1
            width = width or len(read) + _BESIDE
        if seen > most_rows:
            return
        if number - seen > _MOST_BLANK:
            raise NoWorkbookError(_("has too many blank rows"))


def _cell(cell: Any) -> object:
    value, kind = cell.value, getattr(cell, "data_type", "n")
    if kind == "e":
        message = _("the cell holds %(cell)s; allowed is its value")
        return Unreadable(message % {"cell": value})
    if isinstance(value, bool):
        message = _("the cell holds %(cell)s; allowed is text")
        return Unreadable(message % {"cell": str(value).upper()})
    if isinstance(value, int | float):
        return _number(value, cell.number_format)
    if isinstance(value, date) or value is None or isinstance(value, str):
        return value
    message = _("the cell holds %(cell)s; allowed is text or a date")
    return Unreadable(message % {"cell": str(value)[:40]})


def _number(value: float, form: str) -> Number:
    """Return a number's digits; the noughts in front are there only by its format."""
    if not float(value).is_integer():
        shown = repr(value)
        message = _("%(cell)s is a number with a fraction; allowed is a text cell")
        return Number(shown, message % {"cell": shown})
    shown = str(int(value))
    if len(shown.lstrip("-")) > _MOST_DIGITS:
        message = _(
            "%(cell)s has more digits than a workbook keeps; allowed is a text cell"
        )
        return Number(shown[:40], message % {"cell": shown[:40]})
    return Number(shown.zfill(len(form)) if re.fullmatch("0+", form) else shown)


def _without_lost_values(
    raw: bytes, title: str, rows: list[tuple[int, list[object]]]
) -> list[tuple[int, list[object]]]:
    """Tell the formulas whose value was not kept: they would read as empty cells."""
    book = load_workbook(io.BytesIO(raw), read_only=True, keep_links=False)
    sheet = book[title]
    sheet.reset_dimensions()
    found = dict(rows)
    lost = Unreadable(_("the formula has no value kept; allowed is its value"))
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        formulas = [
            i for i, c in enumerate(cells) if getattr(c, "data_type", "") == "f"
        ]
        for at in formulas:
            row = found.setdefault(number, [])
            row.extend([None] * (at + 1 - len(row)))
            if row[at] in (None, ""):
                row[at] = lost
    book.close()
    return sorted(found.items(), key=lambda row: row[0])
