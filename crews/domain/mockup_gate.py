"""The mock-up gate: whether one is asked for, which one covers, and what each lacks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import count
from operator import attrgetter

from crews.domain.demand import Demand
from crews.domain.mock_up import MockUp
from crews.domain.mockup_coverage import (
    COVERAGE_SOURCE,
    Comparison,
    missing,
    of_hardness,
    of_work,
    with_waivers,
)
from crews.domain.operator_file import OperatorFile
from crews.domain.requalification import Setback, accepted_since, asking
from project.domain.clocks import Interval
from project.domain.terms import Terms
from project.domain.verdict import Reason, Ref, State

# A mock-up with its comparisons, attribute by attribute.
Compared = tuple[MockUp, tuple[Comparison, ...]]
# The same but for bars and thickness: the lines before them, and those after.
OfWork = tuple[MockUp, tuple[Comparison, ...], tuple[Comparison, ...]]
# The state of "supervised", its words and whom it names: judged only when asked.
Condition = Callable[[], tuple[State, str, tuple[Ref, ...]]]


@dataclass(slots=True, eq=False)
class Shown:
    """An operator's mock-ups beside a demand's work, and what asks for them again.

    Each is compared when it is first asked for, and once: where one covers, the next is
    not looked at. Source: each comparison names its own.

    >>> list(Shown((), iter(())).mock_ups())
    []
    """

    again: tuple[Setback, ...]
    ahead: Iterator[OfWork]
    told: list[OfWork] = field(default_factory=list)

    def mock_ups(self) -> Iterator[OfWork]:
        """Yield each mock-up, in the order of their codes."""
        for number in count():
            if number == len(self.told):
                one = next(self.ahead, None)
                if one is None:
                    return
                self.told.append(one)
            yield self.told[number]


def mock_up_gate(
    file: OperatorFile,
    demand: Demand,
    *,
    interval: Interval,
    terms: Terms | None,
    beside: Condition,
    shown: Callable[[], Shown],
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
    shown
        Gives what `shown_by` says of the file for the demand's work.

    Source: the contract, else as `of_work` and `of_hardness`. Raises as `of_hardness` does.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> mock_up_gate(examples.operator_file(), examples.demand(), interval=take,
    ...              terms=None, beside=lambda: (State.CONDITION, "", ()),
    ...              shown=lambda: shown_by(examples.operator_file(), examples.demand(),
    ...                                     at=examples.AT)).state
    <State.PASS: 'pass'>
    """
    asked, requirement = demand.mock_up_asked(terms)
    evidence: tuple[Ref, ...] = ()
    if asked is State.PASS:
        state, found = State.PASS, "not asked for"
    else:
        state, found, evidence = _found(file, demand, interval, asked, beside, shown())
    return Reason(
        key="mock-up",
        requirement=requirement,
        state=state,
        found=found,
        source=demand.mock_up_by_contract or COVERAGE_SOURCE,
        evidence=evidence,
    )


def _found(
    file: OperatorFile,
    demand: Demand,
    interval: Interval,
    asked: State,
    beside: Condition,
    shown: Shown,
) -> tuple[State, str, tuple[Ref, ...]]:
    """Say how it stands where a mock-up is asked for, or may be."""
    each: Iterable[Compared] = compared(shown, demand)
    waived: tuple[Ref, ...] = ()
    if demand.waivers:
        each, waived = _under_waivers(each, file, demand, interval)
    supervised: Compared | None = None
    lacking: list[Compared] = []
    for mock_up, lines in each:
        gaps = missing(lines)
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
    return state, found, (*(m.ref for m, _ in lacking), *(s.ref for s in shown.again))


def _covers(mock_up: MockUp, lines: Sequence[Comparison]) -> str:
    shown = ", ".join([line.has for line in lines[1:-1]])
    return f"{mock_up.code} covers: {shown}; {lines[-1].have}"


def _not_covered(lacking: Sequence[Compared]) -> tuple[State, str]:
    state, found = State.FAIL, ["none accepted that covers the part"]
    for mock_up, gaps in lacking:
        if all(gap.state is State.UNDECIDED for gap in gaps):
            state = State.UNDECIDED
        found.append(f"{mock_up.code}: " + ", ".join(map(str, gaps)))
    return state, "; ".join(found)


def _under_waivers(
    each: Iterable[Compared],
    file: OperatorFile,
    demand: Demand,
    interval: Interval,
) -> tuple[list[Compared], tuple[Ref, ...]]:
    """Return the mock-ups as the engineer's waivers leave them, and those that opened."""
    found, used = [], dict[Ref, None]()
    for mock_up, lines in each:
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


def shown_by(file: OperatorFile, demand: Demand, *, at: datetime) -> Shown:
    """Compare the operator's mock-ups with what demands of the same work ask alike.

    `at` is the start, in the job's zone. Raises nothing. Source: each comparison names
    its own.

    >>> from crews.domain import examples
    >>> shown = shown_by(examples.operator_file(), examples.demand(), at=examples.AT)
    >>> [mock_up.code for mock_up, _before, _after in shown.mock_ups()]
    ['MU-01']
    """
    again = asking(file.setbacks, file.cards, demand, at=at)
    return Shown(again, _of_work(file, demand, at, again[-1:]))


def _of_work(
    file: OperatorFile, demand: Demand, at: datetime, latest: Sequence[Setback]
) -> Iterator[OfWork]:
    for mock_up in sorted(file.mock_ups, key=attrgetter("code")):
        before, accepted = of_work(mock_up, demand, operator=file.operator, at=at)
        since = [accepted_since(mock_up.decisions, one, at=at) for one in latest]
        yield mock_up, before, (*since, accepted)


def compared(shown: Shown, demand: Demand) -> Iterator[Compared]:
    """Yield each mock-up with every comparison, attribute by attribute in a fixed order.

    `demand` is of the work that the mock-ups were shown for. Source: as `shown_by`.
    Raises ValueError as the bars it compares do.

    >>> from crews.domain import examples
    >>> demand = examples.demand()
    >>> shown = shown_by(examples.operator_file(), demand, at=examples.AT)
    >>> [(m.code, all(c.holds for c in lines)) for m, lines in compared(shown, demand)]
    [('MU-01', True)]
    """
    for mock_up, before, after in shown.mock_ups():
        yield mock_up, (*before, *of_hardness(mock_up, demand), *after)
