"""Two people at the wall press the same button: one shift, one nozzle, no code twice.

On a database of its own, with real commits and a thread for each hand.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from crews.actions.nozzle import take_nozzle
from crews.models import Eligibility, NozzleTime, Placement, Shift
from project.audit import verify_stream
from project.models import new_id
from tests.factories import (
    Site,
    at,
    clock_at,
    make_placement,
    make_shift,
    make_site,
)

HANDS = 4


@pytest.fixture
def site(fresh_db: None) -> Site:
    return make_site()


def _at_once(when: str, *hands: Callable[[], object]) -> list[object]:
    barrier = Barrier(len(hands))

    def run(hand: Callable[[], object]) -> object:
        try:
            barrier.wait(timeout=30)
            with clock_at(when):
                return hand()
        except ValidationError as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(max_workers=len(hands)) as pool:
        return list(pool.map(run, hands))


def test_everybody_who_opens_a_shift_at_once_gets_the_same_one(site):
    def hand():
        return make_shift(site.inspector, site.contractor)

    outcomes = _at_once("2026-08-04 06:50", *[hand] * HANDS)
    assert Shift.objects.count() == 1
    assert {row.pk for row in outcomes} == {Shift.objects.get().pk}
    assert verify_stream(site.job.stream) is None


def test_placements_made_at_once_are_numbered_without_gap_or_twin(site):
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(site.inspector, site.contractor)

    def hand():
        return make_placement(site, shift)

    _at_once("2026-08-04 06:55", *[hand] * HANDS)
    codes = Placement.objects.order_by("code").values_list("code", flat=True)
    assert list(codes) == ["PL-001", "PL-002", "PL-003", "PL-004"]
    assert verify_stream(site.job.stream) is None


def test_one_pair_of_hands_takes_one_nozzle(site):
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(site.inspector, site.contractor)
        placed = make_placement(site, shift)

    def hand():
        return take_nozzle(
            id=new_id(),
            by=site.inspector,
            placement=placed,
            operator=site.operator,
            at=at("2026-08-04 07:10"),
        )

    outcomes = _at_once("2026-08-04 07:10", *[hand] * HANDS)
    refused = [one for one in outcomes if isinstance(one, ValidationError)]
    assert len(refused) == HANDS - 1
    assert all("2026-08-04 07:10" in str(one) for one in refused)
    assert (NozzleTime.objects.count(), Eligibility.objects.count()) == (1, 1)
    assert verify_stream(site.job.stream) is None
