"""The packet's sections, from the work placed to the photographs."""

from __future__ import annotations

from typing import NotRequired, TypedDict

from inspections.packet.shape.basics import Mark, Moment


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
    """Who held the nozzle; `later` says what was learned after a take that turns it."""

    shifts: list[Shift]
    not_qualified: list[NotQualified]
    later: list[str]


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


class Setting(TypedDict):
    """A contract's choice where documents differ, and where the choice comes from."""

    name: str
    value: str
    source: str


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
    # Absent in a snapshot older than they are.
    run: NotRequired[str]  # how three consecutive panels stand, where the terms ask
    settings: NotRequired[list[Setting]]  # the choices every figure was made under


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


class Photograph(TypedDict):
    number: str
    sha256: str  # of the file that is placed
    caption: str
    part: str
    grid: str
    at: Moment
    by: str
    of: list[str]  # what it shows or proves: record codes, items
