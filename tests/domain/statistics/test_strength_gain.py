"""28 days from 7: the line against scipy, and how often its interval holds."""

import random
import re
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from crews.domain.strength_gain import COVERED, Cover, Pair, gain_line, predict
from crews.domain.strength_list import TooFew
from project.domain.units import Quantity
from project.domain.verdict import State
from tests.domain.statistics.making import both_ages, mpa, psi

KNOWN = [Pair(*psi(a, b)) for a, b in ((2000, 3500), (2200, 3650), (2100, 3600))]
KNOWN += [Pair(*psi(a, b)) for a, b in ((2400, 3900), (2300, 3750))]
pair = st.tuples(st.decimals(5, 60, places=1), st.decimals(5, 90, places=1))


@given(st.lists(pair, min_size=5, max_size=20), st.decimals(5, 60, places=1))
def test_the_line_and_its_interval_agree_with_scipy(pairs, at):
    x = [float(a) for a, _b in pairs]
    assume(max(x) - min(x) > 1)
    made = gain_line([Pair(*mpa(*both)) for both in pairs])
    fit = stats.linregress(x, [float(b) for _a, b in pairs])
    assert float(made.slope) == pytest.approx(fit.slope, rel=1e-9, abs=1e-9)
    assert float(made.intercept) == pytest.approx(fit.intercept, rel=1e-9, abs=1e-7)
    found = predict(made, early=Quantity(at, "MPa"), cover=Cover.NINETY)
    n, mean = len(x), sum(x) / len(x)
    apart = sum((value - mean) ** 2 for value in x)
    residual = [float(b) - fit.intercept - fit.slope * float(a) for a, b in pairs]
    s = (sum(each**2 for each in residual) / (n - 2)) ** 0.5
    half = stats.t.ppf(0.95, n - 2) * s
    half *= (1 + 1 / n + (float(at) - mean) ** 2 / apart) ** 0.5
    likely = fit.intercept + fit.slope * float(at)
    assert float(found.likely) == pytest.approx(likely, rel=1e-8, abs=1e-6)
    assert float(found.high) == pytest.approx(likely + half, rel=1e-8, abs=1e-6)
    assert float(found.low) == pytest.approx(max(likely - half, 0), rel=1e-8, abs=1e-6)


def held(pairs, left_out, cover):
    found = predict(gain_line(pairs), early=left_out.early, cover=cover)
    return found.low <= left_out.later.value <= found.high


@pytest.mark.parametrize(
    ("cover", "expected"), [(Cover.NINETY, 98), (Cover.NINETY_FIVE, 108)]
)
def test_each_mixture_left_out_in_turn_is_held_about_as_often_as_said(cover, expected):
    pairs = both_ages()
    inside = sum(
        held(pairs[:n] + pairs[n + 1 :], left, cover) for n, left in enumerate(pairs)
    )
    nominal, share = float(COVERED[cover]), inside / len(pairs)
    said = f"{inside} of {len(pairs)} = {share:.1%}, nominal {nominal:.0%}"
    assert len(pairs) == 114
    # 98 = 86.0 % and 108 = 94.7 %. Two standard errors of the nominal share over 114
    # are 5.6 % and 4.1 %: the data do not contradict what the interval promises.
    assert inside == expected, said
    assert abs(share - nominal) < 2 * (nominal * (1 - nominal) / len(pairs)) ** 0.5, (
        said
    )


@pytest.mark.parametrize("few", [5, 8])
def test_a_job_with_few_pairs_is_held_about_as_often_as_said(few):
    # A job has a handful of pairs, not a hundred: draw that many, and one more.
    drawn, runs, pairs = random.Random(few), 1500, both_ages()
    inside = 0
    for _ in range(runs):
        *known, left = drawn.sample(pairs, few + 1)
        inside += held(known, left, Cover.NINETY)
    assert inside / runs == pytest.approx(0.90, abs=0.03), f"{inside} of {runs}"


def test_below_five_pairs_only_the_count_is_told():
    assert gain_line(KNOWN[:4]) == TooFew(4, 5, "pairs")


