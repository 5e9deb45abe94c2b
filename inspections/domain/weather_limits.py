"""Weather against the limits that somebody gave: evaporation, hot and cold.

There is no built-in limit. The mix revision's own comes first, then the contract's;
with neither, the reading is on record and nothing is judged.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from inspections.domain.weather import Evaporation, WeatherAt, evaporation
from project.domain.reporting import REPORT_STEPS
from project.domain.showing import beside
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict, worst

ORDER = Source("the mix revision first, then the contract", known=Known.PROJECT)
MIX = Source("mix revision", known=Known.CONTRACT)
READ_AT_WALL = Source("read at the wall", known=Known.PROJECT)

KEY = "evaporation"
NO_LIMIT = "no limit given"
NO_FORM = "form not given"
_RULE = "Evaporation, an estimate, against the limit given; on the limit is within it"
_TEMPERATURES = "Temperatures against the limits given; on a limit is within it"


@dataclass(frozen=True, slots=True)
class MixWeather:
    """What a mix revision says of weather; what it does not say is absent.

    Raises ValueError for a limit of evaporation that is none above zero, or a
    temperature that is none. Source: the mix revision as approved.

    >>> MixWeather(evaporation=Quantity(Decimal(0), "kg/m2/h"))
    Traceback (most recent call last):
    ValueError: mix_limit 0 kg/m2/h: allowed is a rate above 0
    """

    evaporation: Quantity | None = None
    silica_fume: bool = False
    concrete_low: Quantity | None = None
    concrete_high: Quantity | None = None

    def __post_init__(self) -> None:
        most = self.evaporation
        if most is not None and (most.dimension != KEY or most.value <= 0):
            raise ValueError(f"mix_limit {most}: allowed is a rate above 0")
        for name in ("concrete_low", "concrete_high"):
            given = getattr(self, name)
            if given is not None and given.dimension != "temperature":
                raise ValueError(f"mix_{name} {given}: a temperature is needed")


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit and whose it is. Source: `ORDER`."""

    value: Quantity
    source: Source


def evaporation_limit(mix: MixWeather, *, terms: Terms | None) -> Limit | None:
    """Return the limit of evaporation in the settled order, or nothing.

    Parameters
    ----------
    mix
        Its own limit [evaporation], and whether it holds silica fume.
    terms
        The contract's, read for `evaporation_limit_silica_fume` where the mix holds
        it, and for `evaporation_limit`; nothing where none are in force.

    Source: project's choice of order; the values are the mix revision's and the
    contract's.

    >>> evaporation_limit(MixWeather(), terms=None)
    >>> own = Quantity(Decimal("0.1"), "lb/ft2/h")
    >>> str(evaporation_limit(MixWeather(own), terms=None).source)
    'mix revision (contract)'
    """
    if mix.evaporation is not None:
        return Limit(mix.evaporation, MIX)
    names = ("evaporation_limit_silica_fume", "evaporation_limit")
    for name in names if mix.silica_fume else names[1:]:
        value = None if terms is None else terms.quantity(name)
        if terms is not None and value is not None:
            return Limit(value, terms.source(name))
    return None


def judge_evaporation(
    weather: WeatherAt, *, terms: Terms | None, mix: MixWeather = MixWeather()
) -> Verdict:
    """Return how one reading of the weather stands against the limit.

    Parameters
    ----------
    weather
        What was read.
    terms
        Read for `evaporation_form` and the limits.
    mix
        What the mix revision says.

    Compared unrounded, in the limit's own unit; on the limit is within it. Over it:
    fail. A reading not taken: no data, "no wind reading". Without a form or a limit:
    undecided, "form not given", "no limit given". Source: 0.2 lb/ft2/h or 1.0 kg/m2/h,
    half of it with silica fume, are usual (UFGS 03300, read), and are no default here.

    >>> def q(text):
    ...     return Quantity(Decimal(text.split()[0]), text.split()[1])
    >>> read = WeatherAt(q("87 F"), q("80 F"), q("50 percent"))
    >>> judge_evaporation(read, terms=None).reasons[0].found
    'no wind reading'
    """
    made = estimate(weather, terms=terms)
    if isinstance(made, Reason):
        return Verdict(made.state, _RULE, (made,))
    limit = evaporation_limit(mix, terms=terms)
    reason = _against(made, limit)
    return Verdict(reason.state, _RULE, (reason,), working=lambda: made.working(terms))


def estimate(weather: WeatherAt, *, terms: Terms | None) -> Evaporation | Reason:
    """Return the estimate by the contract's form, or why there is none.

    Source: `READ_AT_WALL`; the form is the contract's.

    >>> estimate(WeatherAt(), terms=None).found
    'no concrete, air, humidity or wind reading'
    """
    form = None if terms is None else terms.choice("evaporation_form")
    if weather.unread:
        found = f"no {_listed(weather.unread)} reading"
        return Reason(KEY, "all four are read", State.NO_DATA, found, READ_AT_WALL)
    if form is None:
        wanted = "the contract says by which form"
        return Reason(KEY, wanted, State.UNDECIDED, NO_FORM, ORDER)
    return evaporation(weather, form=form)


