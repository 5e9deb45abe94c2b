"""How fast a fresh face loses water, estimated from the weather read at the wall.

Three ways of writing one estimate are in use, and the rounded one gives 3.4 to 4.8 %
less than the other two (50 to 100 F, up to 30 mph): enough to move a reading across a
limit. The contract chooses one, and every figure says which. Against the equation by
vapour pressures, which the older graph was drawn from, they lie within 7 % where air
and concrete are equally warm, and up to 29 % higher where the air is 15 F warmer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from project.domain.reporting import to_step
from project.domain.showing import short
from project.domain.term_kinds import EXACT_METRIC, ROUNDED_METRIC, US_FORM
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

ACI_305R = Source("ACI 305R", "evaporation of surface moisture, equation for F and mph")
TWIN = Source(
    "ACI 305R",
    "the same equation for C and km/h; constants derived, and read on a meter maker's page",
    known=Known.DERIVED,
)
PAPER = Source("ACI Materials Journal", "95-M34", "1998", Known.READ)
GUARD = Source(
    "temperatures above 0 F: they are raised to a power", known=Known.DERIVED
)
SPREAD = Source(
    "the true loss may be 40 % off the estimate",
    known=Known.PRACTICE,
)

CAUTION = (
    "An estimate of what free water would lose; the true loss may differ by 40 %, and "
    "shotcrete bleeds little. Wind is read at the work, about 20 in (0.5 m) above the "
    "face; that of an airport is faster."
)

# Temperatures above 0 F, since the equation raises them to a power.
WARMER_THAN = Quantity(Decimal(0), "F")
# How far the true loss may lie from the estimate, either side (read in trade guidance).
OFF_BY = Decimal("0.4")
# Two figures, and none finer than this: the estimate is no better (project's choice).
FIGURES = 2
FINEST = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Form:
    """One way of writing the estimate: its units and its numbers.

    scale * ((concrete + zero)^power - humidity * (air + zero)^power)
    * (still + windy * wind)
    """

    word: str
    temperature: str
    speed: str
    rate: str
    zero: Decimal
    power: Decimal
    still: Decimal
    windy: Decimal
    scale: Decimal
    source: Source


FORMS: Mapping[str, Form] = {
    US_FORM: Form(
        US_FORM,
        *("F", "mph", "lb/ft2/h"),
        zero=Decimal(0),
        power=Decimal("2.5"),
        still=Decimal(1),
        windy=Decimal("0.4"),
        scale=Decimal("1E-6"),
        source=ACI_305R,
    ),
    EXACT_METRIC: Form(
        EXACT_METRIC,
        *("C", "km/h", "kg/m2/h"),
        zero=Decimal("17.778"),
        power=Decimal("2.5"),
        still=Decimal("4.02336"),
        windy=Decimal(1),
        scale=Decimal("5.275E-6"),
        source=TWIN,
    ),
    ROUNDED_METRIC: Form(
        ROUNDED_METRIC,
        *("C", "km/h", "kg/m2/h"),
        zero=Decimal(18),
        power=Decimal("2.5"),
        still=Decimal(4),
        windy=Decimal(1),
        scale=Decimal("5E-6"),
        source=PAPER,
    ),
}


@dataclass(frozen=True, slots=True)
class WeatherAt:
    """What was read of the weather at one time; what was not read is absent.

    Temperatures above 0 F, humidity 0 to 100 %, wind from still up. Raises ValueError
    naming the reading, its value and what is allowed. Source: `GUARD`.

    >>> WeatherAt(air=Quantity(Decimal(-4), "F"))
    Traceback (most recent call last):
    ValueError: air -4 F: allowed is above 0 F
    """

    concrete: Quantity | None = None
    air: Quantity | None = None
    humidity: Quantity | None = None
    wind: Quantity | None = None

    def __post_init__(self) -> None:
        for name in ("concrete", "air"):
            _check_temperature(name, getattr(self, name))
        if self.humidity is not None:
            share = _in(self.humidity, "1", name="humidity")
            if not 0 <= share <= 1:
                raise ValueError(f"humidity {self.humidity}: allowed is 0 to 100 %")
        if self.wind is not None and _in(self.wind, "mph", name="wind") < 0:
            raise ValueError(f"wind {self.wind}: allowed is 0 and more")

    @property
    def unread(self) -> tuple[str, ...]:
        """The readings an estimate wants that were not taken."""
        names = ("concrete", "air", "humidity", "wind")
        return tuple(name for name in names if getattr(self, name) is None)


def _in(given: Quantity, unit: str, *, name: str) -> Decimal:
    try:
        return convert(given, to=unit).value
    except ValueError:
        wanted = Quantity(Decimal(1), unit).dimension
        raise ValueError(f"{name} {given}: a {wanted} is needed") from None


def _check_temperature(name: str, given: Quantity | None) -> None:
    if given is None:
        return
    degrees = _in(given, "F", name=name)
    if not degrees > WARMER_THAN.value:
        raise ValueError(f"{name} {given}: allowed is above {WARMER_THAN}")


@dataclass(frozen=True, slots=True)
class Evaporation:
    """An estimate by one form: as computed, never below zero, and as reported.

    `computed` is negative where water condenses; `rate` is then zero.
    """

    weather: WeatherAt
    form: Form
    computed: Quantity
    parts: tuple[Decimal, ...] = field(compare=False, repr=False)

    @property
    def rate(self) -> Quantity:
        """The rate a limit is held against: none while water condenses."""
        return Quantity(max(self.computed.value, Decimal(0)), self.computed.unit)

    @property
    def condensing(self) -> bool:
        """Whether water condenses on the face instead of leaving it."""
        return self.computed.value < 0

    @property
    def reported(self) -> Quantity:
        """The rate to two figures, and not finer than 0.01."""
        return as_reported(self.rate)

    @property
    def spread(self) -> tuple[Quantity, Quantity]:
        """Between which two rates the true loss may be taken to lie."""
        value, unit = self.rate.value, self.rate.unit
        low, high = value * (1 - OFF_BY), value * (1 + OFF_BY)
        return Quantity(low, unit), Quantity(high, unit)

    def working(self, terms: Terms | None = None) -> Working:
        """Return how the rate came about, with its numbers put in."""
        names = ("concrete", "air", "humidity", "wind")
        given = ((name, getattr(self.weather, name)) for name in names)
        return Working(
            title=f"Evaporation by the {self.form.word} form, an estimate",
            inputs=tuple(Named(name, q) for name, q in given if q is not None),
            steps=_steps(self),
            exact=self.computed,
            reported=self.reported,
            rounding="to two figures and not finer than 0.01, ties to even; "
            "below zero shown as zero",
            settings=() if terms is None else terms.used("evaporation_form"),
        )


def evaporation(weather: WeatherAt, *, form: str) -> Evaporation:
    """Return the rate at which a fresh face would lose free water.

    Parameters
    ----------
    weather
        Concrete and air [temperature], humidity [share] and wind [speed], all four.
    form
        "US", "exact metric" or "rounded metric": the term `evaporation_form`.

    The rate is in lb/ft2/h by the US form, else in kg/m2/h. Raises ValueError for
    another form, or naming the first reading that was not taken. Source: ACI 305R
    (from memory), its exact metric twin (derived), ACI Materials Journal 95-M34, 1998
    (read).

    >>> def q(text):
    ...     return Quantity(Decimal(text.split()[0]), text.split()[1])
    >>> read = WeatherAt(q("87 F"), q("80 F"), q("50 percent"), q("12 mph"))
    >>> print(evaporation(read, form="US").reported)
    0.24 lb/ft2/h
    >>> print(evaporation(read, form="exact metric").reported)
    1.2 kg/m2/h
    """
    used = FORMS.get(form)
    if used is None:
        allowed = ", ".join(FORMS)
        raise ValueError(f"evaporation_form {form!r}: allowed are {allowed}")
    concrete, air, humidity, wind = _readings(weather)
    warm = _in(concrete, used.temperature, name="concrete") + used.zero
    cool = _in(air, used.temperature, name="air") + used.zero
    share = _in(humidity, "1", name="humidity")
    speed = _in(wind, used.speed, name="wind")
    drive = warm**used.power - share * cool**used.power
    blown = used.still + used.windy * speed
    computed = Quantity(used.scale * drive * blown, used.rate)
    return Evaporation(weather, used, computed, (warm, cool, share, speed))


def _readings(weather: WeatherAt) -> tuple[Quantity, ...]:
    read = (weather.concrete, weather.air, weather.humidity, weather.wind)
    taken = tuple(q for q in read if q is not None)
    if len(taken) < len(read):
        raise ValueError(f"{weather.unread[0]} not read: it is needed")
    return taken


def as_reported(rate: Quantity) -> Quantity:
    """Return a rate to two figures, and not finer than 0.01; any rate will do.

    Source: project's choice; an estimate that may be 40 % off says no more.

    >>> print(as_reported(Quantity(Decimal("1.189"), "kg/m2/h")))
    1.2 kg/m2/h
    """
    place = rate.value.adjusted() + 1 - FIGURES
    step = max(Decimal(1).scaleb(place), FINEST) if rate.value else FINEST
    return to_step(rate, step=step)


def _steps(made: Evaporation) -> tuple[Step, ...]:
    form = made.form
    warm, cool, share, speed = (short(part) for part in made.parts)
    power = f"{warm}^{form.power} - {share} × {cool}^{form.power}"
    line = (
        f"{form.scale:f} × ({power}) × ({form.still} + {form.windy} × {speed})"
        f" = {short(made.computed.value)} {form.rate}"
    )
    read = f"concrete {warm}, air {cool}"
    if form.zero:
        read += f", each with {form.zero} added to its {form.temperature}"
    steps = [
        Step("temperatures", f"{read} ({form.temperature})", form.source),
        Step("humidity", f"{share} of saturation", form.source),
        Step("wind", f"{speed} {form.speed}", form.source),
        Step("rate", line, form.source),
    ]
    if made.condensing:
        steps.append(Step("below zero", "water condenses: shown as 0", form.source))
    return tuple(steps)
