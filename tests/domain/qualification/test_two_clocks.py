"""Random histories against a slow oracle: what was known when, and until when."""

from __future__ import annotations

from collections import Counter
from datetime import datetime, timedelta

from hypothesis import event, given, settings
from hypothesis import strategies as st

from crews.domain.qualification import standing
from project.domain.clocks import Interval
from project.domain.verdict import State
from tests.domain.qualification.histories import (
    END,
    STEP,
    History,
    histories,
    instants,
    middles,
    slowly,
    together,
    zones,
)


@given(
    history=histories(),
    zone=zones,
    asked=st.lists(st.tuples(instants, instants), min_size=8, max_size=8),
)
@settings(max_examples=150)
def test_each_gate_is_judged_as_known_at_any_instant(
    history: History, zone: str, asked: list[tuple[datetime, datetime]]
) -> None:
    file, demand = history.file(), history.demand()
    for when, known_at in asked:
        verdict = standing(
            file.known_at(known_at),
            demand,
            interval=Interval(when, None, zone),
            watch=None,
            terms=None,
        )
        wanted = slowly(history, when, known_at, zone)
        assert {r.key: r.state for r in verdict.reasons if r.key in wanted} == wanted


@given(history=histories(), zone=zones, when=middles)
@settings(max_examples=150)
def test_an_answer_holds_until_the_first_fact_that_ends_it(
    history: History, zone: str, when: datetime
) -> None:
    """Every fact turns on a half hour or a local midnight, so half hours find it."""
    verdict = standing(
        history.file().known_at(END),
        history.demand(),
        interval=Interval(when, None, zone),
        watch=None,
        terms=None,
    )
    now = together(slowly(history, when, END, zone))
    event(f"{now}")
    ahead = (when + n * STEP for n in range(1, (END - when) // STEP))
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


@given(history=histories(), zone=zones, when=middles, length=st.integers(1, 96))
@settings(max_examples=80)
def test_an_interval_is_no_better_than_its_worst_date(
    history: History, zone: str, when: datetime, length: int
) -> None:
    """Card and enrolment must stand on every date touched; a suspension may touch."""
    stop = when + length * STEP
    verdict = standing(
        history.file().known_at(END),
        history.demand(),
        interval=Interval(when, stop, zone),
        watch=None,
        terms=None,
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
    ended: Counter[bool] = Counter()

    @given(history=histories(), zone=zones, when=middles)
    @settings(max_examples=200, database=None)
    def count(history: History, zone: str, when: datetime) -> None:
        seen[together(slowly(history, when, END, zone))] += 1
        later = together(slowly(history, when + 4 * STEP * 48, END, zone))
        ended[later is together(slowly(history, when, END, zone))] += 1

    count()
    assert min(seen[s] for s in (State.PASS, State.CONDITION, State.FAIL)) >= 10
    assert min(ended.values()) >= 20
