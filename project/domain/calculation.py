"""A calculation that says what it takes: one declaration for page, command and test.

Each trade subject declares its calculations beside its functions, in the rooms
`*/domain/worked`: the inputs with their units and ranges, the contract settings it
asks, its sources, and one example. The page draws its form from that, the command
its list, and nobody writes a second description of either.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from types import MappingProxyType
from typing import TypeVar

from project.domain.terms import Terms
from project.domain.units import Quantity, convert, units_of
from project.domain.verdict import Source, Verdict
from project.domain.working import Working

# A table longer than this is no set of one job's day; it is refused, not worked on.
MOST_ROWS = 200


class Kind(StrEnum):
    """What kind of value an input takes."""

    QUANTITY = "number with unit"
    NUMBER = "number"
    COUNT = "whole number"
    CHOICE = "choice"
    FLAG = "yes or no"
    DAY = "day"
    INSTANT = "instant"
    WORDS = "words"
    ROWS = "rows"


@dataclass(frozen=True, slots=True)
class Field:
    """One input of a calculation: its name, what it may be, and where it must lie.

    `least`, `above` and `most` bound a number; for a quantity they are in `unit`,
    which is also the unit a form offers first. `columns` are the fields of one row,
    `fewest` how many rows there must be, `most_rows` how many there may.
    """

    name: str
    label: str
    kind: Kind
    unit: str = ""
    least: Decimal | None = None
    above: Decimal | None = None
    most: Decimal | None = None
    choices: tuple[str, ...] = ()
    optional: bool = False
    columns: tuple[Field, ...] = ()
    fewest: int = 1
    most_rows: int = MOST_ROWS
    note: str = ""

    @property
    def units(self) -> tuple[str, ...]:
        """The units a quantity may be typed in, the field's own first."""
        if self.kind is not Kind.QUANTITY:
            return ()
        every = units_of(Quantity(Decimal(1), self.unit).dimension)
        return (self.unit, *(unit for unit in every if unit != self.unit))

    @property
    def allowed(self) -> str:
        """What the value may be, in words.

        >>> Field("d1", "Diameter", Kind.QUANTITY, unit="in", above=Decimal(0),
        ...       most=Decimal(12)).allowed
        'a number above 0 and at most 12 in; units m, mm, in, ft, yd'
        """
        if self.kind is Kind.CHOICE:
            return "one of " + ", ".join(self.choices)
        if self.kind is Kind.ROWS:
            return f"from {self.fewest} to {self.most_rows} rows"
        if self.kind in _PLAIN:
            return _PLAIN[self.kind]
        number = "a whole number" if self.kind is Kind.COUNT else "a number"
        bounds = " and ".join(self._bounds())
        text = f"{number} {bounds}" if bounds else number
        if self.kind is not Kind.QUANTITY:
            return text
        in_unit = f" {self.unit}" if bounds else ""
        return f"{text}{in_unit}; units {', '.join(units_of(self._dimension))}"

    @property
    def _dimension(self) -> str:
        return Quantity(Decimal(1), self.unit).dimension

    def _bounds(self) -> Iterator[str]:
        for word, bound in (
            ("above", self.above),
            ("at least", self.least),
            ("at most", self.most),
        ):
            if bound is not None:
                yield f"{word} {bound:,f}"

    def holds(self, value: Decimal) -> bool:
        """Return whether a number, in the field's own unit, lies in its range."""
        return (
            (self.above is None or value > self.above)
            and (self.least is None or value >= self.least)
            and (self.most is None or value <= self.most)
        )

    def holds_quantity(self, value: Quantity) -> bool:
        """Return whether a quantity has the field's dimension and lies in its range."""
        if value.dimension != self._dimension:
            return False
        return self.holds(convert(value, to=self.unit).value)


_PLAIN = {
    Kind.FLAG: "yes or no",
    Kind.DAY: "a day as 2026-08-13",
    Kind.INSTANT: "an instant with its zone, as 2026-08-13T07:10-06:00",
    Kind.WORDS: "words",
}

T = TypeVar("T")
Value = Quantity | Decimal | str | bool | date | datetime | tuple["Given", ...] | None


