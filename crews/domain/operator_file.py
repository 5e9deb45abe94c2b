"""Everything on record about one operator that a gate may ask for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime

from crews.domain.activity import Shot
from crews.domain.certification import Card
from crews.domain.demand import Demand
from crews.domain.mock_up import MockUp
from crews.domain.requalification import Setback
from project.domain.clocks import FactVersion, Interval, known
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Ref


@dataclass(frozen=True, slots=True, kw_only=True)
class Enrolment(FactVersion):
    """An operator's place on the job: both days are valid ones, no end is open."""

    employer: str
    submittal: str
    approved_on: date | None
    from_on: date
    to_on: date | None = None

    @property
    def ref(self) -> Ref:
        """The version of the enrolment as evidence."""
        return self._as_evidence("enrolment", self.submittal or self.employer)

    def active(self, on: date) -> bool:
        """Say whether the place on the job covers a date."""
        return self.from_on <= on and (self.to_on is None or on <= self.to_on)

    def approved(self, on: date) -> bool:
        """Say whether the submittal was approved by a date."""
        return self.approved_on is not None and self.approved_on <= on


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspension(FactVersion):
    """An order not to shoot, for all work or one process or position of it."""

    from_at: datetime
    until_at: datetime | None
    ordered_by: str
    words: str = ""
    process: Process | None = None
    position: Position | None = None

    @property
    def ref(self) -> Ref:
        """The version of the order as evidence."""
        return self._as_evidence("suspension", f"ordered by {self.ordered_by}")

    def concerns(self, demand: Demand) -> bool:
        """Say whether the order reaches a demand."""
        process = self.process in (None, demand.process)
        return process and demand.lies_in(self.position)

    def stands(self, interval: Interval) -> bool:
        """Say whether the order stands at some instant of an interval."""
        last = interval.stop or interval.start
        begun = self.from_at <= interval.start or self.from_at < last
        return begun and (self.until_at is None or interval.start < self.until_at)


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatorFile:
    """The facts of one operator: cards, places on the job, mock-ups, orders, shooting.

    A gate wants only the versions in force; `known_at` gives them out of all.
    """

    operator: Ref
    cards: tuple[Card, ...] = ()
    enrolments: tuple[Enrolment, ...] = ()
    mock_ups: tuple[MockUp, ...] = ()
    suspensions: tuple[Suspension, ...] = ()
    shots: tuple[Shot, ...] = ()
    setbacks: tuple[Setback, ...] = ()

    def known_at(self, instant: datetime) -> OperatorFile:
        """Return the file with the versions in force as known at an instant."""
        mock_ups = (
            replace(m, decisions=tuple(known(m.decisions, at=instant)))
            for m in known(self.mock_ups, at=instant)
        )
        return OperatorFile(
            operator=self.operator,
            cards=tuple(known(self.cards, at=instant)),
            enrolments=tuple(known(self.enrolments, at=instant)),
            mock_ups=tuple(mock_ups),
            suspensions=tuple(known(self.suspensions, at=instant)),
            shots=tuple(known(self.shots, at=instant)),
            setbacks=tuple(known(self.setbacks, at=instant)),
        )
