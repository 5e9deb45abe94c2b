"""Spread against slow exact arithmetic, scipy, and the open data."""

import re
import statistics
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from crews.domain.strength_list import TooFew, mean_of, root, strengths
from crews.domain.strength_statistics import (
    coefficient_of_variation,
    mix_spread,
    share_reached,
    spread,
)
from crews.domain.within_test import D2, batch_scatter, within_test, within_test_of
from project.domain.units import Quantity
from project.domain.verdict import State
from tests.domain.statistics.making import at_28_days, mpa, psi, results

strength = st.decimals("0.01", 20_000, places=2)
TINY = Fraction(1, 10**24)


def near(found, exact):
    return abs(Fraction(found) - exact) <= TINY * abs(exact)


@given(st.lists(strength, min_size=2, max_size=40))
def test_spread_agrees_with_exact_arithmetic(values):
    made = spread([Quantity(value, "psi") for value in values])
    exact = [Fraction(value) for value in values]
    assert near(made.mean, statistics.mean(exact))
    assert near(made.s**2, statistics.variance(exact))
    assert (made.least, made.most) == (sorted(values)[0], sorted(values)[-1])
    assert made.range == sorted(values)[-1] - sorted(values)[0]


@given(st.lists(strength, min_size=5, max_size=30), st.decimals(1, 10**6, places=1))
def test_a_shift_of_all_strengths_leaves_the_scatter(values, shift):
    # Where floating point loses digits: strengths far from zero and close together.
    here = spread([Quantity(value, "psi") for value in values])
    there = spread([Quantity(value + shift, "psi") for value in values])
    assert there.squares == here.squares
    assert near(there.mean, here.exact_mean + Fraction(shift))


@pytest.mark.parametrize("age", [1, 3, 7, 14, 28, 56, 90, 180, 365])
def test_spread_of_the_open_data_agrees_with_scipy(age):
    values = [value for _mix, on, value in results() if on == age]
    made = spread(mpa(*values))
    floats = [float(value) for value in values]
    told = stats.describe(floats)
    assert made.n == told.nobs == len(values) > 1
    assert float(made.mean) == pytest.approx(told.mean, rel=1e-12)
    assert float(made.s) == pytest.approx(told.variance**0.5, rel=1e-12)
    assert float(made.s) == pytest.approx(statistics.stdev(floats), rel=1e-12)
    assert (float(made.least), float(made.most)) == told.minmax
    share = 100 * stats.variation(floats, ddof=1)
    assert float(made.variation) == pytest.approx(share, rel=1e-12)


def test_the_open_data_is_the_one_that_is_named():
    # Yeh (1998): 1,030 results; least 2.33 and most 82.6 MPa as its description says.
    everything = [value for _mix, _age, value in results()]
    assert len(everything) == 1030
    assert (min(everything), max(everything)) == (Decimal("2.33"), Decimal("82.6"))
    assert len(at_28_days()) == 425


def test_a_spread_tells_its_steps_with_numbers():
    made = spread(mpa(25, 28, 32, 31))
    assert [step.line for step in made.working().steps] == [
        "(25 + 28 + 32 + 31) / 4 = 29.0000 MPa",
        "Σ (value - 29.0000)² = 30.0000 MPa²",
        "√(30.0000 / (4 - 1)) = 3.1623 MPa",
    ]
    assert str(made.working().reported) == "3.16 MPa"
    assert made.variation_working().steps[-1].line == (
        "3.1623 / 29.0000 × 100 = 10.904 percent"
    )
    assert made.range_working().steps[0].line == "32 - 25 = 7 MPa"
    many = spread(psi(*range(4000, 4010)))
    assert many.mean_working().steps[0].line == (
        "(4000 + 4001 + … + 4009) / 10 = 4004.50 psi"
    )


def test_below_five_sets_only_the_count_is_told():
    few = mix_spread(psi(4000, 4100, 4200, 4300))
    assert few == TooFew(4, 5, "sets")
    verdict = few.verdict()
    assert (verdict.state, verdict.reasons[0].found) == (State.NOT_ENOUGH_YET, "4")
    assert mix_spread([]).words == "too few: 0 of the 5 sets it takes"
    assert mix_spread(psi(*range(4000, 4005))).n == 5


@pytest.mark.parametrize("n", D2)
def test_the_table_of_ranges_agrees_with_the_normal_distribution(n):
    def beyond(x):
        return 1 - stats.norm.cdf(x) ** n - stats.norm.sf(x) ** n

    assert float(D2[n]) == pytest.approx(integrate.quad(beyond, -9, 9)[0], abs=5e-4)


