"""The strength chart shows what the figures say, and joins nothing they do not."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from project.charts.control_chart import (
    ChartSet,
    ChartWords,
    Limit,
    control_chart,
    round_step,
)
from project.charts.drawing import Circle, Drawing, Ink, Line, Polyline, Rect, Text
from project.charts.svg import svg

WORDS = ChartWords("Strength, mix <W-45A>", "Eight sets; one fails.")


def chart_of(*sets: ChartSet) -> Drawing:
    return control_chart(
        sets,
        specified=Limit("f_c 4,500", Decimal(4500)),
        mean_limit=Limit("0.85: 3,825", Decimal(3825)),
        least_limit=Limit("0.75: 3,375", Decimal(3375)),
        unit="psi",
        words=WORDS,
    )


def one(mean: int, *, failed: bool = False, running: int | None = None) -> ChartSet:
    cores = tuple(Decimal(mean + d) for d in (-300, 0, 300))
    mark = None if running is None else Decimal(running)
    return ChartSet("TP-008", "R4", Decimal(mean), cores, failed, mark)


def of(kind: type, drawing: Drawing) -> list[Any]:
    return [shape for shape in drawing.shapes if isinstance(shape, kind)]


def test_three_limits_are_told_apart_by_their_dashes():
    limits = [line for line in of(Line, chart_of(one(5000))) if line.weight == 2.2]
    assert len({line.dash for line in limits}) == 3
    assert [line.y1 for line in limits] == sorted(line.y1 for line in limits)


def test_a_set_is_a_filled_square_with_its_cores_open_beside_it():
    drawing = chart_of(one(5000))
    (square,) = of(Rect, drawing)
    assert square.fill is Ink.INK
    cores = of(Circle, drawing)
    assert len(cores) == 3
    assert all(core.x > square.x + square.width for core in cores)
    assert all(core.fill is Ink.PAPER for core in cores)


def test_a_failed_set_is_crossed_and_wears_its_value():
    drawing = chart_of(one(5000), one(3670, failed=True))
    assert [r.fill for r in of(Rect, drawing)] == [Ink.INK, Ink.OXIDE]
    assert len([x for x in of(Line, drawing) if x.ink is Ink.ON_OXIDE]) == 2
    assert "TP-008, 3,670" in [text.words for text in of(Text, drawing)]


def test_a_gap_in_the_running_mean_is_not_bridged():
    means = [one(5000, running=5000)] * 3 + [one(5000)] + [one(5000, running=5100)] * 2
    chains = [p for p in of(Polyline, chart_of(*means)) if p.ink is Ink.ACCENT]
    assert [len(chain.points) for chain in chains] == [3, 2]


def test_without_sets_the_limits_stand_and_words_say_so():
    drawing = chart_of()
    assert "No set tested yet" in [text.words for text in of(Text, drawing)]
    assert not of(Rect, drawing)


@given(st.lists(st.integers(500, 12000), max_size=60))
def test_everything_lies_on_the_sheet_and_labels_keep_apart(means):
    drawing = chart_of(*(one(mean, running=mean) for mean in means))
    for shape in (*of(Circle, drawing), *of(Rect, drawing)):
        assert 0 <= shape.x <= drawing.width
        assert 0 <= shape.y <= drawing.height
    ends = sorted(t.y for t in of(Text, drawing) if t.x > drawing.width - 124)
    assert all(b - a >= 18 for a, b in pairwise(ends))


@given(st.integers(1000, 9000), st.integers(1, 2000))
def test_a_stronger_set_stands_higher(mean, more):
    low, high = of(Rect, chart_of(one(mean), one(mean + more)))
    assert high.y < low.y


@given(st.floats(0.01, 1e6))
def test_steps_are_one_two_or_five_times_a_power_of_ten(span):
    digits = f"{round_step(span):e}".split("e")[0].rstrip("0").rstrip(".")
    assert digits in {"1", "2", "5"}
    assert 2 <= span / round_step(span) <= 7.0000001


def test_words_are_escaped_and_the_picture_says_what_it_shows():
    markup = svg(chart_of(replace(one(5000), place="<R4>")), ident="s")
    assert "<R4>" not in markup
    assert '<title id="s-title">Strength, mix &lt;W-45A&gt;</title>' in markup
    assert 'aria-describedby="s-desc"' in markup
    assert "style=" not in markup
