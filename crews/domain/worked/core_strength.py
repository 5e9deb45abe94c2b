"""One core's strength as a calculation that says what it takes."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.core_facts import CoreTest
from crews.domain.core_strength import C42_FACTOR, C42_STRENGTH, core_strength
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.terms import Terms

_ABOVE, _WIDE, _LONG = Decimal(0), Decimal(12), Decimal(36)


def _size(name: str, label: str, most: Decimal) -> Field:
    return Field(name, label, Kind.QUANTITY, unit="in", above=_ABOVE, most=most)


def _strength(given: Given, terms: Terms) -> Answer:
    test = CoreTest(
        "core",
        planned_age=28,
        d1=given.quantity("d1"),
        d2=given.quantity("d2"),
        length=given.quantity("length"),
        load=given.quantity("load"),
    )
    working = core_strength(test, terms=terms).working()
    return Answer({"strength": working})


CALCULATIONS = (
    Calculation(
        name="core-strength",
        title="Strength of one core",
        group="Cores and strength",
        says="Breaking load over the mean area, times the factor for a short core.",
        fields=(
            _size("d1", "First diameter", _WIDE),
            _size("d2", "Second diameter, at right angles", _WIDE),
            _size("length", "Length as tested", _LONG),
            Field(
                "load",
                "Breaking load",
                Kind.QUANTITY,
                unit="lbf",
                above=_ABOVE,
                most=Decimal(1_000_000),
            ),
        ),
        run=_strength,
        sources=(C42_STRENGTH, C42_FACTOR),
        settings=("strength_unit", "ld_limit"),
        example={
            "d1": ["3.00", "in"],
            "d2": ["3.00", "in"],
            "length": ["3.60", "in"],
            "load": ["30000", "lbf"],
        },
    ),
)
