"""The calculations of cores where terms give less than an edition must."""

from datetime import date

import pytest

from inspections.domain.calculations import CALCULATIONS
from project.domain.calculation_reading import read_inputs
from project.domain.terms import Terms


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("core-set", "age: not given, and the terms give no age at test"),
        ("correction-factor", "terms: ld_limit must be given"),
    ],
)
def test_terms_without_a_value_are_refused_by_name(name, words):
    calculation = CALCULATIONS[name]
    given = read_inputs(calculation.fields, calculation.example)
    with pytest.raises(ValueError, match=words):
        calculation.run(given, Terms(1, "", date(2026, 7, 1), {}))