def _listed(names: tuple[str, ...]) -> str:
    *most, last = names
    return f"{', '.join(most)} or {last}" if most else last


def _against(made: Evaporation, limit: Limit | None) -> Reason:
    if limit is None:
        found = f"{made.reported}; {NO_LIMIT}"
        return Reason(KEY, NO_LIMIT, State.UNDECIDED, found, ORDER)
    rate = convert(made.rate, to=limit.value.unit)
    margin = Quantity(limit.value.value - rate.value, rate.unit)
    over = margin.value < 0
    shown = beside(rate.value, limit.value.value, places=2)
    word = "over" if over else "within"
    found = f"about {shown} {rate.unit} by the {made.form.word} form, {word}"
    return Reason(
        key=KEY,
        requirement=f"not over {limit.value}",
        state=State.FAIL if over else State.PASS,
        found=found + ("; water condenses" if made.condensing else ""),
        source=limit.source,
        limit=limit.value,
        margin=margin,
    )


def shown_beside(verdict: Verdict) -> Quantity | None:
    """Return the rate of a verdict as it is shown: never one that looks like its limit.

    In the limit's unit; without a limit as reported, and nothing where no estimate was
    made. Source: project's choice.

    >>> shown_beside(judge_evaporation(WeatherAt(), terms=None))
    """
    if verdict.working is None:
        return None
    (reason,), working = verdict.reasons, verdict.working()
    if reason.limit is None:
        return working.reported
    rate = convert(working.exact, to=reason.limit.unit).value
    shown = beside(max(rate, Decimal(0)), reason.limit.value, places=2)
    return Quantity(Decimal(shown), reason.limit.unit)


def judge_temperatures(
    weather: WeatherAt, *, terms: Terms | None, mix: MixWeather = MixWeather()
) -> Verdict:
    """Return how air and concrete stand against the coldest and hottest allowed.

    Parameters
    ----------
    weather
        Air and concrete as read [temperature].
    terms
        Read for `air_low`, `air_high`, `concrete_low` and `concrete_high`.
    mix
        The mix revision's own bounds of its concrete, which come first.

    A bound nobody gave asks nothing; without any: undecided, "no limit given". A
    reading not taken that a bound asks for: no data. On a bound is within it. Source:
    start at 40 F and rising, 50 to 100 F as mixed are usual (read), and are no
    default here.

    >>> cold = WeatherAt(air=Quantity(Decimal(38), "F"))
    >>> low = Quantity(Decimal(50), "F")
    >>> judge_temperatures(cold, terms=None, mix=MixWeather(concrete_low=low)).state
    <State.NO_DATA: 'no data'>
    """
    reasons = tuple(_temperatures(weather, terms, mix))
    if not reasons:
        reasons = (Reason("temperature", NO_LIMIT, State.UNDECIDED, NO_LIMIT, ORDER),)
    return Verdict(worst(reasons), _TEMPERATURES, reasons)


def _temperatures(
    weather: WeatherAt, terms: Terms | None, mix: MixWeather
) -> Iterator[Reason]:
    for what in ("air", "concrete"):
        for end in ("low", "high"):
            limit = _bound(what, end, terms, mix)
            if limit is not None:
                yield _beside(what, end, getattr(weather, what), limit)


def _bound(what: str, end: str, terms: Terms | None, mix: MixWeather) -> Limit | None:
    name = f"{what}_{end}"
    own = getattr(mix, name) if what == "concrete" else None
    if own is not None:
        return Limit(own, MIX)
    value = None if terms is None else terms.quantity(name)
    if terms is None or value is None:
        return None
    return Limit(value, terms.source(name))


def _beside(what: str, end: str, read: Quantity | None, limit: Limit) -> Reason:
    least = end == "low"
    key = f"{what}, {'coldest' if least else 'hottest'}"
    wanted = f"{'not below' if least else 'not above'} {limit.value}"
    if read is None:
        found = f"no {what} reading"
        return Reason(key, wanted, State.NO_DATA, found, limit.source, limit.value)
    degrees = convert(read, to=limit.value.unit).value
    room = degrees - limit.value.value if least else limit.value.value - degrees
    out = room < 0
    places = 0 if REPORT_STEPS[limit.value.unit] >= 1 else 1
    shown = beside(degrees, limit.value.value, places=places)
    word = ("below" if least else "above") if out else "within"
    return Reason(
        key=key,
        requirement=wanted,
        state=State.FAIL if out else State.PASS,
        found=f"{shown} {limit.value.unit}, {word}",
        source=limit.source,
        limit=limit.value,
        # A difference of temperatures, in the limit's degrees.
        margin=Quantity(room, limit.value.unit),
    )
