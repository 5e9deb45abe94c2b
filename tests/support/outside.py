"""Rows of outside checks: a calculation, its inputs, and what a source says comes out.

Columns of `tests/tables/outside/*.csv`:

case         the row's name; unique over all tables
calculation  its name
given        inputs by field, parted by semicolons: `d1=3.00 in; load=38500 lbf`; the rows
             of a table by bars, their columns by commas; or one JSON object
terms        an edition, then settings: `ibc-2018-1908; ld_limit=under 1.94`; or nothing
read         what is read off: a figure's name (unrounded), `figure reported`, `state`,
             `words`, `key: state` of a reason, or `error` (the field that is refused)
expected     its value, with its unit
tolerance    how far off it may be, in that unit; nothing for equal
source       document, section, year, and how it is known
"""

from __future__ import annotations

import csv
import json
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from inspections.domain.calculations import CALCULATIONS
from project.domain.calculation import Answer, Field, Kind
from project.domain.calculation_reading import InputError
from project.domain.calculation_running import work
from project.domain.term_kinds import Shape, kind_of
from project.domain.units import Quantity, convert

FOLDER = Path(__file__).resolve().parent.parent / "tables" / "outside"
ON = date(2026, 7, 1)
Row = dict[str, str]


def outside_rows() -> list[Row]:
    """Return all rows of all tables, in the order of file and line."""
    found: list[Row] = []
    for file in sorted(FOLDER.glob("*.csv")):
        with file.open(encoding="utf-8", newline="") as lines:
            found += csv.DictReader(lines)
    return found


def answer(row: Row) -> Answer:
    """Run a row's calculation. Raises InputError where its inputs are refused."""
    calculation = CALCULATIONS[row["calculation"]]
    edition, settings = _terms(row["terms"])
    data = _given(calculation.fields, row["given"])
    asked: dict[str, Any] = {"edition": edition, "settings": settings}
    return work(calculation, data, **asked, effective_on=ON).answer


def differs(row: Row) -> str:
    """Return how a row's answer differs from what its source says, or nothing."""
    try:
        found = _read(answer(row), row["read"], row["expected"])
    except InputError as error:
        if row["read"] != "error":
            return f"refused: {error}"
        missing = row["expected"] not in error.errors
        return f"refused is {', '.join(error.errors)}" if missing else ""
    if row["read"] == "error":
        return "not refused"
    if isinstance(found, str):
        return "" if found == row["expected"] else f"found {found}"
    expected = _quantity(row["expected"])
    off = abs(convert(found, to=expected.unit).value - expected.value)
    return "" if off <= Decimal(row["tolerance"] or 0) else f"found {found}"


def _read(made: Answer, what: str, expected: str) -> Quantity | str:
    if what == "words":
        return made.words
    if what == "state":
        assert made.verdict is not None, "no verdict"
        return made.verdict.state.value
    if what.endswith(": state"):
        key = what.removesuffix(": state")
        assert made.verdict is not None, "no verdict"
        reasons = [r.state.value for r in made.verdict.reasons if r.key == key]
        return reasons[0] if len(set(reasons)) == 1 else ", ".join(reasons)
    if what.endswith(" reported"):
        return made.figures[what.removesuffix(" reported")].reported
    return made.figures[what].exact


def _terms(text: str) -> tuple[str, dict[str, object]]:
    edition, *rest = (part.strip() for part in text.split(";"))
    settings: dict[str, object] = {}
    for part in rest:
        name, _, value = part.partition("=")
        settings[name] = value if value != "not given" else None
        if kind_of(name).shape is Shape.QUANTITY and value != "not given":
            settings[name] = value.rsplit(" ", 1)
    return edition, settings


def _given(fields: tuple[Field, ...], text: str) -> dict[str, Any]:
    if text.startswith("{"):
        data: dict[str, Any] = json.loads(text, parse_float=Decimal)
        return data
    by_name = {field.name: field for field in fields}
    given: dict[str, Any] = {}
    for part in filter(None, (part.strip() for part in text.split(";"))):
        name, _, value = part.partition("=")
        field = by_name.get(name)
        given[name] = _plain(field, value.strip()) if field else value
    return given


def _plain(field: Field, text: str) -> object:
    if field.kind is Kind.ROWS:
        return [_row(field.columns, line) for line in text.split("|")]
    if field.kind is Kind.QUANTITY:
        return text.rsplit(" ", 1)
    return text


def _row(columns: tuple[Field, ...], line: str) -> dict[str, object]:
    cells = [cell.strip() for cell in line.split(",")]
    pairs = zip(columns, cells, strict=False)
    return {field.name: _plain(field, cell) for field, cell in pairs if cell}


def _quantity(text: str) -> Quantity:
    value, _, unit = text.partition(" ")
    return Quantity(Decimal(value), unit or "1")
