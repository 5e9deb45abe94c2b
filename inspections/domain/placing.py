"""Volumes of placed work: neat from the drawing, and each nozzle time's share.

Source: neat volume is area times thickness (geometry). How a nozzle time's volume is
known is this project's choice: loads shared at hand-over where they are known,
otherwise the delivered volume in proportion to neat volume, and then "estimated".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from fractions import Fraction

from project.domain.units import Quantity, dimension, si_factor
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

_GEOMETRY = Source("geometry", known=Known.DERIVED)


@dataclass(frozen=True, slots=True)
class NozzleVolume:
    """What is known of one nozzle time: its neat volume, and loads shared to it."""

    id: str
    neat: Quantity | None
    loads: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Share:
    """The delivered volume of one nozzle time, and how it is known.

    `volume` is absent where nothing tells it; `estimated` says it was proportioned.
    """

    id: str
    volume: Quantity | None
    estimated: bool
    words: str


def neat_volume(area: Quantity, *, thickness: Quantity, unit: str) -> Quantity:
    """Return area times thickness in a unit of volume.

    Exact, cut to 28 digits at the very end. Raises ValueError for anything but a
    positive area, a positive thickness and a unit of volume.

    >>> neat_volume(Quantity(Decimal("540"), "ft2"),
    ...             thickness=Quantity(Decimal("6"), "in"), unit="yd3").value
    Decimal('10')
    """
    return Quantity(_decimal(_neat(area, thickness, unit)), unit)


def neat_working(area: Quantity, *, thickness: Quantity, unit: str) -> Working:
    """Return how a neat volume came about, with the figure to two decimals.

    >>> neat_working(Quantity(Decimal("840"), "ft2"),
    ...              thickness=Quantity(Decimal("10"), "in"), unit="yd3").reported
    Quantity(value=Decimal('25.93'), unit='yd3')
    """
    exact = neat_volume(area, thickness=thickness, unit=unit)
    with localcontext(rounding=ROUND_HALF_EVEN):
        reported = Quantity(round(exact.value, 2), unit)
    line = f"{area} × {thickness} = {reported}"
    return Working(
        title="Neat volume",
        inputs=(Named("area", area), Named("thickness", thickness)),
        steps=(Step("area times thickness", line, _GEOMETRY),),
        exact=exact,
        reported=reported,
        rounding="two decimals, half to even, at the end",
    )


def delivered_shares(
    times: Sequence[NozzleVolume], *, delivered: Quantity
) -> tuple[Share, ...]:
    """Return the delivered volume of each nozzle time of one placement.

    Loads shared at hand-over stand as they are. What they leave goes to the other
    nozzle times in proportion to neat volume, marked estimated; a single nozzle time
    without shared loads takes it whole, which is no estimate. Where a neat volume is
    missing, or the shared loads exceed what was delivered, the rest stays unknown.
    Shares are in the unit of `delivered`; raises ValueError unless it is a volume.
    """
    unit = delivered.unit
    if dimension(unit) != "volume":
        raise ValueError(f"delivered {delivered}: a volume is needed")
    left = Fraction(delivered.value) - sum(_in(t.loads, unit) for t in times if t.loads)
    open_times = [time for time in times if time.loads is None]
    whole = sum(_in(time.neat, unit) for time in open_times if time.neat)
    told = left >= 0 and whole > 0 and all(time.neat for time in open_times)
    alone = len(open_times) == 1 and left >= 0
    return tuple(
        _share(time, left=left, whole=whole, told=told, alone=alone, unit=unit)
        for time in times
    )


def _share(
    time: NozzleVolume,
    *,
    left: Fraction,
    whole: Fraction | int,
    told: bool,
    alone: bool,
    unit: str,
) -> Share:
    if time.loads is not None:
        volume = Quantity(_decimal(_in(time.loads, unit)), unit)
        return Share(time.id, volume, False, "loads shared at hand-over")
    if alone:
        volume = Quantity(_decimal(left), unit)
        return Share(time.id, volume, False, "all that was delivered and not shared")
    if not told or time.neat is None:
        return Share(time.id, None, True, _unknown(left))
    part = left * _in(time.neat, unit) / whole
    words = "estimated: delivered volume in proportion to neat volume"
    return Share(time.id, Quantity(_decimal(part), unit), True, words)


def _unknown(left: Fraction) -> str:
    if left < 0:
        return "not known: the loads shared exceed what was delivered"
    return "not known: no loads shared, and a neat volume is missing"


def _neat(area: Quantity, thickness: Quantity, unit: str) -> Fraction:
    for name, given, kind in (
        ("area", area, "area"),
        ("thickness", thickness, "length"),
    ):
        if given.dimension != kind or given.value <= 0:
            raise ValueError(f"{name} {given}: a positive {kind} is needed")
    if dimension(unit) != "volume":
        raise ValueError(f"unit {unit}: a unit of volume is needed")
    metres = Fraction(area.value) * si_factor(area.unit)
    metres *= Fraction(thickness.value) * si_factor(thickness.unit)
    return metres / si_factor(unit)


def _in(volume: Quantity, unit: str) -> Fraction:
    return Fraction(volume.value) * si_factor(volume.unit) / si_factor(unit)


def _decimal(value: Fraction) -> Decimal:
    with localcontext(prec=28, rounding=ROUND_HALF_EVEN):
        return Decimal(value.numerator) / Decimal(value.denominator)
