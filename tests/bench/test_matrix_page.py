"""How fast it is told who may shoot: one answer, and 40 operators by 200 parts.

Printed beside a floor: the same operators and parts read from the database and listed
in a bare table, nobody judged.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import connection
from django.template import Context
from django.template.base import Template
from django.test.utils import CaptureQueriesContext, _TestState

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

OPERATORS, PARTS, RUNS = 40, 200, 7
# Every tenth part is asked for otherwise than its neighbours.
KINDS = 20
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


def _spent(do: Callable[[], object]) -> tuple[float, float]:
    """Return the least and the median of what it took this process [ms]."""
    took = []
    for _run in range(RUNS):
        started = time.process_time()
        do()
        took.append((time.process_time() - started) * 1000)
    return min(took), statistics.median(took)


def _told(what: str, took: tuple[float, float], floor: tuple[float, float]) -> None:
    ratio = took[0] / floor[0]
    print(f"{what}: {took[0]:.1f} ms, median {took[1]:.1f}; {ratio:.1f} of the floor")


@pytest.fixture
def as_served(monkeypatch):
    """Render as a server does: Django's test runner tells of each piece it renders."""
    plain = _TestState.saved_data.template_render
    monkeypatch.setattr(Template, "_render", plain)


@pytest.mark.long
@pytest.mark.usefixtures("as_served")
def test_who_may_shoot_of_forty_by_two_hundred(large):
    visitor = Visitor(large.engineer)
    known_at = at("2026-09-14 09:00")

    def listed() -> str:
        rows = parts(large.job, known_at=known_at)
        people = people_on(large.job)
        return BARE.render(Context({"parts": rows, "people": people}))

    def answered() -> object:
        return operator_standing(
            large.job,
            operator=large.operator,
            part=large.wall.part,
            start=known_at,
            known_at=known_at,
        )

    def page(**asked: str) -> Callable[[], object]:
        return lambda: visitor.get("operators", **asked)

    assert listed().count("<td>") == OPERATORS * PARTS
    floor = _spent(listed)
    print(f"\nfloor, the rows listed: {floor[0]:.1f} ms, median {floor[1]:.1f}")
    _told("one operator and part, queries too", _spent(answered), floor)
    for words, asked in (("folded", {}), ("every part", {"every": "1"})):
        with CaptureQueriesContext(connection) as queries:
            response = visitor.get("operators", **asked)
        assert response.status_code == 200
        _told(
            f"the page, {words}, {len(queries)} queries", _spent(page(**asked)), floor
        )
    body = visitor.get("operators", every="1").content.decode()
    assert all(f">X{n:03}<" in body for n in (0, 99, PARTS - 4))
