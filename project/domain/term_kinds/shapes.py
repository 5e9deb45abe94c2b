"""What a term's value may be, and the words of its field on a form."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from project.domain.units import Quantity, units_of

Value = str | bool | Decimal | None

# A hundred years: a limit beyond it is mistyped, and no calendar reaches its end.
# Project's choice.
LONGEST = Quantity(Decimal(36525), "d")


class Shape(StrEnum):
    """What kind of value a term takes.

    Source: project's choice of form.

    >>> Shape("yes or no")
    <Shape.FLAG: 'yes or no'>
    """

    NUMBER = "number"
    QUANTITY = "number with unit"
    CHOICE = "choice"
    FLAG = "yes or no"


@dataclass(frozen=True, slots=True)
class TermKind:
    """The shape of one term, the limits of its value, and its words on a form.

    `least` and `most` bound plain numbers and are allowed themselves; `positive`
    asks a quantity to be above zero in whatever unit it is typed. Source: project's
    choice of what a form takes in.

    >>> TermKind("Cores", "Cores to a set", Shape.NUMBER, least=Decimal(1)).allowed
    'a number from 1'
    """

    group: str
    label: str
    shape: Shape
    dimension: str = ""
    choices: tuple[str, ...] = ()
    required: bool = False
    positive: bool = True
    whole: bool = False
    least: Decimal | None = None
    most: Decimal | None = None
    note: str = ""

    @property
    def units(self) -> tuple[str, ...]:
        """The units a quantity may be typed in; empty for other shapes.

        Source: the table of units.

        >>> quantity("Placing", "Coldest air", "temperature").units
        ('C', 'F')
        """
        return units_of(self.dimension) if self.dimension else ()

    @property
    def allowed(self) -> str:
        """What the value may be, in words. Source: the kind itself.

        >>> ratio("Cores", "Mean").allowed
        'a number from 0.01 to 1'
        """
        if self.shape is Shape.CHOICE:
            return "one of " + ", ".join(self.choices)
        if self.shape is Shape.FLAG:
            return "yes or no"
        if self.shape is Shape.QUANTITY:
            above = " above 0" if self.positive else ""
            most = f", at most {LONGEST}" if self.dimension == "time" else ""
            return f"a number{above} in one of {', '.join(self.units)}{most}"
        number = "a whole number" if self.whole else "a number"
        low = "" if self.least is None else f" from {self.least}"
        return number + low + ("" if self.most is None else f" to {self.most}")


def choice(
    group: str, label: str, *choices: str, required: bool = False, note: str = ""
) -> TermKind:
    """Return the kind of a named setting. Source: project's choice of form.

    >>> choice("Cores", "Shares are compared", "strict", "rounded").allowed
    'one of strict, rounded'
    """
    return TermKind(
        group, label, Shape.CHOICE, choices=choices, required=required, note=note
    )


def flag(group: str, label: str, *, required: bool = False, note: str = "") -> TermKind:
    """Return the kind of a yes or no. Source: project's choice of form.

    >>> flag("Panels", "Each position is counted by itself").allowed
    'yes or no'
    """
    return TermKind(group, label, Shape.FLAG, required=required, note=note)


def quantity(
    group: str,
    label: str,
    dimension: str,
    *,
    required: bool = False,
    positive: bool = True,
    note: str = "",
) -> TermKind:
    """Return the kind of a number with a unit. Source: project's choice of form.

    >>> quantity("Placing", "Coldest air", "temperature", positive=False).allowed
    'a number in one of C, F'
    """
    return TermKind(
        group,
        label,
        Shape.QUANTITY,
        dimension=dimension,
        required=required,
        positive=positive,
        note=note,
    )


def count(
    group: str, label: str, *, least: int = 1, required: bool = False, note: str = ""
) -> TermKind:
    """Return the kind of a whole number, any from `least` [1].

    Source: project's choice of form.

    >>> count("Cores", "Cores to a set").allowed
    'a whole number from 1'
    """
    return TermKind(
        group,
        label,
        Shape.NUMBER,
        whole=True,
        least=Decimal(least),
        required=required,
        note=note,
    )


def number(group: str, label: str, *, most: int, note: str = "") -> TermKind:
    """Return the kind of a plain number, any from 0 to `most` [1].

    Source: project's choice of form.

    >>> number("Bars", "Bar diameters", most=100).allowed
    'a number from 0 to 100'
    """
    low, high = Decimal(0), Decimal(most)
    return TermKind(group, label, Shape.NUMBER, least=low, most=high, note=note)


def ratio(
    group: str, label: str, *, required: bool = False, note: str = ""
) -> TermKind:
    """Return the kind of a share, at most 1. Source: project's choice of form.

    Somebody who types 85 for 0.85 is told, not believed.

    >>> ratio("Cores", "Mean of the set").allowed
    'a number from 0.01 to 1'
    """
    return TermKind(
        group,
        label,
        Shape.NUMBER,
        required=required,
        least=Decimal("0.01"),
        most=Decimal(1),
        note=note,
    )
