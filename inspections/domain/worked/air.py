"""Rates, fresh weight, the stream and its air, as calculations that say what they take."""

from __future__ import annotations

from decimal import Decimal

from inspections.domain import air_supply as air
from inspections.domain import placing_rate as rate
from inspections.domain.usual import PRACTICE, ends
from inspections.domain.worked.ordering import (
    GROUP,
    area_field,
    thickness_field,
    volume_field,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.reporting import reported, rounding_words
from project.domain.shooting_words import Process
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

_AIR_GROUP = "Air and the stream"
_NONE = Decimal(0)
_SP_811 = Source("NIST SP 811", "appendix B, exact factors", "2008", Known.MEMORY)


def _rate(given: Given, _: Terms) -> Answer:
    times = {
        "gross": ("shift_time", "time from start to stop"),
        "net": ("nozzle_time", "nozzle time"),
    }
    shot = given.quantity("volume")
    figures, unknown = {}, []
    for name, (key, of) in times.items():
        time = given.quantity_or_none(key)
        if time is None:
            unknown.append(f"{name} rate not known: no {of} given")
            continue
        figures[name] = rate.placing_rate(shot, time=time, of=of)
        if given.has("area"):
            covered = rate.placing_rate(given.quantity("area"), time=time, of=of)
            figures[f"{name}, area"] = covered
    return Answer(figures, words="; ".join(unknown))


def _weight(given: Given, _: Terms) -> Answer:
    thickness = given.quantity("thickness")
    layer = rate.fresh_weight(
        thickness, unit_weight=given.quantity_or_none("unit_weight")
    )
    figures = {"weight on an area": layer}
    if given.has("area"):
        piece = rate.piece_weight(layer.exact, area=given.quantity("area"))
        figures["weight"] = piece
    by_custom = "" if given.has("unit_weight") else "by custom: no unit weight given"
    return Answer(figures, words=by_custom)


def _stream(given: Given, _: Terms) -> Answer:
    speed = given.quantity("speed")
    figures = {
        f"in {made.unit}": _speed(speed, made) for made in air.in_every_unit(speed)
    }
    reasons = [usual.reason(speed) for usual in air.STREAM]
    words = [f"{reason.key}: {reason.found}" for reason in reasons]
    words.append(f"edge of the stream: about {air.STREAM_EDGE}")
    figures |= dict(ends(air.STREAM))
    figures["edge of the stream, about"] = _edge()
    return Answer(figures, words="; ".join(words))


def _edge() -> Working:
    about = air.STREAM_EDGE
    return Working(
        title="Edge of the stream, about",
        inputs=(),
        steps=(Step("edge", f"usual is about {about}", PRACTICE),),
        exact=about,
        reported=about,
        rounding="none: as the source gives it",
    )


def _speed(typed: Quantity, made: Quantity) -> Working:
    return Working(
        title=f"The speed in {made.unit}",
        inputs=(Named("speed", typed),),
        steps=(Step("speed", f"{typed} = {made}", _SP_811),),
        exact=made,
        reported=reported(made),
        rounding=rounding_words(made.unit),
    )


def _air(given: Given, _: Terms) -> Answer:
    names = ("flow", "air_line", "hose", "aggregate")
    line = air.AirLine(*(given.quantity_or_none(name) for name in names))
    process = Process(given.word("process"))
    verdict = air.air_advice(line, process=process)
    words = "; ".join(f"{reason.key}: {reason.found}" for reason in verdict.reasons)
    return Answer(dict(ends(air.usual_air(process))), verdict, words)


def _time(name: str, label: str) -> Field:
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="h",
        above=_NONE,
        most=Decimal(1000),
        optional=True,
    )


def _size(name: str, label: str, most: int) -> Field:
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="in",
        above=_NONE,
        most=Decimal(most),
        optional=True,
    )


CALCULATIONS = (
    Calculation(
        name="placing-rate",
        title="Rate of placing, gross and net",
        group=GROUP,
        says="What was shot by the hour: gross over the time from start to stop, net "
        "over the nozzle time.",
        fields=(
            volume_field("volume", "Shot", may_be_none=False),
            _time("shift_time", "From start to stop"),
            _time("nozzle_time", "On the nozzle"),
            area_field(optional=True),
        ),
        run=_rate,
        sources=(rate.DEFINED,),
        example={
            "volume": ["15.84", "yd3"],
            "shift_time": ["230", "min"],
            "nozzle_time": ["195", "min"],
            "area": ["480", "ft2"],
        },
    ),
    Calculation(
        name="fresh-weight",
        title="Weight of fresh material overhead",
        group=GROUP,
        says="What a fresh layer weighs on its area, by its unit weight or by custom, "
        "and what a piece of it weighs.",
        fields=(
            thickness_field("thickness", "Thickness"),
            Field(
                "unit_weight",
                "Unit weight, fresh",
                Kind.QUANTITY,
                unit="pcf",
                above=_NONE,
                most=Decimal(400),
                optional=True,
                note="without it 12 lb on a square foot for each inch",
            ),
            area_field(optional=True),
        ),
        run=_weight,
        sources=(rate.GEOMETRY, rate.PRACTICE),
        caution=rate.CAUTION,
        example={"thickness": ["4", "in"], "area": ["3", "ft2"]},
    ),
    Calculation(
        name="stream-speed",
        title="Speed of the stream",
        group=_AIR_GROUP,
        says="A speed in every unit, beside what is usual where the stream strikes and "
        "where it leaves the nozzle; two different measures.",
        fields=(
            Field(
                "speed",
                "Speed",
                Kind.QUANTITY,
                unit="mph",
                above=_NONE,
                most=Decimal(500),
            ),
        ),
        run=_stream,
        sources=(PRACTICE, air.PUMPING, _SP_811),
        caution=air.CAUTION,
        example={"speed": ["60", "mph"]},
    ),
    Calculation(
        name="air-advice",
        title="Air flow and hoses, what is usual",
        group=_AIR_GROUP,
        says="Where the rated flow, the air line and the material hose lie beside what "
        "is usual for the process; never that it will do.",
        fields=(
            Field("process", "Process", Kind.CHOICE, choices=tuple(Process)),
            Field(
                "flow",
                "Rated air flow",
                Kind.QUANTITY,
                unit="cfm",
                above=_NONE,
                most=Decimal(5000),
                optional=True,
            ),
            _size("air_line", "Air line, inside diameter", 6),
            _size("hose", "Material hose, inside diameter", 12),
            _size("aggregate", "Largest stone", 3),
        ),
        run=_air,
        sources=(air.CERTIFICATION, PRACTICE),
        caution=air.CAUTION,
        example={
            "process": "wet",
            "flow": ["375", "cfm"],
            "hose": ["2", "in"],
            "aggregate": ["0.5", "in"],
        },
    ),
)
