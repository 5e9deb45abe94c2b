"""The engineer's written waivers: which gate, for whom and what, from when to when.

Nobody waives a card, a level, a place on the job or a suspension.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from crews.domain.trade_words import WaivedGate
from project.domain.clocks import FactVersion, Interval, to_the_minute
from project.domain.verdict import Ref


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver(FactVersion):
    """One gate waived in writing. An empty scope means all; the end is always given.

    `operator`, `mix`, `rig` and `mock_up` are identities, `part` is a part's code.
    Source: contract practice (project's choice, no published rule found).
    """

    gate: WaivedGate
    from_at: datetime
    until_at: datetime
    operator: str = ""
    part: str = ""
    mix: str = ""
    rig: str = ""
    mock_up: str = ""
    given_by: str = ""
    words: str = ""

    @property
    def ref(self) -> Ref:
        """The version of the waiver as evidence."""
        return self._as_evidence("waiver", f"waiver of the {self.gate}")

    def stands(self, interval: Interval) -> bool:
        """Say whether it holds for the whole of an interval."""
        begun = self.from_at <= interval.start < self.until_at
        return begun and (interval.stop is None or interval.stop <= self.until_at)

    def told(self, zone: str) -> str:
        """Return the words in which a gate names it."""
        until = self.until_at.astimezone(ZoneInfo(zone))
        who = f" by {self.given_by}" if self.given_by else ""
        return f"waived{who} until {to_the_minute(until)}: {self.words}"


def waiver_of(
    waivers: Iterable[Waiver], gate: WaivedGate, *, operator: Ref, interval: Interval
) -> Waiver | None:
    """Return the waiver of a gate that reaches an operator over an interval.

    Parameters
    ----------
    waivers
        Those that reach the part, mix and rig, as known at one instant.

    Of several the one that lasts longest. Source: project's choice. Raises nothing.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> waiver_of((), WaivedGate.IDLE, operator=examples.OPERATOR, interval=take) is None
    True
    """
    reaching = (
        one
        for one in waivers
        if one.gate is gate
        and one.operator in ("", operator.id)
        and one.stands(interval)
    )
    return max(reaching, key=lambda one: one.until_at, default=None)