@given(
    st.integers(2, 5).flatmap(
        lambda n: st.lists(
            st.lists(strength, min_size=n, max_size=n), min_size=5, max_size=12
        )
    )
)
def test_within_test_agrees_with_exact_arithmetic(tests):
    made = within_test_of([[Quantity(v, "psi") for v in test] for test in tests])
    ranges = [Fraction(max(test) - min(test)) for test in tests]
    everything = [Fraction(value) for test in tests for value in test]
    d2 = Fraction(D2[len(tests[0])])
    assert near(made.mean_range, statistics.mean(ranges))
    assert near(made.s1, statistics.mean(ranges) / d2)
    assert near(made.mean, statistics.mean(everything))


def test_what_testing_leaves_lies_between_the_batches():
    s, s1 = psi(650, 250)
    made = batch_scatter(s, s1=s1)
    assert made.s2 == 600
    assert made.working().steps[0].line == "√(650.00² - 250.00²) = 600.00 psi"
    none = batch_scatter(s1, s1=s)
    assert none.s2 == 0
    assert none.working().steps[0].line.endswith("testing is all of it, so 0 psi")


def test_within_test_tells_its_steps():
    made = within_test(psi(*[282] * 5), specimens=2, mean=psi(5000)[0])
    assert [step.line for step in made.variation_working().steps] == [
        "(282 + 282 + 282 + 282 + 282) / 5 = 282.00 psi",
        "2 specimens a test: d2 = 1.128",
        "282.00 / 1.128 = 250.00 psi",
        "250.00 / 5000.00 × 100 = 5.000 percent",
    ]
    assert str(made.working().reported) == "250 psi"


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: strengths([]), "values: 0 given; at least 1"),
        (lambda: mean_of([]), "values: none given"),
        (lambda: spread(psi(4000)), "values: 1 given; at least 2"),
        (
            lambda: spread([*psi(4000), *mpa(28)]),
            "values 2: 28 MPa; the first is in psi",
        ),
        (lambda: spread(psi(4000, 0)), "values 2: 0 psi; allowed is above 0"),
        (lambda: spread(psi(4000, -1)), "values 2: -1 psi"),
        (
            lambda: strengths(psi(-1), zero=True),
            "values 1: -1 psi; allowed is 0 or more",
        ),
        (lambda: strengths([Quantity(Decimal(1), "kPa")]), "values 1: 1 kPa"),
        (lambda: mix_spread(psi(4000, -1)), "values 2: -1 psi"),
        (lambda: psi("NaN"), "NaN"),
        (lambda: psi("Infinity"), "Infinity"),
        (lambda: root(Fraction(-1)), "value -1"),
        (lambda: coefficient_of_variation(Decimal(-1), mean=Decimal(1)), "s: -1"),
        (lambda: coefficient_of_variation(Decimal("NaN"), mean=Decimal(1)), "s: NaN"),
        (lambda: coefficient_of_variation(Decimal(1), mean=Decimal(0)), "mean: 0"),
        (lambda: share_reached(0, below=0), "results: 0"),
        (lambda: share_reached(9, below=10), "below: 10; allowed is from 0 to 9"),
        (lambda: share_reached(9, below=-1), "below: -1"),
        (lambda: within_test(psi(1), specimens=6, mean=psi(1)[0]), "specimens: 6"),
        (lambda: within_test(psi(1), specimens=2, mean=mpa(1)[0]), "mean: 1 MPa"),
        (lambda: within_test(psi(1), specimens=2, mean=psi(0)[0]), "mean: 0 psi"),
        (lambda: within_test_of([]), "tests: of no results"),
        (lambda: within_test_of([[]] * 5), "tests: of 0 results"),
        (lambda: within_test_of([psi(1, 2), psi(1)]), "tests: of 1 and 2 results"),
        (lambda: within_test_of([psi(1, 2), mpa(1, 2)]), "tests 2: 1 MPa"),
        (lambda: batch_scatter(psi(1)[0], s1=mpa(1)[0]), "s1: 1 MPa"),
        (lambda: batch_scatter(psi(-1)[0], s1=psi(1)[0]), "s: -1 psi"),
    ],
)
def test_a_bad_list_is_refused_by_name(call, says):
    with pytest.raises(ValueError, match=re.escape(says)):
        call()
