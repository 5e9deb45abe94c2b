"""Clear spacing of bars, and whether the code asks for a mock-up because of them.

The limits are the contract's terms, begun from an edition. A finding against one of
them does not forbid the bars: it asks that a preconstruction test shows them encased.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from crews.domain.bar_rules import (
    NO_LIMIT,
    BarRules,
    bar_rules,
    larger_of,
    margin,
)
from crews.domain.lap_gap import lap_reason
from project.domain.bars import bar_diameter, thickest, thickness_of
from project.domain.reinforcement import Curtain, Mat, Reinforcement
from project.domain.showing import beside
from project.domain.term_kinds import CENTRE, CLEAR, LEAST_ALONE
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Reason, Source, State, Verdict, worst

_RULE = "a mock-up is asked for where the bars leave the code's limits"
_PLACES = 4  # of a spacing converted from another unit; what was typed stays as typed


@dataclass(frozen=True, slots=True)
class ClearLimit:
    """The least spacing of a mat by one interpretation, and where it comes from.

    `limit` is nothing where the terms give none. Source: `clear_limit`.
    """

    interpretation: str
    limit: Quantity | None
    words: str
    source: Source


def clear_spacing(mat: Mat) -> Quantity:
    """Return the clear gap between the bars of a mat, in the unit of its spacing.

    Centre spacing less the nominal diameter; exact where the bar's unit allows.
    Raises nothing. Source: definition of clear spacing, ACI 318-19, chapter 25 (from
    memory); diameters as `bar_diameter`.

    >>> from project.domain.reinforcement import BarWay
    >>> mat = Mat(Curtain.NEARER, BarWay.VERTICAL, "No. 9", Quantity(Decimal(5), "in"))
    >>> str(clear_spacing(mat))
    '3.872 in'
    """
    diameter = convert(bar_diameter(mat.bar), to=mat.spacing.unit)
    return Quantity(mat.spacing.value - diameter.value, mat.spacing.unit)


def clear_limit(
    mat: Mat, *, curtains: int, rules: BarRules, interpretation: str = CLEAR
) -> ClearLimit:
    """Return the least spacing the terms ask of a mat.

    Parameters
    ----------
    mat
        Parallel bars in one curtain.
    curtains
        How many curtains the part has [1], from 1.
    rules
        By `bar_rules`.
    interpretation
        Whether bar diameters asked between two curtains are clear or centre spacing;
        the least length is clear by either.

    Raises nothing: what is not given leaves no limit. Source: IBC 2018, 1908.4.2
    (2-1/2 in read, the diameters from memory); ACI 318-19, 25.2.7 to 25.2.10 (from
    memory), as the terms have them.

    >>> from datetime import date
    >>> from project.domain.editions import own_terms
    >>> from project.domain.reinforcement import BarWay
    >>> mat = Mat(Curtain.NEARER, BarWay.VERTICAL, "No. 5", Quantity(Decimal(8), "in"))
    >>> day = {"revision": 1, "effective_on": date(2026, 7, 1)}
    >>> for key in ("ibc-2018-1908", "aci-318-2019"):
    ...     rules = bar_rules(own_terms(key, **day))
    ...     print(*(clear_limit(mat, curtains=n, rules=rules).limit for n in (1, 2)))
    2.5 in 7.500 in
    3.750 in 7.500 in
    """
    least, source = rules.clear_least, rules.source("clear_least")
    if curtains == 1:
        small = _is_small(mat.bar, rules)
        if small is None:
            return ClearLimit(interpretation, None, NO_LIMIT, source)
        if small:
            words = f"{rules.largest_bar} and less"
            return ClearLimit(interpretation, least, words, source)
    name = "clear_diameters"
    if curtains > 1 and mat.curtain is Curtain.NEARER:
        name = "clear_nearer_diameters"
    count: Decimal | None = getattr(rules, name)
    diameter = bar_diameter(mat.bar)
    by_bar = None if count is None else Quantity(count * diameter.value, diameter.unit)
    if least is not None and interpretation == CENTRE:
        with_bar = least.value + convert(diameter, to=least.unit).value
        least = Quantity(with_bar, least.unit)
    given = [length for length in (by_bar, least) if length is not None]
    if not given:
        return ClearLimit(interpretation, None, NO_LIMIT, rules.source(name))
    limit = larger_of(given)
    words = "the least" if limit is not by_bar else f"{count:f} bar diameters"
    source = rules.source(name if limit is by_bar else "clear_least")
    return ClearLimit(interpretation, limit, words, source)


def _is_small(bar: str, rules: BarRules) -> bool | None:
    """Return whether a bar keeps the least length alone; nothing where not given."""
    if rules.clear_small_bars != LEAST_ALONE:
        return None if rules.clear_small_bars is None else False
    if rules.largest_bar is None:
        return None
    return thickness_of(bar) <= thickness_of(rules.largest_bar)


def mockup_needed(
    reinforcement: Reinforcement | None,
    *,
    terms: Terms | None,
    aggregate: Quantity | None = None,
) -> Verdict:
    """Say whether the code asks for a mock-up because of the bars.

    Parameters
    ----------
    reinforcement
        Of a part; nothing where it is not given.
    terms
        Give `largest_bar`, `clear_least`, `clear_diameters`,
        `clear_nearer_diameters`, `clear_small_bars`, `clear_rule`, `lap_rule`.
    aggregate
        The largest of the mix [length]; two rules of laps ask it.

    `PASS` means that the bars lie within the limits, `FAIL` that a mock-up is asked
    for, `UNDECIDED` that something is not given, a limit too, or that two
    interpretations of the two-curtain rule disagree and no choice is on record. The
    rule's "12 bar diameters" may be read as clear or as centre spacing: both are
    listed, the term `clear_rule` names the engineer's choice and the other one stands
    as information.

    Raises ValueError for another `clear_rule`. Source: the terms; IBC 2018, 1908.4.1
    to 1908.4.3; ACI 318-19, 25.2.7 to 25.2.10 and 25.5.1 (from memory).

    >>> from datetime import date
    >>> from project.domain.editions import own_terms
    >>> from project.domain.reinforcement import BarWay
    >>> terms = own_terms("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1))
    >>> mat = Mat(Curtain.NEARER, BarWay.VERTICAL, "No. 6", Quantity(Decimal(6), "in"))
    >>> asked = mockup_needed(Reinforcement((mat,)), terms=terms)
    >>> [f"{r.key}: {r.state}" for r in asked.reasons]
    ['bar size: fail', 'clear spacing: pass', 'splice: undecided']
    """
    rules = bar_rules(terms)
    lengths = (rules.clear_least, rules.largest_aggregate, aggregate)
    counts = (rules.clear_diameters, rules.clear_nearer_diameters)
    bars = "" if reinforcement is None else reinforcement.typed
    typed = " ".join(map(str, (bars, *lengths, *counts)))
    return _needed(reinforcement, rules, aggregate, typed)


@lru_cache(maxsize=1024)
def _needed(
    reinforcement: Reinforcement | None,
    rules: BarRules,
    aggregate: Quantity | None,
    _typed: str,
) -> Verdict:
    """Judge the same bars once. Numbers are told as typed, so equal is not enough."""
    if reinforcement is None:
        reasons: tuple[Reason, ...] = (_not_given(rules),)
    elif not reinforcement.mats:
        reasons = (_plain(rules),)
    else:
        reasons = (
            _bar_size(reinforcement, rules),
            *_clear(reinforcement, rules),
            lap_reason(reinforcement, rules=rules, aggregate=aggregate),
        )
    return Verdict(worst(reasons), _RULE, reasons)


def asked_because(verdict: Verdict) -> str:
    """Return in one sentence whether a mock-up is asked for, and because of what.

    Parameters
    ----------
    verdict
        By `mockup_needed`.

    Raises nothing. Source: the reasons' own.

    >>> from crews.domain import examples
    >>> from datetime import date
    >>> from project.domain.editions import own_terms
    >>> terms = own_terms("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1))
    >>> print(asked_because(mockup_needed(examples.bars(), terms=terms)))
    mock-up asked for because No. 5 at 8 in, vertical and horizontal, nearer the
    nozzle: 7.375 in, and at least 7.500 in (clear spacing, 12 bar diameters) is asked
    by IBC 2018, 1908.4.2 (from memory)
    """
    if verdict.state is State.PASS:
        return "no mock-up asked for by these limits"
    if verdict.failed:
        lines = (
            f"{r.found}, and {r.requirement} is asked by {r.source}"
            for r in verdict.failed
        )
        return "mock-up asked for because " + "; ".join(lines)
    lines = (r.found for r in verdict.unmet)
    return "not settled whether a mock-up is asked for: " + "; ".join(lines)


def _not_given(rules: BarRules) -> Reason:
    return Reason(
        key="bar size",
        requirement="bars as drawn",
        state=State.UNDECIDED,
        found="reinforcement not given",
        source=rules.source("largest_bar"),
    )


def _no_larger(rules: BarRules) -> str:
    if rules.largest_bar is None:
        return "no bar larger than the contract takes without a mock-up"
    return f"no bar larger than {rules.largest_bar}"


def _plain(rules: BarRules) -> Reason:
    return Reason(
        key="bar size",
        requirement=_no_larger(rules),
        state=State.PASS,
        found="no bars",
        source=rules.source("largest_bar"),
    )


def largest_bar(reinforcement: Reinforcement) -> str:
    """Return the largest bar of some mats. Raises ValueError where there is none.

    Source: nominal diameters, as `bar_diameter`.

    >>> from project.domain.reinforcement import BarWay
    >>> gap = Quantity(Decimal(6), "in")
    >>> mats = tuple(Mat(Curtain.NEARER, BarWay.TIES, b, gap) for b in ("No. 5", "No. 10"))
    >>> largest_bar(Reinforcement(mats))
    'No. 10'
    """
    return thickest(mat.bar for mat in reinforcement.mats)


def _bar_size(reinforcement: Reinforcement, rules: BarRules) -> Reason:
    bar, source = largest_bar(reinforcement), rules.source("largest_bar")
    found = f"largest bar {bar}"
    reason = Reason(
        "bar size", _no_larger(rules), State.UNDECIDED, f"{found}; {NO_LIMIT}", source
    )
    if rules.largest_bar is None:
        return reason
    limit = bar_diameter(rules.largest_bar)
    over = margin(bar_diameter(bar), limit)
    state = State.PASS if over.value <= 0 else State.FAIL
    room = Quantity(-over.value, over.unit)
    return reason._replace(state=state, found=found, limit=limit, margin=room)


def _clear(reinforcement: Reinforcement, rules: BarRules) -> tuple[Reason, ...]:
    """One reason for each different mat, two where two interpretations exist."""
    ways: dict[Mat, list[str]] = {}
    for mat in reinforcement.mats:
        same = next((m for m in ways if _same_gap(m, mat)), mat)
        ways.setdefault(same, []).append(mat.way.value)
    reasons: list[Reason] = []
    for mat, named in ways.items():
        words = f"{mat.bar} at {mat.spacing}, {' and '.join(dict.fromkeys(named))}"
        if reinforcement.curtains > 1:
            words = f"{words}, {mat.curtain}"
        reasons += spacing_reasons(
            mat, curtains=reinforcement.curtains, rules=rules, words=words
        )
    return tuple(reasons)


def _same_gap(one: Mat, other: Mat) -> bool:
    return (one.curtain, one.bar, one.spacing) == (
        other.curtain,
        other.bar,
        other.spacing,
    )


def spacing_reasons(
    mat: Mat, *, curtains: int, rules: BarRules, words: str
) -> tuple[Reason, ...]:
    """Return how a mat's spacing stands: once, or by both interpretations.

    Parameters
    ----------
    mat
        Parallel bars in one curtain.
    curtains
        How many curtains the part has [1], from 1.
    rules
        By `bar_rules`.
    words
        What the mat is called.

    Raises nothing. Source: as `clear_limit`.

    >>> from project.domain.reinforcement import BarWay
    >>> mat = Mat(Curtain.NEARER, BarWay.TIES, "No. 5", Quantity(Decimal(8), "in"))
    >>> [r.state.value for r in spacing_reasons(
    ...     mat, curtains=1, rules=bar_rules(None), words="ties")]
    ['undecided']
    """
    asked = clear_limit(mat, curtains=curtains, rules=rules)
    clear = _gap(words, clear_spacing(mat), asked, two=curtains > 1)
    if curtains == 1 or asked.limit is None:
        return (clear,)
    asked = clear_limit(mat, curtains=curtains, rules=rules, interpretation=CENTRE)
    centre = _gap(words, mat.spacing, asked, two=True)
    choice = rules.clear_rule
    if choice is None and clear.state is centre.state:
        return clear, centre
    return (
        _weighed(clear, choice, chosen=choice == CLEAR),
        _weighed(centre, choice, chosen=choice == CENTRE),
    )


def _weighed(reason: Reason, choice: str | None, *, chosen: bool) -> Reason:
    """Let the chosen interpretation decide; keep the other one readable."""
    if chosen:
        return reason
    would = "within the limit" if reason.state is State.PASS else "a mock-up asked for"
    if choice is None:
        state, ending = State.UNDECIDED, "which interpretation holds is not on record"
    else:
        state, ending = State.INFORMATION, "not the interpretation chosen"
    found = f"{reason.found}: {would}; {ending}"
    return reason._replace(state=state, found=found)


def _gap(words: str, found: Quantity, asked: ClearLimit, *, two: bool) -> Reason:
    if asked.limit is None:
        return Reason(
            "clear spacing",
            "clear spacing within the contract's limit",
            State.UNDECIDED,
            f"{words}: {found}; {NO_LIMIT}",
            asked.source,
        )
    name = f"{asked.interpretation if two else 'clear'}, {asked.words}"
    over = margin(found, asked.limit)
    return Reason(
        key="clear spacing",
        requirement=f"at least {_short(asked.limit, found)} ({name})",
        state=State.PASS if over.value >= 0 else State.FAIL,
        found=f"{words}: {_short(found, asked.limit)}",
        source=asked.source,
        limit=asked.limit,
        margin=over,
    )


def _short(length: Quantity, other: Quantity) -> str:
    """Return a length as typed, or cut where a conversion left too many places."""
    exponent = length.value.as_tuple().exponent
    if isinstance(exponent, int) and exponent >= -_PLACES:
        return str(length)
    limit = convert(other, to=length.unit).value
    return f"{beside(length.value, limit, places=_PLACES)} {length.unit}"
