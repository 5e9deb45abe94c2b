"""The rolling record: counts, means from five sets on, rates, and whose work it was."""

from __future__ import annotations

import csv
import statistics
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.rolling_record import (
    PanelSet,
    SetRecord,
    Share,
    Where,
    begins,
    set_record,
)
from crews.domain.strength_list import TooFew
from crews.domain.trade_words import RatingDecision
from inspections.domain.rolling_record import (
    PLACING,
    NoRate,
    Rate,
    Rated,
    Seen,
    Shot,
    Volume,
    Work,
    cells_of,
    rate_of,
    record_of,
    whose,
)
from inspections.queries.catalogue import edition
from project.domain.units import Quantity
from project.domain.verdict import State

TABLE = Path(__file__).parents[1] / "tables" / "rates.csv"
RATES = list(csv.DictReader(TABLE.read_text("utf-8").splitlines()))
BEGUN = datetime(2026, 8, 4, 12, tzinfo=UTC)
HERE = Where(
    operator="OP-01", mix="W-45A rev 2", position="vertical", crew="A1", rig="RIG-A1"
)


def q(value: object, unit: str) -> Quantity:
    return Quantity(Decimal(str(value)), unit)


def one(n: int, low: object = 4000, high: object = 4400, **facts: object) -> PanelSet:
    """Return the set of the n-th day: two cores, f_c of 4000 psi, passed."""
    cores = (("low", Decimal(str(low))), ("high", Decimal(str(high))))
    base = PanelSet(
        panel=f"TP-{n:03d}",
        where=HERE,
        shot_at=BEGUN + timedelta(days=n),
        f_c=q(4000, "psi"),
        state=State.PASS,
        mean=sum((strength for _, strength in cores), Decimal(0)) / 2,
        cores=cores,
    )
    return replace(base, **facts)


# --- Sets -----------------------------------------------------------------------------


def test_without_sets_there_is_nothing_to_tell_but_counts():
    none = set_record([])
    assert (none.count, none.failed, none.waiting) == (0, (), 0)
    assert (none.mean, none.lowest) == (None, None)
    assert (none.mean_working(), none.lowest_working()) == (None, None)
    waiting = set_record([one(1, state=State.NOT_DUE)])
    assert (waiting.count, waiting.waiting, waiting.mean) == (0, 1, None)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_below_five_sets_the_mean_is_too_few_and_the_lowest_core_is_told(count):
    record = set_record(one(n) for n in range(count))
    assert record.mean == TooFew(count, 5, "sets")
    assert record.mean_working() is None
    assert record.lowest is not None
    assert record.lowest.lowest_share == 100


def test_from_five_sets_on_the_mean_is_told_with_its_working():
    sets = [one(n, low=4000 + 40 * n, high=4000 + 40 * n) for n in range(5)]
    record = set_record(sets)
    assert record.mean == Decimal(102)
    working = record.mean_working()
    assert working is not None
    assert working.exact == q(102, "percent")
    assert [step.name for step in working.steps][:2] == [
        "TP-000 over f_c",
        "TP-001 over f_c",
    ]
    assert working.steps[-1].line == (
        "(100.0 + 101.0 + 102.0 + 103.0 + 104.0) / 5 = 102.000 %"
    )


def test_a_failed_set_without_a_mean_counts_as_failed_and_leaves_the_mean_alone():
    """One core under its share refuses before the others are broken."""
    early = one(9, state=State.FAIL, mean=None, cores=(("9/3", Decimal(2900)),))
    record = set_record([*(one(n) for n in range(5)), early])
    assert (record.count, len(record.failed)) == (6, 1)
    assert record.mean == Decimal(105)
    assert record.lowest is early
    working = record.lowest_working()
    assert working is not None
    assert working.steps[0].line == "2900 / 4000 × 100 = 72.500 %"
    four = set_record([*(one(n) for n in range(4)), early])
    assert four.mean == TooFew(4, 5, "sets")


