"""How fast it was placed, gross and net, and what fresh material weighs."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from project.domain.reporting import reported, rounding_words
from project.domain.showing import short
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

DEFINED = Source("rate of placing, as defined here", known=Known.PROJECT)
GEOMETRY = Source("unit weight times thickness", known=Known.DERIVED)
PRACTICE = Source(
    "12 lb on a square foot for each inch",
    known=Known.PRACTICE,
)

# Fresh shotcrete by custom: this on an area for each of that (common practice, no
# source); a unit weight of 144 lb/ft3.
WEIGHT_BY_CUSTOM = Quantity(Decimal(12), "lb/ft2")
FOR_EACH = Quantity(Decimal(1), "in")

CAUTION = (
    "Nobody stands under fresh overhead work. What holds it, and when anybody may go "
    "beneath it, is for the site's safety plan, the competent person, local codes and "
    "the licensed engineer; this figure only says how heavy it is."
)

# Unit typed -> the unit of the rate; a volume or an area of no daily use goes to these.
_RATES: Mapping[str, tuple[str, str]] = {
    "m3": ("m3", "m3/h"),
    "l": ("m3", "m3/h"),
    "yd3": ("yd3", "yd3/h"),
    "ft3": ("yd3", "yd3/h"),
    "gal": ("yd3", "yd3/h"),
    "m2": ("m2", "m2/h"),
    "mm2": ("m2", "m2/h"),
    "ft2": ("ft2", "ft2/h"),
    "in2": ("ft2", "ft2/h"),
}


def placing_rate(placed: Quantity, *, time: Quantity, of: str) -> Working:
    """Return a volume or an area over a time, by the hour.

    Parameters
    ----------
    placed
        What was shot [volume] or covered [area], above 0.
    time
        From start to stop for a gross rate, on the nozzle for a net one [time], above 0.
    of
        Of which time it is, in words.

    Raises ValueError for another dimension or what is not above 0. Source: project's
    choice of definition.

    >>> shot, hours = Quantity(Decimal("15.84"), "yd3"), Quantity(Decimal("3.25"), "h")
    >>> print(placing_rate(shot, time=hours, of="nozzle time").reported)
    4.87 yd3/h
    """
    if placed.unit not in _RATES or placed.value <= 0:
        raise ValueError(f"volume {placed}: a volume or an area above 0 is needed")
    if time.dimension != "time" or time.value <= 0:
        raise ValueError(f"time {time}: a time above 0 is needed")
    unit, by_the_hour = _RATES[placed.unit]
    amount, hours = convert(placed, to=unit), convert(time, to="h")
    exact = Quantity(amount.value / hours.value, by_the_hour)
    line = f"{short(amount.value)} {unit} / {short(hours.value)} h = {reported(exact)}"
    return Working(
        title=f"Rate by {of}",
        inputs=(Named("placed", placed), Named("time", time)),
        steps=(Step("rate", line, DEFINED),),
        exact=exact,
        reported=reported(exact),
        rounding=rounding_words(by_the_hour),
    )


def fresh_weight(
    thickness: Quantity, *, unit_weight: Quantity | None = None
) -> Working:
    """Return what a fresh layer weighs on its area.

    Parameters
    ----------
    thickness
        Of the layer [length], above 0.
    unit_weight
        Of the fresh material [density], above 0; without it 12 lb/ft2 for each inch.

    In kg/m2 where the thickness is in m or mm, else in lb/ft2. Raises ValueError for
    another dimension or what is not above 0. Source: geometry; 12 lb/ft2 for each inch
    is common practice, no source.

    >>> print(fresh_weight(Quantity(Decimal(4), "in")).reported)
    48 lb/ft2
    """
    if thickness.dimension != "length" or thickness.value <= 0:
        raise ValueError(f"thickness {thickness}: a length above 0 is needed")
    unit = "kg/m2" if thickness.unit in ("m", "mm") else "lb/ft2"
    metres = convert(thickness, to="m").value
    named = [Named("thickness", thickness)]
    if unit_weight is None:
        count = metres / convert(FOR_EACH, to="m").value
        value = count * convert(WEIGHT_BY_CUSTOM, to=unit).value
        line = f"{short(count)} × {WEIGHT_BY_CUSTOM} for each {FOR_EACH}"
        step = Step("by custom", f"{line} = {short(value)} {unit}", PRACTICE)
    else:
        if unit_weight.dimension != "density" or unit_weight.value <= 0:
            raise ValueError(f"unit_weight {unit_weight}: a density above 0 is needed")
        named.append(Named("unit_weight", unit_weight))
        kilograms = metres * convert(unit_weight, to="kg/m3").value
        value = convert(Quantity(kilograms, "kg/m2"), to=unit).value
        line = f"{unit_weight} × {thickness} = {short(value)} {unit}"
        step = Step("unit weight times thickness", line, GEOMETRY)
    exact = Quantity(value, unit)
    return Working(
        title="Weight of the fresh layer on its area",
        inputs=tuple(named),
        steps=(step,),
        exact=exact,
        reported=reported(exact),
        rounding=rounding_words(unit),
    )


def piece_weight(on_area: Quantity, *, area: Quantity) -> Working:
    """Return what a piece of a fresh layer weighs.

    Parameters
    ----------
    on_area
        What the layer weighs [mass on an area].
    area
        Of the piece [area], above 0.

    In kg or lb, as the layer's weight is. Raises ValueError for another dimension or
    an area that is not above 0. Source: geometry.

    >>> layer, piece = Quantity(Decimal(48), "lb/ft2"), Quantity(Decimal(3), "ft2")
    >>> print(piece_weight(layer, area=piece).reported)
    144 lb
    """
    if on_area.dimension != "mass on an area":
        raise ValueError(f"on_area {on_area}: a mass on an area is needed")
    if area.dimension != "area" or area.value <= 0:
        raise ValueError(f"area {area}: an area above 0 is needed")
    mass, square = on_area.unit.split("/")
    size = convert(area, to=square)
    exact = Quantity(on_area.value * size.value, mass)
    line = f"{short(on_area.value)} {on_area.unit} × {short(size.value)} {square}"
    return Working(
        title="Weight of a piece",
        inputs=(Named("area", area),),
        steps=(Step("weight", f"{line} = {short(exact.value)} {mass}", GEOMETRY),),
        exact=exact,
        reported=reported(exact),
        rounding=rounding_words(mass),
    )
