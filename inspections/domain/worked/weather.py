"""Evaporation and the hot and cold limits, as calculations that say what they take."""

from __future__ import annotations

from decimal import Decimal

from inspections.domain.weather import (
    ACI_305R,
    CAUTION,
    FORMS,
    GUARD,
    PAPER,
    SPREAD,
    TWIN,
    Evaporation,
    WeatherAt,
    as_reported,
    evaporation,
)
from inspections.domain.weather_limits import (
    NO_FORM,
    MixWeather,
    estimate,
    judge_evaporation,
    judge_temperatures,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.showing import short
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source
from project.domain.working import Step, Working

_GROUP = "Weather"
_USUAL = Source("UFGS 03300", "hot weather: 0.2 lb/ft2/h (1.0 kg/m2/h)", "", Known.READ)
_COLD = Source(
    "start at 40 F and rising, stop at 40 F and falling; concrete 50 to 100 F",
    known=Known.PRACTICE,
)
_WARMEST, _WINDIEST, _MOST = Decimal(140), Decimal(150), Decimal(10)


def _temperature(name: str, label: str, *, read: bool = True) -> Field:
    return Field(
        *(name, label, Kind.QUANTITY),
        unit="F",
        above=Decimal(0) if read else None,
        least=None if read else Decimal(-40),
        most=_WARMEST,
        optional=True,
    )


_CONCRETE = _temperature("concrete", "Concrete")
_AIR = _temperature("air", "Air")


def _weather(given: Given) -> WeatherAt:
    names = ("concrete", "air", "humidity", "wind")
    return WeatherAt(*(given.quantity_or_none(name) for name in names))


def _evaporation(given: Given, terms: Terms) -> Answer:
    weather = _weather(given)
    fume = given.flag("silica_fume") if given.has("silica_fume") else False
    mix = MixWeather(given.quantity_or_none("mix_limit"), silica_fume=fume)
    verdict = judge_evaporation(weather, terms=terms, mix=mix)
    made = estimate(weather, terms=terms)
    if isinstance(made, Reason):
        choose = f": choose one of {', '.join(FORMS)}" if made.found == NO_FORM else ""
        return Answer({}, verdict, f"{made.found}{choose}")
    figures = {"evaporation": made.working(terms)}
    for form in FORMS:
        if form != made.form.word:
            figures[f"by the {form} form"] = evaporation(weather, form=form).working()
    low, high = made.spread
    figures["true loss at least"] = _spread("at least", made, low)
    figures["true loss at most"] = _spread("at most", made, high)
    return Answer(figures, verdict, _words(made, weather))


def _words(made: Evaporation, weather: WeatherAt) -> str:
    words = f"an estimate by the {made.form.word} form"
    if made.condensing:
        return f"{words}: water condenses, shown as zero"
    if not made.rate.value:
        return f"{words}: none"
    others = []
    for form in FORMS:
        if form == made.form.word:
            continue
        rate = convert(evaporation(weather, form=form).rate, to=made.form.rate).value
        percent = (100 * (rate / made.rate.value - 1)).quantize(Decimal("0.1"))
        side = f"{abs(percent)} % {'less' if percent < 0 else 'more'}"
        others.append(f"the {form} form gives {side if percent else 'the same'}")
    return f"{words}; {', '.join(others)}"


def _spread(word: str, made: Evaporation, rate: Quantity) -> Working:
    share = rate.value / made.rate.value if made.rate.value else Decimal(0)
    line = f"{share:.1f} × {short(made.rate.value)} = {short(rate.value)} {rate.unit}"
    return Working(
        title=f"The true loss may be {word}",
        inputs=(),
        steps=(Step(word, line, SPREAD),),
        exact=rate,
        reported=as_reported(rate),
        rounding="to two figures and not finer than 0.01, ties to even",
    )


def _limits(given: Given, terms: Terms) -> Answer:
    weather = WeatherAt(
        given.quantity_or_none("concrete"), given.quantity_or_none("air")
    )
    mix = MixWeather(
        concrete_low=given.quantity_or_none("mix_low"),
        concrete_high=given.quantity_or_none("mix_high"),
    )
    verdict = judge_temperatures(weather, terms=terms, mix=mix)
    words = "; ".join(f"{reason.key}: {reason.found}" for reason in verdict.reasons)
    return Answer({}, verdict, words)


CALCULATIONS = (
    Calculation(
        name="evaporation",
        title="Evaporation from a fresh face",
        group=_GROUP,
        says="Estimates how fast a fresh face loses water, by the form the contract "
        "chooses and beside the others, and holds it against the limit.",
        fields=(
            _CONCRETE,
            _AIR,
            Field(
                "humidity",
                "Relative humidity",
                Kind.QUANTITY,
                unit="percent",
                least=Decimal(0),
                most=Decimal(100),
                optional=True,
            ),
            Field(
                "wind",
                "Wind at the work",
                Kind.QUANTITY,
                unit="mph",
                least=Decimal(0),
                most=_WINDIEST,
                optional=True,
                note="about 20 in (0.5 m) above the face",
            ),
            Field(
                "mix_limit",
                "Limit of the mix",
                Kind.QUANTITY,
                unit="lb/ft2/h",
                above=Decimal(0),
                most=_MOST,
                optional=True,
                note="comes before the contract's",
            ),
            Field("silica_fume", "With silica fume", Kind.FLAG, optional=True),
        ),
        run=_evaporation,
        sources=(ACI_305R, TWIN, PAPER, SPREAD, GUARD, _USUAL),
        settings=(
            "evaporation_form",
            "evaporation_limit",
            "evaporation_limit_silica_fume",
        ),
        caution=CAUTION,
        example={
            "concrete": ["87", "F"],
            "air": ["80", "F"],
            "humidity": ["50", "percent"],
            "wind": ["12", "mph"],
        },
    ),
    Calculation(
        name="weather-limits",
        title="Hot and cold limits",
        group=_GROUP,
        says="Holds air and concrete against the coldest and hottest that the mix and "
        "the contract allow.",
        fields=(
            _CONCRETE,
            _AIR,
            _temperature("mix_low", "Coldest the mix allows", read=False),
            _temperature("mix_high", "Hottest the mix allows", read=False),
        ),
        run=_limits,
        sources=(_COLD, GUARD),
        settings=("air_low", "air_high", "concrete_low", "concrete_high"),
        example={"concrete": ["86", "F"], "air": ["90", "F"]},
    ),
)
