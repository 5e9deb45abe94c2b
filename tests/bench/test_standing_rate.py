"""How fast 40 operators are judged for 200 parts, every gate with its reasons."""

from __future__ import annotations

import statistics
import time
from collections import defaultdict
from dataclasses import replace

import pytest

from crews.domain.demand import Demand
from crews.domain.operator_file import OperatorFile
from crews.domain.qualification import standing, standings
from project.domain.verdict import Ref, State
from tests.domain.qualification.scenario import Scenario

OPERATORS, PARTS, ROUNDS = 40, 200, 5
Told = dict[tuple[str, str, Ref], State]


def _asked(demand: Demand, file: OperatorFile) -> tuple[str, str, Ref]:
    return demand.part.name, demand.mix.code, file.operator


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

    def alone() -> Told:
        return {
            _asked(demand, file): standing(
                file, demand, interval=interval, watch=None, terms=terms
            ).state
            for demand in demands
            for file in files
        }

    def together() -> Told:
        alike = defaultdict(list)
        for demand in demands:
            under = demand.under(terms)
            alike[under.work].append(under)
        return {
            _asked(demand, file): verdict.state
            for theirs in alike.values()
            for file in files
            for demand, verdict in zip(
                theirs,
                standings(file, theirs, interval=interval, terms=terms),
                strict=True,
            )
        }

    count = len(files) * len(demands)
    told = {}
    took: dict[str, list[float]] = {"alone": [], "by kinds of work": []}
    for _round in range(ROUNDS):
        for words, judge in zip(took, (alone, together), strict=True):
            started = time.process_time()
            told[words] = judge()
            took[words].append((time.process_time() - started) / count * 1000)
    for words, times in took.items():
        least, median = min(times), statistics.median(times)
        print(f"\n{count} standings {words}: {least:.3f} ms each, median {median:.3f}")
    assert count == OPERATORS * PARTS
    assert told["alone"] == told["by kinds of work"]
    assert set(told["alone"].values()) >= {State.PASS, State.FAIL}
