"""How fast 40 operators are judged for 200 parts, every gate with its reasons."""

from __future__ import annotations

import time
from collections import defaultdict
from dataclasses import replace

import pytest

from crews.domain.qualification import standing, standings
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

    told = {}
    started = time.process_time()
    for demand in demands:
        for file in files:
            one = standing(file, demand, interval=interval, watch=None, terms=terms)
            told[demand.part.name, demand.mix.code, file.operator] = one.state
    alone = time.process_time() - started
    alike = defaultdict(list)
    started = time.process_time()
    for demand in demands:
        under = demand.under(terms)
        alike[under.work].append(under)
    shared = {
        (demand.part.name, demand.mix.code, file.operator): verdict.state
        for theirs in alike.values()
        for file in files
        for demand, verdict in zip(
            theirs,
            standings(file, theirs, interval=interval, terms=terms),
            strict=True,
        )
    }
    together = time.process_time() - started
    count = len(files) * len(demands)
    for words, took in (("alone", alone), (f"by {len(alike)} kinds of work", together)):
        rate = took / count * 1000
        print(f"\n{count} standings in {took:.2f} s, {rate:.3f} ms each, {words}")
    assert count == OPERATORS * PARTS
    assert told == shared
    assert set(told.values()) >= {State.PASS, State.FAIL}
