"""Canonical text: equal values give equal bytes, so that a hash can be kept.

Object keys are sorted by code point, nothing is written between the marks, and
numbers are whole or Decimal, because a binary fraction prints differently from
machine to machine. Source: JSON as in RFC 8259 (2017); the order and the choice
of texts for dates and decimals are this project's.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from hashlib import sha256
from uuid import UUID


def _instant(value: datetime) -> str:
    if value.tzinfo is None:
        raise ValueError(f"instant {value}: a zone is needed")
    utc = value.astimezone(UTC).replace(tzinfo=None)
    return utc.isoformat(timespec="microseconds") + "Z"


def _number(value: Decimal) -> str:
    if not value.is_finite():
        raise ValueError(f"number {value}: a finite number is needed")
    return f"{value:f}"


def _key(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"key {value!r}: a text is needed")
    return str.__str__(value)


def plain(value: object) -> object:
    """Return a value as JSON's own kinds, decimals and dates as text.

    Raises TypeError for a float or an unknown kind, ValueError for an instant
    without a zone or a number that is not finite. Source: project's choice of form.

    >>> plain({"load": Decimal("2.50"), "on": date(2026, 8, 4)})
    {'load': '2.50', 'on': '2026-08-04'}
    """
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return str.__str__(value)
    if isinstance(value, int):
        return int(value)
    if isinstance(value, Decimal):
        return _number(value)
    if isinstance(value, datetime):
        return _instant(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, Mapping):
        return {_key(name): plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    raise TypeError(f"{value!r}: a {type(value).__name__} has no canonical text")


def canonical(value: object) -> str:
    """Return the one text of a value, keys sorted, nothing escaped needlessly.

    Raises TypeError for a float: type a Decimal. Source: the module's heading.

    >>> from datetime import timedelta, timezone
    >>> mountain = timezone(timedelta(hours=-6))
    >>> canonical({"b": 1, "a": datetime(2026, 8, 4, 7, 10, tzinfo=mountain)})
    '{"a":"2026-08-04T13:10:00.000000Z","b":1}'
    >>> canonical(0.5)
    Traceback (most recent call last):
    TypeError: 0.5: a float has no canonical text
    """
    return json.dumps(
        plain(value),
        ensure_ascii=False,
        allow_nan=False,
        sort_keys=True,
        separators=(",", ":"),
    )


def sha256_of(value: object) -> str:
    """Return the SHA-256 of a value's canonical text in UTF-8, in hexadecimal.

    Raises as `canonical` does, and UnicodeEncodeError for half a character pair.
    Source: FIPS 180-4 (2015), by Python's hashlib.

    >>> sha256_of({"b": 1, "a": [2]}) == sha256_of({"a": (2,), "b": 1})
    True
    """
    return sha256(canonical(value).encode()).hexdigest()
