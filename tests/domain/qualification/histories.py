"""Random histories of one operator's facts, and the slow way to judge them.

A history is a list of chains; a chain is a list of versions in the order in
which they were recorded. The oracle below shares nothing with the product but
the dataclasses: it walks chains in order and counts on its fingers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from random import Random
from typing import Any, TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from crews.domain import examples
from crews.domain.activity import Shot
from crews.domain.certification import Card
from crews.domain.demand import Demand
from crews.domain.mock_up import Decision
from crews.domain.operator_file import Enrolment, OperatorFile, Suspension
from crews.domain.trade_words import DecisionOutcome, WaivedGate
from crews.domain.waivers import Waiver
from project.domain.clocks import FactVersion, known
from project.domain.editions import Departure, resolve
from project.domain.shooting_words import Position, Process
from project.domain.verdict import State

DAY_ONE = date(2026, 10, 20)
DAYS = 16  # the clocks of Denver and Santiago change within or beside them
BEGIN = datetime(2026, 10, 20, tzinfo=UTC)
STEP = timedelta(minutes=30)
STEPS = DAYS * 48
END = BEGIN + (DAYS + 3) * timedelta(days=1)

F = TypeVar("F", bound=FactVersion)


ZONES = (
    *("America/Denver", "America/Santiago", "Asia/Kolkata"),
    *("Europe/Oslo", "Australia/Lord_Howe"),
)
IDLE_LIMIT = 4
TERMS = resolve(
    "ibc-2018-1908",
    revision=1,
    effective_on=date(2026, 7, 1),
    departures={"idle_limit": Departure(Decimal(IDLE_LIMIT), "d", "contract")},
)


def _day(random: Random, least: int, most: int) -> date:
    return DAY_ONE + timedelta(days=random.randint(least, most))


def instant(random: Random, least: int = 0, most: int = STEPS - 1) -> datetime:
    return BEGIN + random.randint(least, most) * STEP


def middle(random: Random) -> datetime:
    """Draw an instant at which most answers are not plainly refusals."""
    return instant(random, 3 * 48, 11 * 48)


@dataclass(frozen=True)
class History:
    cards: list[list[Card]]
    enrolments: list[list[Enrolment]]
    decisions: list[list[Decision]]
    suspensions: list[list[Suspension]]
    shots: list[list[Shot]]
    waivers: list[list[Waiver]]

    def file(self) -> OperatorFile:
        """Give every version of every chain, as a database would hold them."""
        decisions = tuple(v for chain in self.decisions for v in chain)
        mock_up = replace(examples.mock_up(), recorded_at=BEGIN, decisions=decisions)
        return OperatorFile(
            operator=examples.OPERATOR,
            cards=tuple(v for chain in self.cards for v in chain),
            enrolments=tuple(v for chain in self.enrolments for v in chain),
            mock_ups=(mock_up,),
            suspensions=tuple(v for chain in self.suspensions for v in chain),
            shots=tuple(v for chain in self.shots for v in chain),
        )

    def demand(self, known_at: datetime) -> Demand:
        """Ask for the example's part, under the waivers known at an instant."""
        every = [v for chain in self.waivers for v in chain]
        return replace(examples.demand(), waivers=tuple(known(every, at=known_at)))

    def turns(self) -> set[datetime]:
        """The instants off the half hours at which shooting begins to count."""
        return {
            version.begun + timedelta(microseconds=1)
            for chain in self.shots
            for version in chain
        }


# Spans begin early and end late, so that answers of every kind are common.


def _span(random: Random) -> tuple[date, date]:
    first, last = _day(random, 0, 4), _day(random, random.choice((4, 8)), DAYS - 1)
    return min(first, last), max(first, last)


def _card(random: Random) -> dict[str, Any]:
    issued, expires = _span(random)
    position = random.choice((Position.VERTICAL, Position.OVERHEAD))
    classes = frozenset({(Process.WET, position)})
    return {"issued_on": issued, "expires_on": expires, "classes": classes}


def _enrolment(random: Random) -> dict[str, Any]:
    begins, ends = _span(random)
    approved = _day(random, 0, 4) if random.random() < 0.8 else None
    to = ends if random.random() < 0.6 else None
    return {"from_on": begins, "to_on": to, "approved_on": approved}


_OUTCOMES = (
    DecisionOutcome.ACCEPTED,
    DecisionOutcome.ACCEPTED,
    DecisionOutcome.ACCEPTED_UNDER_SUPERVISION,
    DecisionOutcome.REJECTED,
)


