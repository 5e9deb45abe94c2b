"""Evaporation on the demo job: every reading of every sheet, as expected and flagged.

Source of every expected answer: tests/tables/expected.json, computed from the readings
by an independent reading of the US form.
"""

from __future__ import annotations

from datetime import UTC
from decimal import Decimal

import pytest

from inspections.queries.content import report_content
from inspections.queries.evaporations import evaporations, mixes_on_record
from inspections.queries.reports import all_sheets
from project.domain.roles import Role
from project.domain.verdict import State
from project.queries.jobs import members_of
from tests.journeys.conftest import WANTED, at
from tests.support.demo import SCENARIO

AS_OF = SCENARIO.as_of
OFF = Decimal("0.0001")  # the expected rates are told to four places


@pytest.fixture(scope="module")
def found(demo):
    """Return each reading of the weather by its instant, the job's over."""
    member = members_of(demo, role=Role.AGENCY_REVIEWER)[0]
    mixes, readings = mixes_on_record(demo, known_at=AS_OF), {}
    for sheet in all_sheets(demo, member, known_at=AS_OF):
        content = report_content(sheet.row, known_at=AS_OF)
        made = evaporations(content, mixes=mixes, terms=sheet.terms)
        for row, each in zip(content["weather"], made, strict=True):
            readings.setdefault(row["at"]["utc"], []).append(each)
    return readings


def _utc(text):
    return at(text).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@pytest.mark.parametrize("line", WANTED["evaporation"], ids=lambda e: e["placement"])
def test_each_reading_is_as_expected(found, line):
    over = {_utc(each) for each in line["over"]}
    assert line["readings"]
    for wanted in line["readings"]:
        moment = _utc(wanted["at"])
        for each in found[moment]:
            working = each.verdict.working()
            assert abs(working.exact.value - wanted["exact"]) <= OFF, wanted
            assert working.exact.unit == "lb/ft2/h"
            assert [used.value for used in working.settings] == ["US"]
            assert each.rate.value == wanted["value"]
            assert each.reason.limit.value == line["limit"]
            state = State.FAIL if moment in over else State.PASS
            assert each.verdict.state is state, wanted


def test_two_placements_are_flagged(found):
    flagged = {
        line["placement"]
        for line in WANTED["evaporation"]
        if any(
            each.verdict.state is State.FAIL
            for wanted in line["readings"]
            for each in found[_utc(wanted["at"])]
        )
    }
    assert sorted(flagged) == WANTED["evaporation_flags"]
