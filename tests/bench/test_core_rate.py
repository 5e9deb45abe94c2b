"""How fast 100,000 core strengths are computed, each with its factor."""

from __future__ import annotations

import time
from decimal import Decimal

import pytest

from crews.domain.core_facts import CoreTest
from crews.domain.core_strength import core_strength
from project.domain.units import Quantity
from tests.domain.strength.making import inches, make_terms

CORES = 100_000


@pytest.mark.long
def test_a_hundred_thousand_core_strengths() -> None:
    terms = make_terms()
    side = inches("3.00")
    tests = [
        CoreTest(
            "TP-901/3",
            planned_age=28,
            d1=Quantity(Decimal(300 + n % 7) / 100, "in"),
            d2=side,
            length=Quantity(Decimal(320 + n % 280) / 100, "in"),
            load=Quantity(Decimal(25_000 + n % 9_000), "lbf"),
        )
        for n in range(CORES)
    ]
    started = time.process_time()
    made = [core_strength(test, terms=terms) for test in tests]
    took = time.process_time() - started
    print(f"\n{CORES / took:,.0f} core strengths a second ({took:.2f} s)")
    assert len({one.exact.value for one in made}) > CORES // 20
    assert {one.factor == 1 for one in made} == {True, False}
