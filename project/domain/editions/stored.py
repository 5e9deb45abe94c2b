"""Resolved terms as a job keeps them, whatever has been reviewed since."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from functools import lru_cache

from project.domain.canonical import plain
from project.domain.term_kinds import AT_LEAST, OF_F_C, Value
from project.domain.terms import TermValue
from project.domain.verdict import Known, Source

# Before these were terms, the shares themselves were said to be "of f_c" and "at
# least". Nothing else is read into a revision put in force before a term existed.
_SAID_BEFORE = {
    "strength_basis": TermValue(
        OF_F_C,
        None,
        Source("shares were of f_c before this was a term", known=Known.CONTRACT),
    ),
    "set_mean_met": TermValue(
        AT_LEAST,
        None,
        Source("shares were met on them before this was a term", known=Known.CONTRACT),
    ),
}


def to_plain(values: Mapping[str, TermValue]) -> dict[str, dict[str, object]]:
    """Return resolved terms as JSON's own kinds, numbers as text.

    Source: project's choice of form; `from_plain` reads it back.

    >>> from project.domain.editions.shapes import CONTRACT
    >>> row = to_plain({"core_count": TermValue(Decimal(3), None, CONTRACT)})["core_count"]
    >>> row["value"], row["number"], row["unit"]
    ('3', True, None)
    """
    return {
        name: {
            "value": plain(term.value),
            "number": isinstance(term.value, Decimal),
            "unit": term.unit,
            "source": {
                "document": term.source.document,
                "section": term.source.section,
                "year": term.source.year,
                "known": term.source.known.value,
            },
            "departure": term.departure,
            "reason": term.reason,
        }
        for name, term in values.items()
    }


# A revision names the same few documents two hundred times.
_source = lru_cache(maxsize=1024)(Source)


def _value(name: str, row: Mapping[str, object]) -> Value:
    value = row["value"]
    if value is None or isinstance(value, bool):
        return value
    if not row["number"]:
        return str(value)
    try:
        return Decimal(str(value))
    except InvalidOperation:
        raise ValueError(f"term {name}: {value!r} is not a number") from None


def from_plain(values: Mapping[str, Mapping[str, object]]) -> dict[str, TermValue]:
    """Return terms as `to_plain` wrote them, whatever has been reviewed since.

    A term younger than the revision stays absent and reads "not given". Raises
    ValueError for a number that is none. Source: project's choice of form.

    >>> from project.domain.editions.ibc import IBC_2018
    >>> from_plain(to_plain(IBC_2018.values)) == IBC_2018.values
    True
    """
    terms: dict[str, TermValue] = {}
    for name, row in values.items():
        source, unit = row["source"], row["unit"]
        if not isinstance(source, Mapping):
            raise ValueError(f"term {name}: source {source!r} has no parts")
        terms[name] = TermValue(
            _value(name, row),
            None if unit is None else str(unit),
            _source(
                str(source["document"]),
                str(source["section"]),
                str(source["year"]),
                Known(source["known"]),
            ),
            row["departure"] is True,
            str(row["reason"]),
        )
    if "core_average" in terms:
        terms = {**_SAID_BEFORE, **terms}
    return terms
