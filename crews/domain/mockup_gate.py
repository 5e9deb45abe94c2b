"""The mock-up gate: whether one is asked for, which one covers, and what each lacks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from crews.domain.demand import Demand
from crews.domain.mockup_coverage import (
    COVERAGE_SOURCE,
    Comparison,
    MockUp,
    compare,
    missing,
    with_waivers,
)
from crews.domain.operator_file import OperatorFile
from crews.domain.requalification import Setback, accepted_since, asking
from project.domain.clocks import Interval
from project.domain.terms import Terms
from project.domain.verdict import Reason, Ref, State

# A mock-up with its comparisons, attribute by attribute.
Compared = tuple[MockUp, tuple[Comparison, ...]]
# The state of "supervised", its words and whom it names: judged only when asked.
Condition = Callable[[], tuple[State, str, tuple[Ref, ...]]]


def mock_up_gate(
    file: OperatorFile,
    demand: Demand,
    *,
    interval: Interval,
    terms: Terms | None,
    beside: Condition,
) -> Reason:
    """Judge whether a mock-up of the operator's own, if one is asked for, covers.

    Parameters
    ----------
    file, demand
        As known at one instant; the demand under the terms.
    interval
        From the take; a mock-up must stand accepted at its start.
    terms
        In force on the day of the take: they say whether the bars ask for a mock-up.
    beside
        Gives the condition under which a mock-up accepted under supervision covers.

    Source: the contract, else as `compare`. Raises as `compare` does.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> mock_up_gate(examples.operator_file(), examples.demand(), interval=take,
    ...              terms=None, beside=lambda: (State.CONDITION, "", ())).state
    <State.PASS: 'pass'>
    """
    asked, requirement = demand.mock_up_asked(terms)
    evidence: tuple[Ref, ...] = ()
    if asked is State.PASS:
        state, found = State.PASS, "not asked for"
    else:
        state, found, evidence = _shown(file, demand, interval, asked, beside)
    return Reason(
        key="mock-up",
        requirement=requirement,
        state=state,
        found=found,
        source=demand.mock_up_by_contract or COVERAGE_SOURCE,
        evidence=evidence,
    )


def _shown(
    file: OperatorFile,
    demand: Demand,
    interval: Interval,
    asked: State,
    beside: Condition,
) -> tuple[State, str, tuple[Ref, ...]]:
    """Say how it stands where a mock-up is asked for, or may be."""
    at = interval.start.astimezone(ZoneInfo(interval.zone))
    again = asking(file.setbacks, file.cards, demand, at=at)
    compared: Iterable[Compared] = _compared(file, demand, again, at)
    waived: tuple[Ref, ...] = ()
    if demand.waivers:
        compared, waived = _under_waivers(compared, file, demand, interval)
    supervised: Compared | None = None
    lacking: list[Compared] = []
    for mock_up, lines in compared:
        gaps = tuple(missing(lines))
        # One accepted outright settles it: the rest is not looked at.
        if not gaps and lines[-1].state is State.PASS:
            return State.PASS, _covers(mock_up, lines), (mock_up.ref, *waived)
        if gaps:
            lacking.append((mock_up, gaps))
        else:
            supervised = supervised or (mock_up, lines)
    if supervised is not None:
        mock_up, lines = supervised
        state, condition, named = beside()
        found = f"{mock_up.code} covers, {lines[-1].have}; {condition}"
        return state, found, (mock_up.ref, *named, *waived)
    state, found = _not_covered(lacking)
    # Where it is not settled that one is asked for, its absence settles nothing.
    state = State.UNDECIDED if asked is State.UNDECIDED else state
    return state, found, (*(m.ref for m, _ in lacking), *(s.ref for s in again))


def _covers(mock_up: MockUp, lines: Sequence[Comparison]) -> str:
    shown = ", ".join([f"{line.attribute} {line.have}" for line in lines[1:-1]])
    return f"{mock_up.code} covers: {shown}; {lines[-1].have}"


def _not_covered(lacking: Sequence[Compared]) -> tuple[State, str]:
    state, found = State.FAIL, ["none accepted that covers the part"]
    for mock_up, gaps in lacking:
        if all(gap.state is State.UNDECIDED for gap in gaps):
            state = State.UNDECIDED
        found.append(f"{mock_up.code}: " + ", ".join(map(str, gaps)))
    return state, "; ".join(found)


def _under_waivers(
    compared: Iterable[Compared],
    file: OperatorFile,
    demand: Demand,
    interval: Interval,
) -> tuple[list[Compared], tuple[Ref, ...]]:
    """Return the mock-ups as the engineer's waivers leave them, and those that opened."""
    found, used = [], dict[Ref, None]()
    for mock_up, lines in compared:
        opened, by = with_waivers(
            mock_up,
            lines,
            waivers=demand.waivers,
            operator=file.operator,
            interval=interval,
        )
        found.append((mock_up, opened))
        if all(line.holds for line in opened):
            used |= dict.fromkeys(by)
    return found, tuple(used)


def coverage(
    file: OperatorFile, demand: Demand, *, at: datetime
) -> tuple[Compared, ...]:
    """Compare each of the operator's mock-ups, in the order of their codes.

    `at` is the start, in the job's zone. Raises ValueError as `compare` does. Source:
    each comparison names its own.

    >>> from crews.domain import examples
    >>> file, demand = examples.operator_file(), examples.demand()
    >>> [(m.code, all(c.holds for c in lines))
    ...  for m, lines in coverage(file, demand, at=examples.AT)]
    [('MU-01', True)]
    """
    again = asking(file.setbacks, file.cards, demand, at=at)
    return tuple(_compared(file, demand, again, at))


def _compared(
    file: OperatorFile, demand: Demand, again: Sequence[Setback], at: datetime
) -> Iterator[Compared]:
    for mock_up in sorted(file.mock_ups, key=lambda m: m.code):
        lines = compare(mock_up, demand, operator=file.operator, at=at)
        if again:
            since = accepted_since(mock_up.decisions, again[-1], at=at)
            lines = (*lines[:-1], since, lines[-1])
        yield mock_up, lines
