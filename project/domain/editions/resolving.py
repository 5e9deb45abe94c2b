"""A contract's terms: an edition, and what the contract says instead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from project.domain.editions.aci import ACI_506_2_13, PANELS_OF_506_2
from project.domain.editions.shapes import CONTRACT
from project.domain.editions.table import edition_of
from project.domain.term_kinds import (
    OF_REQUIRED,
    PAUSE_UP_TO,
    TERM_KINDS,
    Value,
    check_term,
    kind_of,
)
from project.domain.terms import Terms, TermValue
from project.domain.units import convert
from project.domain.verdict import Source


@dataclass(frozen=True, slots=True)
class Departure:
    """What a contract says instead of its edition, and why.

    Source: the contract, unless another one is named.

    >>> str(Departure(False, None, "section 3.4").source)
    'contract'
    """

    value: Value
    unit: str | None = None
    reason: str = ""
    source: Source = CONTRACT


def aci_506_2_13_panels(reason: str) -> dict[str, Departure]:
    """Return the panel counting of ACI 506.2-13, as departures from another edition.

    One panel for each mixture, operator and work day, or for each 50 yd3, whichever
    gives the most; "whichever" taken over all who shot the mixture. Material panels
    are vertical unless the contract says otherwise, so position is not counted.
    Source: ACI 506.2-13, frequency of test panels (read as quoted), as its edition has it.

    >>> str(aci_506_2_13_panels("contract specification")["panel_per"].source)
    'ACI 506.2 2013, frequency of test panels, as quoted (read)'
    """
    own = edition_of(ACI_506_2_13.key).values
    return {
        name: Departure(own[name].value, own[name].unit, reason, own[name].source)
        for name in PANELS_OF_506_2
    }


def departing(edition_key: str, given: Mapping[str, Departure]) -> dict[str, Departure]:
    """Return what truly departs: values equal to the edition's own are left out.

    For a settings form, which posts every term. Raises ValueError for an unknown
    edition or term. Source: the edition's own values.

    >>> from decimal import Decimal
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
_RANGES = (
    ("thickness_low", "thickness_high"),
    ("concrete_low", "concrete_high"),
    ("air_low", "air_high"),
)


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
        The revision's number [1] and the first work date it governs.
    departures
        Term name to what the contract says instead, each with its reason. A value
        of nothing takes the edition's value away, where the term allows it.

    Raises ValueError naming the edition or term, the value and what is allowed, or
    every term that must be given and is not. Source: the edition's own values, each
    with its source.

    >>> from decimal import Decimal
    >>> deeper = Departure(Decimal("4.5"), "in", "shown by an accepted mock-up")
    >>> terms = resolve("ibc-2018-1908", revision=2, effective_on=date(2026, 8, 3),
    ...                 departures={"pass_overhead": deeper})
    >>> terms.decimal("core_average"), str(terms.source("core_average"))
    (Decimal('0.85'), 'IBC 2018, 1908.10.3 (from memory)')
    >>> [(name, term.reason) for name, term in terms.departures.items()]
    [('pass_overhead', 'shown by an accepted mock-up')]
    """
    own = own_terms(edition_key, revision=revision, effective_on=effective_on)
    terms = depart(own, departures=departures)
    asked = to_be_given(terms)
    if asked:
        each = "; ".join(f"{name}, {kind_of(name).allowed}" for name in asked)
        raise ValueError(f"edition {edition_key}: to be given by the contract: {each}")
    return terms


# A word that means nothing without a value beside it.
_WANTS = {
    ("curing_pause", PAUSE_UP_TO): "curing_pause_most",
    ("strength_basis", OF_REQUIRED): "required_core_strength",
}
# A face is vertical from a smaller angle than the one it is overhead from.
_BELOW = (
    ("card_vertical_from", "card_overhead_from"),
    ("mockup_vertical_from", "mockup_overhead_from"),
)


def check_wanted(terms: Terms, *, departures: Mapping[str, Departure]) -> None:
    """Refuse a word the contract itself chooses and gives no value to.

    Parameters
    ----------
    terms
        As resolved.
    departures
        What the contract says instead of its edition. A word of the edition's own may
        leave its value open: figures then say that no limit is given.

    Raises ValueError naming the value that is wanted and what is allowed. Source:
    project's choice.

    >>> chosen = {"curing_pause": Departure(PAUSE_UP_TO, reason="the engineer's")}
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures=chosen)
    >>> check_wanted(terms, departures=chosen)
    Traceback (most recent call last):
    ValueError: curing_pause_most: not given; needed with "as continuous up to": a number
    above 0 in one of s, min, h, d, at most 36525 d
    """
    for (name, word), wanted in _WANTS.items():
        chosen = name in departures and terms.choice(name) == word
        if chosen and terms.get(wanted) is None:
            allowed = kind_of(wanted).allowed
            raise ValueError(f'{wanted}: not given; needed with "{word}": {allowed}')
    for low, high in _BELOW:
        begin, end = terms.decimal(low), terms.decimal(high)
        if begin is not None and end is not None and begin >= end:
            raise ValueError(f"{low}: {begin}; allowed is below {high}, {end}")


def own_terms(edition_key: str, *, revision: int, effective_on: date) -> Terms:
    """Return an edition's own values as terms, before any contract has its say.

    `revision` [1] and the date as of `resolve`. What the edition leaves to the contract is missing
    here: `to_be_given` names it. Raises ValueError for an unknown edition. Source: the
    edition's own values.

    >>> metric = own_terms("metric", revision=1, effective_on=date(2026, 7, 1))
    >>> metric.choice("strength_unit") is None
    True
    """
    edition = edition_of(edition_key)
    return Terms(revision, edition.key, effective_on, edition.values)


def to_be_given(terms: Terms) -> tuple[str, ...]:
    """Return the terms that must have a value and have none, in the table's order.

    Source: the table of kinds.

    >>> own = own_terms("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1))
    >>> to_be_given(own)
    ()
    """
    return tuple(
        name
        for name, kind in TERM_KINDS.items()
        if kind.required and terms.get(name) is None
    )


def depart(terms: Terms, *, departures: Mapping[str, Departure]) -> Terms:
    """Return terms changed by name, all others as they were.

    Raises ValueError naming the term, the value and what is allowed, also where two
    terms together leave no range. Source: project's choice.

    >>> own = own_terms("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1))
    >>> from decimal import Decimal
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
