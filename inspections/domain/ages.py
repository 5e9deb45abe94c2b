"""How long something is open, and when an answer to it is due.

Source: common practice, no source: an age is counted in full days from when it was
observed, and from when it was raised; a response is due some calendar days after
that. How many is the contract's.
"""

from __future__ import annotations

from datetime import date, datetime

from project.domain.clocks import elapsed_minutes
from project.domain.units import Quantity, convert

_DAY = 24 * 60


def full_days(start: datetime, end: datetime) -> int:
    """Return the whole days [d] that truly passed.

    Raises ValueError where the end lies before the start. Source: common practice, no
    source.

    >>> from datetime import UTC
    >>> full_days(datetime(2026, 8, 24, 16, 15, tzinfo=UTC),
    ...           datetime(2026, 9, 14, 13, 30, tzinfo=UTC))
    20
    """
    minutes = elapsed_minutes(start, end)
    if minutes < 0:
        raise ValueError(f"end {end} lies before start {start}")
    return minutes // _DAY


def response_due(raised_on: date, *, within: Quantity | None) -> date | None:
    """Return the day an answer is due; nothing where the contract gives no time.

    Raises ValueError unless the time is a whole number of days [d]. Source: common
    practice, no source.

    >>> from decimal import Decimal
    >>> response_due(date(2026, 8, 24), within=Quantity(Decimal(7), "d")).isoformat()
    '2026-08-31'
    """
    if within is None:
        return None
    days = convert(within, to="d").value
    if days != int(days):
        raise ValueError(f"within {within}: whole days are needed")
    return date.fromordinal(raised_on.toordinal() + int(days))
