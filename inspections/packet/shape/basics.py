"""What everything in a snapshot is made of: instants, amounts, stamps, verdicts."""

from __future__ import annotations

from typing import TypedDict


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


def mark(stamp: str, words: str = "") -> Mark:
    """Return a stamp as it stands in a snapshot."""
    return {"stamp": stamp, "words": words}
