"""Random histories against a slow oracle: what was known when, and until when."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.qualification import standing
from project.domain.clocks import Interval
from project.domain.verdict import State
from tests.domain.qualification.histories import (
    END,
    STEP,
    TERMS,
    ZONES,
    history_of,
    instant,
    middle,
    slowly,
    together,
)

randoms = st.randoms(use_true_random=True)


@given(randoms)
def test_each_gate_is_judged_as_known_at_any_instant(random: Random) -> None:
    history, zone = history_of(random), random.choice(ZONES)
    file = history.file()
    for _ in range(8):
        when, known_at = instant(random), instant(random)
        verdict = standing(
            file.known_at(known_at),
            history.demand(known_at),
            interval=Interval(when, None, zone),
            watch=None,
            terms=TERMS,
        )
        wanted = slowly(history, when, known_at, zone)
        assert {r.key: r.state for r in verdict.reasons if r.key in wanted} == wanted


@given(randoms)
def test_an_answer_holds_until_the_first_fact_that_ends_it(random: Random) -> None:
    """Facts turn on half hours and local midnights, shooting a moment after it begins."""
    history, zone, when = history_of(random), random.choice(ZONES), middle(random)
    verdict = standing(
        history.file().known_at(END),
        history.demand(END),
        interval=Interval(when, None, zone),
        watch=None,
        terms=TERMS,
    )
    now = together(slowly(history, when, END, zone))
    steps = {when + n * STEP for n in range(1, (END - when) // STEP)}
    ahead = sorted(steps | {t for t in history.turns() if when < t < END})
    turned = next(
        (t for t in ahead if together(slowly(history, t, END, zone)) is not now), None
    )
    assert verdict.state is now
    if turned is None:
        assert verdict.holds_until is None
        assert verdict.ends_because == ""
    else:
        assert verdict.holds_until == turned - timedelta(microseconds=1)
        assert verdict.ends_because


@given(randoms)
def test_an_interval_is_no_better_than_its_worst_date(random: Random) -> None:
    """Card and enrolment must stand on every date touched; a suspension may touch."""
    history, zone, when = history_of(random), random.choice(ZONES), middle(random)
    length = random.randint(1, 96)
    verdict = standing(
        history.file().known_at(END),
        history.demand(END),
        interval=Interval(when, when + length * STEP, zone),
        watch=None,
        terms=TERMS,
    )
    points = [slowly(history, when + n * STEP, END, zone) for n in range(length)]
    found = {reason.key: reason.state for reason in verdict.reasons}
    for key in ("enrolment", "card", "suspension"):
        refused = any(point[key] is State.FAIL for point in points)
        assert (found[key] is State.FAIL) is refused
    assert found["mock-up"] is points[0]["mock-up"]


def test_the_histories_give_answers_of_every_kind() -> None:
    """An oracle that only ever refuses would prove nothing."""
    seen: Counter[State] = Counter()
    turned: Counter[bool] = Counter()
    for seed in range(200):
        random = Random(seed)
        history, zone, when = history_of(random), random.choice(ZONES), middle(random)
        now = together(slowly(history, when, END, zone))
        later = together(slowly(history, when + 4 * 48 * STEP, END, zone))
        seen[now] += 1
        turned[later is not now] += 1
    assert min(seen[s] for s in (State.PASS, State.CONDITION, State.FAIL)) >= 10
    assert turned[True] >= 20


@pytest.mark.slow
def test_ten_thousand_histories_are_judged_as_the_oracle_judges_them() -> None:
    """One instant and one knowledge of each; the seed names the history."""
    wrong = []
    for seed in range(10_000):
        random = Random(seed)
        history, zone = history_of(random), random.choice(ZONES)
        when, known_at = instant(random), instant(random)
        verdict = standing(
            history.file().known_at(known_at),
            history.demand(known_at),
            interval=Interval(when, None, zone),
            watch=None,
            terms=TERMS,
        )
        wanted = slowly(history, when, known_at, zone)
        found = {r.key: r.state for r in verdict.reasons if r.key in wanted}
        if found != wanted:
            wrong.append((seed, found, wanted))
    assert wrong == []
