"""Elapsed time against plain UTC subtraction, and wall times that were none or two.

Oracle: the transitions of each zone found by scanning its offsets hour by hour and then
by halving (zoneinfo, IANA database), and subtraction of instants written in UTC.
"""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from functools import cache
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from project.domain.clocks import (
    Interval,
    RepeatedTimeError,
    SkippedTimeError,
    as_span,
    as_time,
    day_ends,
    day_starts,
    elapsed,
    elapsed_minutes,
    in_utc,
    local_dates,
    local_instant,
    on_the_clock,
    zone_of,
)
from project.domain.units import Quantity

# Both hemispheres, changes at midnight, of half an hour, and none at all.
ZONES = (
    "America/Denver",
    "America/New_York",
    "America/St_Johns",
    "America/Santiago",
    "America/Phoenix",
    "Europe/London",
    "Europe/Berlin",
    "Asia/Beirut",
    "Australia/Lord_Howe",
    "Pacific/Auckland",
)
FIRST, LAST = datetime(2024, 1, 1, tzinfo=UTC), datetime(2029, 1, 1, tzinfo=UTC)
DENVER = "America/Denver"
MINUTE = timedelta(minutes=1)


@cache
def changes(zone):
    """Return the first minute after each change of a zone's clock, in UTC."""
    where, found = ZoneInfo(zone), []
    low = FIRST
    while low < LAST:
        high = low + timedelta(hours=12)
        if low.astimezone(where).utcoffset() != high.astimezone(where).utcoffset():
            found.append(_halved(low, high, where))
        low = high
    return found


def _halved(low, high, where):
    before = low.astimezone(where).utcoffset()
    while high - low > MINUTE:
        middle = low + (high - low) // 2
        middle = middle.replace(second=0, microsecond=0)
        if middle.astimezone(where).utcoffset() == before:
            low = middle
        else:
            high = middle
    return high


AROUND = [
    timedelta(minutes=n)
    for n in (-1500, -150, -91, -90, -61, -60, -31, -30, -1, 0, 1, 29, 30, 59, 60, 150)
]


def test_the_zones_change_as_often_as_their_laws_say():
    # Two changes a year for five years; Arizona keeps its time (from memory).
    assert {zone: len(changes(zone)) for zone in ZONES} == {
        zone: 0 if zone == "America/Phoenix" else 10 for zone in ZONES
    }


@pytest.mark.parametrize("zone", ZONES)
def test_elapsed_time_is_utc_arithmetic_at_every_change_of_the_clock(zone):
    where = ZoneInfo(zone)
    told = 0
    for change in changes(zone) or [datetime(2026, 3, 8, 9, tzinfo=UTC)]:
        for one in AROUND:
            for two in AROUND:
                start, stop = change + one, change + two
                here, there = start.astimezone(where), stop.astimezone(where)
                assert elapsed(here, there) == stop - start
                assert elapsed_minutes(here, there) == (two - one) // MINUTE
                told += 1
    assert told >= len(AROUND) ** 2


@pytest.mark.parametrize("zone", [zone for zone in ZONES if changes(zone)])
def test_walls_alone_would_have_been_wrong_at_every_change(zone):
    # The trap this guards against: Python subtracts two instants of one zone by walls.
    where = ZoneInfo(zone)
    for change in changes(zone):
        here = (change - MINUTE).astimezone(where)
        there = (change + MINUTE).astimezone(where)
        assert there - here != elapsed(here, there) == 2 * MINUTE


@pytest.mark.parametrize("zone", ZONES)
def test_a_wall_time_is_one_instant_none_or_two_at_every_change(zone):
    where = ZoneInfo(zone)
    for change in changes(zone):
        before = (change - MINUTE).astimezone(where).utcoffset()
        after = change.astimezone(where).utcoffset()
        jump = after - before
        wall = (change + min(before, after)).replace(tzinfo=None)
        for minutes in range(-45, 120, 5):
            typed = wall + timedelta(minutes=minutes)
            inside = timedelta() <= typed - wall < abs(jump)
            if not inside:
                found = local_instant(typed, zone=zone)
                assert found.replace(tzinfo=None) == typed
                utc = found.astimezone(UTC)
                assert utc.astimezone(where).replace(tzinfo=None) == typed
            elif jump > timedelta():
                with pytest.raises(SkippedTimeError, match="was never on the clock"):
                    local_instant(typed, zone=zone)
            else:
                with pytest.raises(RepeatedTimeError, match="came twice") as raised:
                    local_instant(typed, zone=zone)
                first, second = raised.value.first, raised.value.second
                assert elapsed(first, second) == -jump
                assert {first.replace(tzinfo=None), second.replace(tzinfo=None)} == {
                    typed,
                    typed.replace(fold=1),
                }


