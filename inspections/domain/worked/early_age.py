"""Early strength by typed points as a calculation."""

from __future__ import annotations

from decimal import Decimal

from inspections.domain.early_age import (
    CAUTION,
    LOG_LOG,
    TYPED,
    Line,
    Point,
    class_reached,
    strength_working,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.calculation_reading import InputError
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.working import Working

GROUP = "Cores and strength"
_MOST_TIME, _MOST_STRENGTH = 365, 200


def _time(name: str, label: str) -> Field:
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="d",
        above=Decimal(0),
        most=Decimal(_MOST_TIME),
    )


def _strength(name: str, label: str, *, optional: bool = False) -> Field:
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="MPa",
        above=Decimal(0),
        most=Decimal(_MOST_STRENGTH),
        optional=optional,
    )


def _lines(given: Given) -> tuple[Line, ...]:
    """Return the lines in the order their names first stand in the table."""
    points: dict[str, list[Point]] = {}
    for number, row in enumerate(given.rows("points"), start=1):
        name = row.word("line")
        here = points.setdefault(name, [])
        here.append(Point(row.quantity("time"), row.quantity("strength")))
        if len(here) > 1:
            try:
                Line(name, tuple(here))
            except ValueError as error:
                why = str(error).removeprefix("time ")
                raise InputError({f"points.{number}.time": why}) from None
    return tuple(Line(name, tuple(found)) for name, found in points.items())


def _early(given: Given, _: Terms) -> Answer:
    lines, time = _lines(given), given.quantity("time")
    figures: dict[str, Working] = {
        line.name: strength_working(line, time) for line in lines
    }
    strength = given.quantity_or_none("strength")
    if strength is None:
        return Answer(figures, words="no strength measured: the typed lines alone")
    return Answer(figures, words=_reached(lines, time, strength))


def _reached(lines: tuple[Line, ...], time: Quantity, strength: Quantity) -> str:
    reached = class_reached(lines, time=time, strength=strength)
    said = f"{reached} is reached" if reached else "no typed line is reached"
    return f"{said} by {strength} at {time}; this is no time of re-entry"


CALCULATIONS = (
    Calculation(
        name="early-strength",
        title="Early strength by typed lines",
        group=GROUP,
        says="The strength of each line at a time, read between points that the "
        "contract types, log of time against log of strength; with a measured "
        "strength, the highest line it reaches. Nothing is read beyond the points.",
        fields=(
            _time("time", "Time after shooting"),
            _strength("strength", "Strength measured then", optional=True),
            Field(
                "points",
                "Points of the lines, lowest line first",
                Kind.ROWS,
                fewest=2,
                columns=(
                    Field("line", "Line", Kind.WORDS),
                    _time("time", "Time"),
                    _strength("strength", "Strength"),
                ),
            ),
        ),
        run=_early,
        sources=(TYPED, LOG_LOG),
        example={
            "time": ["30", "min"],
            "strength": ["0.45", "MPa"],
            "points": [
                {"line": "lower", "time": ["6", "min"], "strength": ["0.2", "MPa"]},
                {"line": "lower", "time": ["60", "min"], "strength": ["0.5", "MPa"]},
                {"line": "upper", "time": ["6", "min"], "strength": ["0.5", "MPa"]},
                {"line": "upper", "time": ["60", "min"], "strength": ["1.0", "MPa"]},
            ],
        },
        caution=CAUTION,
    ),
)
