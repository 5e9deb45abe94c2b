"""Numbers as words: never two that look equal and are not."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal


def beside(value: Decimal, limit: Decimal, *, places: int) -> str:
    """Return any number as text beside the limit it is compared with, both in one unit.

    It has `places` decimals [1], at least 0, or as many more as it takes not to look
    like the limit when it is not. Source: project's choice.

    >>> beside(Decimal("3673.333"), Decimal(3825), places=1)
    '3673.3'
    >>> beside(Decimal("3824.9996"), Decimal(3825), places=1)
    '3824.9996'
    """
    for shown in range(places, 28):
        text = value.quantize(Decimal(1).scaleb(-shown), ROUND_HALF_EVEN)
        if text != limit or value == limit:
            return f"{text:f}"
    return f"{value:f}"
