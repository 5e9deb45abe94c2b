"""Running means, moving ranges and chart lines against slow ones and the open data."""

import re
import statistics
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.control_series import (
    chart_series,
    moving_ranges,
    moving_scatter,
    running_means,
)
from crews.domain.strength_list import TooFew
from tests.domain.statistics.making import at_28_days, mpa, psi

strength = st.decimals("0.01", 20_000, places=2)


@given(st.lists(strength, max_size=30), st.integers(1, 5))
def test_running_means_agree_with_slow_ones(values, of):
    found = running_means(values, of=of)
    assert len(found) == len(values)
    for end, mean in enumerate(found, start=1):
        if end < of:
            assert mean is None
            continue
        exact = statistics.mean(Fraction(value) for value in values[end - of : end])
        assert abs(Fraction(mean) - exact) < Fraction(1, 10**20)


def test_the_open_data_in_its_order_agrees_with_numpy():
    values = at_28_days()
    floats = np.array([float(value) for value in values])
    series = chart_series([(str(n), q) for n, q in enumerate(mpa(*values))])
    means = [float(p.running) for p in series.points if p.running is not None]
    assert means == pytest.approx(list(np.convolve(floats, np.ones(3) / 3, "valid")))
    sigma = 0.886 * np.mean(np.abs(np.diff(floats)))
    assert float(moving_scatter(mpa(*values)).sigma) == pytest.approx(sigma, rel=1e-12)
    low, high = (float(line.value) for line in series.limits)
    assert float(series.centre.value) == pytest.approx(floats.mean(), rel=1e-12)
    assert (low, high) == pytest.approx(
        (floats.mean() - 3 * sigma, floats.mean() + 3 * sigma), rel=1e-12
    )
    outside = [str(n) for n, x in enumerate(floats) if not low <= x <= high]
    assert list(series.outside) == outside
    assert int(np.argmin(np.convolve(floats, np.ones(3), "valid"))) + 3 == (
        series.lowest_running
    )


def test_s_of_a_steady_run_agrees_with_the_ordinary_one():
    # Normal results in no order: both ways estimate the same s.
    drawn = np.random.default_rng(1).normal(40, 4, size=1500)
    values = mpa(*(f"{value:.3f}" for value in drawn))
    assert float(moving_scatter(values).sigma) == pytest.approx(
        drawn.std(ddof=1), rel=0.05
    )


def test_a_chart_of_few_sets_has_points_but_no_lines():
    series = chart_series([("TP-001", psi(4000)[0]), ("TP-002", psi(4100)[0])])
    assert (series.centre, series.limits, series.outside) == (None, (), ())
    assert series.too_few == TooFew(2, 5, "sets")
    assert series.lowest_running is None
    assert [point.running for point in series.points] == [None, None]


def test_a_chart_tells_its_lines_and_those_asked_for():
    sets = [
        (f"TP-00{n}", q) for n, q in enumerate(psi(4000, 4100, 4000, 4100, 4300), 1)
    ]
    series = chart_series(sets, asked=[("f_c", psi(4000)[0])])
    assert [line.words for line in series.asked] == ["f_c"]
    centre = series.line_working(series.centre)
    low, high = (series.line_working(line) for line in series.limits)
    assert [step.line for step in centre.steps] == [
        "(4000 + 4100 + 4000 + 4100 + 4300) / 5 = 4100.00 psi"
    ]
    assert low.steps[-1].line == "4100.00 - 3 × 110.75 = 3767.75 psi"
    assert high.steps[-1].line == "4100.00 + 3 × 110.75 = 4432.25 psi"
    assert series.running_working(3).steps[0].line == (
        "(4000 + 4100 + 4000) / 3 = 4033.33 psi"
    )
    assert (series.lowest_running, series.outside) == (3, ())


def test_moving_scatter_tells_its_steps():
    made = moving_scatter(mpa(*[30, 34] * 8))
    assert [step.line for step in made.working().steps] == [
        "(4 + 4 + … + 4) / 15 = 4.0000 MPa",
        "0.886 × 4.0000 = 3.5440 MPa",
    ]


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: running_means([Decimal(1)], of=0), "of: 0; allowed is 1 or more"),
        (lambda: moving_ranges([Decimal(1)]), "values: 1 given; at least 2"),
        (lambda: moving_scatter([]), "values: 0 given"),
        (lambda: moving_scatter([*psi(1), *mpa(1)]), "values 2: 1 MPa"),
        (lambda: chart_series([]), "values: 0 given"),
        (lambda: chart_series([("a", psi(0)[0])]), "values 1: 0 psi"),
        (
            lambda: chart_series([("a", psi(1)[0])], asked=[("f_c", mpa(1)[0])]),
            "asked: 1 MPa; the other strengths are in psi",
        ),
        (lambda: chart_series([("a", psi(1)[0])]).running_working(1), "end: 1"),
    ],
)
def test_what_makes_no_series_is_refused_by_name(call, says):
    with pytest.raises(ValueError, match=re.escape(says)):
        call()
