"""Clear spacing of bars, and whether the code asks for a mock-up because of them.

The rules are those of IBC 2018 s.1908.4. A finding against one of them does not
forbid the bars: it asks that a preconstruction test shows them encased.
"""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from project.domain.reinforcement import (
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
    bar_diameter,
)
from project.domain.term_kinds import CENTRE, CLEAR
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict, worst

LARGEST_BAR = "No. 5"
LARGEST_BAR_SOURCE = Source("IBC", "1908.4.1", "2018", Known.READ)

LEAST_CLEAR = Quantity(Decimal("2.5"), "in")  # No. 5 and smaller, one curtain
LEAST_CLEAR_SOURCE = Source("IBC", "1908.4.2", "2018", Known.READ)

LARGER_BARS_DIAMETERS = Decimal(6)  # larger than No. 5, one curtain
NEARER_DIAMETERS = Decimal(12)  # two curtains, the one nearer the nozzle
OTHER_DIAMETERS = Decimal(6)  # two curtains, the remaining one
DIAMETERS_SOURCE = Source("IBC", "1908.4.2", "2018", Known.MEMORY)

LEAST_LAP_GAP = Quantity(Decimal(2), "in")
LAP_SOURCE = Source("IBC", "1908.4.3", "2018", Known.MEMORY)


def clear_spacing(mat: Mat) -> Quantity:
    """Return the clear gap between the bars of a mat, in the unit of its spacing.

    Centre spacing less the nominal diameter; exact. Source: definition of clear
    spacing, ACI 318-19, chapter 25 (from memory); diameters from ASTM A615.

    >>> from project.domain.reinforcement import BarWay
    >>> mat = Mat(Curtain.NEARER, BarWay.VERTICAL, "No. 9", Quantity(Decimal(5), "in"))
    >>> str(clear_spacing(mat))
    '3.872 in'
    """
    diameter = convert(bar_diameter(mat.bar), to=mat.spacing.unit)
    return Quantity(mat.spacing.value - diameter.value, mat.spacing.unit)


def mockup_needed(
    reinforcement: Reinforcement | None, *, terms: Terms | None
) -> Verdict:
    """Say whether the code asks for a mock-up because of the bars.

    `PASS` means that the bars lie within the code's own limits, `FAIL` that a
    mock-up is asked for, `UNDECIDED` that something is not given or that two
    interpretations of the two-curtain rule disagree and no choice is on record.
    The rule's "12 bar diameters" may be read as clear or as centre spacing: both
    are listed, the term `clear_rule` names the engineer's choice and the other one
    stands as information. Lengths in inches.

    Raises ValueError for another `clear_rule`. Source: IBC 2018, 1908.4.1 to
    1908.4.3.

    >>> from project.domain.reinforcement import BarWay
    >>> mat = Mat(Curtain.NEARER, BarWay.VERTICAL, "No. 6", Quantity(Decimal(6), "in"))
    >>> asked = mockup_needed(Reinforcement((mat,)), terms=None)
    >>> [f"{r.key}: {r.state}" for r in asked.reasons]
    ['bar size: fail', 'clear spacing: pass', 'splice: undecided']
    """
    choice = terms.choice("clear_rule") if terms else None
    if choice not in (None, CLEAR, CENTRE):
        raise ValueError(f"term clear_rule {choice!r}: allowed are {CLEAR}, {CENTRE}")
    return _needed(reinforcement, choice)


@lru_cache(maxsize=1024)
def _needed(reinforcement: Reinforcement | None, choice: str | None) -> Verdict:
    """Judge equal bars once: a matrix asks the same of every operator."""
    rule = "a mock-up is asked for where the bars leave the code's limits"
    if reinforcement is None:
        reasons: tuple[Reason, ...] = (_not_given(),)
    elif not reinforcement.mats:
        reasons = (_plain(),)
    else:
        reasons = (
            _bar_size(reinforcement),
            *_clear(reinforcement, choice),
            _splice(reinforcement.splice),
        )
    return Verdict(worst(reasons), rule, reasons)


def _not_given() -> Reason:
    return Reason(
        key="bar size",
        requirement="bars as drawn",
        state=State.UNDECIDED,
        found="reinforcement not given",
        source=LARGEST_BAR_SOURCE,
    )


def _plain() -> Reason:
    return Reason(
        key="bar size",
        requirement=f"no bar larger than {LARGEST_BAR}",
        state=State.PASS,
        found="no bars",
        source=LARGEST_BAR_SOURCE,
    )


