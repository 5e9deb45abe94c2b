"""Moist time and protection from cold as calculations."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from inspections.domain import protection
from inspections.domain.curing import BETWEEN, CURING, LAST_SEEN, TERMS, curing_end
from inspections.domain.curing_visits import Visit, moist_stretches
from inspections.domain.worked.spans import (
    GROUP,
    MOST_OF_A_YEAR,
    ZONE,
    in_order,
    instant_field,
    zone_in,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.calculation_reading import InputError
from project.domain.terms import Terms
from project.domain.units import Quantity

MOIST, DRY = "moist", "dry"
ORDINARY, HIGH_EARLY = "ordinary", "high early strength"
_COLDEST, _HOTTEST = Decimal(-60), Decimal(160)


def _visits(given: Given) -> tuple[Visit, ...]:
    """Return the visits. Raises InputError naming the row that cannot be."""
    found: list[Visit] = []
    started_at = given.instant("started_at")
    for number, row in enumerate(given.rows("visits"), start=1):
        try:
            found.append(_visit(row))
            moist_stretches(found, started_at=started_at)
        except ValueError as error:
            name, _, why = str(error).partition(" ")
            raise InputError({f"visits.{number}.{name}": why}) from None
    return tuple(found)


def _visit(row: Given) -> Visit:
    return Visit(
        row.instant("at"),
        moist=row.word("found") == MOIST,
        last_seen_moist_at=row.instant_or_none("last_seen_moist_at"),
        moist_since=row.instant_or_none("moist_since"),
    )


def _moist(given: Given, terms: Terms) -> Answer:
    zone = zone_in(given)
    in_order(given, "started_at", "asked_at", most=MOST_OF_A_YEAR)
    state = curing_end(
        _visits(given),
        started_at=given.instant("started_at"),
        terms=terms,
        zone=zone,
        high_early=given.word("cement") == HIGH_EARLY,
        at=given.instant_or_none("asked_at"),
    )
    figures = {"moist time": state.moist_working()}
    end = state.end_working()
    if end is not None:
        figures["from start to end"] = end
    return Answer(figures, verdict=state.verdict, words=state.words)


def _protection(given: Given, terms: Terms) -> Answer:
    zone = zone_in(given)
    in_order(given, "started_at", "asked_at", most=MOST_OF_A_YEAR)
    started_at = given.instant("started_at")
    verdict = protection.kept_warm(
        _readings(given.rows("readings"), started_at),
        started_at=started_at,
        terms=terms,
        zone=zone,
        at=given.instant_or_none("asked_at"),
    )
    figures = {} if verdict.working is None else {"window": verdict.working()}
    return Answer(figures, verdict, verdict.reasons[0].found)


def _readings(
    rows: Sequence[Given], started_at: datetime
) -> list[protection.WarmReading]:
    found = []
    for number, row in enumerate(rows, start=1):
        values = Given({"from": started_at, "at": row.instant("at")})
        try:
            in_order(values, "from", "at", most=MOST_OF_A_YEAR)
        except InputError as error:
            raise InputError({f"readings.{number}.at": error.errors["at"]}) from None
        temperature: Quantity = row.quantity("temperature")
        found.append(protection.WarmReading(row.instant("at"), temperature))
    return found


_STARTED = instant_field("started_at", "Curing started")
_ASKED = instant_field(
    "asked_at", "Asked at", optional=True, note="else the last visit"
)

CALCULATIONS = (
    Calculation(
        name="moist-hours",
        title="Moist time of a curing part, and its end",
        group=GROUP,
        says="Moist hours from visits, with pauses by the contract's policy, and the "
        "instant it will be complete if nothing changes.",
        fields=(
            _STARTED,
            Field(
                "visits",
                "Visits",
                Kind.ROWS,
                optional=True,
                columns=(
                    instant_field("at", "At"),
                    Field("found", "Found", Kind.CHOICE, choices=(MOIST, DRY)),
                    instant_field(
                        "last_seen_moist_at",
                        "Last seen moist",
                        optional=True,
                        note="of a dry one; left out: the visit before",
                    ),
                    instant_field(
                        "moist_since",
                        "Moist again since",
                        optional=True,
                        note="of the first moist one after; left out: the visit",
                    ),
                ),
            ),
            Field(
                "cement",
                "Cement",
                Kind.CHOICE,
                choices=(ORDINARY, HIGH_EARLY),
                optional=True,
            ),
            _ASKED,
            ZONE,
        ),
        run=_moist,
        sources=(CURING, BETWEEN, LAST_SEEN),
        settings=TERMS,
        example={
            "started_at": "2026-08-21T12:30-06:00",
            "visits": [
                {"at": "2026-08-23T18:00-06:00", "found": MOIST},
                {"at": "2026-08-24T07:10-06:00", "found": DRY},
                {
                    "at": "2026-08-24T07:50-06:00",
                    "found": MOIST,
                    "moist_since": "2026-08-24T07:40-06:00",
                },
            ],
            "zone": "America/Denver",
        },
    ),
    Calculation(
        name="protection",
        title="Protection from cold",
        group=GROUP,
        says="Temperature readings within the window that the contract asks, each "
        "above its limit; what nobody read is not taken for warm.",
        fields=(
            instant_field("started_at", "Window begins"),
            Field(
                "readings",
                "Readings",
                Kind.ROWS,
                optional=True,
                columns=(
                    instant_field("at", "At"),
                    Field(
                        "temperature",
                        "Temperature",
                        Kind.QUANTITY,
                        unit="F",
                        least=_COLDEST,
                        most=_HOTTEST,
                        note="the lowest since the reading before, where it is kept",
                    ),
                ),
            ),
            _ASKED,
            ZONE,
        ),
        run=_protection,
        sources=(protection.COLD, CURING),
        settings=protection.TERMS,
        example={
            "started_at": "2026-08-04T12:42-06:00",
            "readings": [
                {"at": "2026-08-05T06:12-06:00", "temperature": ["51", "F"]},
                {"at": "2026-08-08T18:14-06:00", "temperature": ["56", "F"]},
            ],
            "zone": "America/Denver",
        },
    ),
)
