"""A load's age, a restart gap and elapsed time as calculations."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from inspections.domain.ages import Ages, ages
from inspections.domain.load_age import C94, C94_WAIVER, ORDER, Waiver, load_age
from inspections.domain.restart import UNFINISHED, Edge, restart_gap
from inspections.domain.spans import IN_UTC, in_hours, span_working
from inspections.domain.worked.spans import (
    GROUP,
    MOST_OF_A_CENTURY,
    MOST_OF_A_DAY,
    MOST_OF_A_YEAR,
    ZONE,
    in_order,
    instant_field,
    local_day,
    time_field,
    zone_in,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.calculation_reading import InputError
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Source, Verdict
from project.domain.working import Step, Working

_CALENDAR = Source("calendar of the job's zone", known=Known.PROJECT)


def _answer(name: str, verdict: Verdict) -> Answer:
    """Return a verdict with its figure and, in words, what was found."""
    figures = {} if verdict.working is None else {name: verdict.working()}
    return Answer(figures, verdict, "; ".join(r.found for r in verdict.reasons))


def _load(given: Given, terms: Terms) -> Answer:
    in_order(given, "batched_at", "last_shot_at", most=MOST_OF_A_DAY)
    waived_at = given.instant_or_none("waived_at")
    waivers = [Waiver(waived_at, "waived")] if waived_at is not None else []
    verdict = load_age(
        given.instant("batched_at"),
        last_shot_at=given.instant_or_none("last_shot_at"),
        terms=terms,
        mix_limit=given.quantity_or_none("mix_limit"),
        ticket_limit=given.quantity_or_none("ticket_limit"),
        waivers=waivers,
    )
    return _answer("age", verdict)


def _gap(given: Given, terms: Terms) -> Answer:
    for name in ("resumed_at", "asked_at"):
        in_order(given, "stopped_at", name, most=MOST_OF_A_YEAR)
    if not (given.has("resumed_at") or given.has("asked_at")):
        raise InputError({"resumed_at": "not given; needed is it or asked_at"})
    verdict = restart_gap(
        given.instant("stopped_at"),
        resumed_at=given.instant_or_none("resumed_at"),
        terms=terms,
        edge=Edge(given.word("edge") or Edge.NOT_LOOKED_AT),
        at=given.instant_or_none("asked_at"),
    )
    return _answer("gap", verdict)


def _elapsed(given: Given, _: Terms) -> Answer:
    zone = zone_in(given)
    in_order(given, "shot_at", "at", most=MOST_OF_A_CENTURY)
    shot_at, at = given.instant("shot_at"), given.instant("at")
    work_date = given.day_or_none("work_date")
    shot_on = local_day(shot_at, zone)
    if work_date is not None and not shot_on - _A_DAY <= work_date <= shot_on:
        allowed = f"allowed is {shot_on}, the day of the shot, or the day before"
        raise InputError({"work_date": f"{work_date}; {allowed}"})
    found = ages(shot_at, at=at, zone=zone, work_date=work_date)
    truly = span_working(
        "Elapsed time",
        ends=(("shot", shot_at), ("at", at)),
        result="elapsed",
    )
    today = local_day(at, zone)
    figures = {
        "elapsed": truly,
        "calendar days": _days(
            "Age in calendar days, as a core's is counted",
            f"{today} − {shot_on}, on the calendar of {zone}",
            found.calendar_days,
        ),
    }
    if found.work_days is not None:
        figures["days from the work date"] = _days(
            "Days from the work date", f"{today} − {work_date}", found.work_days
        )
    return Answer(figures, words=_three(found))


_A_DAY = timedelta(days=1)


def _days(title: str, line: str, days: int) -> Working:
    value = Quantity(Decimal(days), "d")
    return Working(
        title=title,
        inputs=(),
        steps=(Step("days", f"{line} = {value}", _CALENDAR),),
        exact=value,
        reported=value,
        rounding="none: whole days",
    )


def _three(found: Ages) -> str:
    said = f"{in_hours(found.truly)} truly passed"
    said += f"; {found.calendar_days} calendar days, as a core's age is counted"
    if found.work_days is not None:
        said += f"; {found.work_days} days from the work date"
    return said


CALCULATIONS = (
    Calculation(
        name="load-age",
        title="Age of a load at its last shot",
        group=GROUP,
        says="Minutes that truly passed from batching, across clock changes, against "
        "the mix revision's limit, else the contract's; there is no built-in one. Of "
        "damp dry-mix it begins when damp sand met cement.",
        fields=(
            instant_field("batched_at", "Batched"),
            instant_field("last_shot_at", "Last shot", optional=True),
            time_field("mix_limit", "Limit of the mix revision", unit="min", most=1440),
            time_field(
                "ticket_limit",
                "Limit on the ticket",
                unit="min",
                most=1440,
                note="shown beside it, never decides",
            ),
            instant_field(
                "waived_at",
                "Waived, written down",
                optional=True,
                note="counts only before the last shot",
            ),
        ),
        run=_load,
        sources=(C94, C94_WAIVER, ORDER),
        settings=("load_age", "load_age_waivable"),
        example={
            "batched_at": "2026-08-25T08:02-06:00",
            "last_shot_at": "2026-08-25T09:54-06:00",
            "mix_limit": ["90", "min"],
        },
    ),
    Calculation(
        name="restart-gap",
        title="How long an unfinished face waited",
        group=GROUP,
        says="Minutes that truly passed before more was shot against it, against the "
        "contract's limit, which does not bind an edge sloped to a thin edge.",
        fields=(
            instant_field("stopped_at", "Stopped"),
            instant_field("resumed_at", "Resumed", optional=True),
            Field(
                "edge",
                "Edge was left",
                Kind.CHOICE,
                choices=tuple(Edge),
                optional=True,
            ),
            instant_field("asked_at", "Asked at, while it waits", optional=True),
        ),
        run=_gap,
        sources=(UNFINISHED, IN_UTC),
        settings=("restart_gap",),
        example={
            "stopped_at": "2026-08-25T08:00-06:00",
            "resumed_at": "2026-08-25T08:31-06:00",
            "edge": Edge.SLOPED.value,
        },
    ),
    Calculation(
        name="elapsed",
        title="Elapsed time, core age, days from the work date",
        group=GROUP,
        says="Three different things of one stretch: what truly passed across clock "
        "changes, the calendar days a core's age is counted in, and the days from the "
        "shift's work date.",
        fields=(
            instant_field("shot_at", "From: shot, or observed"),
            instant_field("at", "Until"),
            ZONE,
            Field("work_date", "Work date of the shift", Kind.DAY, optional=True),
        ),
        run=_elapsed,
        sources=(IN_UTC, _CALENDAR),
        example={
            "shot_at": "2026-09-03T02:40-06:00",
            "at": "2026-10-01T09:00-06:00",
            "zone": "America/Denver",
            "work_date": "2026-09-02",
        },
    ),
)
