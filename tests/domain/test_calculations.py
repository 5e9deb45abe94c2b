"""Every calculation of the house, asked at its edges and under every edition.

Whatever is typed within the ranges that a calculation itself declares, it answers with
finite figures or refuses by name; nothing else ever comes out of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from inspections.domain.calculations import CALCULATIONS
from project.domain.calculation import Calculation, Field, Kind
from project.domain.calculation_reading import InputError, read_inputs, read_terms
from project.domain.editions import EDITIONS
from project.domain.term_kinds import Shape, kind_of

ON = date(2026, 7, 1)
IBC = "ibc-2018-1908"
NUMBERS = (Kind.QUANTITY, Kind.NUMBER, Kind.COUNT)
EVERY = [pytest.param(each, id=name) for name, each in CALCULATIONS.items()]
TINY = Decimal("1E-12")


def answered(
    calculation: Calculation,
    data: dict[str, Any],
    *,
    edition: str = IBC,
    settings: dict[str, Any] | None = None,
) -> bool:
    """Run a calculation; return whether it gave an answer, all of it finite."""
    try:
        given = read_inputs(calculation.fields, data)
        terms = read_terms(
            calculation,
            edition=edition if calculation.settings else "",
            settings=settings or {},
            effective_on=ON,
        )
        answer = calculation.run(given, terms)
    except ValueError:  # which is what an InputError is
        return False
    for working in answer.figures.values():
        assert working.exact.value.is_finite()
        assert working.reported.value.is_finite()
        assert working.title
        assert working.steps
        assert working.rounding
    assert answer.figures or answer.verdict or answer.words
    return True


def fields(calculation: Calculation) -> Iterator[tuple[str, Field]]:
    """Yield every field with its path; a column's stands for the first row."""
    for field in calculation.fields:
        yield field.name, field
        for column in field.columns:
            yield f"{field.name}.{column.name}", column


def with_value(calculation: Calculation, path: str, value: object) -> dict[str, Any]:
    """Return the example with one value changed."""
    data = dict(calculation.example)
    name, _dot, column = path.partition(".")
    if not column:
        return data | {name: value}
    rows: Any = data.get(name) or [{}]
    return data | {name: [{**rows[0], column: value}, *rows[1:]]}


def typed(field: Field, number: Decimal | str) -> object:
    return [str(number), field.unit] if field.kind is Kind.QUANTITY else str(number)


@pytest.mark.parametrize("calculation", EVERY)
def test_a_calculation_says_what_it_is_in_words_a_page_can_use(calculation):
    assert re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", calculation.name)
    assert calculation.title
    assert calculation.group
    assert calculation.says.endswith(".")
    assert calculation.sources
    names = [field.name for field in calculation.fields]
    assert len(set(names)) == len(names)
    # Keys of its address, and of the JSON that the command reads.
    assert not {"edition", "settings", "rows", "more", "page"} & set(names)
    for _path, field in fields(calculation):
        assert re.fullmatch(r"[a-z]\w*", field.name)
        assert field.label
        assert field.allowed
        assert bool(field.choices) == (field.kind is Kind.CHOICE)
        assert bool(field.columns) == (field.kind is Kind.ROWS)
    for name in calculation.settings:
        assert kind_of(name).label


@pytest.mark.parametrize("calculation", EVERY)
def test_its_example_is_answered(calculation):
    assert answered(calculation, dict(calculation.example))


@pytest.mark.parametrize("calculation", EVERY)
def test_every_number_has_a_range_and_what_lies_outside_is_refused_by_name(calculation):
    for path, field in fields(calculation):
        if field.kind not in NUMBERS:
            continue
        assert field.most is not None, f"{path} has no upper bound"
        assert field.least is not None or field.above is not None, f"{path}: no lower"
        low = field.least - TINY if field.above is None else field.above
        for bad in ("NaN", "sNaN", "Infinity", "-Infinity", "1e999999999", "four", low,
                    field.most + TINY, field.most * 10**6 + 1):  # fmt: skip
            with pytest.raises(InputError) as refused:
                read_inputs(
                    calculation.fields, with_value(calculation, path, typed(field, bad))
                )
            where = path if "." not in path else path.replace(".", ".1.")
            assert where in refused.value.errors, (path, bad, refused.value.errors)


@pytest.mark.parametrize("calculation", EVERY)
def test_at_the_ends_of_each_range_it_answers_or_refuses_by_name(calculation):
    for path, field in fields(calculation):
        for value in _ends(field):
            answered(calculation, with_value(calculation, path, value))


def _ends(field: Field) -> Iterator[object]:
    if field.kind in NUMBERS:
        least = Decimal(1) if field.kind is Kind.COUNT else TINY
        for end in (
            field.least,
            field.most,
            field.above and field.above + least,
            least,
        ):
            if end is not None and field.holds(end):
                yield typed(field, end)
    yield from field.choices
    if field.kind is Kind.FLAG:
        yield from (True, False)
    if field.kind is Kind.DAY:
        yield from ("1900-01-01", "2200-12-31")
    if field.kind is Kind.INSTANT:
        yield from ("1900-01-01T00:00+14:00", "2200-12-31T23:59-12:00")
    if field.kind is Kind.WORDS:
        yield from ("x", "ü" * 400)
    if field.optional:
        yield None


@pytest.mark.parametrize("calculation", EVERY)
def test_with_every_number_at_one_end_it_answers_or_refuses_by_name(calculation):
    for pick in (max, min):
        data: dict[str, Any] = dict(calculation.example)
        for field in calculation.fields:
            if field.kind in NUMBERS:
                data[field.name] = typed(field, _end(field, pick))
            elif field.kind is Kind.ROWS:
                row = {
                    c.name: typed(c, _end(c, pick))
                    for c in field.columns
                    if c.kind in NUMBERS
                }
                rows: Any = data.get(field.name) or [{}]
                data[field.name] = [{**each, **row} for each in rows]
        answered(calculation, data)


def _end(field: Field, pick: Any) -> Decimal:
    least = Decimal(1) if field.kind is Kind.COUNT else TINY
    low = field.least if field.above is None else field.above + least
    return pick(low, field.most)


@pytest.mark.parametrize("calculation", EVERY)
def test_a_table_of_as_many_rows_as_it_takes_is_answered_or_refused(calculation):
    for field in calculation.fields:
        rows: Any = calculation.example.get(field.name)
        if field.kind is Kind.ROWS and rows:
            many = [rows[n % len(rows)] for n in range(field.most_rows)]
            answered(calculation, {**calculation.example, field.name: many})
            few = list(rows[: field.fewest])
            answered(calculation, {**calculation.example, field.name: few})


@pytest.mark.parametrize("calculation", EVERY)
def test_under_every_edition_and_setting_it_answers_or_says_what_is_missing(
    calculation,
):
    data = dict(calculation.example)
    for edition in EDITIONS:
        answered(calculation, data, edition=edition)
    for name in calculation.settings:
        kind = kind_of(name)
        values: tuple[object, ...] = kind.choices
        if kind.shape is Shape.FLAG:
            values = (True, False)
        for value in (*values, *(() if kind.required else (None,))):
            answered(calculation, data, settings={name: value})
