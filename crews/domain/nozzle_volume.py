"""The neat volume of each nozzle time of a placement, and how it is known.

Source: neat volume is area times thickness (geometry). Where nobody wrote down what
each operator shot, the face is shared by the minutes on the nozzle and marked
estimated (project's choice).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from crews.domain.trade_words import VolumeBasis
from project.domain.units import Quantity, convert, si_factor, to_decimal

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


def face_volume(area: Quantity, *, thickness: Quantity, unit: str) -> Quantity:
    """Return area times thickness in a unit of volume, unrounded.

    Raises ValueError for anything but a positive area, a positive thickness and a
    unit of volume. Source: geometry.

    >>> print(face_volume(Quantity(Decimal(24), "m2"),
    ...                   thickness=Quantity(Decimal("1.5"), "m"), unit="m3"))
    36 m3
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
    return Quantity(to_decimal(metres / si_factor(unit)), unit)


def neat_volume(area: Quantity, *, thickness: Quantity, unit: str) -> Quantity:
    """Return area times thickness in a unit of volume, to 0.0001 of it.

    Cut to a fixed place, so that the shares of it add up. Raises ValueError as
    `face_volume` does. Source: geometry.

    >>> print(neat_volume(Quantity(Decimal(418), "ft2"),
    ...                   thickness=Quantity(Decimal(10), "in"), unit="yd3"))
    12.9012 yd3
    """
    whole = face_volume(area, thickness=thickness, unit=unit)
    return Quantity(whole.value.quantize(_CUT), unit)


def parted(
    whole: Fraction, weights: Sequence[Fraction], *, cut: Callable[[Fraction], Decimal]
) -> tuple[Decimal, ...]:
    """Part a figure in proportion to weights, the parts cut and adding up to it.

    Any unit will do, and any weights of 0 or more. What is cut off one part goes to the next: three thirds of 50 yd3 must not come to
    a hair more, and ask for one panel more. Source: arithmetic. Raises
    ZeroDivisionError where the weights come to nothing.

    >>> cents = lambda value: round(Decimal(float(value)), 2)
    >>> [str(part) for part in parted(Fraction(50), [Fraction(1)] * 3, cut=cents)]
    ['16.67', '16.66', '16.67']
    """
    total, so_far, before = sum(weights), Fraction(0), Decimal(0)
    parts = []
    for weight in weights:
        so_far += weight
        until = cut(whole * so_far / total)
        parts.append(until - before)
        before = until
    return tuple(parts)


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
    minutes = [Fraction(time.minutes or 0) for time in others]
    runs = any(time.minutes is None for time in others)
    parts: dict[str, Decimal] = {}
    if neat is not None and not runs and any(minutes):
        used = sum((volume.value for volume in stated.values()), Decimal(0))
        left = Fraction(max(neat.value - used, Decimal(0)))
        cut = parted(left, minutes, cut=_rounded)
        parts = {time.id: part for time, part in zip(others, cut, strict=True)}
    shares = []
    for time in times:
        if time.id in stated:
            words = "as stated at hand-over"
            shares.append(NeatShare(time.id, stated[time.id], False, words))
        elif time.id not in parts:
            words = "still on the nozzle" if runs else "face not given"
            shares.append(NeatShare(time.id, None, False, words))
        else:
            alone = len(times) == 1
            words = "the whole face" if alone else "estimated, by minutes on the nozzle"
            volume = Quantity(parts[time.id], unit)
            shares.append(NeatShare(time.id, volume, not alone, words))
    return tuple(shares)


def _rounded(value: Fraction) -> Decimal:
    return to_decimal(value).quantize(_CUT)
