"""How far apart lapped bars stand: five rules, of which a contract names one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from crews.domain.bar_rules import (
    NO_LIMIT,
    BarRules,
    check_aggregate,
    in_mm,
    larger_of,
    margin,
)
from project.domain.bars import bar_diameter, thickest, thickness_of
from project.domain.reinforcement import Reinforcement, SpliceKind
from project.domain.term_kinds import (
    LAP_2_IN,
    LAP_3_DIAMETERS,
    LAP_6_DIAMETERS,
    LAP_GREATEST_OF_THREE,
    LAP_LEAST_OF_THREE,
)
from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Source, State

# IBC 2018, 1908.4.3 (from memory): laps stand 2 in apart.
LAP_ALONE = Quantity(Decimal(2), "in")

# ACI 506R-90 and -05 (read): three times the largest bar's diameter.
LAP_DIAMETERS = Decimal(3)

# ACI 506.2 as paraphrased (read): 3 bar diameters, 3 times the aggregate, 2 in. It says
# "whichever is least", which may be a misprint for "greatest".
OF_THREE_DIAMETERS = Decimal(3)
OF_THREE_AGGREGATES = Decimal(3)
OF_THREE_LEAST = Quantity(Decimal(2), "in")

# ACI 318-19, 25.5.1.6 and 25.5.1.7 (from memory): the larger of 6 bar diameters and
# 2.5 in; bars above No. 6 are lapped as a mock-up shows.
LARGER_DIAMETERS = Decimal(6)
LARGER_LEAST = Quantity(Decimal("2.5"), "in")
LAPPED_UNTRIED = "No. 6"

_OF_THREE = Source(
    "ACI 506.2",
    "gap of laps, as paraphrased; 'least' may be a misprint",
    "",
    Known.READ,
)
LAP_RULES: Mapping[str, Source] = {
    LAP_2_IN: Source("IBC", "1908.4.3", "2018"),
    LAP_3_DIAMETERS: Source("ACI 506R", "noncontact laps", "1990", Known.READ),
    LAP_LEAST_OF_THREE: _OF_THREE,
    LAP_GREATEST_OF_THREE: _OF_THREE,
    LAP_6_DIAMETERS: Source("ACI 318", "25.5.1.6, 25.5.1.7", "2019"),
}


@dataclass(frozen=True, slots=True)
class LapGap:
    """The least clear gap of a lap by one rule, and the parts it is taken from.

    `limit` is nothing where the rule leaves it to a mock-up. `whole` is whether
    every part is known; without the aggregate the limit may be less by the least of
    three, and more by the greatest. Source: `lap_gap`.
    """

    rule: str
    limit: Quantity | None
    parts: tuple[tuple[str, Quantity | None], ...]

    @property
    def whole(self) -> bool:
        """Whether every part of the rule is known."""
        return all(length is not None for _, length in self.parts)


def lap_gap(bar: str, *, rule: str, aggregate: Quantity | None = None) -> LapGap:
    """Return how far apart lapped bars stand by a rule.

    Parameters
    ----------
    bar
        The larger of the two.
    rule
        One of `LAP_RULES`.
    aggregate
        Largest size [length]; only two rules ask it.

    Raises ValueError for an unknown bar or rule, or an aggregate that is no length
    above 0. Source: beside each number above.

    >>> str(lap_gap("No. 5", rule="6 bar diameters or 2.5 in").limit)
    '3.750 in'
    >>> half = Quantity(Decimal("0.5"), "in")
    >>> str(lap_gap("No. 4", rule="least of three", aggregate=half).limit)
    '1.500 in'
    """
    if rule not in LAP_RULES:
        raise ValueError(f"lap_rule {rule!r}: allowed are {', '.join(LAP_RULES)}")
    check_aggregate(aggregate)
    parts = (*_parts(bar, rule, aggregate),)
    known = [length for _, length in parts if length is not None]
    limit: Quantity | None = larger_of(known)
    if rule == LAP_LEAST_OF_THREE:
        limit = min(known, key=in_mm)
    if rule == LAP_6_DIAMETERS and thickness_of(bar) > thickness_of(LAPPED_UNTRIED):
        limit = None
    return LapGap(rule, limit, parts)


def _parts(
    bar: str, rule: str, aggregate: Quantity | None
) -> Iterator[tuple[str, Quantity | None]]:
    """Yield what a rule takes its limit from, each with its words."""
    if rule == LAP_2_IN:
        yield "the least", LAP_ALONE
    elif rule == LAP_3_DIAMETERS:
        yield _diameters(bar, LAP_DIAMETERS)
    elif rule == LAP_6_DIAMETERS:
        yield _diameters(bar, LARGER_DIAMETERS)
        yield "the least", LARGER_LEAST
    else:
        yield _diameters(bar, OF_THREE_DIAMETERS)
        times = None
        if aggregate is not None:
            times = Quantity(OF_THREE_AGGREGATES * aggregate.value, aggregate.unit)
        yield f"{OF_THREE_AGGREGATES} times the aggregate", times
        yield "a length", OF_THREE_LEAST


def _diameters(bar: str, count: Decimal) -> tuple[str, Quantity]:
    diameter = bar_diameter(bar)
    words = f"{count} bar diameters"
    return words, Quantity(count * diameter.value, diameter.unit)


def lap_reason(
    reinforcement: Reinforcement, *, rules: BarRules, aggregate: Quantity | None = None
) -> Reason:
    """Return whether the laps of some bars stand within the contract's rule.

    `FAIL` where a mock-up has to show them. Raises ValueError as `lap_gap` does, and
    for reinforcement without a bar. Source: the rule; contact laps want a test by
    IBC 2018, 1908.4.3 (from memory).

    >>> from crews.domain import examples
    >>> from crews.domain.bar_rules import bar_rules
    >>> lap_reason(examples.bars(), rules=bar_rules(None)).found
    'non-contact laps, 2 in clear; no limit given'
    """
    splice, source = reinforcement.splice, rules.source("lap_rule")
    gap = None
    if rules.lap_rule is not None:
        bar = thickest(mat.bar for mat in reinforcement.mats)
        gap = lap_gap(bar, rule=rules.lap_rule, aggregate=aggregate)
    requirement = _requirement(gap)
    if splice is None:
        return _said(requirement, State.UNDECIDED, "splices not given", source)
    if splice.kind is SpliceKind.CONTACT:
        return _said(requirement, State.FAIL, "contact laps", source)
    if splice.kind is not SpliceKind.NON_CONTACT:
        return _said(requirement, State.PASS, f"splices: {splice.kind}", source)
    if splice.clear is None:
        found = "non-contact laps, clear gap not given"
        return _said(requirement, State.UNDECIDED, found, source)
    found = f"non-contact laps, {splice.clear} clear"
    if gap is None:
        return _said(requirement, State.UNDECIDED, f"{found}; {NO_LIMIT}", source)
    return judged_lap(gap, splice.clear, found=found, source=source)


def judged_lap(gap: LapGap, clear: Quantity, *, found: str, source: Source) -> Reason:
    """Return how a clear gap stands against a rule, unknown parts weighed.

    Parameters
    ----------
    gap
        By `lap_gap`.
    clear
        Between the lapped bars [length].
    found, source
        As the reason shall print them.

    Raises ValueError for a gap that is no length. Source: as `lap_gap`.

    >>> two = Quantity(Decimal(2), "in")
    >>> rule = lap_gap("No. 8", rule="least of three")
    >>> judged_lap(rule, two, found="", source=Source("contract")).state.value
    'pass'
    """
    requirement = _requirement(gap)
    if gap.limit is None:
        words = f"{found}; bars above {LAPPED_UNTRIED} are lapped as a mock-up shows"
        return _said(requirement, State.FAIL, words, source)
    over = margin(clear, gap.limit)
    state = State.PASS if over.value >= 0 else State.FAIL
    # What is not known can only lower the least of three, and only raise the greatest.
    settled = State.PASS if gap.rule == LAP_LEAST_OF_THREE else State.FAIL
    if not gap.whole and state is not settled:
        state, found = State.UNDECIDED, f"{found}; aggregate not given"
    return _said(requirement, state, found, source, gap.limit, over)


def _requirement(gap: LapGap | None) -> str:
    if gap is None:
        return "laps apart as the contract asks, or no laps"
    named = gap.rule if gap.limit is None else f"{gap.limit} ({gap.rule})"
    if str(gap.limit) == gap.rule:
        named = gap.rule
    return f"laps apart by at least {named}, or no laps"


def _said(
    requirement: str,
    state: State,
    found: str,
    source: Source,
    limit: Quantity | None = None,
    over: Quantity | None = None,
) -> Reason:
    return Reason("splice", requirement, state, found, source, limit, over)
