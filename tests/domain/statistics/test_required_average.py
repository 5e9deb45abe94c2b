"""The required average, its class of control, and characteristic strengths."""

import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from crews.domain.characteristic_strength import (
    TIMES,
    Basis,
    characteristic_strength,
)
from crews.domain.control_standards import Scatter, overall_class, percent_class
from crews.domain.required_average import (
    MEAN_TIMES,
    SINGLE_TIMES,
    Shortfall,
    record_factor,
    required_average,
)
from crews.domain.strength_list import (
    TooFew,
    one_strength,
    reported_statistic,
    shown_number,
)
from project.domain.units import Quantity
from tests.domain.statistics.making import mpa, psi


def slow_average(f_c, s, tests):
    """Return the required average in psi, written down as the documents have it."""
    known = {15: "1.16", 20: "1.08", 25: "1.03", 30: "1.00"}
    low = max(n for n in known if n <= min(tests, 30))
    high = min(n for n in known if n >= min(tests, 30))
    factor = Fraction(known[low])
    if high > low:
        gone = Fraction(min(tests, 30) - low, high - low)
        factor += gone * (Fraction(known[high]) - factor)
    s *= factor
    single = f_c - 500 if f_c <= 5000 else f_c * Fraction(9, 10)
    return max(f_c + Fraction("1.34") * s, single + Fraction("2.33") * s)


@given(
    st.decimals(1000, 12_000, places=1),
    st.decimals(50, 1500, places=1),
    st.integers(15, 60),
)
def test_the_required_average_agrees_with_a_slow_one(f_c, s, tests):
    made = required_average(Quantity(f_c, "psi"), s=Quantity(s, "psi"), tests=tests)
    exact = slow_average(Fraction(f_c), Fraction(s), tests)
    assert abs(Fraction(made.exact.value) - exact) < Fraction(1, 10**20)


@given(st.integers(15, 60))
def test_a_longer_record_never_asks_for_more(tests):
    assert record_factor(tests + 1) <= record_factor(tests)


def test_the_factors_are_about_one_in_a_hundred():
    # 2.33 s is the 1 % fractile; 1.34 s is 2.33 s over the root of three.
    fractile = stats.norm.isf(0.01)
    assert float(SINGLE_TIMES) == pytest.approx(fractile, abs=0.005)
    assert float(MEAN_TIMES) == pytest.approx(fractile / 3**0.5, abs=0.005)
    assert float(TIMES[Basis.FRACTILE]) == pytest.approx(
        stats.norm.isf(0.05), abs=0.006
    )


def test_a_required_average_tells_both_formulas_and_which_governs():
    made = required_average(mpa("31.0")[0], s=mpa("3.8")[0], tests=17)
    assert [step.line for step in made.working().steps] == [
        "17 tests: 1.128 × 3.8 MPa = 4.2864 MPa",
        "31.0 + 1.34 × 4.2864 = 36.7438 MPa",
        "31.0 + 2.33 × 4.2864 - 3.45 = 37.5373 MPa",
        "f_c + 2.33 s - 3.45 MPa governs",
    ]
    rounded = required_average(
        mpa("31.0")[0], s=mpa("3.8")[0], tests=30, shortfall=Shortfall.ROUNDED
    )
    assert rounded.governs == "f_c + 2.33 s - 3.5 MPa"


def test_a_short_record_is_not_used_and_says_so():
    made = required_average(psi(4500)[0], s=psi(100)[0], tests=14)
    assert [step.line for step in made.working().steps] == [
        "14 tests on record, fewer than 15: no s is used",
        "4500 + 1200 = 5700.00 psi",
    ]
    assert [given.name for given in made.working().inputs] == ["f_c", "tests"]


def test_a_class_says_its_bounds_and_that_it_is_no_more_than_information():
    f_c = psi(4000)[0]
    bounds = [
        overall_class(s, f_c=f_c).bounds for s in psi(300, 400, 500, 600, 700, 701)
    ]
    assert bounds == [
        "below 400 psi",
        "from 400 to below 500 psi",
        "from 500 to below 600 psi",
        "from 600 to 700 psi",
        "from 600 to 700 psi",
        "above 700 psi",
    ]
    words = overall_class(psi(300)[0], f_c=f_c).verdict().rule
    assert words.endswith("not for shotcrete cores")


def test_a_characteristic_strength_tells_its_step():
    mean, s = mpa("34.99", "9.72")
    made = characteristic_strength(mean, s=s, basis=Basis.EN_206, results=32)
    assert made.working().steps[0].line == "34.99 - 1.48 × 9.72 = 20.6044 MPa"
    assert str(made.variation_working().reported) == "27.8 percent"
    few = characteristic_strength(mean, s=s, basis=Basis.EN_206, results=14)
    assert isinstance(few, TooFew)


def _average(*args, **more):
    return lambda: required_average(*args, **more)


F_C, S = psi(4500, 300)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: record_factor(14), "tests: 14; allowed is 15 or more"),
        (_average(psi(0)[0]), "f_c: 0 psi; allowed is above 0"),
        (_average(Quantity(Decimal(1), "kPa")), "f_c: 1 kPa; allowed units are psi"),
        (_average(F_C, tests=-1), "tests: -1"),
        (_average(F_C, tests=15), "s: not given; from 15 tests on"),
        (
            _average(F_C, s=mpa(3)[0], tests=30),
            "s: 3 MPa; the other strengths are in psi",
        ),
        (_average(F_C, s=psi(0)[0], tests=30), "s: 0 psi"),
        (lambda: one_strength(psi(-1)[0], name="s", zero=True), "allowed is 0 or more"),
        (lambda: overall_class(S, f_c=psi(5001)[0]), "mean: not given"),
        (lambda: overall_class(mpa(3)[0], f_c=F_C), "s: 3 MPa"),
        (lambda: percent_class(Decimal(-1), scatter=Scatter.FIELD), "variation: -1"),
        (
            lambda: percent_class(Decimal("NaN"), scatter=Scatter.FIELD),
            "variation: NaN",
        ),
        (
            lambda: characteristic_strength(S, s=S, basis=Basis.EN_206),
            "s: 300 psi; with a mean of 300 psi nothing above 0",
        ),
        (
            lambda: characteristic_strength(F_C, s=S, basis=Basis.EN_206, results=-1),
            "results: -1",
        ),
        (
            lambda: reported_statistic(Quantity(Decimal(1), "kPa")),
            "unit kPa: allowed are psi and MPa",
        ),
        (lambda: shown_number(Decimal(1), "mm"), "unit mm"),
    ],
)
def test_what_makes_no_average_is_refused_by_name(call, says):
    with pytest.raises(ValueError, match=re.escape(says)):
        call()
