"""Hours on the nozzle: a table of single times, and random histories minute by minute."""

from __future__ import annotations

import csv
import random
from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from crews.domain import examples
from crews.domain.hours import (
    HeldTime,
    Hours,
    Period,
    ShotClass,
    clock_text,
    count,
    hours_working,
    level_at,
    piece_of,
)
from crews.domain.hours_told import (
    Stated,
    as_plain,
    changes,
    from_plain,
    frozen_classes,
    tallies,
    unverified,
)
from crews.domain.trade_words import Level, Method
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity
from project.domain.verdict import Ref

TABLE = Path(__file__).parents[2] / "tables" / "hours.csv"
with TABLE.open(encoding="utf-8") as table:
    ROWS = list(csv.DictReader(table))

WALL = ShotClass(Process.WET, Position.VERTICAL, Method.HAND)
SOFFIT = ShotClass(Process.WET, Position.OVERHEAD, Method.HAND)
CROWN = ShotClass(Process.WET, Position.OVERHEAD, Method.ROBOTIC)
DRY = ShotClass(Process.DRY, Position.VERTICAL, Method.HAND)
ALWAYS = Period(None, None, "UTC")
LATER = datetime(2027, 1, 1, tzinfo=UTC)


def held(
    start: str | datetime,
    stop: str | datetime | None,
    shot: ShotClass = WALL,
    level: Level | None = Level.FULL,
    name: str = "PL-001",
) -> HeldTime:
    instants = [
        datetime.fromisoformat(one) if isinstance(one, str) else one
        for one in (start, stop)
    ]
    start_at, stop_at = instants
    assert start_at is not None
    ref = Ref("nozzletime", f"{name} {start_at.isoformat()}", name)
    return HeldTime(shot=shot, start=start_at, stop=stop_at, level=level, ref=ref)


def day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


@pytest.mark.parametrize("row", ROWS, ids=[row["case"] for row in ROWS])
def test_one_time_in_a_period(row):
    period = Period(day(row["first"]), day(row["last"]), row["zone"])
    piece = piece_of(held(row["start"], row["stop"]), period=period)
    if not row["minutes"]:
        assert piece is None
        return
    assert piece is not None
    assert (piece.minutes, len(piece.dates)) == (int(row["minutes"]), int(row["days"]))


# --- Random histories against a slow reading ------------------------------------------

# A zone for each way a clock changes in 2026, and a night on which it does.
ZONES = {
    "America/Denver": ["2026-03-08T09:00Z", "2026-11-01T08:00Z"],
    "Australia/Lord_Howe": ["2026-04-04T15:00Z", "2026-10-03T15:30Z"],
    "America/Santiago": ["2026-04-05T03:00Z", "2026-09-06T04:00Z"],
}
LEVELS = [Level.FULL, Level.IN_TRAINING, None]


def history(
    zone: str, chance: random.Random
) -> tuple[list[HeldTime], Period, datetime]:
    """Make up a few nozzle times round a clock change, a period and an instant."""
    change = datetime.fromisoformat(chance.choice(ZONES[zone]))
    times = []
    for n in range(chance.randint(0, 6)):
        start = change + timedelta(seconds=chance.randint(-3 * 86_400, 2 * 86_400))
        long = timedelta(seconds=chance.choice([59, 60, chance.randint(1, 40_000)]))
        stop = None if chance.random() < 0.1 else start + long
        shot = chance.choice([WALL, SOFFIT, CROWN, DRY])
        times.append(held(start, stop, shot, chance.choice(LEVELS), f"PL-{n}"))
    near = change.astimezone(ZoneInfo(zone)).date()
    ends = [near + timedelta(days=chance.randint(-2, 2)) for _ in range(2)]
    first, last = sorted(ends)
    period = Period(
        first if chance.random() < 0.7 else None,
        last if chance.random() < 0.7 else None,
        zone,
    )
    as_of = change + timedelta(seconds=chance.randint(-86_400, 4 * 86_400))
    return times, period, as_of


def inside(moment: datetime, period: Period) -> date | None:
    """Return the date on which a moment came to its end, if it is of the period."""
    just_before = moment - timedelta(microseconds=1)
    on = just_before.astimezone(ZoneInfo(period.zone)).date()
    early = period.first is not None and on < period.first
    late = period.last is not None and on > period.last
    return None if early or late else on


