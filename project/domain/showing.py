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


def short(value: Decimal, *, figures: int = 6) -> str:
    """Return a number for a line of arithmetic: what a conversion made long is cut.

    Any value in any unit, to so many figures [1].

    Source: project's choice; the figure beside the line is unrounded.

    >>> short(Decimal("13.33333333333333333")), short(Decimal("0.2500"))
    ('13.3333', '0.25')
    """
    places = max(figures - 1 - value.adjusted(), 0) if value else 0
    text = f"{round(value, places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
