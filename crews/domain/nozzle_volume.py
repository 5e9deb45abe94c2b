"""The neat volume of each nozzle time of a placement, and how it is known.

Source: neat volume is area times thickness (geometry). Where nobody wrote down what
each operator shot, the face is shared by the minutes on the nozzle and marked
estimated (project's choice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from crews.domain.trade_words import VolumeBasis
from project.domain.units import Quantity, convert, si_factor

_CUT = Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class TimeOnNozzle:
    """One nozzle time of a placement: its minutes, none while it runs, and what is stated."""

    id: str
    minutes: int | None
    stated: Quantity | None = None
    basis: VolumeBasis | None = None


@dataclass(frozen=True, slots=True)
class NeatShare:
    """The neat volume of one nozzle time; nothing where it cannot be told."""

    id: str
    volume: Quantity | None
    estimated: bool
    words: str


def neat_volume(area: Quantity, *, thickness: Quantity, unit: str) -> Quantity:
    """Return area times thickness in a unit of volume, to 0.0001 of it.

    Raises ValueError for anything but a positive area, a positive thickness and a
    unit of volume. Source: geometry.

    >>> print(neat_volume(Quantity(Decimal(418), "ft2"),
    ...                   thickness=Quantity(Decimal(10), "in"), unit="yd3"))
    12.9012 yd3
    """
    for name, given, kind in (
        ("area", area, "area"),
        ("thickness", thickness, "length"),
    ):
        if given.dimension != kind or given.value <= 0:
            raise ValueError(f"{name} {given}: a positive {kind} is needed")
    if Quantity(Decimal(1), unit).dimension != "volume":
        raise ValueError(f"unit {unit}: a unit of volume is needed")
    metres = Fraction(area.value) * si_factor(area.unit)
    metres *= Fraction(thickness.value) * si_factor(thickness.unit)
    return _rounded(metres / si_factor(unit), unit)


def neat_shares(
    neat: Quantity | None, times: Sequence[TimeOnNozzle]
) -> tuple[NeatShare, ...]:
    """Return what each nozzle time shot of a face, in the order given.

    Parameters
    ----------
    neat
        The neat volume of the whole placement [volume]; nothing where the face is
        not given.
    times
        Its nozzle times; a neat volume stated for one is taken as it is, and the
        rest of the face is shared among the others by their minutes.

    While a time without a stated volume still runs the others have no share yet.
    Source: the module's heading. Raises ValueError for a volume in another dimension.

    >>> face = Quantity(Decimal("11.9"), "yd3")
    >>> shares = neat_shares(face, [TimeOnNozzle("a", 270), TimeOnNozzle("b", 95)])
    >>> [(str(share.volume), share.estimated) for share in shares]
    [('8.8027 yd3', True), ('3.0973 yd3', True)]
    """
    unit = neat.unit if neat else ""
    stated = {
        time.id: convert(time.stated, to=unit or time.stated.unit)
        for time in times
        if time.stated is not None and time.basis is VolumeBasis.FACE
    }
    others = [time for time in times if time.id not in stated]
    minutes = sum(time.minutes or 0 for time in others)
    runs = any(time.minutes is None for time in others)
    left = None
    if neat is not None and not runs and minutes:
        used = sum((volume.value for volume in stated.values()), Decimal(0))
        left = max(neat.value - used, Decimal(0))
    shares = []
    for time in times:
        if time.id in stated:
            words = "as stated at hand-over"
            shares.append(NeatShare(time.id, stated[time.id], False, words))
        elif left is None:
            words = "still on the nozzle" if runs else "face not given"
            shares.append(NeatShare(time.id, None, False, words))
        else:
            part = Fraction(left) * (time.minutes or 0) / minutes
            alone = len(times) == 1
            words = "the whole face" if alone else "estimated, by minutes on the nozzle"
            shares.append(NeatShare(time.id, _rounded(part, unit), not alone, words))
    return tuple(shares)


def _rounded(value: Fraction, unit: str) -> Quantity:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return Quantity(exact.quantize(_CUT), unit)