def slowly(
    times: list[HeldTime], period: Period, as_of: datetime
) -> tuple[Counter, set[date], set[HeldTime]]:
    """Walk each minute of each time, and ask its wall on which date it ended.

    A time that was not left yet is not walked; it is named if it touches the period.
    """
    minutes: Counter = Counter()
    dates: set[date] = set()
    still = set()
    for time in times:
        if time.start > as_of:
            continue
        left = time.stop is not None and time.stop <= as_of
        stop = time.stop if left and time.stop else as_of
        moments = [time.start + timedelta(microseconds=1), stop]
        moment = time.start + timedelta(minutes=1)
        while moment <= stop:
            moments.append(moment)
            on = inside(moment, period)
            if left and on is not None:
                minutes[time.shot, time.level, on] += 1
            moment += timedelta(minutes=1)
        touched = {on for one in moments if (on := inside(one, period))}
        if left:
            dates |= touched
        elif touched:
            still.add(time)
    return minutes, dates, still


@pytest.mark.parametrize("zone", ZONES)
def test_random_histories_agree_minute_by_minute(zone):
    chance = random.Random(f"hours {zone}")
    counted = 0
    for _ in range(100):
        times, period, as_of = history(zone, chance)
        minutes, dates, still = slowly(times, period, as_of)
        found = count(times, period=period, as_of=as_of)
        by_class: Counter = Counter()
        by_month: Counter = Counter()
        for (shot, level, on), n in minutes.items():
            by_class[shot, level] += n
            by_month[on.replace(day=1)] += n
        told = {
            (line.shot, level): line.with_level(level)
            for line in found.classes
            for level in LEVELS
        }
        assert found.minutes == sum(minutes.values())
        assert found.days == len(dates)
        assert +Counter(told) == by_class
        assert {m.first: m.minutes for m in found.months if m.minutes} == dict(by_month)
        assert set(found.still_on) == still
        counted += found.minutes
    assert counted > 5_000


def test_days_that_follow_each_other_add_up_to_the_whole():
    night = held("2026-10-31T22:10:40-06:00", "2026-11-01T04:59:10-07:00")
    whole = piece_of(night, period=Period(None, None, "America/Denver"))
    parts = [
        piece_of(night, period=Period(on, on, "America/Denver"))
        for on in (date(2026, 10, 31), date(2026, 11, 1))
    ]
    assert whole is not None
    assert sum(p.minutes for p in parts if p is not None) == whole.minutes == 468


# --- Open times, levels, words --------------------------------------------------------


def test_a_nozzle_that_is_held_is_told_and_not_counted():
    open_time = held("2026-08-04T07:00+00:00", None)
    left = held("2026-08-04T05:00+00:00", "2026-08-04T06:00+00:00")
    at = datetime(2026, 8, 4, 9, tzinfo=UTC)
    found = count([open_time, left], period=ALWAYS, as_of=at)
    assert (found.minutes, found.still_on) == (60, (open_time,))
    before = count([open_time, left], period=ALWAYS, as_of=at - timedelta(hours=3.5))
    assert (before.minutes, before.still_on) == (0, (left,))
    other_day = Period(date(2026, 8, 5), date(2026, 8, 5), "UTC")
    assert count([open_time], period=other_day, as_of=at).still_on == ()
    # A nozzle nobody has left since is still held on the days that follow.
    overnight = at + timedelta(days=1)
    assert count([open_time], period=other_day, as_of=overnight).still_on


def test_an_instant_without_a_zone_is_refused():
    zoned = held("2026-08-04T07:00+00:00", None)
    bare = replace(zoned, start=zoned.start.replace(tzinfo=None))
    with pytest.raises(ValueError, match="a zone is needed"):
        count([bare], period=ALWAYS, as_of=LATER)


THEN = datetime(2026, 8, 4, 13, tzinfo=UTC)
ON = date(2026, 8, 4)
FULL = examples.card()
TRAINING = replace(FULL, id=UUID(int=2), level=Level.IN_TRAINING)


@pytest.mark.parametrize(
    ("cards", "shot", "on", "known_at", "level"),
    [
        ([FULL], WALL, ON, THEN, Level.FULL),
        ([FULL], SOFFIT, ON, THEN, Level.FULL),
        ([FULL], DRY, ON, THEN, None),
        ([FULL], CROWN, ON, THEN, None),
        ([TRAINING], WALL, ON, THEN, Level.IN_TRAINING),
        ([TRAINING, FULL], WALL, ON, THEN, Level.FULL),
        ([FULL], WALL, FULL.expires_on, THEN, Level.FULL),
        ([FULL], WALL, FULL.expires_on + timedelta(days=1), THEN, None),
        ([FULL], WALL, FULL.issued_on - timedelta(days=1), THEN, None),
        ([FULL], WALL, ON, FULL.recorded_at, Level.FULL),
        ([FULL], WALL, ON, FULL.recorded_at - timedelta(microseconds=1), None),
        ([], WALL, ON, THEN, None),
    ],
)
def test_the_level_is_of_the_card_known_at_the_take(cards, shot, on, known_at, level):
    assert level_at(cards, shot=shot, on=on, known_at=known_at) is level


