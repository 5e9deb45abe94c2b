"""The rate of placing deficiencies, as a calculation that says what it takes."""

from __future__ import annotations

from decimal import Decimal

from inspections.domain.rolling_record import RATES, NoRate, Volume, rate_of
from inspections.domain.worked.ordering import GROUP
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.terms import Terms

_NONE, _MOST = Decimal(0), Decimal(100_000)


def _count(name: str, label: str) -> Field:
    return Field(name, label, Kind.COUNT, least=_NONE, most=_MOST)


def _rate(given: Given, _terms: Terms) -> Answer:
    volume = Volume(total=given.quantity("volume"), times=1, estimated=0, unknown=0)
    found = rate_of(
        given.count("deficiencies"), volume=volume, sets=given.count("sets")
    )
    if isinstance(found, NoRate):
        return Answer({}, words=found.words)
    return Answer({"rate": found.working()})


CALCULATIONS = (
    Calculation(
        name="deficiency-rate",
        title="Placing deficiencies for a volume",
        group=GROUP,
        says="Deficiencies for 100 of the unit of volume, where there are sets and "
        "volume enough; below that there are counts alone.",
        fields=(
            _count("deficiencies", "Placing deficiencies"),
            Field(
                "volume",
                "Volume shot, neat",
                Kind.QUANTITY,
                unit="yd3",
                least=_NONE,
                most=_MOST,
            ),
            _count("sets", "Panel sets that passed or failed"),
        ),
        run=_rate,
        sources=(RATES,),
        example={"deficiencies": "2", "volume": ["64.8", "yd3"], "sets": "5"},
    ),
)
