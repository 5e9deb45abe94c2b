"""Student's t for whole degrees of freedom, made to twenty digits and more.

For whole degrees of freedom the share between -t and t is a finite sum, so neither
tables nor approximations are needed. The quantile is found by halving an interval
that holds it: slow, and without a case in which it goes astray.
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from functools import lru_cache

from crews.domain.core_strength import PI
from crews.domain.strength_list import cut

MOST_DF = 1000
_DIGITS = 50
_STEPS = 130  # halvings; each gives 0.3 digits
_TAIL_DIGITS = 12  # the smallest tail: 10**-12
_HALVED = 6  # times the angle is halved before its series is summed


def central_share(t: Decimal, *, df: int) -> Decimal:
    """Return the share of Student's t between -t and t.

    Parameters
    ----------
    t
        0 or more [1].
    df
        Degrees of freedom [1], 1 to 1000.

    Raises ValueError outside those. Source: the finite sums for whole degrees of
    freedom, Handbook of Mathematical Functions, 26.7.3 and 26.7.4, 1964 (from memory);
    checked against scipy.

    >>> f"{central_share(Decimal(1), df=1):.12f}"
    '0.500000000000'
    >>> f"{central_share(Decimal('2.228'), df=10):.4f}"
    '0.9500'
    """
    _check(df)
    if not (t.is_finite() and t >= 0):
        raise ValueError(f"t: {t}; allowed is 0 or more")
    with localcontext(prec=_DIGITS, rounding=ROUND_HALF_EVEN):
        share = _share(t, df)
    return cut(share)


@lru_cache(maxsize=512)
def central_quantile(share: Decimal, *, df: int) -> Decimal:
    """Return the t with this share of Student's t between -t and t.

    Parameters
    ----------
    share
        Above 0 and at most 1 - 10**-12 [1]; 0.95 for what is called two-sided 95 %.
    df
        Degrees of freedom [1], 1 to 1000.

    Right to twenty digits. Raises ValueError outside those. Source: as central_share;
    checked against scipy and against the closed forms for 1 and 2 degrees of freedom.

    >>> f"{central_quantile(Decimal('0.95'), df=3):.4f}"
    '3.1824'
    """
    _check(df)
    most = 1 - Decimal(1).scaleb(-_TAIL_DIGITS)
    if not (share.is_finite() and 0 < share <= most):
        raise ValueError(f"share: {share}; allowed is above 0 and at most {most}")
    with localcontext(prec=_DIGITS, rounding=ROUND_HALF_EVEN):
        low, high = Decimal(0), Decimal(1)
        while _share(high, df) < share:
            low, high = high, high * 2
        for _ in range(_STEPS):
            middle = (low + high) / 2
            if _share(middle, df) < share:
                low = middle
            else:
                high = middle
    return cut(high)


def upper_quantile(tail: Decimal, *, df: int) -> Decimal:
    """Return the t above which this share of Student's t lies.

    Parameters
    ----------
    tail
        From 10**-12 to below 0.5 [1].
    df
        Degrees of freedom [1], 1 to 1000.

    Raises ValueError outside those. Source: as central_quantile.

    >>> f"{upper_quantile(Decimal('0.05'), df=10):.4f}"
    '1.8125'
    """
    return central_quantile(1 - 2 * tail, df=df)


def _check(df: int) -> None:
    if not 1 <= df <= MOST_DF:
        raise ValueError(f"df: {df}; allowed is from 1 to {MOST_DF}")


def _share(t: Decimal, df: int) -> Decimal:
    """Return the share between -t and t: one sum for even, one for odd df."""
    whole = df + t * t
    sine, square = t / whole.sqrt(), df / whole  # of the angle, and its squared cosine
    odd = df % 2
    # The first term of the sum, and the factor each next one is made of.
    term = (square.sqrt() if df > 1 else Decimal(0)) if odd else Decimal(1)
    added = term
    for k in range(2 + odd, df - 1, 2):
        term *= square * (k - 1) / k
        added += term
    if odd:
        return 2 / PI * (_angle(t / Decimal(df).sqrt()) + sine * added)
    return sine * added


def _angle(tangent: Decimal) -> Decimal:
    """Return the arc tangent: the angle halved a few times, then its series."""
    for _ in range(_HALVED):
        tangent /= 1 + (1 + tangent * tangent).sqrt()
    added = power = tangent
    square, k = tangent * tangent, 1
    while power and abs(power) > abs(added).scaleb(-_DIGITS):
        power, k = -power * square, k + 2
        added += power / k
    return added * Decimal(2) ** _HALVED
