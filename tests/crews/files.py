"""Files of operators and cards, as somebody would send them. All of it invented."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable, Sequence
from datetime import date
from hashlib import sha256
from typing import Any

from openpyxl import Workbook

from crews.actions.imports import ReadFile
from crews.domain.operator_import import Column
from crews.forms.imports import as_cells, read_operators

HEADS = [column.value for column in Column]
ROW = (
    *("B-104", "Noor Castellane", "CP-60", "WV-2210", "hand", "full"),
    *("wet vertical, wet overhead", "2024-05-01", "2029-05-01"),
)


def row(**changes: str) -> list[str]:
    """Return the cells of a row: badge, name, number and the like given by name."""
    named = dict(zip([column.name.lower() for column in Column], ROW, strict=True))
    return [str(value) for value in (named | changes).values()]


def alone(badge: str, name: str) -> list[str]:
    return [badge, name, *[""] * (len(HEADS) - 2)]


def csv_file(
    rows: Iterable[Sequence[str]], *, heads: Sequence[str] = HEADS, delimiter: str = ","
) -> bytes:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows([heads, *rows])
    return out.getvalue().encode("utf-8-sig")


def workbook(rows: Iterable[Sequence[Any]], *, heads: Sequence[Any] = HEADS) -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for cells in [heads, *rows]:
        sheet.append(list(cells))
    return saved(book)


def saved(book: Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def dated(cells: Sequence[str]) -> list[Any]:
    """Return a row as a workbook has it: dates as dates."""
    return [*cells[:-2], *(date.fromisoformat(day) for day in cells[-2:])]


def read(raw: bytes, name: str = "cards.csv") -> ReadFile:
    """Read a file as the page does."""
    sheet = read_operators(raw, name=name)
    return ReadFile(sha256(raw).hexdigest(), name, as_cells(sheet))


def zip_bomb() -> bytes:
    """Return a few kilobytes that unpack to 64 MB."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 64 * 1024 * 1024)
    return out.getvalue()


def with_part(name: str, data: bytes | str, raw: bytes | None = None) -> bytes:
    """Return a workbook with one part more, or another one in its place."""
    source = zipfile.ZipFile(io.BytesIO(raw or workbook([dated(row())])))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for part in source.namelist():
            if part != name:
                archive.writestr(part, source.read(part))
        archive.writestr(name, data)
    return out.getvalue()
