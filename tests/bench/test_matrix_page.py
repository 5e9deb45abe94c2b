"""How fast it is told who may shoot: one answer, and 40 operators by 200 parts.

Printed beside a floor: the same operators and parts read from the database and listed
in a bare table, nobody judged.
"""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import connection
from django.template import Context
from django.template.base import Template
from django.test.utils import CaptureQueriesContext, _TestState

from crews.models import Panel
from crews.queries.operator_files import people_on
from crews.queries.qualification import operator_standing
from project.domain.shooting_words import Position
from project.queries.jobs import now_on, parts
from tests.crews.pages import Visitor
from tests.factories import (
    at,
    bars,
    clock_at,
    make_operator,
    make_part,
    make_site,
    with_mock_up,
)

OPERATORS, PARTS, ROUNDS = 40, 200, 7
# A single answer is short: it is asked this often in each round.
ANSWERS = 10
# Every tenth part is asked for otherwise than its neighbours.
KINDS = 20
FLOOR = "floor, the rows listed"
BARE = Template(
    "<table>{% for part in parts %}<tr><th>{{ part.code }}</th>"
    "{% for one in people %}<td>{{ one.code }}</td>{% endfor %}</tr>{% endfor %}</table>"
)


@pytest.fixture
def large(db):
    """A job of that size; each operator has a card and an accepted mock-up."""
    site = make_site()
    with clock_at("2026-07-18 09:00"):
        people = [
            make_operator(site.qc, site.contractor, f"Operator {n}", f"X-{n:03}")
            for n in range(OPERATORS - len(people_on(site.job)))
        ]
        for n in range(PARTS - len(parts(site.job, known_at=now_on(site.job)))):
            kind = n // (PARTS // KINDS)
            make_part(
                site.admin,
                f"X{n:03}",
                Position.OVERHEAD if kind % 4 == 3 else Position.VERTICAL,
                order=10 + n,
                thickness=Decimal(8 + kind % 5),
                reinforcement=bars(spacing=f"{6 + kind % 3} in").to_json(),
            )
    for operator in people:
        with_mock_up(site, operator)
    return site


def _spent(doings: dict[str, list[Callable[[], object]]]) -> dict[str, list[float]]:
    """Return what each doing took this process [ms], the least first.

    In rounds: the machine is quicker at one moment than at the next, for all alike.
    """
    took: dict[str, list[float]] = {words: [] for words in doings}
    for _round in range(ROUNDS):
        for words, each in doings.items():
            # What one leaves behind is not swept up in the time of the next.
            gc.collect()
            for do in each:
                started = time.process_time()
                do()
                took[words].append((time.process_time() - started) * 1000)
    return {words: sorted(times) for words, times in took.items()}


@pytest.fixture
def as_served(monkeypatch):
    """Render as a server does: Django's test runner tells of each piece it renders."""
    plain = _TestState.saved_data.template_render
    monkeypatch.setattr(Template, "_render", plain)


@pytest.mark.long
@pytest.mark.usefixtures("as_served")
def test_who_may_shoot_of_forty_by_two_hundred(large):
    visitor = Visitor(large.engineer)
    # One with a mock-up: its versions and the engineer's words are read as well.
    operator = Panel.objects.filter(job=large.job).latest("code").operator
    known_at = at("2026-09-14 09:00")

    def listed() -> str:
        rows = parts(large.job, known_at=known_at)
        people = people_on(large.job)
        return BARE.render(Context({"parts": rows, "people": people}))

    def answered() -> object:
        return operator_standing(
            large.job,
            operator=operator,
            part=large.wall.part,
            start=known_at,
            known_at=known_at,
        )

    def page(**asked: str) -> Callable[[], object]:
        return lambda: visitor.get("operators", **asked)

    assert listed().count("<td>") == OPERATORS * PARTS
    doings: dict[str, list[Callable[[], object]]] = {
        FLOOR: [listed],
        "one operator and part, queries too": [answered] * ANSWERS,
    }
    for words, asked in (("folded", {}), ("every part", {"every": "1"})):
        with CaptureQueriesContext(connection) as queries:
            response = visitor.get("operators", **asked)
        assert response.status_code == 200
        doings[f"the page, {words}, {len(queries)} queries"] = [page(**asked)]
    took = _spent(doings)
    for words, times in took.items():
        ratio, median = times[0] / took[FLOOR][0], statistics.median(times)
        told = f"{times[0]:.1f} ms, median {median:.1f}; {ratio:.2f} of the floor"
        print(f"\n{words}: {told}", end="")
    print()
    body = visitor.get("operators", every="1").content.decode()
    assert all(f">X{n:03}<" in body for n in (0, 99, PARTS - 4))
