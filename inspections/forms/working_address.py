"""A calculation's inputs as the keys and values of an address, and back.

`d1=3.06&d1.unit=in`, a table's cells `cores.2.load=38500`, the unit of a whole column
`cores.load.unit=lbf`, a setting `settings.ld_limit=under 1.94`. Whoever keeps the
address keeps the figure; nothing is stored.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.http import QueryDict
from django.utils.translation import gettext as _

from project.charts.text import MINUS, unit_text
from project.domain.calculation import Calculation, Field, Kind
from project.domain.clocks import RepeatedTimeError, SkippedTimeError, local_instant
from project.domain.term_kinds import Shape, kind_of
from project.domain.units import UNITS

# A page of more rows than this nobody fills in; the command takes longer tables.
MOST_ROWS = 60
NOT_GIVEN = "not given"
# The date whose terms a figure is made under, where it is not today's.
TERMS_ON = "terms_on"
_THOUSANDS = re.compile(r"[-+]?\d{1,3}(,\d{3})+(\.\d*)?")
_WITH_UNIT = re.compile(r"([-+]?[\d.,]+(?:[eE][-+]?\d+)?)\s*([^\d\s.,eE].*)")
_SIGNS = {unit_text(unit): unit for unit in UNITS if unit_text(unit)}
_LOCAL = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d)?")


@dataclass
class Asked:
    """What an address asks: plain values by field, and where each row was typed."""

    zone: str
    values: dict[str, str]
    data: dict[str, object] = field(default_factory=dict)
    settings: dict[str, object] = field(default_factory=dict)
    errors: dict[str, str] = field(default_factory=dict)
    # Of each table the numbers of the rows in which something was typed.
    lines: dict[str, list[int]] = field(default_factory=dict)

    def typed_at(self, name: str) -> str:
        """Return the key under which a fault's field was typed.

        A reader counts the rows that were given, a page also those left empty.
        """
        table, _dot, rest = name.partition(".")
        number, dot, column = rest.partition(".")
        lines = self.lines.get(table, [])
        if not number.isdecimal() or not 0 < int(number) <= len(lines):
            return name
        return f"{table}.{lines[int(number) - 1]}{dot}{column}"


def read_address(calculation: Calculation, given: QueryDict, *, zone: str) -> Asked:
    """Return what an address asks of a calculation, its instants in the job's zone."""
    values = {key: str(value).strip() for key, value in given.items()}
    asked = Asked(zone, values)
    known = {"edition", "more", TERMS_ON}
    for each in calculation.fields:
        if each.kind is Kind.ROWS:
            known |= _read_rows(asked, each)
        else:
            known |= {each.name, f"{each.name}.unit"}
            value = _plain(asked, each, each.name, f"{each.name}.unit")
            if value is not None:
                asked.data[each.name] = value
    for name in calculation.settings:
        known |= {f"settings.{name}", f"settings.{name}.unit"}
        _read_setting(asked, name)
    for key in sorted(set(values) - known):
        asked.errors[key] = _("nothing of this name is asked")
    for key in values:
        if len(given.getlist(key)) > 1:
            asked.errors[key] = _("given more than once")
    return asked


def _read_rows(asked: Asked, table: Field) -> set[str]:
    """Read the rows in which something was typed; return the keys a table may have."""
    most = min(table.most_rows, MOST_ROWS)
    known = {f"rows.{table.name}"}
    for column in table.columns:
        known.add(f"{table.name}.{column.name}.unit")
        known |= {f"{table.name}.{n}.{column.name}" for n in range(1, most + 1)}
    rows: list[dict[str, object]] = []
    numbers: list[int] = []
    for number in range(1, most + 1):
        row = {
            column.name: value
            for column in table.columns
            if (value := _cell(asked, table, number, column)) is not None
        }
        if row:
            rows.append(row)
            numbers.append(number)
    over = [key for key in set(asked.values) - known if _row_of(table, key) > most]
    if over:
        asked.errors[table.name] = _(
            "row %(n)s; allowed on this page are %(most)s rows"
        ) % {"n": max(_row_of(table, key) for key in over), "most": most}
        known |= set(over)
    if rows:
        asked.data[table.name] = rows
    asked.lines[table.name] = numbers
    return known


def _row_of(table: Field, key: str) -> int:
    begin, _dot, rest = key.partition(".")
    number = rest.partition(".")[0]
    known = begin == table.name and number.isascii() and number.isdecimal()
    return int(number) if known and len(number) < 10 else 0


def _cell(asked: Asked, table: Field, number: int, column: Field) -> object:
    key = f"{table.name}.{number}.{column.name}"
    return _plain(asked, column, key, f"{table.name}.{column.name}.unit")


