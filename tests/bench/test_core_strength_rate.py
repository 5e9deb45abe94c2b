"""How many core strengths a second, beside what their bare divisions would take.

Each in its contract's own unit, as the figures of a job come: inches and pounds-force to
psi, millimetres and kilonewtons to MPa. The best of three runs counts; what else the
machine did meanwhile is no property of the code.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest

from crews.domain.core_facts import DIGITS, CoreTest
from crews.domain.core_strength import core_strength
from project.domain.editions import Departure, resolve
from project.domain.terms import Terms
from project.domain.units import Quantity

COUNT, DISTINCT, RUNS = 100_000, 1_000, 3
SYSTEMS = {"psi": ("in", "3.00", "lbf", 30_000), "MPa": ("mm", "76.2", "kN", 133)}


def broken(unit: str) -> list[CoreTest]:
    """Return cores of many sizes, some short and some long, no two alike."""
    length, diameter, force, load = SYSTEMS[unit]
    across = Decimal(diameter)
    return [
        CoreTest(
            f"{n}",
            planned_age=28,
            d1=Quantity(across + Decimal(n) / 10_000, length),
            d2=Quantity(across - Decimal(n) / 20_000, length),
            length=Quantity(across * (105 + n % 100) / 100, length),
            load=Quantity(Decimal(load) + Decimal(n) / 10, force),
        )
        for n in range(DISTINCT)
    ]


def terms_in(unit: str) -> Terms:
    said = {"strength_unit": Departure(unit, reason="the contract's unit")}
    return resolve(
        "ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1), departures=said
    )


def rate(make: Callable[[CoreTest], object], tests: list[CoreTest]) -> float:
    """Return how many are made in a second of the processor's time."""
    # A tracer that counts covered lines would be timed with them.
    tracer = sys.gettrace()
    sys.settrace(None)
    try:
        return max(_once(make, tests) for _ in range(RUNS))
    finally:
        sys.settrace(tracer)


def _once(make: Callable[[CoreTest], object], tests: list[CoreTest]) -> float:
    each = tests * (COUNT // DISTINCT)
    started = time.process_time()
    for test in each:
        make(test)
    return COUNT / (time.process_time() - started)


def bare(test: CoreTest) -> Decimal:
    """Divide a load by an area and multiply by a factor; nothing asked, nothing kept."""
    d1, d2, length, load = test.d1, test.d2, test.length, test.load
    assert d1 is not None
    assert d2 is not None
    assert length is not None
    assert load is not None
    diameter = (d1.value + d2.value) / 2
    area = DIGITS.divide(diameter * diameter * 3, Decimal(4))
    return DIGITS.divide(load.value, area) * DIGITS.divide(length.value, diameter)


@pytest.mark.long
@pytest.mark.parametrize("unit", SYSTEMS)
def test_how_many_core_strengths_a_second(unit: str) -> None:
    tests, terms = broken(unit), terms_in(unit)
    assert len({core_strength(test, terms=terms).exact for test in tests}) == DISTINCT
    floor = rate(bare, tests)
    found = rate(lambda test: core_strength(test, terms=terms), tests)
    print(
        f"\n{unit}: {found:,.0f} core strengths a second;"
        f" bare decimal arithmetic alone {floor:,.0f}, {floor / found:.1f} times it"
    )
