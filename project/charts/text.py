"""How figures, units and times are written, the same on pages and in the packet."""

from __future__ import annotations

import re
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.utils.dateformat import format as dated

from project.domain.showing import beside
from project.domain.units import Quantity

MINUS = "\N{MINUS SIGN}"
NO_BREAK = "\N{NO-BREAK SPACE}"
HYPHEN = "\N{NON-BREAKING HYPHEN}"

_UNIT_SIGNS = {
    "1": "",
    "percent": "%",
    "C": "°C",
    "F": "°F",
    "m2": "m²",
    "mm2": "mm²",
    "in2": "in²",
    "ft2": "ft²",
    "m3": "m³",
    "ft3": "ft³",
    "yd3": "yd³",
    "kg/m2/h": "kg/m²/h",
    "lb/ft2/h": "lb/ft²/h",
    "kg/m3": "kg/m³",
    "m3/min": "m³/min",
    "m3/h": "m³/h",
    "yd3/h": "yd³/h",
    "m2/h": "m²/h",
    "ft2/h": "ft²/h",
    "kg/m2": "kg/m²",
    "lb/ft2": "lb/ft²",
    "m2/l": "m²/l",
    "ft2/gal": "ft²/gal",
}

_RAISED = {"2": "²", "3": "³"}
_POWERS = re.compile(r"\b(mm|m|in|ft|yd)([23])\b")

_TIME_FORMS = {
    "date": "j M Y",
    "day": "D j M Y",
    "short": "D j M",
    "time": "H:i",
    "": "j M Y, H:i",
    "full": "D j M Y, H:i",
    "zone": "j M Y, H:i T",
}
_CLOCK_FORMS = ("time", "", "full", "zone")


def unit_text(unit: str) -> str:
    """Return a unit's sign.

    >>> unit_text("yd3"), unit_text("psi")
    ('yd³', 'psi')
    """
    return _UNIT_SIGNS.get(unit, unit)


def signed_units(line: str) -> str:
    """Return a line of arithmetic with its units' signs: ft2 becomes ft².

    >>> signed_units("0.2435 lb/ft2/h, 12 in2 of 3 yd3")
    '0.2435 lb/ft²/h, 12 in² of 3 yd³'
    """
    return _POWERS.sub(lambda found: found[1] + _RAISED[found[2]], line)


def number_text(value: Decimal | int) -> str:
    """Return a number as typed, thousands parted by commas, with a true minus.

    >>> number_text(Decimal("-1512.50")), number_text(205)
    ('−1,512.50', '205')
    """
    typed = Decimal(value)
    return f"{typed:,f}".replace("-", MINUS) if typed else f"{abs(typed):,f}"


def quantity_text(quantity: Quantity) -> str:
    """Return a number with its unit behind it, never parted at a line's end."""
    sign = unit_text(quantity.unit)
    number = number_text(quantity.value)
    return f"{number}{NO_BREAK}{sign}" if sign else number


def brief(quantity: Quantity) -> Quantity:
    """Shorten a computed figure to what a reader compares; one that is not 0 stays so."""
    value = quantity.value
    places = 1 if abs(value) >= 10 else 3
    if value == round(value, places):
        trimmed = value.normalize()
        whole = trimmed == trimmed.to_integral_value()
        return Quantity(
            trimmed.quantize(Decimal(1)) if whole else trimmed, quantity.unit
        )
    return Quantity(Decimal(beside(value, Decimal(0), places=places)), quantity.unit)


def strength_text(value: Decimal, unit: str) -> str:
    """Return a mean or a single strength to 1 psi, or to 0.1 of any other unit.

    >>> strength_text(Decimal("3673.33"), "psi"), strength_text(Decimal("25.33"), "MPa")
    ('3,673', '25.3')
    """
    return number_text(value.quantize(Decimal(1) if unit == "psi" else Decimal("0.1")))


def when_text(moment: datetime | date, *, zone: str = "", form: str = "") -> str:
    """Return a date or an instant in a zone: 14 Sep 2026, 09:10 (24 h).

    Forms: date, day (Mon 14 Sep 2026), short (Mon 14 Sep), time, full, zone (with its
    abbreviation), or none for date and time. Raises ValueError for an instant without
    a zone, another form, or a clock time asked of a bare date.
    """
    if form not in _TIME_FORMS:
        raise ValueError(f"form {form!r}: allowed are {', '.join(_TIME_FORMS)}")
    if not isinstance(moment, datetime):
        if form in _CLOCK_FORMS and form:
            raise ValueError(f"form {form!r}: {moment} is a date without a time")
        return dated(moment, _TIME_FORMS[form or "date"])
    if moment.tzinfo is None:
        raise ValueError(f"{moment}: an instant needs a zone")
    there = moment.astimezone(ZoneInfo(zone)) if zone else moment
    return dated(there, _TIME_FORMS[form])
