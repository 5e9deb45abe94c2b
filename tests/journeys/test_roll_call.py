"""The roll call of the built job against an independent reading of its facts."""

from __future__ import annotations

from crews.queries.roll_call import roll_call
from crews.queries.shooting import shifts
from project.domain.clocks import day_starts
from tests.journeys.conftest import WANTED
from tests.support.demo import SCENARIO


def test_the_blowpipe_was_missing_where_it_was_and_nobody_else(demo):
    known_at = SCENARIO.as_of
    days = sorted({row.work_date for row in shifts(demo, known_at=known_at)})
    calls = [
        roll_call(demo, at=day_starts(day, zone=demo.zone), known_at=known_at)
        for day in days
    ]
    found = {
        (one.time.placement, gap.start, gap.stop): gap.minutes
        for call in calls
        for shift in call.shifts
        for one in shift.called
        for _role, gap in one.missing
    }
    told = [
        {
            "placement": placement,
            "start": f"{demo.local(start):%Y-%m-%dT%H:%M}",
            "end": f"{demo.local(stop):%Y-%m-%dT%H:%M}",
            "minutes": minutes,
        }
        for (placement, start, stop), minutes in found.items()
    ]
    assert told == WANTED["blowpipe_gaps"]
    assert len(days) == len({call.on for call in calls}) > 20
