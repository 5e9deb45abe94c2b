"""How fast 40 operators are judged for 200 parts, every gate with its reasons."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace

import pytest

from crews.domain.qualification import standing
from project.domain.verdict import Ref, State
from tests.domain.qualification.scenario import Scenario

OPERATORS, PARTS = 40, 200


@pytest.mark.long
def test_forty_operators_by_two_hundred_parts() -> None:
    scenario = Scenario()
    known = [f.known_at(scenario.as_of()) for f in scenario.files.values()]
    named = (
        replace(file, operator=Ref("operator", file.operator.id, f"{n}"))
        for n in range(OPERATORS)
        for file in known
    )
    files = [file for file, _ in zip(named, range(OPERATORS), strict=False)]
    asked = (
        scenario.demand(code, mix=part["mix"])
        for _ in range(PARTS)
        for code, part in scenario.parts.items()
    )
    demands = [demand for demand, _ in zip(asked, range(PARTS), strict=False)]
    interval = scenario.interval("2026-09-04T07:00")
    terms = scenario.terms(interval.start.date())

    started = time.process_time()
    each = [
        standing(file, demand, interval=interval, watch=None, terms=terms)
        for demand in demands
        for file in files
    ]
    alone = time.process_time() - started
    print(f"\n{len(each)} standings in {alone:.2f} s, no two judged together")
    assert len(each) == OPERATORS * PARTS
    assert set(Counter(v.state for v in each)) >= {State.PASS, State.FAIL}