def _plain(asked: Asked, each: Field, key: str, unit_key: str) -> object:
    """Return one value as the calculation reads it; nothing where none was typed."""
    text = asked.values.get(key, "")
    if not text:
        return None
    if each.kind is Kind.QUANTITY:
        return with_unit(text, asked.values.get(unit_key) or each.unit)
    if each.kind in (Kind.NUMBER, Kind.COUNT):
        return bare_number(text)
    if each.kind is Kind.INSTANT:
        return _instant(asked, key, text)
    return text


def _read_setting(asked: Asked, name: str) -> None:
    key, kind = f"settings.{name}", kind_of(name)
    text = asked.values.get(key, "")
    if text == NOT_GIVEN:
        asked.settings[name] = None
    elif text and kind.shape is Shape.QUANTITY:
        unit = asked.values.get(f"{key}.unit") or kind.units[0]
        asked.settings[name] = with_unit(text, unit)
    elif text:
        numbers = kind.shape is Shape.NUMBER
        asked.settings[name] = bare_number(text) if numbers else text


def bare_number(text: str) -> str:
    """Return a number without its thousands' commas and with a plain minus.

    A comma that parts no thousands stays, and the number is refused: 2,50 is not 250.
    """
    typed = text.replace(MINUS, "-")
    return typed.replace(",", "") if _THOUSANDS.fullmatch(typed) else typed


def with_unit(text: str, unit: str) -> list[str]:
    """Return a number and its unit; one typed behind the number comes first."""
    typed = text.replace(MINUS, "-")
    found = _WITH_UNIT.fullmatch(typed)
    if found is None:
        return [bare_number(typed), unit]
    return [bare_number(found[1]), _SIGNS.get(found[2], found[2])]


def _instant(asked: Asked, key: str, text: str) -> str:
    """Return an instant with its zone; a clock time that came twice is asked back."""
    if not _LOCAL.fullmatch(text):
        return text  # with an offset already, or for the reader to refuse
    told = {"typed": text.replace("T", " "), "zone": asked.zone}
    try:
        return local_instant(datetime.fromisoformat(text), zone=asked.zone).isoformat()
    except SkippedTimeError:
        asked.errors[key] = (
            _("%(typed)s was never on the clock of %(zone)s that day") % told
        )
    except RepeatedTimeError as twice:
        told |= {"first": twice.first.isoformat(), "second": twice.second.isoformat()}
        asked.errors[key] = (
            _(
                "%(typed)s came twice on the clock of %(zone)s; allowed is"
                " %(first)s or %(second)s"
            )
            % told
        )
    except ValueError:
        pass  # no date of a calendar: for the reader to refuse
    return text


def example_address(calculation: Calculation, *, zone: str) -> str:
    """Return the query string that fills a calculation's page with its example."""
    return address_of(calculation, calculation.example, zone=zone)


def address_of(
    calculation: Calculation, given: Mapping[str, object], *, zone: str
) -> str:
    """Return the query string that fills a calculation's page with plain values."""
    pairs: list[tuple[str, str]] = []
    for each in calculation.fields:
        value = given.get(each.name)
        if each.kind is not Kind.ROWS:
            pairs += _pairs(each, each.name, f"{each.name}.unit", value, zone)
        elif isinstance(value, list | tuple):
            pairs += _row_pairs(each, value, zone)
    return urlencode(pairs)


def _row_pairs(
    table: Field, rows: Iterable[Mapping[str, Any]], zone: str
) -> list[tuple[str, str]]:
    pairs: dict[str, str] = {}
    for number, row in enumerate(rows, start=1):
        for column in table.columns:
            key = f"{table.name}.{number}.{column.name}"
            unit_key = f"{table.name}.{column.name}.unit"
            cell = dict(_pairs(column, key, unit_key, row.get(column.name), zone))
            unit = cell.get(unit_key)
            if unit and pairs.get(unit_key, unit) != unit:
                # The column has its unit already: this one stands in the cell.
                cell = {key: f"{cell[key]} {unit}"}
            pairs |= cell
    return list(pairs.items())


def _pairs(
    each: Field, key: str, unit_key: str, value: Any, zone: str
) -> list[tuple[str, str]]:
    if value is None:
        return []
    if each.kind is Kind.QUANTITY:
        return [(key, str(value[0])), (unit_key, str(value[1]))]
    if each.kind is Kind.INSTANT:
        return [(key, _as_local(str(value), zone))]
    if isinstance(value, bool):
        return [(key, "yes" if value else "no")]
    return [(key, str(value))]


def _as_local(text: str, zone: str) -> str:
    """Return an instant on the job's clock, with its offset where that came twice."""
    there = datetime.fromisoformat(text).astimezone(ZoneInfo(zone))
    other = there.replace(fold=1 - there.fold)
    if there.utcoffset() != other.utcoffset():
        return there.isoformat()
    finest = "seconds" if there.second else "minutes"
    return there.replace(tzinfo=None).isoformat(timespec=finest)