@dataclass(frozen=True, slots=True)
class Given:
    """The inputs of one calculation, or of one of its rows, read and in range.

    Each reader names the kind it expects; asking for another is a mistake of the
    programmer's and raises TypeError.
    """

    values: Mapping[str, Value]

    def has(self, name: str) -> bool:
        """Return whether an optional input was given."""
        return self.values.get(name) is not None

    def quantity(self, name: str) -> Quantity:
        """Return a number with its unit, as typed."""
        return _as(Quantity, name, self.values[name])

    def quantity_or_none(self, name: str) -> Quantity | None:
        """Return a number with its unit, or nothing where it was left out."""
        return self.quantity(name) if self.has(name) else None

    def number(self, name: str) -> Decimal:
        """Return a plain number."""
        return _as(Decimal, name, self.values[name])

    def number_or_none(self, name: str) -> Decimal | None:
        """Return a plain number, or nothing where it was left out."""
        return self.number(name) if self.has(name) else None

    def count(self, name: str) -> int:
        """Return a whole number."""
        return int(self.number(name))

    def word(self, name: str) -> str:
        """Return a choice or words; empty where they were left out."""
        return _as(str, name, self.values.get(name) or "")

    def flag(self, name: str) -> bool:
        """Return a yes or no."""
        return _as(bool, name, self.values[name])

    def day(self, name: str) -> date:
        """Return a day."""
        return _as(date, name, self.values[name])

    def day_or_none(self, name: str) -> date | None:
        """Return a day, or nothing where it was left out."""
        return self.day(name) if self.has(name) else None

    def instant(self, name: str) -> datetime:
        """Return an instant with its zone."""
        return _as(datetime, name, self.values[name])

    def instant_or_none(self, name: str) -> datetime | None:
        """Return an instant, or nothing where it was left out."""
        return self.instant(name) if self.has(name) else None

    def rows(self, name: str) -> tuple[Given, ...]:
        """Return the rows of a table, in the order given."""
        return _as(tuple, name, self.values.get(name) or ())


def _as(kind: type[T], name: str, value: object) -> T:
    if not isinstance(value, kind):
        raise TypeError(f"input {name}: {value!r} is no {kind.__name__}")
    return value


@dataclass(frozen=True, slots=True)
class Answer:
    """What a calculation answers: figures by name, and a verdict where there is one.

    The first figure is the one that was asked for. `words` say what no number can,
    such as why there is none.
    """

    figures: Mapping[str, Working]
    verdict: Verdict | None = None
    words: str = ""

    @property
    def first(self) -> Working | None:
        """The figure that was asked for, or nothing where there is none."""
        return next(iter(self.figures.values()), None)


@dataclass(frozen=True, slots=True)
class Calculation:
    """One calculation: what it takes, what it asks of the terms, and where it is from.

    `settings` are names of terms; with any, the caller names an edition or gives a
    contract's terms, and without, the terms are empty. `example` is a full input as plain values, run by the tests.
    `caution` stands wherever the figure could hurt somebody who trusts it alone.
    """

    name: str
    title: str
    group: str
    says: str
    fields: tuple[Field, ...]
    run: Callable[[Given, Terms], Answer] = field(repr=False, compare=False)
    sources: tuple[Source, ...]
    example: Mapping[str, object]
    settings: tuple[str, ...] = ()
    caution: str = ""


def by_name(*groups: tuple[Calculation, ...]) -> Mapping[str, Calculation]:
    """Return calculations by their names, in the order given.

    Raises ValueError where two carry one name. Source: project's choice.

    >>> made = Calculation("bar-gap", "Bar gap", "Bars", "", (), lambda g, t: Answer({}),
    ...                    (), {})
    >>> list(by_name((made,)))
    ['bar-gap']
    >>> by_name((made,), (made,))
    Traceback (most recent call last):
    ValueError: calculation bar-gap: named twice
    """
    found: dict[str, Calculation] = {}
    for calculation in (each for group in groups for each in group):
        if calculation.name in found:
            raise ValueError(f"calculation {calculation.name}: named twice")
        found[calculation.name] = calculation
    return MappingProxyType(found)
