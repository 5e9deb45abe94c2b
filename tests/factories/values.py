"""Values as people write them: quantities, wall times, bars."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from project import clock
from project.domain.reinforcement import (
    BarWay,
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
)
from project.domain.units import Quantity

ZONE = "America/Denver"
# A site is made before this; tests go on from here.
FIRST_DAY = date(2026, 8, 4)


def q(text: str) -> Quantity:
    """Return "2.50 in" as a quantity."""
    value, unit = text.split()
    return Quantity(Decimal(value), unit)


def at(text: str) -> datetime:
    """Return a wall time of the job, "2026-08-04 07:10", as an instant."""
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(ZONE)).astimezone(UTC)


@contextmanager
def clock_at(text: str) -> Iterator[datetime]:
    """Hold the clock at a wall time of the job."""
    with clock.set_to(at(text)):
        yield at(text)


def bars(bar: str = "No. 5", spacing: str = "8 in", curtains: int = 2) -> Reinforcement:
    """Return bars both ways with laps 2 in apart."""
    planes = (Curtain.NEARER, Curtain.FARTHER)[:curtains]
    mats = tuple(
        Mat(plane, way, bar, q(spacing))
        for plane in planes
        for way in (BarWay.VERTICAL, BarWay.HORIZONTAL)
    )
    return Reinforcement(mats, Splice(SpliceKind.NON_CONTACT, q("2 in")))
