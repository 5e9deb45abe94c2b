"""Quantities and terms as these tests type them."""

from datetime import date
from decimal import Decimal

from project.domain.editions import Departure, depart, own_terms
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Source

DAY = date(2026, 7, 1)
_OF_CONTRACT = Source("contract", known=Known.CONTRACT)


def q(text: str) -> Quantity:
    """Return "10.5 in" as a quantity."""
    value, unit = text.split()
    return Quantity(Decimal(value), unit)


def departing(**settings: Quantity | str) -> Terms:
    """Return an edition's terms with these settings in their place."""
    made = {}
    for name, value in settings.items():
        typed, unit = (
            (value.value, value.unit) if isinstance(value, Quantity) else (value, None)
        )
        made[name] = Departure(typed, unit, "asked for by a test", _OF_CONTRACT)
    base = own_terms("ibc-2018-1908", revision=1, effective_on=DAY)
    return depart(base, departures=made)