@pytest.mark.parametrize(
    ("needed", "says"),
    [
        (3553, "does not reach below what is needed; this is no pass"),
        (3554, "the interval reaches below"),
        (3711, "the interval reaches below"),
        (3712, "the whole interval lies below"),
    ],
)
def test_a_hint_is_never_a_pass(needed, says):
    found = predict(gain_line(KNOWN), early=psi(2150)[0], cover=Cover.NINETY)
    verdict = found.hint(psi(needed)[0])
    assert says in found.against(psi(needed)[0])
    assert verdict.rule == "a hint of a risk, never a pass"
    assert verdict.state is State.INFORMATION
    assert [reason.state for reason in verdict.reasons] == [State.INFORMATION]


def test_beyond_the_pairs_it_is_called_a_guess():
    line = gain_line(KNOWN)
    outside = predict(line, early=psi(1999)[0], cover=Cover.NINETY)
    assert outside.against(psi(3000)[0]).endswith("outside the pairs: a guess")
    assert not predict(line, early=psi(2000)[0], cover=Cover.NINETY).outside


def test_a_prediction_tells_its_steps():
    found = predict(gain_line(KNOWN), early=psi(2150)[0], cover=Cover.NINETY)
    assert [step.line for step in found.low_working().steps] == [
        "5 pairs: Σxy / Σxx = 0.9500",
        "3680.00 - 0.9500 × 2200.00 = 1590.00 psi",
        "1590.00 + 0.9500 × 2150 = 3632.50 psi",
        "√(2750.00 / (5 - 2)) = 30.28 psi",
        "30.28 × √(1 + 1/5 + (2150.00 - 2200.00)² / 100000.00) = 33.51 psi",
        "90 %, 3 degrees: 2.3534",
        "3632.50 - 2.3534 × 33.51 = 3553.64 psi",
    ]
    assert found.high_working().steps[-1].line.endswith("= 3711.36 psi")
    assert len(found.working().inputs) == 11
    assert str(found.line.ratio_working().reported) == "1.68"


def test_a_lower_end_below_nothing_is_nothing():
    wild = [
        Pair(*mpa(a, b)) for a, b in ((10, 5), (11, 60), (12, 3), (13, 50), (14, 9))
    ]
    found = predict(gain_line(wild), early=mpa(10)[0], cover=Cover.NINETY_FIVE)
    assert found.low == 0
    assert found.low_working().steps[-1].line.endswith("not below 0")


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: gain_line([]), "pairs: 0 given"),
        (lambda: gain_line([Pair(*psi(0, 1))]), "pairs 1: 0 psi"),
        (lambda: gain_line([*KNOWN, Pair(*psi(1, -1))]), "pairs 6: -1 psi"),
        (
            lambda: gain_line([Pair(psi(1)[0], mpa(1)[0])]),
            "pairs: 7 days in psi, 28 days",
        ),
        (
            lambda: gain_line([Pair(*psi(1, n)) for n in range(1, 6)]),
            "pairs: all 7-day",
        ),
        (lambda: _at(psi(0)[0]), "seven: 0 psi; allowed is above 0"),
        (lambda: _at(mpa(15)[0]), "seven: 15 MPa"),
        (lambda: _at(psi(2000)[0]).hint(mpa(28)[0]), "needed: 28 MPa"),
        (lambda: _at(psi(2000)[0]).against(mpa(28)[0]), "needed: 28 MPa"),
        (lambda: _at(psi("NaN")[0]), "NaN"),
    ],
)
def test_what_makes_no_line_is_refused_by_name(call, says):
    with pytest.raises(ValueError, match=re.escape(says)):
        call()


def _at(early):
    return predict(gain_line(KNOWN), early=early, cover=Cover.NINETY)


def test_the_shares_are_what_they_are_called():
    assert COVERED[Cover.NINETY] == Decimal("0.90")
    assert COVERED[Cover.NINETY_FIVE] == Decimal("0.95")
