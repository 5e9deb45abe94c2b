"""The roll call minute by minute.

Sources: a blowpipe beside close bars, and one supervisor who watches a trainee the
whole time, are common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.roll_call import (
    ONCE_A_SHIFT,
    OnNozzle,
    Post,
    call_nozzle,
    once_a_shift,
)
from crews.domain.trade_words import PresenceRole
from project.domain.shooting_words import Process
from project.domain.verdict import State

SEVEN = datetime(2026, 8, 18, 7, tzinfo=UTC)
BLOWPIPE, SUPERVISOR = PresenceRole.BLOWPIPE, PresenceRole.SUPERVISOR


def _at(minute: int) -> datetime:
    return SEVEN + timedelta(minutes=minute)


def _held(**given) -> OnNozzle:
    of: dict[str, Any] = {
        "operator": "OP-02",
        "name": "b",
        "part": "W2",
        "placement": "PL-011",
    }
    of |= {"start": _at(0), "stop": _at(60), "close_bars": State.FAIL}
    return OnNozzle(**of | given)


def _post(role, start, stop=None, part="") -> Post:
    return Post(
        role=role,
        name="c",
        start=_at(start),
        stop=None if stop is None else _at(stop),
        part=part,
    )


def _missing(called):
    return [(role, gap.minutes) for role, gap in called.missing]


@pytest.mark.parametrize(
    ("bars", "posts", "state", "missing"),
    [
        (State.FAIL, [(BLOWPIPE, 0, 60)], State.PASS, []),
        (State.FAIL, [(BLOWPIPE, 0)], State.PASS, []),
        (State.FAIL, [(BLOWPIPE, 0, 59)], State.FAIL, [(BLOWPIPE, 1)]),
        (State.FAIL, [(BLOWPIPE, 1, 60)], State.FAIL, [(BLOWPIPE, 1)]),
        (State.FAIL, [], State.FAIL, [(BLOWPIPE, 60)]),
        (State.FAIL, [(PresenceRole.HOSE, 0, 60)], State.FAIL, [(BLOWPIPE, 60)]),
        (State.FAIL, [(BLOWPIPE, 0, 60, "R1")], State.FAIL, [(BLOWPIPE, 60)]),
        (State.FAIL, [(BLOWPIPE, 0, 60, "W2")], State.PASS, []),
        # Bars that are not given never pass silently, and nobody is called missing.
        (State.UNDECIDED, [], State.UNDECIDED, []),
        (State.PASS, [], State.INFORMATION, []),
    ],
)
def test_a_blowpipe_is_asked_for_where_the_bars_are_close(bars, posts, state, missing):
    called = call_nozzle(
        _held(close_bars=bars), [_post(*post) for post in posts], until=_at(90)
    )
    assert called.state is state
    assert _missing(called) == missing


def test_one_who_may_not_shoot_alone_is_watched_every_minute():
    posts = [_post(SUPERVISOR, 0, 20), _post(SUPERVISOR, 30, 60)]
    called = call_nozzle(
        _held(close_bars=State.PASS, watched=True), posts, until=_at(90)
    )
    assert _missing(called) == [(SUPERVISOR, 10)]
    assert called.reasons[0].found == "c; 10 min with no supervisor"


def test_a_nozzle_still_held_is_asked_up_to_the_instant_looked_at():
    called = call_nozzle(_held(stop=None), [_post(BLOWPIPE, 0, 10)], until=_at(25))
    assert _missing(called) == [(BLOWPIPE, 15)]


@given(
    posts=st.lists(
        st.tuples(
            st.sampled_from([BLOWPIPE, SUPERVISOR]),
            st.integers(0, 70),
            st.none() | st.integers(1, 40),
        ),
        max_size=6,
    ),
    until=st.integers(0, 90),
)
def test_the_minutes_missing_are_those_that_nobody_covers(posts, until):
    made = [_post(role, a, None if n is None else a + n) for role, a, n in posts]
    called = call_nozzle(_held(watched=True), made, until=_at(until))
    for role in (BLOWPIPE, SUPERVISOR):
        open_minutes = sum(
            not any(
                r is role and a <= minute and (n is None or minute < a + n)
                for r, a, n in posts
            )
            for minute in range(min(60, until))
        )
        told = sum(m for r, m in _missing(called) if r is role)
        assert told == open_minutes


def test_the_rest_are_named_once_a_shift_and_nobody_noted_is_told():
    lines = once_a_shift([_post(PresenceRole.PUMP, 0)])
    assert tuple(line.role for line in lines) == ONCE_A_SHIFT
    assert [line.role for line in lines if line.posts] == [PresenceRole.PUMP]


def test_a_gun_is_called_in_dry_mix_work_and_whoever_was_noted_always():
    dry = once_a_shift([], processes=[Process.DRY])
    assert PresenceRole.PUMP not in {line.role for line in dry}
    noted = once_a_shift([_post(PresenceRole.PUMP, 0)], processes=[Process.DRY])
    assert {line.role for line in noted} == set(ONCE_A_SHIFT)
