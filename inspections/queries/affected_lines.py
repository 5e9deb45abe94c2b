"""What a line of affected work says: the fact, the work, before and after, who was told."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from crews.domain.qualification import words
from crews.queries.panels import PanelRow
from crews.queries.shooting import Held, Placed
from inspections.domain.affected import GateTurn, summed
from inspections.models import Nonconformance, Packet
from inspections.queries.changes import Change
from project.domain.units import Quantity
from project.domain.verdict import State, Verdict

_HOLDS = (State.PASS, State.CONDITION)


@dataclass(frozen=True, slots=True)
class TurnedTime:
    """A nozzle time whose standing reads otherwise."""

    placed: Placed
    held: Held
    before: Verdict
    after: Verdict
    gates: tuple[GateTurn, ...]

    @property
    def name(self) -> str:
        return f"{self.placed.code}/{self.held.code}"

    @property
    def words_before(self) -> str:
        return words(self.before)

    @property
    def words_after(self) -> str:
        return words(self.after)

    @property
    def holds(self) -> bool:
        return self.after.state in _HOLDS

    @property
    def about_kind(self) -> str:
        return self.held.row.kind

    @property
    def about_id(self) -> UUID:
        return self.held.id


@dataclass(frozen=True, slots=True)
class TurnedPanel:
    """A panel whose strength, or whose faces, read otherwise."""

    panel: PanelRow
    before: Verdict
    after: Verdict
    gates: tuple[GateTurn, ...]

    @property
    def name(self) -> str:
        return self.panel.code

    @property
    def words_before(self) -> str:
        return self.before.state.value

    @property
    def words_after(self) -> str:
        return self.after.state.value

    @property
    def holds(self) -> bool:
        return self.after.state in _HOLDS

    @property
    def about_kind(self) -> str:
        return self.panel.row.kind

    @property
    def about_id(self) -> UUID:
        return self.panel.id


@dataclass(frozen=True, slots=True)
class PacketTold:
    """An issued packet that told of the work, and the revision that told it anew."""

    row: Packet
    revised: Packet | None

    @property
    def code(self) -> str:
        return self.row.code


@dataclass(frozen=True, slots=True)
class Line:
    """What the facts of one act turned, and who was told otherwise.

    `times` are the nozzle times concerned: those that turned, and the shooting that
    the panels in `results` stand for. Where both are empty a packet told a version
    that was superseded since.
    """

    facts: tuple[Change, ...]
    found_at: datetime
    turned: tuple[TurnedTime, ...]
    results: tuple[TurnedPanel, ...]
    times: tuple[tuple[Placed, Held], ...]
    panels: tuple[str, ...]
    packets: tuple[PacketTold, ...] = ()
    reports: tuple[Nonconformance, ...] = ()

    @property
    def fact(self) -> Change:
        """The fact that turned it; others of the same act follow."""
        return self.facts[0]

    @property
    def fact_ids(self) -> frozenset[UUID]:
        """The versions that the act recorded; an address may name a line by each."""
        return frozenset(change.row.pk for change in self.facts)

    @property
    def nozzle_times(self) -> tuple[str, ...]:
        return tuple(f"{placed.code}/{held.code}" for placed, held in self.times)

    @property
    def parts(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(p.row.part.code for p, _held in self.times))

    @property
    def volume(self) -> Quantity | None:
        """The neat volume concerned; nothing where one of them is not known."""
        return summed(held.neat.volume for _placed, held in self.times)

    @property
    def judged(self) -> tuple[TurnedTime | TurnedPanel, ...]:
        return (*self.turned, *self.results)

    @property
    def refused(self) -> bool:
        """Whether something holds no more, or is not known to."""
        return not all(one.holds for one in self.judged)

    @property
    def to_raise(self) -> tuple[TurnedTime | TurnedPanel, ...]:
        """The work a report might be raised about; nothing once one names it."""
        if self.reports:
            return ()
        return tuple({o.about_id: o for o in self.judged if not o.holds}.values())

    @property
    def unrevised(self) -> tuple[PacketTold, ...]:
        return tuple(packet for packet in self.packets if packet.revised is None)

    @property
    def answered(self) -> bool:
        """Whether a report was raised since, or every packet told of it was revised."""
        if self.reports:
            return True
        return not (self.unrevised if self.packets else self.refused)
