"""Student's t against scipy and against the closed forms for 1 and 2 degrees."""

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from crews.domain.student_t import central_quantile, central_share, upper_quantile

SHARES = ("0.01", "0.5", "0.8", "0.9", "0.95", "0.98", "0.99", "0.999", "0.999999")


@pytest.mark.parametrize("df", [*range(1, 41), 60, 117, 118, 500, 1000])
def test_quantiles_agree_with_scipy(df):
    for share in SHARES:
        found = float(central_quantile(Decimal(share), df=df))
        tail = (1 - float(share)) / 2
        # What scipy is told of 0.999999 is only good to ten digits of the tail.
        assert found == pytest.approx(stats.t.isf(tail, df), rel=1e-9)


@given(st.decimals(0, 60, places=6), st.integers(1, 200))
def test_shares_agree_with_scipy(t, df):
    found = float(central_share(t, df=df))
    # Near zero scipy itself is off by 3e-11: at 1e-6 and one degree it says
    # 6.36648e-7 where 2 atan(t) / π is 6.36620e-7.
    assert found == pytest.approx(1 - 2 * stats.t.sf(float(t), df), abs=1e-10)


@given(st.decimals("0.000001", "0.999999", places=6))
def test_two_degrees_have_a_closed_form_to_twenty_digits(share):
    # t = p √(2 / (1 - p²)), for two degrees of freedom.
    exact = share * (2 / (1 - share * share)).sqrt()
    assert abs(central_quantile(share, df=2) / exact - 1) < Decimal("1e-20")


def test_one_degree_has_closed_forms_to_twenty_digits():
    # t = tan(π p / 2): 1 at a half, √3 at two thirds, 2 + √3 at five sixths.
    cases = (
        (1, 2, Decimal(1)),
        (2, 3, Decimal(3).sqrt()),
        (5, 6, 2 + Decimal(3).sqrt()),
    )
    for up, down, exact in cases:
        found = central_quantile(Decimal(up) / Decimal(down), df=1)
        assert abs(found / exact - 1) < Decimal("1e-20")


@given(st.decimals("0.000001", "0.999999", places=6), st.integers(1, 60))
def test_a_quantile_gives_its_share_back(share, df):
    back = central_share(central_quantile(share, df=df), df=df)
    assert abs(back - share) < Decimal("1e-20")


def test_an_upper_quantile_is_half_of_the_rest():
    found = upper_quantile(Decimal("0.025"), df=7)
    assert found == central_quantile(Decimal("0.95"), df=7)
    assert upper_quantile(Decimal("0.000001"), df=1) > 300_000


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: central_share(Decimal(1), df=0), "df: 0; allowed is from 1 to 1000"),
        (lambda: central_share(Decimal(1), df=1001), "df: 1001"),
        (lambda: central_share(Decimal(-1), df=3), "t: -1; allowed is 0 or more"),
        (lambda: central_share(Decimal("NaN"), df=3), "t: NaN"),
        (lambda: central_quantile(Decimal(0), df=3), "share: 0"),
        (lambda: central_quantile(Decimal(1), df=3), "share: 1; allowed is above 0"),
        (lambda: central_quantile(Decimal("NaN"), df=3), "share: NaN"),
        (lambda: upper_quantile(Decimal("0.5"), df=3), "share: 0.0"),
        (lambda: upper_quantile(Decimal("-0.1"), df=3), "share: 1.2"),
    ],
)
def test_what_has_no_quantile_is_refused_by_name(call, says):
    with pytest.raises(ValueError, match=re.escape(says)):
        call()
