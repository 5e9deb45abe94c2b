"""The watch over one who may not shoot alone, against a count minute by minute.

Source: contract practice (project's choice, no published rule found): one named
supervisor, there the whole time, not shooting, one trainee at a time.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from crews.domain import examples
from crews.domain.qualification import standing
from crews.domain.supervision import (
    Elsewhere,
    Stand,
    Watch,
    breaches,
    condition,
    named_supervisor,
    trainees_at_once,
)
from crews.domain.trade_words import Level
from project.domain.clocks import Interval
from project.domain.editions import Departure, resolve
from project.domain.verdict import Ref, State

SEVEN = datetime(2026, 8, 4, 13, tzinfo=UTC)  # 07:00 in Denver
WATCHER = Ref("operator", "op-2", "OP-02")
OTHERS = tuple(Ref("operator", f"op-{n}", f"OP-0{n}") for n in (3, 4, 5))
FILE = replace(examples.operator_file(), operator=WATCHER)
PRESENCE = Ref("presence", "p-1", "supervisor")


def _at(minutes: int) -> datetime:
    return SEVEN + timedelta(minutes=minutes)


def _held(start: int, stop: int | None) -> Interval:
    end = None if stop is None else _at(stop)
    return Interval(_at(start), end, examples.ZONE)


def _stood(start: int, stop: int | None, who: str = "op-2", part: str = "") -> Stand:
    end = None if stop is None else _at(stop)
    return Stand(operator=who, start=_at(start), stop=end, part=part, ref=PRESENCE)


def _away(who: Ref, start: int, stop: int | None) -> Elsewhere:
    ref = Ref("nozzletime", f"{who.id} {start}", "PL-002")
    end = None if stop is None else _at(stop)
    return Elsewhere(operator=who, start=_at(start), stop=end, ref=ref)


def _watch(*stands: Stand, away: tuple[Elsewhere, ...] = ()) -> Watch:
    return Watch(supervisor=FILE, noted=True, stands=stands, elsewhere=away)


def _condition(watch: Watch | None, interval: Interval, **given):
    return condition(watch, part="R1", interval=interval, terms=None, **given)


WHOLE = _held(0, 120)
KEPT = (
    "supervised by OP-02, qualified on record; "
    "one named supervisor, present the whole time, not shooting"
)
BROKEN = "supervised by OP-02, but not the whole time: "


@pytest.mark.parametrize(
    ("watch", "interval", "state", "found"),
    [
        (_watch(_stood(-10, None)), WHOLE, State.CONDITION, KEPT),
        (_watch(_stood(0, 120)), WHOLE, State.CONDITION, KEPT),
        (
            _watch(_stood(0, 119)),
            WHOLE,
            State.FAIL,
            BROKEN + "OP-02 absent 08:59 to 09:00 (1 min)",
        ),
        (
            _watch(_stood(0, 30), _stood(80, None)),
            WHOLE,
            State.FAIL,
            BROKEN + "OP-02 absent 07:30 to 08:20 (50 min)",
        ),
        (
            _watch(_stood(0, 30), _stood(30, None, "op-3")),
            WHOLE,
            State.FAIL,
            BROKEN + "OP-02 absent 07:30 to 09:00 (90 min)",
        ),
        (
            _watch(_stood(0, 60), _stood(60, None, part="R2")),
            WHOLE,
            State.FAIL,
            BROKEN + "OP-02 absent 08:00 to 09:00 (60 min)",
        ),
        (
            _watch(_stood(0, None), away=(_away(WATCHER, 60, 75),)),
            WHOLE,
            State.FAIL,
            BROKEN + "OP-02 on the nozzle 08:00 to 08:15 (15 min)",
        ),
        (
            _watch(_stood(0, None), away=(_away(WATCHER, 120, 150),)),
            WHOLE,
            State.CONDITION,
            KEPT,
        ),
        (
            _watch(_stood(0, None), away=(_away(OTHERS[0], 90, None),)),
            WHOLE,
            State.FAIL,
            BROKEN + "OP-02 watches OP-03 too 08:30 to 09:00 (30 min)",
        ),
        (
            _watch(
                _stood(0, 110),
                away=(_away(WATCHER, 5, 10), _away(OTHERS[1], 20, 30)),
            ),
            WHOLE,
            State.FAIL,
            BROKEN + "OP-02 on the nozzle 07:05 to 07:10 (5 min), "
            "OP-02 watches OP-04 too 07:20 to 07:30 (10 min), "
            "OP-02 absent 08:50 to 09:00 (10 min)",
        ),
        # At the take only its own instant is asked.
        (_watch(_stood(0, 5)), _held(0, None), State.CONDITION, KEPT),
        (
            _watch(_stood(0, None), away=(_away(WATCHER, -30, None),)),
            _held(0, None),
            State.FAIL,
            BROKEN + "OP-02 on the nozzle at 07:00",
        ),
        (
            _watch(_stood(0, None), away=(_away(WATCHER, -30, 0),)),
            _held(0, None),
            State.CONDITION,
            KEPT,
        ),
        # Nobody noted: asked for as long as the nozzle is held, missing after.
        (
            Watch(supervisor=None, noted=True),
            _held(0, None),
            State.CONDITION,
            "one named supervisor, present the whole time, not shooting",
        ),
        (
            Watch(supervisor=None, noted=True),
            WHOLE,
            State.FAIL,
            "nobody noted as supervisor, 07:00 to 09:00 (120 min)",
        ),
        # Planned work: a supervisor is named whom nobody has seen yet.
        (Watch(supervisor=FILE), WHOLE, State.CONDITION, KEPT),
    ],
)
def test_a_watch_is_kept_or_every_minute_of_its_breach_is_told(
    watch, interval, state, found
):
    answered, words, _evidence = _condition(watch, interval)
    assert (answered, words) == (state, found)


def test_a_watch_names_what_it_rests_on():
    away = _away(OTHERS[0], 90, None)
    stood = (_stood(0, None), _stood(0, None, "op-3"))
    watch = _watch(*stood, away=(away,))
    assert _condition(watch, WHOLE)[2] == (WATCHER, PRESENCE, away.ref)


def test_who_may_not_supervise_is_told_beside_what_was_seen():
    watch = _watch(_stood(0, 60))
    state, words, _ = _condition(watch, WHOLE, shut="OP-02 cannot supervise: card")
    assert state is State.FAIL
    assert words == (
        "OP-02 cannot supervise: card; OP-02 absent 08:00 to 09:00 (60 min)"
    )


def test_a_night_watch_names_the_date_it_ends_on():
    night = _held(60 * 16, 60 * 18)  # 23:00 to 01:00
    words = _condition(_watch(_stood(0, 60 * 16 + 30)), night)[1]
    assert words.endswith("OP-02 absent 23:30 to 2026-08-05 01:00 (90 min)")


def test_the_contract_says_how_many_one_supervisor_watches():
    most = {"trainee_ratio": Departure(Decimal(2), None, "contract")}
    terms = resolve(
        "ibc-2018-1908",
        revision=1,
        effective_on=date(2026, 7, 1),
        departures=most,
    )
    assert trainees_at_once(terms) == 2
    one, two = _away(OTHERS[0], 0, 60), _away(OTHERS[1], 30, 90)
    stood = _stood(0, None)
    for away, state in (((one,), State.CONDITION), ((one, two), State.FAIL)):
        answered = condition(
            _watch(stood, away=away), part="R1", interval=WHOLE, terms=terms
        )
        assert answered[0] is state
    assert "watches OP-03, OP-04 too 07:30 to 08:00 (30 min)" in answered[1]


@pytest.mark.parametrize(
    ("stands", "named"),
    [
        ((), ""),
        ((_stood(0, None),), "op-2"),
        ((_stood(-5, 0),), ""),
        ((_stood(-5, None, "op-3"), _stood(-10, None)), "op-2"),
        ((_stood(0, None, "op-1"),), ""),  # the one who shoots
        ((_stood(0, None, part="R2"),), ""),
        ((_stood(0, None, part="R1"),), "op-2"),
        ((_stood(5, None), _stood(20, None, "op-3")), "op-2"),
        ((_stood(5, None, "op-3"), _stood(-1, 1)), "op-2"),
        ((_stood(120, None),), ""),
    ],
)
def test_one_supervisor_is_named_for_a_nozzle_time(stands, named):
    found = named_supervisor(stands, part="R1", apart_from="op-1", interval=WHOLE)
    assert found == named


def test_at_the_take_nobody_who_comes_later_is_named():
    later = [_stood(5, None)]
    held = _held(0, None)
    assert not named_supervisor(later, part="R1", apart_from="op-1", interval=held)


TRAINING = replace(examples.card(), level=Level.IN_TRAINING)
LATER_CARD = replace(TRAINING, number="W-2", issued_on=date(2026, 8, 20))


def _trainee(*more):
    return replace(examples.operator_file(), cards=(TRAINING, *more))


def _standing(watch, interval=WHOLE, more=()):
    own = replace(examples.mock_up(), operator=WATCHER)
    card = replace(examples.card(), number="WV-9", expires_on=date(2026, 8, 10))
    able = replace(FILE, mock_ups=(own,), cards=(card,))
    return standing(
        _trainee(*more),
        examples.demand(),
        interval=interval,
        watch=replace(watch, supervisor=able),
        terms=None,
    )


def test_a_kept_watch_stands_until_a_card_of_the_two_ends():
    answer = _standing(_watch(_stood(0, None)))
    assert answer.state is State.CONDITION
    assert answer.ends_because == "card WV-9: last valid day 2026-08-10"


def test_a_mix_that_is_withdrawn_ends_the_condition_of_both():
    mix = replace(examples.demand().mix, withdrawn_on=date(2026, 8, 7))
    own = replace(examples.mock_up(), operator=WATCHER)
    answer = standing(
        _trainee(),
        replace(examples.demand(), mix=mix),
        interval=WHOLE,
        watch=Watch(supervisor=replace(FILE, mock_ups=(own,))),
        terms=None,
    )
    assert answer.state is State.CONDITION
    assert "withdrawn" in answer.ends_because


def test_a_mix_approved_later_opens_the_supervisors_gates_as_well():
    mix = replace(examples.demand().mix, approved_on=date(2026, 8, 7))
    own = replace(examples.mock_up(), operator=WATCHER)
    answer = standing(
        _trainee(),
        replace(examples.demand(), mix=mix),
        interval=_held(0, None),
        watch=Watch(supervisor=replace(FILE, mock_ups=(own,))),
        terms=None,
    )
    assert "OP-02 cannot supervise: mix" in " ".join(r.found for r in answer.failed)
    assert "approved 2026-08-07" in answer.ends_because


@pytest.mark.parametrize("more", [(), (LATER_CARD,)])
def test_what_broke_a_watch_is_over_and_nothing_on_record_mends_it(more):
    answer = _standing(_watch(_stood(0, 60)), more=more)
    assert answer.state is State.FAIL
    assert (answer.holds_until, answer.ends_because) == (None, "")


def _slow(watch: Watch, interval: Interval, most: int) -> int:
    """Count the minutes in which something was amiss, each kind by itself."""
    amiss = 0
    minute, stop = interval.start, interval.stop
    while stop and minute < stop:

        def there(one: Stand | Elsewhere, at: datetime = minute) -> bool:
            return one.start <= at and (one.stop is None or at < one.stop)

        stood = [s for s in watch.stands if s.operator == "op-2" and s.part != "R2"]
        amiss += not any(map(there, stood))
        away = [one for one in watch.elsewhere if there(one)]
        amiss += sum(one.operator == WATCHER for one in away)
        amiss += sum(one.operator != WATCHER for one in away) >= most
        minute += timedelta(minutes=1)
    return amiss


@pytest.mark.parametrize("seed", range(40))
def test_every_breach_agrees_with_a_count_minute_by_minute(seed):
    chance = random.Random(seed)

    def span() -> tuple[int, int | None]:
        start = chance.randrange(-60, 120)
        open_ = chance.random() < 0.2
        return start, None if open_ else start + chance.randrange(1, 90)

    for _ in range(25):
        stands = [
            _stood(*span(), chance.choice(["op-2", "op-2", "op-3"]), part)
            for part in chance.choices(["", "R1", "R2"], k=chance.randrange(4))
        ]
        # One pair of hands holds one nozzle: own times do not overlap.
        own = [_away(WATCHER, *span())] if chance.random() < 0.4 else []
        others = [_away(one, *span()) for one in OTHERS if chance.random() < 0.4]
        watch = _watch(*stands, away=(*own, *others))
        most = chance.choice([1, 1, 2, 3])
        found = breaches(watch, part="R1", interval=WHOLE, most=most)
        assert sum(one.gap.minutes for one in found) == _slow(watch, WHOLE, most)
