"""Delivered volumes: each nozzle time's share of what its placement got.

Source: how a nozzle time's volume is known is this project's choice: loads shared at
hand-over where they are known, otherwise the delivered volume in proportion to neat
volume, and then "estimated".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from crews.domain.nozzle_volume import parted
from project.domain.units import Quantity, dimension, si_factor, to_decimal

_PLACES = Decimal("1E-12")


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


def delivered_shares(
    times: Sequence[NozzleVolume], *, delivered: Quantity
) -> tuple[Share, ...]:
    """Return the delivered volume of each nozzle time of one placement.

    Loads shared at hand-over stand as they are. What they leave goes to the other
    nozzle times in proportion to neat volume, marked estimated; a single nozzle time
    without shared loads takes it whole, which is no estimate. Where a neat volume is
    missing, or the shared loads exceed what was delivered, the rest stays unknown.
    Shares are in the unit of `delivered`. Raises ValueError unless it is a volume.
    Source: the module's heading.

    >>> first, second = (
    ...     NozzleVolume(name, neat=Quantity(Decimal(neat), "yd3"))
    ...     for name, neat in (("first", "7.4"), ("second", "4.5"))
    ... )
    >>> told = Quantity(Decimal("14.30"), "yd3")
    >>> [round(share.volume.value, 2) for share in delivered_shares(
    ...     [first, second], delivered=told)]
    [Decimal('8.89'), Decimal('5.41')]
    """
    unit = delivered.unit
    if dimension(unit) != "volume":
        raise ValueError(f"delivered {delivered}: a volume is needed")
    left = Fraction(delivered.value) - sum(_in(t.loads, unit) for t in times if t.loads)
    open_times = [time for time in times if time.loads is None]
    neats = [_in(time.neat, unit) for time in open_times if time.neat]
    parts: dict[str, Decimal] = {}
    if left >= 0 and sum(neats) > 0 and len(neats) == len(open_times):
        cut = parted(left, neats, cut=_cut)
        parts = {time.id: part for time, part in zip(open_times, cut, strict=True)}
    alone = len(open_times) == 1 and left >= 0
    return tuple(
        _share(time, left=left, part=parts.get(time.id), alone=alone, unit=unit)
        for time in times
    )


def _share(
    time: NozzleVolume,
    *,
    left: Fraction,
    part: Decimal | None,
    alone: bool,
    unit: str,
) -> Share:
    if time.loads is not None:
        volume = Quantity(to_decimal(_in(time.loads, unit)), unit)
        return Share(time.id, volume, False, "loads shared at hand-over")
    if alone:
        volume = Quantity(to_decimal(left), unit)
        return Share(time.id, volume, False, "all that was delivered and not shared")
    if part is None:
        return Share(time.id, None, True, _unknown(left))
    words = "estimated: delivered volume in proportion to neat volume"
    return Share(time.id, Quantity(part, unit), True, words)


def _cut(value: Fraction) -> Decimal:
    """Cut to a fixed place, so that differences of parts are exact."""
    return to_decimal(value).quantize(_PLACES)


def _unknown(left: Fraction) -> str:
    if left < 0:
        return "not known: the loads shared exceed what was delivered"
    return "not known: no loads shared, and a neat volume is missing"


def _in(volume: Quantity, unit: str) -> Fraction:
    return Fraction(volume.value) * si_factor(volume.unit) / si_factor(unit)
