"""Every name a contract's terms may give, and what its value may be.

One table: the settings form is drawn from it and every departure is checked
against it. A term without a value reads "not given", and nothing is assumed in
its place; only terms marked `required` must have one. The numbers themselves
stand in `project.domain.editions`.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from project.domain.term_kinds.panels_and_cores import PANELS_AND_CORES
from project.domain.term_kinds.shapes import LONGEST, Shape, TermKind, Value
from project.domain.term_kinds.the_work import (
    CURING_AND_RECORD,
    PEOPLE_AND_BARS,
    PLACING,
)
from project.domain.term_kinds.words import (
    AGENCY,
    AS_RECEIVED,
    AS_THE_WORK,
    AT_LEAST,
    CENTRE,
    CLEAR,
    DELIVERED,
    EACH_REVISION,
    EDITION_CLEARANCE,
    EXACT_METRIC,
    FROM_ITS_DAY,
    GLOBAL,
    IN_LABORATORY,
    IN_PLACE,
    LAP_2_IN,
    LAP_3_DIAMETERS,
    LAP_6_DIAMETERS,
    LAP_GREATEST_OF_THREE,
    LAP_LEAST_OF_THREE,
    LD_175,
    LD_194,
    LEAST_ALONE,
    LEAST_AND_DIAMETERS,
    MARKED_PARTS,
    MEAN_NOT_ASKED,
    MEAN_NOT_BELOW,
    MOCK_UP_CLEARANCE,
    MORE_THAN,
    MPA,
    NEAT,
    NO_PARTS,
    NO_REVISION,
    OF_F_C,
    OF_REQUIRED,
    PAUSE_BEGINS_AGAIN,
    PAUSE_NOT_COUNTED,
    PAUSE_UP_TO,
    PER_CELL,
    PER_MIX,
    PER_OPERATOR,
    PSI,
    PUMPED,
    ROUNDED,
    ROUNDED_METRIC,
    SEALED,
    SHIFT,
    SOAKED,
    STRICT,
    TAKES_BACK,
    UNLESS_UNCHANGED,
    US_FORM,
    WORK_DATE,
)
from project.domain.units import Quantity, convert

__all__ = [
    "AGENCY",
    "AS_RECEIVED",
    "AS_THE_WORK",
    "AT_LEAST",
    "CENTRE",
    "CLEAR",
    "DELIVERED",
    "EACH_REVISION",
    "EDITION_CLEARANCE",
    "EXACT_METRIC",
    "FROM_ITS_DAY",
    "GLOBAL",
    "IN_LABORATORY",
    "IN_PLACE",
    "LAP_2_IN",
    "LAP_3_DIAMETERS",
    "LAP_6_DIAMETERS",
    "LAP_GREATEST_OF_THREE",
    "LAP_LEAST_OF_THREE",
    "LD_175",
    "LD_194",
    "LEAST_ALONE",
    "LEAST_AND_DIAMETERS",
    "MARKED_PARTS",
    "MEAN_NOT_ASKED",
    "MEAN_NOT_BELOW",
    "MOCK_UP_CLEARANCE",
    "MORE_THAN",
    "MPA",
    "NEAT",
    "NO_PARTS",
    "NO_REVISION",
    "OF_F_C",
    "OF_REQUIRED",
    "PAUSE_BEGINS_AGAIN",
    "PAUSE_NOT_COUNTED",
    "PAUSE_UP_TO",
    "PER_CELL",
    "PER_MIX",
    "PER_OPERATOR",
    "PSI",
    "PUMPED",
    "ROUNDED",
    "ROUNDED_METRIC",
    "SEALED",
    "SHIFT",
    "SOAKED",
    "STRICT",
    "TAKES_BACK",
    "TERM_KINDS",
    "UNLESS_UNCHANGED",
    "US_FORM",
    "WORK_DATE",
    "Shape",
    "TermKind",
    "Value",
    "check_term",
    "kind_of",
    "shown",
]

TERM_KINDS: Mapping[str, TermKind] = {
    **PANELS_AND_CORES,
    **PEOPLE_AND_BARS,
    **PLACING,
    **CURING_AND_RECORD,
}

# A contract's number is printed in full; what is longer than these was never measured.
MOST_EXPONENT = 12
MOST_DIGITS = 20


def kind_of(name: str) -> TermKind:
    """Return the kind of a term. Raises ValueError for an unknown name.

    Source: the table above.

    >>> kind_of("panel_volume").units
    ('m3', 'ft3', 'yd3', 'gal', 'l')
    """
    try:
        return TERM_KINDS[name]
    except KeyError:
        allowed = ", ".join(TERM_KINDS)
        raise ValueError(f"term {name}: not a term; allowed are {allowed}") from None


def shown(value: Value, unit: str | None = None) -> str:
    """Return a term's value as a person reads it. Source: project's choice.

    >>> shown(Decimal("4.5"), "in"), shown(True), shown(None)
    ('4.5 in', 'yes', 'not given')
    """
    text = "not given" if value is None else str(value)
    if isinstance(value, bool):
        text = "yes" if value else "no"
    elif isinstance(value, Decimal) and abs(value.adjusted()) <= MOST_EXPONENT:
        text = f"{value:f}"
    return f"{text} {unit}" if unit else text


def _fits(kind: TermKind, value: Value, unit: str | None) -> bool:
    if value is None:
        return not kind.required and unit is None
    if kind.shape is Shape.FLAG:
        return isinstance(value, bool) and unit is None
    if kind.shape is Shape.CHOICE:
        return isinstance(value, str) and value in kind.choices and unit is None
    if not isinstance(value, Decimal) or not value.is_finite():
        return False
    if (
        abs(value.adjusted()) > MOST_EXPONENT
        or len(value.as_tuple().digits) > MOST_DIGITS
    ):
        return False
    if kind.shape is Shape.QUANTITY:
        if unit not in kind.units or (kind.positive and value <= 0):
            return False
        return kind.dimension != "time" or _is_span(value, unit)
    low = kind.least is None or value >= kind.least
    high = kind.most is None or value <= kind.most
    return unit is None and low and high and (value % 1 == 0 or not kind.whole)


def _is_span(value: Decimal, unit: str) -> bool:
    return convert(Quantity(value, unit), to=LONGEST.unit).value <= LONGEST.value


def check_term(name: str, value: Value, unit: str | None = None) -> None:
    """Refuse a value a term may not have; nothing stands for "not given".

    Raises ValueError naming the term, the value and what is allowed. Source: the
    table above.

    >>> check_term("core_average", Decimal(85))
    Traceback (most recent call last):
    ValueError: term core_average: 85; allowed is a number from 0.01 to 1
    """
    kind = kind_of(name)
    if _fits(kind, value, unit):
        return
    given = shown(value, unit)
    raise ValueError(f"term {name}: {given}; allowed is {kind.allowed}")