def _decision(random: Random) -> dict[str, Any]:
    decided = instant(random, 0, STEPS // 3)
    return {"decided_at": decided, "outcome": random.choice(_OUTCOMES)}


def _suspension(random: Random) -> dict[str, Any]:
    begins = instant(random)
    ends = begins + random.randint(0, 96) * STEP if random.random() < 0.7 else None
    return {"from_at": begins, "until_at": ends}


def _shot(random: Random) -> dict[str, Any]:
    process = random.choice((Process.WET, Process.WET, Process.DRY))
    return {"begun": instant(random, -4 * 48, STEPS - 1), "process": process}


def _waiver(random: Random) -> dict[str, Any]:
    begins = instant(random)
    operator = random.choice((examples.OPERATOR.id, "", "somebody else"))
    ends = begins + random.randint(1, 192) * STEP
    return {"from_at": begins, "until_at": ends, "operator": operator}


def history_of(random: Random) -> History:
    """Draw a history. By a random generator, so that its mixture stays the same."""
    numbers = iter(range(100, 10_000))
    used: set[datetime] = set()

    def chains(first: F, content: Any, least: int, most: int) -> list[list[F]]:
        return [
            list(_chain(first, _versions(random, content), numbers, used))
            for _ in range(random.randint(least, most))
        ]

    place = examples.operator_file().enrolments[0]
    order = Suspension(
        id=UUID(int=1),
        recorded_at=BEGIN,
        from_at=BEGIN,
        until_at=None,
        ordered_by="BT",
    )
    waiver = Waiver(
        id=UUID(int=1),
        recorded_at=BEGIN,
        gate=WaivedGate.IDLE,
        from_at=BEGIN,
        until_at=END,
    )
    return History(
        cards=chains(examples.card(), _card, 1, 3),
        enrolments=chains(place, _enrolment, 1, 2),
        decisions=chains(examples.mock_up().decisions[0], _decision, 1, 3),
        suspensions=chains(order, _suspension, 0, 1),
        shots=chains(examples.shot(), _shot, 1, 5),
        waivers=chains(waiver, _waiver, 0, 1),
    )


def _versions(
    random: Random, content: Any
) -> Iterator[tuple[dict[str, Any], bool, datetime]]:
    """Draw what each version says, whether it takes back, when it was recorded."""
    for _ in range(random.randint(1, 3)):
        taken_back = random.random() < 0.125
        yield content(random), taken_back, instant(random, 0, STEPS // 2)


def _chain(
    first: F, versions: Any, numbers: Iterator[int], used: set[datetime]
) -> Iterator[F]:
    """Record versions one after another; no two facts share an instant."""
    earlier, last = None, BEGIN
    for content, withdrawn, recorded in versions:
        last = max(last, recorded)
        while last in used:
            last += timedelta(microseconds=1)
        used.add(last)
        number = UUID(int=next(numbers))
        yield replace(
            first,
            id=number,
            recorded_at=last,
            supersedes=earlier,
            withdrawn=withdrawn and earlier is not None,
            **content,
        )
        earlier = number


# The oracle -----------------------------------------------------------------


def _in_force(chains: Sequence[list[F]], known_at: datetime) -> list[F]:
    found = []
    for chain in chains:
        seen = None
        for version in chain:
            if version.recorded_at <= known_at:
                seen = version
        if seen is not None and not seen.withdrawn:
            found.append(seen)
    return found


def _accepted(decisions: list[Decision], when: datetime) -> State:
    latest, by_start = None, None
    for one in decisions:
        key = (one.decided_at, one.recorded_at)
        if latest is None or key > (latest.decided_at, latest.recorded_at):
            latest = one
        if one.decided_at <= when and (
            by_start is None or key > (by_start.decided_at, by_start.recorded_at)
        ):
            by_start = one
    if latest is None or latest.outcome is DecisionOutcome.REJECTED:
        return State.FAIL
    if by_start is None or by_start.outcome is DecisionOutcome.REJECTED:
        return State.FAIL
    if by_start.outcome is DecisionOutcome.ACCEPTED:
        return State.PASS
    return State.CONDITION


def _active(history: History, when: datetime, known_at: datetime, zone: str) -> State:
    """Count back day by day to the last wet shooting; the example's mix is wet."""
    here = ZoneInfo(zone)
    day = when.astimezone(here).date()
    shot = {
        one.begun.astimezone(here).date()
        for one in _in_force(history.shots, known_at)
        if one.process is Process.WET and one.begun < when
    }
    if any(day - timedelta(days=n) in shot for n in range(IDLE_LIMIT + 1)):
        return State.PASS
    waived = any(
        one.operator in ("", examples.OPERATOR.id)
        and one.from_at <= when < one.until_at
        for one in _in_force(history.waivers, known_at)
    )
    return State.PASS if waived else State.FAIL


def slowly(
    history: History, when: datetime, known_at: datetime, zone: str
) -> dict[str, State]:
    """Judge each gate at one instant, as known at another, without any shortcut."""
    today = when.astimezone(ZoneInfo(zone)).date()
    carded = any(
        card.issued_on <= today <= card.expires_on
        for card in _in_force(history.cards, known_at)
    )
    placed = any(
        place.from_on <= today
        and (place.to_on is None or today <= place.to_on)
        and place.approved_on is not None
        and place.approved_on <= today
        for place in _in_force(history.enrolments, known_at)
    )
    stopped = any(
        order.from_at <= when and (order.until_at is None or when < order.until_at)
        for order in _in_force(history.suspensions, known_at)
    )
    return {
        "activity": _active(history, when, known_at, zone),
        "enrolment": State.PASS if placed else State.FAIL,
        "card": State.PASS if carded else State.FAIL,
        "mock-up": _accepted(_in_force(history.decisions, known_at), when),
        "suspension": State.FAIL if stopped else State.PASS,
    }


def together(gates: dict[str, State]) -> State:
    """Combine the gates as a person would: one refusal refuses."""
    states = set(gates.values())
    if State.FAIL in states:
        return State.FAIL
    return State.CONDITION if State.CONDITION in states else State.PASS