@given(
    st.datetimes(datetime(2024, 1, 1), datetime(2029, 1, 1)),  # noqa: DTZ001
    st.sampled_from(ZONES),
)
def test_an_instant_written_with_its_offset_comes_back(wall, zone):
    instant = wall.replace(tzinfo=UTC).astimezone(ZoneInfo(zone))
    assert in_utc(datetime.fromisoformat(on_the_clock(instant))) == in_utc(instant)


def test_an_interval_is_ordered_by_time_that_passed_and_not_by_walls():
    where = ZoneInfo(DENVER)
    first = datetime(2026, 11, 1, 1, 50, tzinfo=where)
    then = datetime(2026, 11, 1, 1, 20, tzinfo=where, fold=1)
    assert local_dates(Interval(first, then, DENVER)) == (date(2026, 11, 1),)
    with pytest.raises(ValueError, match="lies before start"):
        Interval(then, first, DENVER)


def test_an_interval_touches_the_dates_of_its_zone():
    where = ZoneInfo(DENVER)
    evening = datetime(2026, 9, 2, 21, tzinfo=where)
    midnight = datetime(2026, 9, 3, tzinfo=where)
    assert local_dates(Interval(evening, midnight, DENVER)) == (date(2026, 9, 2),)
    assert local_dates(Interval(evening, evening, DENVER)) == (date(2026, 9, 2),)
    assert local_dates(Interval(evening, None, DENVER)) == (date(2026, 9, 2),)
    over = Interval(evening, midnight + MINUTE, DENVER)
    assert local_dates(over) == (date(2026, 9, 2), date(2026, 9, 3))


@pytest.mark.parametrize("zone", ZONES)
def test_a_day_is_as_long_as_its_zone_makes_it(zone):
    for change in changes(zone):
        day = change.astimezone(ZoneInfo(zone)).date()
        around = [day + timedelta(days=n) for n in (-1, 0, 1)]
        for each in around:
            starts = day_starts(each, zone=zone)
            ends = day_ends(each, zone=zone)
            assert starts.astimezone(ZoneInfo(zone)).date() == each
            assert ends.astimezone(ZoneInfo(zone)).date() == each
            assert ends + timedelta(microseconds=1) == day_starts(
                each + timedelta(days=1), zone=zone
            )


NAIVE = datetime(2026, 8, 6, 6)  # noqa: DTZ001
NOON = datetime(2026, 8, 6, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("refused", "said"),
    [
        (lambda: elapsed(NAIVE, NOON), "start 2026-08-06 06:00:00: a zone is needed"),
        (lambda: elapsed(NOON, NAIVE), "stop 2026-08-06 06:00:00: a zone is needed"),
        (lambda: elapsed_minutes(NAIVE, NOON), "start .*: a zone is needed"),
        (lambda: Interval(NAIVE, None, DENVER), "both instants need a zone"),
        (lambda: Interval(NOON, NAIVE, DENVER), "both instants need a zone"),
        (lambda: local_instant(NOON, zone=DENVER), "a time without a zone is needed"),
        (lambda: local_instant(NAIVE, zone="Mars/Base"), "zone Mars/Base: allowed is"),
        (lambda: zone_of(""), "zone : allowed is"),
        (lambda: zone_of("../etc/passwd"), "zone ../etc/passwd: allowed is"),
        (lambda: as_span(Quantity(Decimal("9E20"), "d")), "9.* d: a time within a"),
        (lambda: as_time(MINUTE, unit="in"), "unit in: a unit of time is needed"),
    ],
)
def test_what_is_no_time_is_refused_by_name(refused, said):
    with pytest.raises(ValueError, match=said):
        refused()


@pytest.mark.parametrize(
    ("wall", "said"),
    [
        (datetime(2026, 11, 1, 1, 30, 5), "2026-11-01 01:30:05-06:00"),  # noqa: DTZ001
        (datetime(2026, 11, 1, 1, 30, 0, 7), "01:30:00.000007-06:00"),  # noqa: DTZ001
    ],
)
def test_a_repeated_time_is_said_as_finely_as_it_was_typed(wall, said):
    with pytest.raises(RepeatedTimeError, match=said):
        local_instant(wall, zone=DENVER)


@given(st.timedeltas(timedelta(days=-4000), timedelta(days=4000)))
def test_a_span_in_seconds_comes_back(span):
    assert as_span(as_time(span, unit="s")) == span
