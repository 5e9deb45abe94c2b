"""Weeks, cuts and deadlines, against plain UTC arithmetic and the scenario."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from inspections.domain.week import (
    cut_of,
    next_work_day,
    report_deadline,
    report_timing,
    week_of,
)
from project.domain.clocks import day_ends, day_starts
from project.domain.verdict import State
from tests.support.scenario import SCENARIO

DENVER = "America/Denver"
HOLIDAYS = [date.fromisoformat(one["date"]) for one in SCENARIO["job"]["holidays"]]


def local(text):
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(DENVER))


@pytest.mark.parametrize("first", range(7))
def test_a_week_has_seven_days_and_holds_its_date(first):
    day = date(2024, 2, 20)
    while day < date(2024, 3, 15):
        week = week_of(day, first_weekday=first)
        assert week.holds(day)
        assert week.first.weekday() == first
        assert len(week.days) == 7
        assert week.days[0] == week.first
        assert week.days[-1] == week.last
        assert not week.holds(week.last + timedelta(days=1))
        day += timedelta(days=1)


@pytest.mark.parametrize("first", [-1, 7])
def test_an_unknown_weekday_is_refused(first):
    with pytest.raises(ValueError, match=f"first weekday {first}: allowed are 0"):
        week_of(date(2026, 8, 12), first_weekday=first)


# Days on which clocks change, with the zone's own offsets before and after, in minutes
# from UTC. IANA time zone database, through PyPI's tzdata; offsets from memory.
CHANGES = [
    # zone, day, offset at its start, offset at the next day's start
    ("America/Denver", date(2026, 3, 8), -420, -360),
    ("America/Denver", date(2026, 11, 1), -360, -420),
    ("Europe/Helsinki", date(2026, 3, 29), 120, 180),
    ("Australia/Lord_Howe", date(2026, 4, 5), 660, 630),
    ("America/Havana", date(2026, 3, 8), -300, -240),  # midnight is skipped
    ("America/Havana", date(2026, 11, 1), -240, -300),  # midnight comes twice
    ("America/Asuncion", date(2023, 10, 1), -240, -180),  # midnight is skipped
    ("America/Asuncion", date(2024, 3, 23), -180, -240),  # 23:00 comes twice
]


@pytest.mark.parametrize(("zone", "day", "before", "after"), CHANGES)
def test_days_of_a_clock_change_start_and_end_as_utc_arithmetic_says(
    zone, day, before, after
):
    midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
    start = midnight - timedelta(minutes=before)
    end = midnight + timedelta(days=1) - timedelta(minutes=after)
    assert day_starts(day, zone=zone) == start
    assert day_ends(day, zone=zone) == end - timedelta(microseconds=1)


@pytest.mark.parametrize("zone", sorted({zone for zone, *_ in CHANGES}))
def test_a_days_bounds_agree_with_walking_through_utc(zone):
    """Oracle: walk UTC in quarter hours and see when the local date turns."""
    step, place = timedelta(minutes=15), ZoneInfo(zone)
    at = datetime(2026, 2, 20, tzinfo=UTC)
    turned: dict[date, datetime] = {}
    while at < datetime(2026, 11, 20, tzinfo=UTC):
        turned.setdefault(at.astimezone(place).date(), at)
        at += step
    for day, first in list(turned.items())[1:]:
        assert day_starts(day, zone=zone) == first
        assert day_ends(day - timedelta(days=1), zone=zone) < first
    assert len(turned) > 270


def test_the_cut_is_the_last_instant_of_the_week():
    week = week_of(date(2026, 8, 13), first_weekday=0)
    cut = cut_of(week, zone=DENVER)
    assert cut < local("2026-08-17T00:00") <= cut + timedelta(microseconds=1)
    assert cut.astimezone(ZoneInfo(DENVER)).date() == date(2026, 8, 16)


@pytest.mark.parametrize("packet", SCENARIO["packets"], ids=lambda p: p["id"])
def test_the_scenarios_packets_have_these_weeks_and_cuts(packet):
    first = date.fromisoformat(packet["week_from"])
    for day in week_of(first, first_weekday=0).days:
        week = week_of(day, first_weekday=0)
        assert week.first == first
        assert week.last == date.fromisoformat(packet["week_to"])
    cut = cut_of(week_of(first, first_weekday=0), zone=DENVER)
    said = cut.astimezone(ZoneInfo(DENVER)).replace(tzinfo=None)
    assert said.isoformat(timespec="minutes") == packet["cut_at"]


def test_a_work_day_skips_weekends_and_holidays():
    friday = date(2026, 9, 4)
    assert next_work_day(friday, non_working=[]) == date(2026, 9, 7)
    assert next_work_day(friday, non_working=HOLIDAYS) == date(2026, 9, 8)
    assert next_work_day(date(2026, 9, 5), non_working=HOLIDAYS) == date(2026, 9, 8)
    assert next_work_day(date(2026, 9, 8), non_working=HOLIDAYS) == date(2026, 9, 9)


def test_a_job_that_never_works_again_is_refused():
    always = [date(2026, 9, 4) + timedelta(days=n) for n in range(70)]
    with pytest.raises(ValueError, match="none of the 60 after 2026-09-04 works"):
        next_work_day(date(2026, 9, 4), non_working=always)


@pytest.mark.parametrize("report", SCENARIO["reports"], ids=lambda r: r["id"])
def test_the_scenarios_reports_have_these_deadlines(report):
    day = date.fromisoformat(report["work_date"])
    deadline = report_deadline(day, non_working=HOLIDAYS, zone=DENVER)
    said = deadline.astimezone(ZoneInfo(DENVER)).replace(tzinfo=None)
    assert said.isoformat(timespec="minutes") == report["deadline"]
    timing = report_timing(
        work_date=day,
        signed_at=local(report["signed_at"]),
        now=local("2026-09-14T07:30"),
        deadline=deadline,
        zone=DENVER,
    )
    late = report["id"] == "DFR-019"
    assert (timing.state is State.FAIL) is late
    assert (timing.late_minutes > 0) is late
    if late:
        assert timing.days_after_shift == 4
        assert timing.late_minutes == 9 * 60 + 12 + 1


def test_an_unsigned_report_is_not_due_then_late():
    deadline = report_deadline(date(2026, 8, 28), non_working=HOLIDAYS, zone=DENVER)

    def at(now):
        return report_timing(
            work_date=date(2026, 8, 28),
            signed_at=None,
            now=now,
            deadline=deadline,
            zone=DENVER,
        )

    assert at(deadline).state is State.NOT_DUE
    assert at(deadline).late_minutes == 0
    past = at(deadline + timedelta(microseconds=1))
    assert past.state is State.FAIL
    assert past.late_minutes == 1


def test_lateness_is_elapsed_time_across_a_clock_change():
    # Work on Friday 30 Oct 2026: due at the end of Monday 2 Nov. The clock goes back
    # on Sunday, and the deadline keeps its local hour. Oracle: UTC arithmetic.
    deadline = report_deadline(date(2026, 10, 30), non_working=[], zone=DENVER)
    assert deadline == datetime(2026, 11, 3, 6, 59, 59, 999999, tzinfo=UTC)
    before = report_deadline(date(2026, 10, 23), non_working=[], zone=DENVER)
    assert deadline - before == timedelta(days=7, hours=1)


def test_an_instant_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="signed at 2026-08-31 00:00:00: a zone"):
        report_timing(
            work_date=date(2026, 8, 28),
            signed_at=datetime(2026, 8, 31),  # noqa: DTZ001
            now=local("2026-09-14T07:30"),
            deadline=local("2026-09-01T00:00"),
            zone=DENVER,
        )


@pytest.mark.parametrize(
    ("within", "day"), [(0, "2026-09-04"), (1, "2026-09-08"), (2, "2026-09-09")]
)
def test_a_deadline_may_lie_several_work_days_on(within, day):
    friday = date(2026, 9, 4)
    found = report_deadline(friday, non_working=HOLIDAYS, zone=DENVER, within=within)
    assert found == day_ends(date.fromisoformat(day), zone=DENVER)


def test_a_deadline_before_the_work_is_refused():
    with pytest.raises(ValueError, match="within -1: allowed is 0 work days or more"):
        report_deadline(date(2026, 9, 4), non_working=[], zone=DENVER, within=-1)
