"""What ends next on the built job, against an independent reading of its facts."""

from __future__ import annotations

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from crews.domain.endings import EndingKind
from crews.queries.endings import ends_next
from project import clock
from tests.journeys.conftest import WANTED
from tests.support.demo import SCENARIO


@pytest.mark.parametrize("days", [30, 60, 90])
def test_the_same_ends_within_each_window(demo, days):
    found = ends_next(demo, at=SCENARIO.as_of, known_at=SCENARIO.as_of)
    told = [
        (one.last_on.isoformat(), one.operator.name, str(one.kind), one.days(found.on))
        for one in found.within(days)
    ]
    wanted = [
        (row["on"], *row["what"].split()[:2], row["days"])
        for row in WANTED["ends_next"][f"{days}_days"]
    ]
    assert told == wanted


def test_the_same_has_ended_and_was_not_followed(demo):
    with clock.set_to(SCENARIO.as_of):
        out = StringIO()
        call_command("expiring", demo.code, days="60", json=True, stdout=out)
    told = [
        (one["last_on"], one["operator"], one["kind"], -one["days"])
        for one in json.loads(out.getvalue())["ended"]
    ]
    wanted = [
        (row["on"], *row["what"].split()[:2], row["days_ago"])
        for row in WANTED["already_ended"]
    ]
    assert told == wanted


def test_as_known_before_the_year_was_corrected_that_card_had_not_ended(demo):
    known = SCENARIO.at("2026-08-24T10:20") - timedelta(seconds=1)
    found = ends_next(demo, at=SCENARIO.as_of, known_at=known)
    told = [(one.kind, one.operator.name) for one in found.ended]
    # The dry-mix operator's long absence was known then, and his mock-up not yet shot.
    assert told == [(EndingKind.IDLE, "OP-08")]
