"""What every conclusion is made of: a state, all its reasons, and their sources."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import NamedTuple

from project.domain.units import Quantity
from project.domain.working import Working


class State(StrEnum):
    """How a conclusion stands. Only `PASS` is a pass; unknown is never one."""

    PASS = "pass"
    CONDITION = "condition"
    FAIL = "fail"
    UNDECIDED = "undecided"
    INCOMPLETE = "incomplete"
    NOT_ENOUGH_YET = "not enough yet"
    NOT_DUE = "not due"
    NOT_TESTABLE = "not testable"
    NO_DATA = "no data"
    INFORMATION = "information"


class Known(StrEnum):
    """How a number is known."""

    READ = "read"
    MEMORY = "from memory"
    CONTRACT = "contract"
    PRACTICE = "common practice, no source"
    PROJECT = "project's choice"
    TYPED = "typed for this calculation"
    DERIVED = "derived"


@dataclass(frozen=True, slots=True)
class Source:
    """A document, its section and year, and how its words are known.

    >>> str(Source("IBC", "1908.10", "2018", Known.READ))
    'IBC 2018, 1908.10 (read)'
    >>> str(Source("contract", known=Known.CONTRACT))
    'contract'
    """

    document: str
    section: str = ""
    year: str = ""
    known: Known = Known.MEMORY

    def __str__(self) -> str:
        name = " ".join(part for part in (self.document, self.year) if part)
        place = f"{name}, {self.section}" if self.section else name
        return place if place == self.known.value else f"{place} ({self.known.value})"


@dataclass(frozen=True, slots=True)
class Ref:
    """One record used as evidence: its kind, its version's identity, its name."""

    kind: str
    id: str
    name: str


class Reason(NamedTuple):
    """One requirement, what was found against it, and on what evidence.

    `key` names the gate or limit ("card", "mock-up", "mean of the set"). A named tuple:
    a matrix makes tens of thousands, each in a third of the time of a frozen dataclass.
    """

    key: str
    requirement: str
    state: State
    found: str
    source: Source
    limit: Quantity | None = None
    margin: Quantity | None = None
    evidence: tuple[Ref, ...] = ()


@dataclass(frozen=True, slots=True)
class Verdict:
    """A conclusion with every reason, met and unmet, in a fixed order.

    `holds_until` is the last instant the answer stands and `ends_because` what
    ends it; both are empty where nothing on record will change it by itself.
    """

    state: State
    rule: str
    reasons: tuple[Reason, ...] = ()
    holds_until: datetime | None = None
    ends_because: str = ""
    working: Callable[[], Working] | None = field(default=None, compare=False)

    @property
    def unmet(self) -> tuple[Reason, ...]:
        """The reasons that are neither met nor mere information."""
        settled = (State.PASS, State.INFORMATION)
        return tuple(r for r in self.reasons if r.state not in settled)

    @property
    def failed(self) -> tuple[Reason, ...]:
        """The reasons that refuse."""
        return tuple(r for r in self.reasons if r.state is State.FAIL)


# The worst state decides a conjunction of gates; later in the list is milder.
_WORST_FIRST = (
    State.FAIL,
    State.UNDECIDED,
    State.NOT_TESTABLE,
    State.INCOMPLETE,
    State.NO_DATA,
    State.NOT_ENOUGH_YET,
    State.NOT_DUE,
    State.CONDITION,
)


def worst(reasons: Iterable[Reason]) -> State:
    """Return the state of a conjunction: the worst of its reasons.

    Without any there is nothing known. Source: project's choice; unknown is not pass.

    >>> worst([])
    <State.NO_DATA: 'no data'>
    """
    return worst_state([reason.state for reason in reasons])


def worst_state(found: Iterable[State]) -> State:
    """Return the worst of some states. Source: as `worst`. Raises nothing.

    >>> worst_state([State.PASS, State.CONDITION])
    <State.CONDITION: 'condition'>
    """
    states = list(found)
    if not states:
        return State.NO_DATA
    for state in _WORST_FIRST:
        if state in states:
            return state
    return State.PASS
