"""The shape of a packet's snapshot: what the renderer gets, and all that it gets.

A snapshot is plain JSON: texts, whole numbers, lists and objects, never a float, so
that its canonical text and its hash are the same on every machine. It is made once, from
one reading of the database as known at the cut, and never asked for more.

How things stand in it:

- an instant is a `Moment`: UTC, and the job's wall clock already written out with its
  zone, so that a later zone table changes no byte;
- a date is `2026-08-12`;
- a measured or computed number is the text to be printed, its unit behind a no-break
  space (`amount`); the unit moves into the column's head when the whole column shares it;
- an empty text or `None` means that there is nothing on record, and prints as such;
- a conclusion is a `Mark` (the stamp) and, where it was judged, the key of a `Verdict`
  in `verdicts`, where every reason stands once;
- lists are in the order of their codes or numbers, never in order of keys or of entry;
- words are in the packet's language, as the builder found or wrote them.

`SNAPSHOT` is the number of this shape: a change that an older reader would misread
raises it. `LAYOUT` numbers the drawing: the same snapshot drawn by the same layout is the
same file, byte for byte, before signature.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Literal, NotRequired, TypedDict
from zoneinfo import ZoneInfo

from project.charts.text import quantity_text
from project.domain.units import Quantity

SNAPSHOT = 1
LAYOUT = 1


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


class Total(TypedDict):
    """One closing row of a table of volumes."""

    label: str
    neat: str
    delivered: str


class Placed(TypedDict):
    """One placement."""

    placement: str
    part: str
    part_words: str
    position: str
    mix: str
    operators: list[str]
    work_date: str
    start: Moment
    stop: Moment | None
    neat: str
    delivered: str
    basis: str  # how the volume is known: by loads, estimated …


class Work(TypedDict):
    rows: list[Placed]
    totals: list[Total]


class NozzleTime(TypedDict):
    """One operator on one placement, and the standing frozen when it began."""

    operator: str
    name: str
    placement: str
    part: str
    position: str
    process: str
    mix: str
    start: Moment
    stop: Moment | None
    volume: str
    card: str  # what the card says: classes, level, last day
    mark: Mark
    words: str  # the condition, or the failed gates in short
    known: Moment  # as known when it was frozen
    verdict: str


class Shift(TypedDict):
    work_date: str
    name: str
    contractor: str
    crews: list[str]  # each crew in one sentence
    rows: list[NozzleTime]


class NotQualified(TypedDict):
    """Placed while not qualified on record."""

    operator: str
    name: str
    placement: str
    part: str
    start: Moment
    stop: Moment | None
    volume: str
    report: str  # the nonconformance report it led to
    verdict: str


class Roster(TypedDict):
    shifts: list[Shift]
    not_qualified: list[NotQualified]


class Owed(TypedDict):
    """One panel owed by the rule; `panel` is empty where none was shot."""

    work_date: str
    mix: str
    operator: str
    volume: str
    panel: str
    part: str
    shot: Moment | None
    flags: list[str]
    mark: Mark


class CoreResult(TypedDict):
    """One core tested and reported in the period."""

    panel: str
    core: str
    mix: str
    operator: str
    age: str
    tested: Moment
    strength: str
    ratio: str  # length over diameter
    density: str
    report: str
    mark: Mark | None


class PanelState(TypedDict):
    """One panel to date."""

    panel: str
    shot: str
    mix: str
    operator: str
    part: str
    early: str  # mean of the early cores, or when they are due
    final: str  # mean of the cores that decide, or when they are due
    mark: Mark
    verdict: str


class Ledger(TypedDict):
    rule: str
    owed: list[Owed]
    totals: list[str]
    results: list[CoreResult]
    panels: list[PanelState]


class StrengthSet(TypedDict):
    panel: str
    place: str
    operator: str
    tested: str
    age: str
    cores: list[str]
    mean: str
    least: str
    running: str  # mean of the last three sets, or empty
    share: str  # of the specified strength, in percent
    mark: Mark | None
    verdict: str


class Series(TypedDict):
    """The sets of one mix revision against its limits, in the order they were shot."""

    mix: str
    description: str
    unit: str
    specified: str
    mean_limit: str
    least_limit: str
    rule: str
    source: str
    sets: list[StrengthSet]
    early: list[StrengthSet]  # for information: they decide nothing
    says: str  # one sentence: what the chart shows


class Deficiency(TypedDict):
    code: str
    opened: Moment
    by: str
    item: str
    part: str
    placement: str
    place: str
    words: str
    severity: str
    put_right: str
    closed: Moment | None
    open_for: str
    photographs: list[str]
    mark: Mark


class ItemCount(TypedDict):
    """How often one item of the catalogue was deficient."""

    item: str
    week: int
    to_date: int


class Deficiencies(TypedDict):
    rows: list[Deficiency]
    counts: list[ItemCount]


class Told(TypedDict):
    who: str
    at: Moment
    how: str


class Nonconformance(TypedDict):
    number: str
    about: str
    parts: list[str]
    origin: str
    requirement: str
    words: str
    observed: Moment
    written: Moment
    told: list[Told]
    response_due: str
    disposition: str
    closed: Moment | None
    age: str
    whose: str
    links: list[str]
    mark: Mark


class ReportPlaced(TypedDict):
    placement: str
    part: str
    part_words: str
    mix: str
    operator: str
    start: Moment
    stop: Moment | None
    neat: str
    mark: Mark


class LoadRow(TypedDict):
    """A truck or a bag. Empty texts are readings that were not taken."""

    ticket: str
    volume: str
    batched: Moment | None
    arrived: Moment | None
    last_shot: Moment | None
    age: str
    limit: str
    slump: str
    air: str
    temperature: str
    words: str
    mark: Mark | None


class WeatherRow(TypedDict):
    at: Moment
    air: str
    humidity: str
    wind: str
    concrete: str
    evaporation: str
    limit: str
    words: str
    mark: Mark | None


class RoundRow(TypedDict):
    at: Moment
    name: str
    part: str
    right: int
    deficient: int
    does_not_apply: int
    not_looked_at: int


class DeficientRow(TypedDict):
    at: Moment
    code: str
    item: str
    place: str
    put_right: str
    mark: Mark


class Line(TypedDict):
    """A label and its words: crew, panel, interruption, remark …"""

    label: str
    words: str


class Signed(TypedDict):
    name: str
    meaning: str
    at: Moment


class Sheet(TypedDict):
    """One signed daily field report, complete."""

    number: str
    sheet: int
    version: int
    sha256: str
    work_date: str
    start: Moment
    stop: Moment | None
    shift: str
    contractor: str
    inspector: str
    agency: str
    day_of_contract: str
    mark: Mark
    statement: str
    amended: list[Line]  # earlier versions: what, when and why
    placed: list[ReportPlaced]
    totals: list[Line]  # this sheet, brought forward, carried: label and neat volume
    loads: list[LoadRow]
    loads_total: str
    weather: list[WeatherRow]
    rounds: list[RoundRow]
    deficient: list[DeficientRow]
    lines: list[Line]
    signatures: list[Signed]


class Photograph(TypedDict):
    number: str
    sha256: str  # of the file that is placed
    caption: str
    part: str
    grid: str
    at: Moment
    by: str
    of: list[str]  # what it shows or proves: record codes, items


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
    reports: list[Sheet]
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
