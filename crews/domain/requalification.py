"""What asks an operator for another mock-up, as the contract's terms leave it.

An accepted mock-up lasts for the contract until something asks again: another mix
revision, rig, position or harder reinforcement; a rating of the operator's own work
that was not acceptable; a card that lapsed; an acceptance that was withdrawn. How each
is taken is a term. No failing set asks by itself: strength says mostly something of
mix, curing and coring, and the cause is the engineer's to name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from crews.domain.certification import Card
from crews.domain.demand import Demand
from crews.domain.mock_up import GOOD, Decision
from crews.domain.mockup_coverage import Comparison
from crews.domain.trade_words import Method
from project.domain.clocks import FactVersion, day_starts, to_the_minute
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Ref, State

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setback(FactVersion):
    """Something after which the operator is asked to be accepted again.

    It reaches work of its process, method and position; no position reaches all. An
    acceptance counts again once it was decided after `at`. A later word that the same
    work is acceptable ends it at `until`, and never before. Source: contract practice (project's choice, no
    published rule found).

    >>> from crews.domain import examples
    >>> examples.setback().concerns(examples.demand())
    True
    """

    at: datetime
    words: str
    process: Process
    method: Method
    position: Position | None = None
    kind: str = "visualrating"
    until: datetime | None = None

    @property
    def ref(self) -> Ref:
        """The record that asks, as evidence."""
        return self._as_evidence(self.kind, self.words)

    def stands(self, at: datetime) -> bool:
        """Say whether it asks at an instant. Source: project's choice.

        >>> from crews.domain import examples
        >>> one = examples.setback()
        >>> one.stands(one.at), one.stands(one.at - timedelta(minutes=1))
        (True, False)
        """
        return self.at <= at and (self.until is None or at < self.until)

    def concerns(self, demand: Demand) -> bool:
        """Say whether it reaches a demand.

        What was said of one position reaches a face whose position is not settled; what
        was said of sloped work reaches no wall. Source: project's choice.

        >>> from dataclasses import replace
        >>> from crews.domain import examples
        >>> overhead = replace(examples.setback(), position=Position.OVERHEAD)
        >>> overhead.concerns(examples.demand())
        False
        """
        alike = (self.process, self.method) == (demand.process, demand.method)
        unknown = self.position is Position.UNCLASSIFIED
        return alike and (unknown or demand.lies_in(self.position))


def asking(
    setbacks: Iterable[Setback], cards: Iterable[Card], demand: Demand, *, at: datetime
) -> tuple[Setback, ...]:
    """Return what asks for another acceptance at an instant, the latest last.

    Parameters
    ----------
    setbacks
        Of the operator, as known at one instant.
    cards
        Of the operator, as known at the same instant.
    demand
        Under its terms: they say which of these ask at all.
    at
        The start, in the job's zone.

    Source: the contract's terms. Raises nothing.

    >>> from crews.domain import examples
    >>> asking((), [examples.card()], examples.demand(), at=examples.AT)
    ()
    """
    found = [s for s in setbacks if demand.asked.rating and s.concerns(demand)]
    if demand.asked.lapse:
        found += lapses(cards, demand, zone=str(at.tzinfo))
    return tuple(sorted((s for s in found if s.stands(at)), key=lambda s: s.at))


def accepted_since(
    decisions: Sequence[Decision], setback: Setback, *, at: datetime
) -> Comparison:
    """Say whether a mock-up was accepted after something that asks for it again.

    Parameters
    ----------
    decisions
        Of the mock-up, as known at one instant.
    setback
        The latest that asks.
    at
        The start of the nozzle time, in the zone that instants are printed in.

    Source: the contract's terms (project's choice of form). Raises nothing.

    >>> from crews.domain import examples
    >>> line = accepted_since((), examples.setback(), at=examples.AT)
    >>> line.need
    'an acceptance after 2026-07-30 09:00: TP-001 not acceptable'
    """
    good = [d for d in decisions if d.outcome in GOOD and d.decided_at <= at]
    last = max(good, key=lambda d: d.decided_at, default=None)
    have = "not accepted"
    if last is not None:
        have = f"{last.outcome} {to_the_minute(last.decided_at.astimezone(at.tzinfo))}"
    after = setback.at.astimezone(at.tzinfo)
    need = f"an acceptance after {to_the_minute(after)}: {setback.words}"
    holds = last is not None and last.decided_at > setback.at
    return Comparison("asked again", have, need, State.PASS if holds else State.FAIL)


def lapses(cards: Iterable[Card], demand: Demand, *, zone: str) -> Iterator[Setback]:
    """Yield each day on which a card opened work again after none did.

    Parameters
    ----------
    cards
        As known at one instant.
    demand
        Whose process, position and method they open.
    zone
        The job's: a card is good from the beginning of its first day.

    Source: the cards' own dates (project's choice). Raises nothing.

    >>> from crews.domain import examples
    >>> list(lapses([examples.card()], examples.demand(), zone=examples.ZONE))
    []
    """
    opening = sorted(
        (
            card
            for card in cards
            if card.is_for(demand.process, demand.method)
            and card.covers(demand.process, demand.card_position)
        ),
        key=lambda card: card.issued_on,
    )
    last: date | None = None
    for card in opening:
        if last is not None and card.issued_on > last + _DAY:
            yield Setback(
                id=card.id,
                recorded_at=card.recorded_at,
                at=day_starts(card.issued_on, zone=zone),
                words=f"no card from {last + _DAY} to {card.issued_on - _DAY}",
                process=demand.process,
                method=demand.method,
                kind="certification",
            )
        ends = card.last_day(demand)
        last = ends if last is None else max(last, ends)
