"""Inputs that the calculations of strength statistics have in common."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.strength_list import TooFew
from project.domain.calculation import Answer, Field, Kind

GROUP = "Statistics of strength"
NONE, MANY = Decimal(0), Decimal(100_000)
_MOST_PSI = Decimal(30_000)  # about twice the strongest concrete placed on a job
_MOST_SCATTER_PSI = Decimal(10_000)
_ONE_UNIT = "psi or MPa, the same for all"


def strength_field(name: str, label: str, *, optional: bool = False) -> Field:
    """Return the field of one strength, above 0 and at most 30,000 psi.

    Source: project's choice.

    >>> strength_field("mean", "Mean").unit
    'psi'
    """
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="psi",
        above=NONE,
        most=_MOST_PSI,
        optional=optional,
        note=_ONE_UNIT,
    )


def scatter_field(name: str, label: str, *, optional: bool = False) -> Field:
    """Return the field of a range or deviation, 0 to 10,000 psi.

    Source: project's choice.

    >>> scatter_field("s", "Standard deviation").least
    Decimal('0')
    """
    return Field(
        name,
        label,
        Kind.QUANTITY,
        unit="psi",
        least=NONE,
        most=_MOST_SCATTER_PSI,
        optional=optional,
        note=_ONE_UNIT,
    )


def strength_rows(name: str, label: str, column: str, head: str) -> Field:
    """Return the field of a list of strengths.

    Source: project's choice.

    >>> strength_rows("values", "Strengths", "value", "Strength").columns[0].name
    'value'
    """
    columns = (strength_field(column, head),)
    return Field(name, label, Kind.ROWS, columns=columns, note=_ONE_UNIT)


def too_few(made: TooFew) -> Answer:
    """Return the answer that there are too few: counts, and no figure.

    Source: project's choice.

    >>> too_few(TooFew(4, 5, "sets")).words
    'too few: 4 of the 5 sets it takes'
    """
    return Answer({}, made.verdict(), made.words)
