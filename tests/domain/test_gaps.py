"""Gaps between presences against a count of minutes one by one."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from project.domain.gaps import gaps

START = datetime(2026, 8, 18, 7, tzinfo=UTC)


def _at(minute: int) -> datetime:
    return START + timedelta(minutes=minute)


@given(
    length=st.integers(0, 120),
    covers=st.lists(
        st.tuples(st.integers(-30, 150), st.none() | st.integers(1, 90)), max_size=6
    ),
)
def test_each_minute_that_nobody_covers_is_in_one_gap(length, covers):
    spans = [(_at(a), None if n is None else _at(a + n)) for a, n in covers]
    found = gaps(START, _at(length), covers=spans)
    open_minutes = {
        minute
        for minute in range(length)
        if not any(a <= minute and (n is None or minute < a + n) for a, n in covers)
    }
    told = [
        int((gap.start - START).total_seconds()) // 60 + k
        for gap in found
        for k in range(gap.minutes)
    ]
    assert sorted(told) == sorted(open_minutes)
    assert all(a.stop < b.start for a, b in itertools.pairwise(found))


def test_a_clock_change_neither_makes_nor_hides_a_gap():
    zone = ZoneInfo("America/Denver")
    before, after = (
        datetime(2026, 11, 1, 1, 30, tzinfo=zone, fold=fold) for fold in (0, 1)
    )
    (gap,) = gaps(before, after, covers=[])
    assert gap.minutes == 60


def test_an_instant_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="from"):
        gaps(START, _at(9), covers=[(START.replace(tzinfo=None), None)])