def said(hours: str, on: str, by: str = "Idris Halloran") -> Stated:
    return Stated(
        process=Process.WET,
        method=Method.HAND,
        hours=Decimal(hours),
        stated_by=by,
        stated_on=date.fromisoformat(on),
        ref=Ref("experience", f"{by} {on}", "wet hand"),
    )


def record(*times: HeldTime, period: Period = ALWAYS) -> Hours:
    return count(times, period=period, as_of=LATER)


MORNING = held("2026-08-04T07:10+00:00", "2026-08-04T11:40+00:00")
NIGHT = held("2026-08-05T22:00+00:00", "2026-08-06T02:00+00:00", SOFFIT, None)


def test_what_is_stated_stands_beside_the_record_and_the_sum_is_its_own_figure():
    [tally] = tallies(record(MORNING, NIGHT), stated=[said("2150.25", "2026-08-04")])
    assert (tally.minutes, tally.days, tally.because) == (510, 3, "")
    assert tally.together == Quantity(Decimal("2158.75"), "h")
    working = tally.working()
    assert working is not None
    assert working.steps[0].line == "2150.25 h + 8.50 h = 2158.75 h"


@pytest.mark.parametrize(
    ("stated", "because"),
    [
        ([], "nothing is stated"),
        ([said("10", "2026-08-05")], "after shooting on this record began"),
        (
            [said("10", "2026-07-01"), said("12", "2026-07-02", "Petra Lindqvist")],
            "stated 2 times",
        ),
    ],
)
def test_hours_that_could_be_counted_twice_are_not_added(stated, because):
    [tally] = tallies(record(MORNING), stated=stated)
    assert tally.together is None
    assert because in tally.because
    assert tally.working() is None


def test_a_method_has_its_own_tally_and_its_own_scheme():
    crown = replace(MORNING, shot=CROWN, ref=Ref("nozzletime", "c", "PL-9"))
    hand, robot = tallies(record(MORNING, crown), stated=[])
    assert (hand.method, robot.method) == (Method.HAND, Method.ROBOTIC)
    assert [rule.note[:9] for rule in hand.rules] == ["500 hours", "under 500"]
    # No number of hours was read in any scheme for machines, and none is shown.
    assert robot.rules == ()


def test_what_was_verified_is_kept_and_told_apart_from_what_the_record_says_later():
    before = record(MORNING, NIGHT)
    kept = from_plain(as_plain(frozen_classes(before)))
    assert kept == frozen_classes(before)
    assert {i for one in kept for i in one.evidence} == {MORNING.ref.id, NIGHT.ref.id}
    assert changes(kept, now=before) == ()
    shorter = replace(MORNING, stop=MORNING.stop - timedelta(minutes=15))
    [change] = changes(kept, now=record(shorter, NIGHT))
    assert (clock_text(change.then), clock_text(change.now)) == ("4:30", "4:15")
    gone = changes(kept, now=record(NIGHT))
    assert [(c.shot, c.then, c.now) for c in gone] == [(WALL, 270, 0)]


@pytest.mark.parametrize(
    ("verified", "left"),
    [
        ([], 510),
        ([("2026-08-04", "2026-08-04")], 240),
        ([("2026-08-05", "2026-08-05")], 390),
        ([("2026-08-01", "2026-08-05"), ("2026-08-06", "2026-08-06")], 0),
    ],
)
def test_what_nobody_verified_is_counted_by_its_dates(verified, left):
    days = [(date.fromisoformat(a), date.fromisoformat(b)) for a, b in verified]
    found = unverified(record(MORNING, NIGHT), verified=days)
    assert sum(piece.minutes for piece in found) == left


def test_a_working_adds_the_times_it_names():
    working = hours_working("wet", record(MORNING, NIGHT).pieces)
    assert [step.line for step in working.steps] == [
        "270 + 240 = 510 min",
        "2026-08-04, 2026-08-05, 2026-08-06 = 3 d",
        "510 min / 60 = 8.50 h",
    ]
    assert working.reported == Quantity(Decimal("8.50"), "h")


def test_full_training_and_unknown_cards_stand_apart_and_make_the_sum():
    learner = replace(
        MORNING, level=Level.IN_TRAINING, ref=Ref("nozzletime", "3", "PL")
    )
    found = record(MORNING, NIGHT, learner)
    assert (found.full, found.in_training, found.no_card) == (270, 270, 240)
    assert found.full + found.in_training + found.no_card == found.minutes
    assert found.shot_anything
    assert not record().shot_anything


def test_a_time_that_is_not_left_has_no_piece_yet():
    still = held("2026-08-04T07:10+00:00", None)
    assert piece_of(still, period=ALWAYS) is None