def test_shares_of_mixes_in_other_units_are_compared_as_shares():
    metric = one(1, low=30, high=33, f_c=q(30, "MPa"))
    record = set_record([one(n) for n in range(2, 6)] + [metric])
    assert record.mean == Decimal(105)


def test_the_last_ten_sets_are_looked_at_and_the_others_are_counted():
    record = set_record(reversed([one(n, low=3000 + n) for n in range(12)]))
    assert [s.panel for s in record.sets] == [f"TP-{n:03d}" for n in range(2, 12)]
    assert record.earlier == 2
    assert begins(record) == BEGUN + timedelta(days=2)
    beside = set_record([one(1), one(2), one(3)], since=begins(record))
    assert [s.panel for s in beside.sets] == ["TP-002", "TP-003"]
    assert begins(set_record(one(n) for n in range(10))) is None
    every = set_record((one(n) for n in range(12)), last=None)
    assert (every.count, every.earlier) == (12, 0)


@pytest.mark.parametrize("last", [0, -1])
def test_a_record_of_no_sets_is_refused(last):
    with pytest.raises(ValueError, match=f"last {last}: allowed is 1 or more"):
        set_record([], last=last)


@given(
    st.lists(
        st.lists(st.integers(1000, 9000), min_size=3, max_size=3),
        min_size=5,
        max_size=10,
    )
)
def test_the_mean_is_what_the_statistics_module_makes_of_it(strengths):
    """Against Python's own statistics module."""
    sets = [
        one(
            n,
            mean=sum(map(Decimal, cores)) / 3,
            cores=tuple((str(k), Decimal(v)) for k, v in enumerate(cores)),
        )
        for n, cores in enumerate(strengths)
    ]
    record = set_record(sets)
    assert isinstance(record.mean, Decimal)
    means = [statistics.fmean(cores) / 40 for cores in strengths]
    assert float(record.mean) == pytest.approx(statistics.fmean(means))
    assert record.lowest is not None
    low = min(min(cores) for cores in strengths)
    assert float(record.lowest.lowest_share or 0) == pytest.approx(low / 40)


# --- Shares ---------------------------------------------------------------------------


def test_a_share_is_a_plain_figure_with_its_working():
    share = Share(name="volume", part=q("82.2", "yd3"), whole=q("296.9", "yd3"))
    assert f"{share.percent:.1f}" == "27.7"  # the demo's answer, reckoned apart
    working = share.working()
    assert working is not None
    assert "no warning from shares alone" in str(working.steps[0].source)
    none = Share(name="volume", part=q(0, "yd3"), whole=q(0, "yd3"))
    assert (none.percent, none.working()) == (None, None)


# --- Rates ----------------------------------------------------------------------------


@pytest.mark.parametrize("row", [pytest.param(r, id=r["case"]) for r in RATES])
def test_a_rate_is_told_from_five_sets_and_fifty_cubic_yards_on(row):
    volume = Volume(
        total=q(row["volume"], row["unit"]),
        times=4,
        estimated=0,
        unknown=int(row["unknown"]),
    )
    found = rate_of(int(row["deficiencies"]), volume=volume, sets=int(row["sets"]))
    if row["words"]:
        assert isinstance(found, NoRate)
        assert found.words == row["words"]
        assert found.too_few == row["words"].startswith("too few")
    else:
        assert isinstance(found, Rate)
        assert float(found.value) == pytest.approx(float(row["rate"]), rel=1e-8)
        assert found.working().exact.value == found.value


def test_fewer_than_no_deficiency_is_refused():
    volume = Volume(total=q(60, "yd3"), times=1, estimated=0, unknown=0)
    with pytest.raises(ValueError, match="count -1: allowed is 0 or more"):
        rate_of(-1, volume=volume, sets=5)


def test_placing_items_are_the_catalogues():
    for item in PLACING:
        assert edition().item(item).title.en
    for other in ("place-panel-shot", "place-fall-zone", "mat-slump", "cure-kept-on"):
        assert edition().item(other)
        assert other not in PLACING


