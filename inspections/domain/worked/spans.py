"""What the calculations of elapsed time share: their fields and how faults are named."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from project.domain.calculation import Field, Given, Kind
from project.domain.calculation_reading import InputError
from project.domain.clocks import as_span, elapsed, on_the_clock, zone_of
from project.domain.units import Quantity

GROUP = "Delivery and curing"
ZONE = Field(
    "zone",
    "Zone of the job",
    Kind.WORDS,
    optional=True,
    note="as America/Denver; left out: UTC",
)
MOST_OF_A_DAY = Quantity(Decimal(24), "h")
MOST_OF_A_YEAR = Quantity(Decimal(366), "d")
MOST_OF_A_CENTURY = Quantity(Decimal(36525), "d")


def instant_field(
    name: str, label: str, *, optional: bool = False, note: str = ""
) -> Field:
    """Return the field of an instant. Source: project's choice of form.

    >>> instant_field("batched_at", "Batched").kind.value
    'instant'
    """
    return Field(name, label, Kind.INSTANT, optional=optional, note=note)


def time_field(name: str, label: str, *, unit: str, most: int, note: str = "") -> Field:
    """Return the field of any time above 0 and up to `most` units, or left out.

    Source: project's choice.

    >>> time_field("limit", "Limit", unit="min", most=1440).allowed
    'a number above 0 and at most 1,440 min; units s, min, h, d'
    """
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit=unit,
        above=Decimal(0),
        most=Decimal(most),
        optional=True,
        note=note,
    )


def zone_in(given: Given) -> str:
    """Return the zone that was given, or UTC. Raises InputError for one that is none.

    Source: project's choice.

    >>> zone_in(Given({}))
    'UTC'
    """
    name = given.word("zone") or "UTC"
    try:
        zone_of(name)
    except ValueError as error:
        raise InputError({"zone": str(error).removeprefix("zone ")}) from None
    return name


def in_order(given: Given, first: str, then: str, *, most: Quantity) -> None:
    """Refuse an instant before another or absurdly long after it.

    Raises InputError naming the later one. Source: project's choice of range.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 8, 6, 12, tzinfo=UTC)
    >>> in_order(Given({"a": noon, "b": noon}), "a", "b", most=MOST_OF_A_DAY)
    """
    if not (given.has(first) and given.has(then)):
        return
    start, stop = given.instant(first), given.instant(then)
    span = elapsed(start, stop)
    if not as_span(Quantity(Decimal(0), "h")) <= span <= as_span(most):
        why = (
            f"{on_the_clock(stop)}; allowed is {on_the_clock(start)} "
            f"or up to {most} after"
        )
        raise InputError({then: why})


def local_day(instant: datetime, zone: str) -> date:
    """Return the calendar day of an instant in a zone. Source: project.domain.clocks.

    >>> from datetime import UTC
    >>> local_day(datetime(2026, 9, 3, 3, tzinfo=UTC), "America/Denver").isoformat()
    '2026-09-02'
    """
    return instant.astimezone(zone_of(zone)).date()
