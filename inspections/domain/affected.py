"""Whether what was learned later turned a conclusion, and gate by gate how.

Two conclusions about the same work are compared: as known just before a fact was
recorded, and as known with it. Nothing here says what follows from a turn; a person
raises a report or opens a revision.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from project.domain.units import Quantity, convert
from project.domain.verdict import Reason, State, Verdict

# What a result has settled one way or the other; the rest still waits for something.
_SETTLED = (State.PASS, State.CONDITION, State.FAIL)


@dataclass(frozen=True, slots=True)
class GateTurn:
    """One gate that reads otherwise: its reason before and after, none where absent."""

    key: str
    before: Reason | None
    after: Reason | None


def standing_turned(before: Verdict, after: Verdict) -> bool:
    """Say whether an operator's standing reads otherwise.

    It does where the state is another, or where other gates do not hold. Other words
    for the same gates are no turn. Source: project's choice.

    >>> clear, shut = Verdict(State.PASS, "gates"), Verdict(State.FAIL, "gates")
    >>> standing_turned(clear, shut), standing_turned(shut, shut)
    (True, False)
    """
    return before.state is not after.state or _shut(before) != _shut(after)


def strength_turned(before: Verdict, after: Verdict) -> bool:
    """Say whether a set of cores, or a rating, reads otherwise than work relied on.

    The first failing result turns; the first passing one is what everybody waited
    for. Once it is settled, any other answer turns. Source: project's choice.

    >>> waits, holds, fails = (Verdict(s, "set") for s in
    ...                        (State.NO_DATA, State.PASS, State.FAIL))
    >>> strength_turned(waits, holds), strength_turned(waits, fails)
    (False, True)
    >>> strength_turned(holds, waits), strength_turned(fails, holds)
    (True, True)
    """
    if before.state in _SETTLED:
        return before.state is not after.state or _failed(before) != _failed(after)
    return after.state is State.FAIL


def gates_turned(before: Verdict, after: Verdict) -> tuple[GateTurn, ...]:
    """Return the gates of which the state is another, in the order they are judged.

    Source: project's choice.

    >>> gates_turned(Verdict(State.PASS, "gates"), Verdict(State.PASS, "gates"))
    ()
    """
    then = {reason.key: reason for reason in before.reasons}
    now = {reason.key: reason for reason in after.reasons}
    return tuple(
        GateTurn(key, then.get(key), now.get(key))
        for key in dict.fromkeys((*now, *then))
        if _state(then.get(key)) is not _state(now.get(key))
    )


def is_late(valid_from: datetime | None, *, recorded_at: datetime) -> bool:
    """Say whether a fact was recorded after it began to be true.

    Raises ValueError for an instant without a zone. Source: arithmetic.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 8, 24, 12, tzinfo=UTC)
    >>> is_late(noon, recorded_at=noon), is_late(None, recorded_at=noon)
    (False, False)
    """
    if valid_from is None:
        return False
    if valid_from.tzinfo is None or recorded_at.tzinfo is None:
        raise ValueError("late: both instants need a zone")
    return valid_from < recorded_at


def summed(volumes: Iterable[Quantity | None]) -> Quantity | None:
    """Return the sum in the first one's unit; nothing where one is not known.

    Raises ValueError for another dimension. Source: arithmetic; that a part which is
    not known leaves the whole unknown is the project's choice.

    >>> print(summed([Quantity(Decimal("2.5"), "yd3"), Quantity(Decimal(4), "yd3")]))
    6.5 yd3
    >>> summed([Quantity(Decimal(4), "yd3"), None]) is None
    True
    """
    every = list(volumes)
    known = [volume for volume in every if volume is not None]
    if not known or len(known) < len(every):
        return None
    unit = known[0].unit
    return Quantity(sum((convert(v, to=unit).value for v in known), Decimal(0)), unit)


def _shut(verdict: Verdict) -> frozenset[str]:
    return frozenset(reason.key for reason in verdict.unmet)


def _failed(verdict: Verdict) -> frozenset[str]:
    return frozenset(reason.key for reason in verdict.failed)


def _state(reason: Reason | None) -> State | None:
    return None if reason is None else reason.state
