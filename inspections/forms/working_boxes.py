"""The boxes of a calculation's form, and which unit each offers first."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from project.charts.text import unit_text
from project.domain.calculation import Field

_IN_SI = {
    "in": "mm", "ft": "m", "yd": "m", "in2": "mm2", "ft2": "m2", "ft3": "m3",
    "yd3": "m3", "gal": "l", "lbf": "kN", "psi": "MPa", "F": "C", "mph": "km/h",
    "lb/ft2/h": "kg/m2/h", "pcf": "kg/m3", "lb": "kg", "ft2/gal": "m2/l",
    "cfm": "m3/min",
}  # fmt: skip
_IN_US = {
    "mm": "in", "m": "ft", "mm2": "in2", "m2": "ft2", "m3": "yd3", "l": "gal",
    "kN": "lbf", "N": "lbf", "MPa": "psi", "kPa": "psi", "Pa": "psi", "C": "F",
    "km/h": "mph", "m/s": "mph", "kg/m2/h": "lb/ft2/h", "kg/m3": "pcf", "kg": "lb",
    "m2/l": "ft2/gal", "m3/min": "cfm",
}  # fmt: skip
_SYSTEMS = {"SI": _IN_SI, "US": _IN_US}
Choice = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Entry:
    """One box of the form: its key in the address, what it offers, what was typed.

    `draws` is how it is drawn: number, words, choice, day or instant.
    """

    key: str
    label: str
    draws: str
    value: str = ""
    choices: tuple[Choice, ...] = ()
    unit_key: str = ""
    unit: str = ""
    units: tuple[Choice, ...] = ()
    allowed: str = ""
    note: str = ""
    optional: bool = False
    error: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a table: its number, its boxes, and what is wrong with them."""

    key: str
    number: int
    cells: tuple[Entry, ...]
    error: str = ""

    @property
    def says(self) -> str:
        """The identity of what says the row's faults."""
        return f"{self.key}.says"

    @property
    def complaints(self) -> list[tuple[str, str]]:
        """Every fault of the row with the label of its box."""
        own = [("", self.error)] if self.error else []
        return own + [(cell.label, cell.error) for cell in self.cells if cell.error]


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the form: its rows, the units of its columns, and room for more."""

    key: str
    label: str
    allowed: str
    note: str
    optional: bool
    heads: tuple[Entry, ...]
    lines: tuple[Line, ...]
    may_grow: bool
    error: str = ""

    @property
    def typed(self) -> list[Line]:
        """The rows in which something was typed."""
        return [line for line in self.lines if any(c.value for c in line.cells)]

    @property
    def has_units(self) -> bool:
        """Whether any column has a unit to choose."""
        return any(head.units for head in self.heads)

    @property
    def width(self) -> int:
        """How many columns there are, the row's number among them."""
        return len(self.heads) + 1


def first_unit(field: Field, system: str) -> str:
    """Return the unit a box offers first: the one of the job's system."""
    other = _SYSTEMS[system].get(field.unit, field.unit)
    return other if other in field.units else field.unit


def offered_units(field: Field, system: str) -> tuple[Choice, ...]:
    """Return every unit a box offers, the job's own first."""
    first = first_unit(field, system)
    ordered = (first, *(unit for unit in field.units if unit != first))
    return tuple((unit, unit_word(unit)) for unit in ordered)


def usual_unit(units: tuple[str, ...], system: str) -> str:
    """Return the first unit that a system uses, for a term without one."""
    usual = {*_SYSTEMS[system].values(), "min"}
    return next((unit for unit in units if unit in usual), "")


def unit_word(unit: str) -> str:
    """Return a unit's sign; a plain number's unit has a word."""
    return unit_text(unit) or _("ratio")
