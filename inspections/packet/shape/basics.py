"""What everything in a snapshot is made of: instants, amounts, stamps, verdicts."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TypedDict
from zoneinfo import ZoneInfo

from project.charts.text import quantity_text
from project.domain.units import Quantity


class Moment(TypedDict):
    """An instant: `2026-08-12T19:24:00Z` and `2026-08-12 13:24 MDT`."""

    utc: str
    local: str


class Mark(TypedDict):
    """A stamp: one of `project.charts.stamps` by name, and words for it or none."""

    stamp: str
    words: str


class Reason(TypedDict):
    """One requirement of a verdict, with what was found against it."""

    requirement: str
    state: str  # of project.domain.verdict.State
    found: str
    limit: str
    margin: str
    source: str
    evidence: list[str]


class Verdict(TypedDict):
    """A conclusion with every reason, met and unmet, in the rule's order."""

    rule: str
    state: str
    reasons: list[Reason]


def moment(at: datetime, *, zone: str) -> Moment:
    """Return an instant as it stands in a snapshot.

    >>> from datetime import timedelta, timezone
    >>> shot = datetime(2026, 8, 12, 19, 24, tzinfo=timezone.utc)
    >>> moment(shot, zone="America/Denver")["local"]
    '2026-08-12 13:24 MDT'
    """
    if at.tzinfo is None:
        raise ValueError(f"{at}: an instant needs a zone")
    there = at.astimezone(ZoneInfo(zone))
    return {
        "utc": at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "local": there.strftime("%Y-%m-%d %H:%M %Z"),
    }


def amount(quantity: Quantity | None) -> str:
    """Return a quantity as it stands in a snapshot; nothing measured is no text."""
    return "" if quantity is None else quantity_text(quantity)


def mark(stamp: str, words: str = "") -> Mark:
    """Return a stamp as it stands in a snapshot."""
    return {"stamp": stamp, "words": words}
