"""One signed daily field report, as it is printed."""

from __future__ import annotations

from typing import TypedDict

from inspections.packet.shape.basics import Mark, Moment


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
    """One name under a report; without name and time while it is awaited."""

    name: str
    meaning: str
    at: Moment | None


class Report(TypedDict):
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