# --- Whose ----------------------------------------------------------------------------


def shot(operator: str, start: int, stop: int | None, **facts: object) -> Shot:
    """Return a nozzle time from one hour after the beginning to another."""
    return Shot(
        where=replace(HERE, operator=operator, **facts),
        placement="PL-001",
        started_at=BEGUN + timedelta(hours=start),
        stopped_at=None if stop is None else BEGUN + timedelta(hours=stop),
        volume=q(10, "yd3"),
    )


def _whose(shots: list[Shot], hour: float) -> Where | None:
    return whose(shots, seen_at=BEGUN + timedelta(hours=hour))


def test_whoever_holds_the_nozzle_when_it_is_seen_is_meant():
    shots = [shot("OP-01", 0, 2), shot("OP-02", 3, None)]
    assert _whose(shots, 1) == replace(HERE, operator="OP-01")
    assert _whose(shots, 4) == replace(HERE, operator="OP-02")


def test_between_two_operators_nobody_is_blamed_by_a_guess():
    shots = [shot("OP-01", 0, 2), shot("OP-02", 3, 4, rig="RIG-A2")]
    found = _whose(shots, 5)
    assert found == replace(HERE, operator="", rig="")
    # What was shot afterwards does not matter: here the first alone had shot.
    assert _whose(shots, 2.5) == replace(HERE, operator="OP-01")


def test_before_anything_was_shot_it_is_nobodys():
    assert _whose([shot("OP-01", 1, 2)], 0.5) is None
    assert _whose([], 1) is None


# --- A record -------------------------------------------------------------------------


def _work() -> Work:
    other = replace(HERE, operator="OP-02")
    soffit = replace(HERE, position="overhead")
    return Work(
        unit="yd3",
        sets=(one(1), one(2, where=other), one(3, where=replace(HERE, operator=""))),
        shots=(
            shot("OP-01", 0, 1),
            replace(shot("OP-02", 1, 2), volume=q("3.82277428992", "m3")),
            replace(shot("OP-01", 2, None), volume=None, estimated=True),
        ),
        ratings=(
            Rated(
                panel="IP-01",
                where=soffit,
                rated_at=BEGUN,
                decision=RatingDecision.NOT_ACCEPTABLE,
            ),
        ),
        seen=(Seen(code="DEF-001", where=other),),
    )


def test_a_record_holds_what_is_chosen_and_nothing_else():
    mine = record_of(_work(), chosen=lambda where: where.operator == "OP-01")
    assert [s.panel for s in mine.sets.sets] == ["TP-001"]
    assert (mine.volume.total, mine.volume.times) == (q(10, "yd3"), 2)
    assert (mine.volume.estimated, mine.volume.unknown) == (1, 1)
    assert mine.rated(RatingDecision.NOT_ACCEPTABLE) == 1
    assert mine.seen == ()
    others = record_of(_work(), chosen=lambda where: where.operator != "OP-01")
    assert [s.panel for s in others.sets.sets] == ["TP-002", "TP-003"]
    assert others.volume.total == q(5, "yd3")
    assert [s.code for s in others.seen] == ["DEF-001"]
    working = others.volume.working()
    assert working is not None
    assert working.exact == q(5, "yd3")


def test_the_cells_of_an_operator_are_those_that_something_is_on_record_for():
    assert cells_of(_work(), operator="OP-01") == (
        ("W-45A rev 2", "overhead"),
        ("W-45A rev 2", "vertical"),
    )
    assert cells_of(_work(), operator="OP-09") == ()
    assert SetRecord(sets=()).count == 0


def test_without_a_known_volume_there_is_no_sum_to_work_out():
    nothing = Work(unit="yd3", sets=(), shots=(), ratings=(), seen=())
    empty = record_of(nothing, chosen=lambda where: True)
    assert empty.volume.working() is None
    assert isinstance(empty.rate, NoRate)
