"""Cells of a file of operators and cards: what is text, what is told instead."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, datetime

import pytest
from django.core.exceptions import ValidationError
from openpyxl import Workbook

from project.forms import spreadsheets
from tests.crews.files import (
    HEADS,
    ROW,
    csv_file,
    dated,
    read,
    row,
    saved,
    with_part,
    workbook,
)


def test_heads_stand_in_any_order_and_any_case():
    order = list(range(len(HEADS)))[::-1]
    raw = csv_file(
        [[ROW[i] for i in order]], heads=[f" {HEADS[i].upper()} " for i in order]
    )
    assert read(raw).rows[0].cells == dict(zip(HEADS, ROW, strict=True))


def _faults(raw):
    return {
        fault.column: fault.words for fault in read(raw, "cards.xlsx").rows[0].faults
    }


@pytest.mark.parametrize(
    ("at", "cell", "said"),
    [
        (7, 45413, "45413 is a number; allowed is a date cell"),
        (
            7,
            datetime.fromisoformat("2024-05-01T07:30"),
            "2024-05-01 07:30:00 has a time of day",
        ),
        (0, date(2026, 3, 14), "the workbook made the date 2026-03-14 of it"),
        (0, 1.5, "1.5 is a number with a fraction"),
        (3, 1234567890123456, "has more digits than a workbook keeps"),
        (1, True, "the cell holds TRUE"),
        (1, "#N/A", "the cell holds #N/A; allowed is its value"),
        (1, "=A1", "the formula has no value kept"),
    ],
)
def test_a_cell_of_a_workbook_that_says_nothing_is_told(at, cell, said):
    cells = dated(row())
    cells[at] = cell
    told = _faults(workbook([cells]))
    assert list(told) == [HEADS[at]]
    assert said in told[HEADS[at]]


def test_a_formula_counts_by_the_value_kept_with_it():
    book = workbook([dated(row())])
    part = zipfile.ZipFile(io.BytesIO(book)).read("xl/worksheets/sheet1.xml").decode()
    kept = re.sub(
        r'<c r="A2"[^>]*>.*?</c>',
        '<c r="A2" t="str"><f>UPPER("b-7")</f><v>B-7</v></c>',
        part,
        count=1,
    )
    assert kept != part
    raw = with_part("xl/worksheets/sheet1.xml", kept, book)
    (only,) = read(raw, "cards.xlsx").rows
    assert (only.cells["badge number"], only.faults) == ("B-7", ())


def test_a_formula_in_a_csv_file_is_told():
    (only,) = read(csv_file([row(name='=HYPERLINK("x")')])).rows
    assert "is a formula; allowed is its value" in only.faults[0].words


def test_noughts_that_a_workbook_shows_are_kept():
    book = Workbook()
    book.active.append(HEADS)
    book.active.append([14, *dated(row())[1:]])
    book.active["A2"].number_format = "0000"
    (only,) = read(saved(book), "cards.xlsx").rows
    assert only.cells["badge number"] == "0014"


def test_the_first_cell_without_a_head_is_told():
    (only,) = read(csv_file([[*row(), "", "beside", *["more"] * 1000]])).rows
    assert [fault.column for fault in only.faults] == ["column 11"]


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"\n" * spreadsheets.MOST_BYTES, "more rows than 10,000"),
        (b"\r" * spreadsheets.MOST_BYTES, "more rows than 10,000"),
        (b"\n\n\n", "holds no rows"),
        (b"," * spreadsheets.MOST_BYTES, "has 5,242,881 cells in line 1"),
        (b"x," * 16_000, "is not known: x, x, x"),
        (b"issued," * 16_000, "has a head twice: issued"),
        (b"badge number,legal name" + b"\nB,N" * 20_000, "more rows than 10,000"),
    ],
    ids=["lines", "returns", "few", "commas", "heads", "one head", "rows"],
)
def test_a_long_file_of_nothing_is_refused_in_a_few_words(raw, said):
    with pytest.raises(ValidationError) as refused:
        read(raw)
    (message,) = refused.value.messages
    assert said in message
    assert len(message) < 400


def test_a_sheet_that_claims_another_size_is_read_whole():
    book = workbook([dated(row())])
    part = zipfile.ZipFile(io.BytesIO(book)).read("xl/worksheets/sheet1.xml").decode()
    claimed = re.sub(r'<dimension ref="[^"]+"', '<dimension ref="A1:A1"', part)
    assert claimed != part
    raw = with_part("xl/worksheets/sheet1.xml", claimed, book)
    assert read(raw, "cards.xlsx").rows[0].cells["last valid day"] == "2029-05-01"
