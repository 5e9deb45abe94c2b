"""Every outside check row, run through the calculation it names."""

from collections import Counter

import pytest

from inspections.domain.calculations import CALCULATIONS
from project.domain.calculation_reading import read_inputs
from tests.support.outside import differs, outside_rows

ROWS = outside_rows()


@pytest.mark.parametrize("row", [pytest.param(r, id=r["case"]) for r in ROWS])
def test_a_row_agrees_with_its_source(row):
    assert row["source"]
    assert differs(row) == ""


def test_every_row_has_a_name_of_its_own():
    assert [
        n for n, times in Counter(r["case"] for r in ROWS).items() if times > 1
    ] == []


@pytest.mark.parametrize("name", CALCULATIONS)
def test_a_calculation_takes_its_own_example(name):
    calculation = CALCULATIONS[name]
    read_inputs(calculation.fields, calculation.example)
    assert any(row["calculation"] == name for row in ROWS)
