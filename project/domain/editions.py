"""Reviewed requirement sets, and a contract's terms resolved from one of them.

An edition is a set of values with their sources, changed only by review. A
contract starts from one and departs from it by name, with a reason; the result
is resolved in full, so that a later edit here never moves a job's terms.

How the values are known: the shotcrete section of the International Building
Code was read in its 2009 printing (s.1913) and in part in that of 2018 (1908.1
to 1908.8, table 1705.3); the rest of 2018 is marked "from memory". Frequencies
of ACI 506.2-13 were read as quoted by another text.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from project.domain.canonical import plain
from project.domain.term_kinds import (
    AGENCY,
    AS_THE_WORK,
    CLEAR,
    EDITION_CLEARANCE,
    EXACT_METRIC,
    GLOBAL,
    LAP_2_IN,
    LD_175,
    LEAST_ALONE,
    MARKED_PARTS,
    MEAN_NOT_BELOW,
    OF_F_C,
    PAUSE_BEGINS_AGAIN,
    PER_CELL,
    PER_MIX,
    PER_OPERATOR,
    SHIFT,
    SOAKED,
    STRICT,
    TERM_KINDS,
    WORK_DATE,
    Value,
    check_term,
    kind_of,
)
from project.domain.terms import Terms, TermValue
from project.domain.units import convert
from project.domain.verdict import Known, Source

CONTRACT = Source("contract", known=Known.CONTRACT)
PROJECT = Source("project's choice", known=Known.PROJECT)
PRACTICE = Source("common practice, no source", known=Known.PRACTICE)


@dataclass(frozen=True, slots=True)
class Edition:
    """A requirement set: its key, its printed name, and its values by term."""

    key: str
    name: str
    values: Mapping[str, TermValue]


@dataclass(frozen=True, slots=True)
class Departure:
    """What a contract says instead of its edition, and why."""

    value: Value
    unit: str | None = None
    reason: str = ""
    source: Source = CONTRACT


def _ibc(section: str, known: Known = Known.MEMORY) -> Source:
    return Source("IBC", section, "2018", known)


def _of(value: str | bool, source: Source) -> TermValue:
    return TermValue(value, None, source)


def _number(value: str, source: Source, unit: str | None = None) -> TermValue:
    return TermValue(Decimal(value), unit, source)


_C1604 = Source("ASTM C1604/C1604M", "core diameter, as quoted", "2005", Known.READ)
_C42 = Source("ASTM C42/C42M", "strength correction factor", known=Known.MEMORY)

_IBC_2018_GIVEN: Mapping[str, TermValue] = {
    "panel_period": _of(SHIFT, _ibc("1908.10.1")),
    # The code counts shifts; a specimen of one mixture says nothing of another.
    "panel_per": _of(PER_MIX, PROJECT),
    "panel_position": _of(True, _ibc("1908.10")),
    "panel_volume": _number("50", _ibc("1908.10.1"), "yd3"),
    # Of the two interpretations the one that asks for more.
    "panel_count": _of(PER_CELL, PROJECT),
    "panel_side_least": _number("18", _ibc("1908.10.2"), "in"),
    "panel_side_least_fine": _number("12", _ibc("1908.10.2"), "in"),
    "fine_aggregate_most": _number("0.375", _ibc("1908.10.2"), "in"),
    "panel_curing": _of(AS_THE_WORK, _ibc("1908.10")),
    "core_count": _number("3", _ibc("1908.10")),
    "core_age": _number("28", PRACTICE, "d"),
    "strength_unit": _of("psi", PROJECT),
    "strength_basis": _of(OF_F_C, _ibc("1908.10.3")),
    "core_average": _number("0.85", _ibc("1908.10.3")),
    "core_single": _number("0.75", _ibc("1908.10.3")),
    "cube_average": _number("1.00", _ibc("1908.10.3")),
    "cube_single": _number("0.88", _ibc("1908.10.3")),
    "core_rounding": _of(STRICT, PROJECT),
    "ld_limit": _of(LD_175, _C42),
    "conditioning": _of(SOAKED, _ibc("1908.10")),
    "core_diameter_least": _number("3.0", _C1604, "in"),
    "result_overdue_after": _number("3", PROJECT, "d"),
    "card_last_day_inclusive": _of(True, PRACTICE),
    "trainee_ratio": _number("1", PROJECT),
    "trainee_parts": _of(MARKED_PARTS, PROJECT),
    "bar_clearance": _of(EDITION_CLEARANCE, _ibc("1908.4.2")),
    "largest_bar": _of("No. 5", _ibc("1908.4.1", Known.READ)),
    "largest_aggregate": _number("0.75", _ibc("1908.3", Known.READ), "in"),
    "clear_least": _number("2.5", _ibc("1908.4.2", Known.READ), "in"),
    "clear_diameters": _number("6", _ibc("1908.4.2")),
    "clear_nearer_diameters": _number("12", _ibc("1908.4.2")),
    "clear_small_bars": _of(LEAST_ALONE, _ibc("1908.4.2", Known.READ)),
    # Again the interpretation that asks for more; the engineer may choose the other.
    "clear_rule": _of(CLEAR, PROJECT),
    "lap_rule": _of(LAP_2_IN, _ibc("1908.4.3")),
    # The code is silent on tolerances; a mean that falls short hides behind none.
    "thickness_mean": _of(MEAN_NOT_BELOW, PROJECT),
    "restart_gap": _number("30", _ibc("1908.7", Known.READ), "min"),
    "evaporation_form": _of(EXACT_METRIC, PROJECT),
    "moist_first": _number("24", _ibc("1908.9"), "h"),
    "moist_total": _number("7", _ibc("1908.9"), "d"),
    "moist_total_high_early": _number("3", _ibc("1908.9"), "d"),
    # "Kept continuously moist" is silent on a pause: the one that asks for more.
    "curing_pause": _of(PAUSE_BEGINS_AGAIN, PROJECT),
    "protection": _number("7", _ibc("1908.9, through the curing"), "d"),
    "protection_above": _number("40", _ibc("1908.9, through the curing"), "F"),
    "continuous_inspection": _of(True, _ibc("table 1705.3, item 7", Known.READ)),
    "report_sign_within": _number("1", PROJECT),
    "associate_signs_alone": _of(False, PROJECT),
    "packet_prepared_by": _of(AGENCY, PROJECT),
}


def _in_full(given: Mapping[str, TermValue], silent: Source) -> dict[str, TermValue]:
    nothing = TermValue(None, None, silent)
    return {name: given.get(name, nothing) for name in TERM_KINDS}


IBC_2018 = Edition(
    "ibc-2018-1908",
    "IBC 2018 s.1908",
    _in_full(_IBC_2018_GIVEN, _ibc("1908 gives no value")),
)

EDITIONS: Mapping[str, Edition] = {IBC_2018.key: IBC_2018}


def edition_of(key: str) -> Edition:
    """Return a requirement set by its key. Raises ValueError for an unknown one.

    Source: this module's table.

    >>> edition_of("ibc-2018-1908").name
    'IBC 2018 s.1908'
    """
    try:
        return EDITIONS[key]
    except KeyError:
        allowed = ", ".join(EDITIONS)
        raise ValueError(f"edition {key!r}: allowed are {allowed}") from None


def aci_506_2_13_panels(reason: str) -> dict[str, Departure]:
    """Return the panel counting of ACI 506.2-13, as departures from another edition.

    One panel for each mixture, operator and work day, or for each 50 yd3, whichever
    gives the most; "whichever" taken over all who shot the mixture. Material panels
    are vertical unless the contract says otherwise, so position is not counted.
    Source: ACI 506.2-13, frequency of test panels (read as quoted).

    >>> str(aci_506_2_13_panels("contract specification")["panel_per"].source)
    'ACI 506.2 2013, frequency of test panels, as quoted (read)'
    """
    source = Source(
        "ACI 506.2", "frequency of test panels, as quoted", "2013", Known.READ
    )
    values: dict[str, tuple[Value, str | None]] = {
        "panel_period": (WORK_DATE, None),
        "panel_per": (PER_OPERATOR, None),
        "panel_position": (False, None),
        "panel_volume": (Decimal(50), "yd3"),
        "panel_count": (GLOBAL, None),
    }
    return {
        name: Departure(value, unit, reason, source)
        for name, (value, unit) in values.items()
    }


def departing(edition_key: str, given: Mapping[str, Departure]) -> dict[str, Departure]:
    """Return what truly departs: values equal to the edition's own are left out.

    For a settings form, which posts every term. Raises ValueError for an unknown
    edition or term. Source: the edition's own values.

    >>> same, other = Departure(Decimal("0.850")), Departure(Decimal("0.90"))
    >>> list(departing("ibc-2018-1908", {"core_average": same}))
    []
    >>> list(departing("ibc-2018-1908", {"core_average": other}))
    ['core_average']
    """
    own = edition_of(edition_key).values
    for name in given:
        kind_of(name)
    return {
        name: departure
        for name, departure in given.items()
        if (departure.value, departure.unit) != (own[name].value, own[name].unit)
    }


def _departed(name: str, departure: Departure) -> TermValue:
    check_term(name, departure.value, departure.unit)
    if not departure.reason.strip():
        raise ValueError(f"term {name}: a departure from the edition needs a reason")
    return TermValue(
        departure.value, departure.unit, departure.source, True, departure.reason
    )


# Each pair bounds one thing from below and above.
_RANGES = (("thickness_low", "thickness_high"), ("concrete_low", "concrete_high"))


def _check_ranges(terms: Terms) -> None:
    for low_name, high_name in _RANGES:
        low, high = terms.quantity(low_name), terms.quantity(high_name)
        if low is None or high is None:
            continue
        if convert(low, to=high.unit).value >= high.value:
            allowed = f"less than {high_name}, {high}"
            raise ValueError(f"term {low_name}: {low}; allowed is {allowed}")


def resolve(
    edition_key: str,
    *,
    revision: int,
    effective_on: date,
    departures: Mapping[str, Departure],
) -> Terms:
    """Return a revision of a contract's terms, every name resolved.

    Parameters
    ----------
    edition_key
        The requirement set the contract starts from.
    revision, effective_on
        The revision's number and the first work date it governs.
    departures
        Term name to what the contract says instead, each with its reason. A value
        of nothing takes the edition's value away, where the term allows it.

    Raises ValueError naming the edition or term, the value and what is allowed.
    Source: the edition's own values, each with its source.

    >>> deeper = Departure(Decimal("4.5"), "in", "shown by an accepted mock-up")
    >>> terms = resolve("ibc-2018-1908", revision=2, effective_on=date(2026, 8, 3),
    ...                 departures={"pass_overhead": deeper})
    >>> terms.decimal("core_average"), str(terms.source("core_average"))
    (Decimal('0.85'), 'IBC 2018, 1908.10.3 (from memory)')
    >>> [(name, term.reason) for name, term in terms.departures.items()]
    [('pass_overhead', 'shown by an accepted mock-up')]
    """
    edition = edition_of(edition_key)
    own = Terms(revision, edition.key, effective_on, edition.values)
    return depart(own, departures=departures)


def depart(terms: Terms, *, departures: Mapping[str, Departure]) -> Terms:
    """Return terms changed by name, all others as they were.

    Raises ValueError naming the term, the value and what is allowed, also where two
    terms together leave no range. Source: project's choice.

    >>> own = Terms(1, IBC_2018.key, date(2026, 7, 1), IBC_2018.values)
    >>> soon = Departure(Decimal(20), "min", "asked by the engineer")
    >>> str(depart(own, departures={"restart_gap": soon}).quantity("restart_gap"))
    '20 min'
    """
    for name in departures:
        kind_of(name)
    departed = {name: _departed(name, given) for name, given in departures.items()}
    values = {**terms.values, **departed}
    changed = Terms(terms.revision, terms.edition, terms.effective_on, values)
    _check_ranges(changed)
    return changed


def to_plain(values: Mapping[str, TermValue]) -> dict[str, dict[str, object]]:
    """Return resolved terms as JSON's own kinds, numbers as text.

    Source: project's choice of form; `from_plain` reads it back.
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

    Raises ValueError for a number that is none. Source: project's choice of form.

    >>> from_plain(to_plain(IBC_2018.values)) == IBC_2018.values
    True
    """
    terms = {}
    for name, row in values.items():
        source, unit = row["source"], row["unit"]
        if not isinstance(source, Mapping):
            raise ValueError(f"term {name}: source {source!r} has no parts")
        terms[name] = TermValue(
            _value(name, row),
            None if unit is None else str(unit),
            Source(
                str(source["document"]),
                str(source["section"]),
                str(source["year"]),
                Known(source["known"]),
            ),
            row["departure"] is True,
            str(row["reason"]),
        )
    return terms
