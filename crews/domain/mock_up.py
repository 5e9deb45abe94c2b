"""Mock-ups as they are on record: what one showed, and what the engineer decided."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from crews.domain.demand import Hardness
from crews.domain.trade_words import DecisionOutcome, Method
from project.domain.clocks import FactVersion
from project.domain.reinforcement import Reinforcement
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity
from project.domain.verdict import Ref

GOOD = frozenset({DecisionOutcome.ACCEPTED, DecisionOutcome.ACCEPTED_UNDER_SUPERVISION})


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision(FactVersion):
    """The engineer's dated decision on one mock-up."""

    outcome: DecisionOutcome
    decided_at: datetime
    decided_by: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MockUp(FactVersion):
    """A mock-up as it was shot. A panel of two operators shows neither of them."""

    code: str
    operator: Ref
    mix_code: str
    mix_revision: int
    process: Process
    method: Method
    position: Position
    rig: Ref | None
    reinforcement: Reinforcement | None
    thickness: Quantity | None
    shared: bool = False
    mock_up_class: str = ""
    decisions: tuple[Decision, ...] = ()
    # The identity of the chain's first version, by which a waiver names it.
    first: str = ""
    shot_from: datetime | None = None
    _hard: Hardness | None = field(init=False, default=None, repr=False, compare=False)

    @property
    def hardness(self) -> Hardness:
        """The bars it held and how thick it was."""
        hard = self._hard
        if hard is None:
            hard = Hardness.of(self.reinforcement, self.thickness)
            object.__setattr__(self, "_hard", hard)
        return hard

    @property
    def ref(self) -> Ref:
        """The version of the mock-up as evidence."""
        return self._as_evidence("panel", self.code)
