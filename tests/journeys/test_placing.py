"""Volumes and thickness of the built job against an independent reading of its facts.

Source of every expected answer: tests/tables/expected.json. It gives volumes to 0.01 yd3
and shares to 0.1 %; its loss counts what was removed while fresh apart from the rest.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from inspections.queries.placing import placement_page
from project.domain.verdict import State
from tests.journeys.conftest import WANTED
from tests.support.addresses import first_members
from tests.support.demo import SCENARIO

_SAME = {
    "neat": "neat_yd3",
    "shot": "shot_yd3",
    "in place": "in_place_yd3",
    "overbuild": "overbuild_yd3",
    "loss": "loss_yd3",
    "loss of shot": "loss_pct",
}
# Both readings round, one of them from figures that were rounded before.
CLOSE = {"yd3": Decimal("0.011"), "percent": Decimal("0.11")}


@pytest.mark.parametrize(
    "wanted", WANTED["volumes"], ids=[v["placement"] for v in WANTED["volumes"]]
)
def test_each_placement_comes_to_what_was_reckoned_apart(demo, wanted):
    page = placement_page(
        demo,
        wanted["placement"],
        known_at=SCENARIO.as_of,
        for_member=first_members(demo)["inspector"],
    )
    assert page is not None
    assert page.tickets is not None
    assert page.tickets.delivered.value == Decimal(str(wanted["delivered_yd3"]))
    figures = {one.name: one.working for one in page.figures}
    for name, key in _SAME.items():
        working = figures[name]
        assert working is not None, name
        gap = abs(working.exact.value - Decimal(str(wanted[key])))
        assert gap <= CLOSE[working.exact.unit], (name, working.exact, wanted[key])
    assert page.read is not None
    assert page.read.least.value == Decimal(str(wanted["least_thickness_in"]))
    mean = Decimal(str(wanted["mean_thickness_in"]))
    assert abs(page.read.mean.value - mean) <= Decimal("0.005")
    assert page.thickness.state in (State.PASS, State.FAIL)
    # Nobody measured what the trowel took: a rebound by difference is not known.
    assert figures["rebound"] is None
