"""Small tools for reading: groups, and how instants and quantities are written down."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import TypeVar

from project.domain.units import Quantity
from project.models import Job
from project.models.records import as_quantity

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


def grouped(rows: Iterable[V], key: Callable[[V], K]) -> dict[K, list[V]]:
    """Return rows by a key, each group in the order the rows came."""
    groups: dict[K, list[V]] = defaultdict(list)
    for row in rows:
        groups[key(row)].append(row)
    return dict(groups)


def within(day: date, first: date | None, last: date | None) -> bool:
    """Say whether a date lies in a stretch of days, open where an end is not given."""
    return (first is None or first <= day) and (last is None or day <= last)


def moment(at: datetime | None, *, job: Job) -> dict[str, str] | None:
    """Return an instant as a document keeps it: UTC, and the job's wall clock.

    The wall clock is written out, so that a later table of zones changes no word.
    """
    if at is None:
        return None
    utc = at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return {"utc": utc, "local": job.local(at).strftime("%Y-%m-%d %H:%M %Z")}


def amount(value: Decimal | None, unit: str) -> list[str] | None:
    """Return a stored measure as a document keeps it: digits and unit, no padding."""
    quantity = as_quantity(value, unit)
    return None if quantity is None else pair(quantity)


def pair(quantity: Quantity) -> list[str]:
    """Return a quantity as digits and unit, without the zeros of its column.

    >>> pair(Quantity(Decimal("2.5000"), "in")), pair(Quantity(Decimal("90"), "F"))
    (['2.5', 'in'], ['90', 'F'])
    """
    digits = f"{quantity.value:f}"
    if "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    return [digits, quantity.unit]
