"""A figure in another unit, as a calculation that says what it takes."""

from __future__ import annotations

from decimal import Decimal

from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.reporting import reported, rounding_words
from project.domain.terms import Terms
from project.domain.units import (
    ABSOLUTE_ZERO,
    UNITS,
    Quantity,
    convert,
    dimension,
    si_factor,
    to_decimal,
    units_of,
)
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

_SP_811 = Source("NIST SP 811", "appendix B, exact factors", "2008", Known.MEMORY)
_MOST = Decimal(10) ** 15
_DEGREES = Source("NIST SP 811", "F = 1.8 C + 32, exactly", "2008", Known.MEMORY)


def _convert(given: Given, _: Terms) -> Answer:
    typed, to = Quantity(given.number("value"), given.word("unit")), given.word("to")
    kind = typed.dimension
    if dimension(to) != kind:
        allowed = ", ".join(units_of(kind))
        raise ValueError(f"to {to}: {typed} is a {kind}; allowed are {allowed}")
    if kind == "temperature":
        least = convert(ABSOLUTE_ZERO, to=typed.unit)
        if typed.value < least.value:
            raise ValueError(f"value {typed}: allowed is {least} and above")
    made = convert(typed, to=to)
    return Answer({"converted": _working(typed, made)})


def _working(typed: Quantity, made: Quantity) -> Working:
    return Working(
        title=f"{typed} in {made.unit}",
        inputs=(Named("value", typed),),
        steps=(_step(typed, made),),
        exact=made,
        reported=reported(made),
        rounding=rounding_words(made.unit),
    )


def _step(typed: Quantity, made: Quantity) -> Step:
    if typed.dimension == "temperature":
        return Step("degrees", f"{typed} = {made}", _DEGREES)
    factor = to_decimal(si_factor(typed.unit) / si_factor(made.unit))
    line = f"{typed.value:f} × {factor:f} = {made}"
    return Step(f"1 {typed.unit} in {made.unit}", line, _SP_811)


def _unit(name: str, label: str) -> Field:
    return Field(name, label, Kind.CHOICE, choices=UNITS)


CALCULATIONS = (
    Calculation(
        name="convert",
        title="A figure in another unit",
        group="Units",
        says="Gives a figure in another unit of its kind, exactly, and as it would be "
        "reported.",
        fields=(
            Field("value", "Figure", Kind.NUMBER, least=-_MOST, most=_MOST),
            _unit("unit", "Its unit"),
            _unit("to", "Wanted in"),
        ),
        run=_convert,
        sources=(_SP_811, _DEGREES),
        example={"value": "1", "unit": "in", "to": "mm"},
    ),
)
