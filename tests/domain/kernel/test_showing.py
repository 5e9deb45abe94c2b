"""Numbers as words: never two that look equal and are not."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from project.domain.showing import beside


@pytest.mark.parametrize(
    ("value", "limit", "places", "text"),
    [
        ("3825", "3825", 1, "3825.0"),
        ("3824.96", "3825", 1, "3824.96"),
        ("3824.94", "3825", 1, "3824.9"),
        ("0.94999", "0.95", 3, "0.94999"),
        ("1", "1", 0, "1"),
        (
            "1.0000000000000000000000000000001",
            "1",
            0,
            "1.0000000000000000000000000000001",
        ),
    ],
)
def test_beside_a_limit(value, limit, places, text):
    assert beside(Decimal(value), Decimal(limit), places=places) == text


@given(st.decimals(-9999, 9999, places=8), st.decimals(-9999, 9999, places=8))
def test_two_numbers_look_equal_only_if_they_are(value, limit):
    looks_equal = Decimal(beside(value, limit, places=0)) == limit
    assert value == limit or not looks_equal
