"""The whole of a snapshot, and what its first and last pages say."""

from __future__ import annotations

from typing import Literal, NotRequired, TypedDict

from inspections.packet.shape.basics import Mark, Moment, Verdict
from inspections.packet.shape.reports import Report
from inspections.packet.shape.sections import (
    Deficiencies,
    Ledger,
    Nonconformance,
    Photograph,
    Roster,
    Series,
    Work,
)


class Job(TypedDict):
    code: str
    name: str
    contract: str
    owner: str
    zone: str


class Packet(TypedDict):
    number: int
    revision: int
    state: Literal["draft", "issued"]
    kind: Literal["week"]
    first: str  # the first and the last day it covers
    last: str
    supersedes: str  # the revision it replaces, in words
    reason: str


class Cut(TypedDict):
    """The instant everything is known at, and the audit trail's head there."""

    at: Moment
    stream: str
    seq: int
    head: str


class Decision(TypedDict):
    record: str
    where: str
    why: str
    mark: Mark


class Figure(TypedDict):
    """One row of the job in figures; `indent` 1 is a part of the row above."""

    label: str
    indent: int
    week: str
    before: str
    to_date: str


class Hand(TypedDict):
    """One hand the packet passed through; `at` is None while it is awaited."""

    name: str
    firm: str
    did: str
    at: Moment | None


class Recipient(TypedDict):
    name: str
    firm: str
    role: str
    how: str  # issued to, copied to


class Missing(TypedDict):
    """Something that ought to be here and is not, or still waits for someone."""

    what: str
    why: str
    mark: Mark | None


class Day(TypedDict):
    """One day of the period. No shift and no reason is a day that nobody spoke for."""

    date: str
    work: str
    neat: str
    reports: str
    mark: Mark | None


class Open(TypedDict):
    """What is still open at the cut, by kind."""

    what: str
    count: int
    oldest: str  # the oldest one with its age, in words
    whose: str


class Summary(TypedDict):
    days: list[Day]
    open: list[Open]
    news: list[str]  # what changed since the last packet


class Departure(TypedDict):
    """Where the contract's terms depart from the edition they started from."""

    term: str
    value: str
    edition_value: str
    source: str
    reason: str


class Terms(TypedDict):
    number: int
    edition: str
    effective_on: str
    departures: list[Departure]


class Record(TypedDict):
    kind: str
    code: str
    id: str
    version: int
    sha256: str


class Change(TypedDict):
    """What a revision changed against the one before."""

    record: str
    before: str
    after: str
    why: str
    when: Moment


class Sections(TypedDict):
    work: Work
    roster: Roster
    ledger: Ledger
    strength: list[Series]
    deficiencies: Deficiencies
    nonconformances: list[Nonconformance]
    reports: list[Report]
    photographs: list[Photograph]


class Snapshot(TypedDict):
    snapshot: int
    layout: int
    software: str
    language: str
    paper: Literal["Letter", "A4"]
    address: NotRequired[str]  # of the installation, for the square code
    job: Job
    packet: Packet
    cut: Cut
    verdict: Mark
    sentence: str  # the verdict in one sentence
    decide: list[Decision]
    figures: list[Figure]
    hands: list[Hand]
    recipients: list[Recipient]
    missing: list[Missing]
    summary: Summary
    sections: Sections
    verdicts: dict[str, Verdict]
    terms: list[Terms]
    catalogue: str
    records: list[Record]
    changes: list[Change]
