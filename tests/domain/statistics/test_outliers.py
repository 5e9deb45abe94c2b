"""The test of one far value against scipy, by brute force, and where it cannot tell."""

import math
import re
import statistics
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from crews.domain.outliers import Level, Side, ceiling, critical_value, doubted
from crews.domain.strength_statistics import spread
from project.domain.units import Quantity
from project.domain.verdict import State
from tests.domain.statistics.making import psi

SHARES = {Level.FIVE: 0.05, Level.ONE: 0.01}


@pytest.mark.parametrize("level", Level)
def test_critical_values_agree_with_scipy(level):
    for n in (*range(3, 51), 100, 200, 1002):
        t = stats.t.isf(SHARES[level] / n, n - 2)
        exact = (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))
        assert float(critical_value(n, level=level)) == pytest.approx(exact, rel=1e-11)


@pytest.mark.parametrize("n", [4, 8, 20])
def test_a_sound_list_is_called_out_as_often_as_the_level_says(n):
    lists = np.random.default_rng(n).normal(size=(20_000, n))
    far = (lists.mean(axis=1) - lists.min(axis=1)) / lists.std(axis=1, ddof=1)
    called = (far > float(critical_value(n, level=Level.FIVE))).mean()
    # Four standard errors of a share of 5 % over 20,000 lists are 0.6 %.
    assert called == pytest.approx(0.05, abs=0.006)


@given(
    st.lists(st.decimals(1000, 9000, places=1), min_size=3, max_size=25),
    st.sampled_from(Side),
)
def test_the_statistic_agrees_with_exact_arithmetic_and_its_ceiling(values, side):
    assume(len(set(values)) > 1)
    found = doubted(
        spread([Quantity(v, "psi") for v in values]), side=side, level=Level.FIVE
    )
    end = min(values) if side is Side.LOWEST else max(values)
    far = abs(statistics.mean(values) - end) / statistics.stdev(values)
    assert float(found.statistic) == pytest.approx(float(far), rel=1e-12)
    assert found.statistic <= ceiling(len(values)) * (1 + Decimal("1e-25"))
    assert found.value.value == end


def test_three_cores_are_not_tested_and_the_page_can_say_why():
    found = doubted(spread(psi(4000, 4000, 3100)), side=Side.LOWEST, level=Level.FIVE)
    assert found.state is State.NOT_TESTABLE
    assert "never exceeds 1.1547, and 1.1531 is already" in found.words
    assert found.verdict().state is State.NOT_TESTABLE
    assert "(3 - 1) / √3 = 1.1547" in [step.line for step in found.working().steps]


def test_a_far_value_is_information_and_never_a_fail():
    values = psi(4000, 4010, 4020, 4030, 4040, 4050, 4060, 5000)
    far = doubted(spread(values), side=Side.HIGHEST, level=Level.ONE)
    assert far.statistic > far.critical
    assert far.verdict().state is State.INFORMATION
    assert "the highest stands out at 1 %: look for the cause" in far.words
    near = doubted(spread(values), side=Side.LOWEST, level=Level.ONE)
    assert near.words == "the lowest does not stand out at 1 %"
    assert near.critical_working().reported.value == Decimal("2.2208")


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: ceiling(2), "n: 2; allowed is 3 or more"),
        (
            lambda: critical_value(2, level=Level.FIVE),
            "n: 2; allowed is from 3 to 1002",
        ),
        (lambda: critical_value(1003, level=Level.FIVE), "n: 1003"),
        (lambda: _doubt(psi(1, 2)), "values: 2 given; at least 3"),
        (lambda: _doubt(psi(5, 5, 5)), "values: all 3 are equal"),
    ],
)
def test_what_cannot_stand_out_is_refused_by_name(call, says):
    with pytest.raises(ValueError, match=re.escape(says)):
        call()


def _doubt(values):
    return doubted(spread(values), side=Side.LOWEST, level=Level.FIVE)