def largest_bar(reinforcement: Reinforcement) -> str:
    """Return the largest bar of some mats. Raises ValueError where there is none.

    Source: nominal diameters of ASTM A615 (from memory).

    >>> from project.domain.reinforcement import BarWay
    >>> gap = Quantity(Decimal(6), "in")
    >>> mats = tuple(Mat(Curtain.NEARER, BarWay.TIES, b, gap) for b in ("No. 5", "No. 10"))
    >>> largest_bar(Reinforcement(mats))
    'No. 10'
    """
    bars = (mat.bar for mat in reinforcement.mats)
    return max(bars, key=lambda bar: bar_diameter(bar).value)


def _bar_size(reinforcement: Reinforcement) -> Reason:
    bar = largest_bar(reinforcement)
    size, limit = bar_diameter(bar), bar_diameter(LARGEST_BAR)
    margin = Quantity(limit.value - size.value, "in")
    return Reason(
        key="bar size",
        requirement=f"no bar larger than {LARGEST_BAR}",
        state=State.PASS if margin.value >= 0 else State.FAIL,
        found=f"largest bar {bar}",
        source=LARGEST_BAR_SOURCE,
        limit=limit,
        margin=margin,
    )


def _clear(reinforcement: Reinforcement, choice: str | None) -> tuple[Reason, ...]:
    """One reason for each different mat, two where two interpretations exist."""
    ways: dict[Mat, list[str]] = {}
    for mat in reinforcement.mats:
        same = next((m for m in ways if _same_gap(m, mat)), mat)
        ways.setdefault(same, []).append(mat.way.value)
    reasons: list[Reason] = []
    for mat, named in ways.items():
        words = f"{mat.bar} at {mat.spacing}, {' and '.join(dict.fromkeys(named))}"
        if reinforcement.curtains == 1:
            reasons.append(_one_curtain(mat, words))
        else:
            reasons.extend(_two_curtains(mat, f"{words}, {mat.curtain}", choice))
    return tuple(reasons)


def _same_gap(one: Mat, other: Mat) -> bool:
    return (one.curtain, one.bar, one.spacing) == (
        other.curtain,
        other.bar,
        other.spacing,
    )


def _one_curtain(mat: Mat, words: str) -> Reason:
    diameter = bar_diameter(mat.bar)
    if diameter.value <= bar_diameter(LARGEST_BAR).value:
        limit, source, name = LEAST_CLEAR, LEAST_CLEAR_SOURCE, f"{LARGEST_BAR} and less"
    else:
        limit = Quantity(LARGER_BARS_DIAMETERS * diameter.value, "in")
        source, name = DIAMETERS_SOURCE, f"{LARGER_BARS_DIAMETERS} bar diameters"
    return _gap(words, clear_spacing(mat), limit, source, f"clear, {name}")


def _two_curtains(mat: Mat, words: str, choice: str | None) -> tuple[Reason, ...]:
    nearer = mat.curtain is Curtain.NEARER
    count = NEARER_DIAMETERS if nearer else OTHER_DIAMETERS
    limit = Quantity(count * bar_diameter(mat.bar).value, "in")
    name = f"{count} bar diameters"
    clear = _gap(
        words, clear_spacing(mat), limit, DIAMETERS_SOURCE, f"clear spacing, {name}"
    )
    centre = _gap(
        words, mat.spacing, limit, DIAMETERS_SOURCE, f"centre spacing, {name}"
    )
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
    return Reason(
        key=reason.key,
        requirement=reason.requirement,
        state=state,
        found=f"{reason.found}: {would}; {ending}",
        source=reason.source,
        limit=reason.limit,
        margin=reason.margin,
    )


def _gap(
    words: str, found: Quantity, limit: Quantity, source: Source, name: str
) -> Reason:
    margin = convert(found, to="in").value - limit.value
    return Reason(
        key="clear spacing",
        requirement=f"at least {limit} ({name})",
        state=State.PASS if margin >= 0 else State.FAIL,
        found=f"{words}: {found}",
        source=source,
        limit=limit,
        margin=Quantity(margin, "in"),
    )


def _splice(splice: Splice | None) -> Reason:
    requirement = f"laps apart by at least {LEAST_LAP_GAP}, or no laps"
    margin = None
    if splice is None:
        state, found = State.UNDECIDED, "splices not given"
    elif splice.kind is SpliceKind.CONTACT:
        state, found = State.FAIL, "contact laps"
    elif splice.kind is not SpliceKind.NON_CONTACT:
        state, found = State.PASS, f"splices: {splice.kind}"
    elif splice.clear is None:
        state, found = State.UNDECIDED, "non-contact laps, clear gap not given"
    else:
        gap = convert(splice.clear, to="in").value - LEAST_LAP_GAP.value
        margin = Quantity(gap, "in")
        state = State.PASS if gap >= 0 else State.FAIL
        found = f"non-contact laps, {splice.clear} clear"
    return Reason(
        key="splice",
        requirement=requirement,
        state=state,
        found=found,
        source=LAP_SOURCE,
        limit=LEAST_LAP_GAP,
        margin=margin,
    )
