"""Cards: what one covers, and whether one is in force on every date touched."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from crews.domain.demand import Demand
from crews.domain.schemes import scheme, scheme_of
from crews.domain.trade_words import Level, Method
from project.domain.clocks import FactVersion, in_words
from project.domain.shooting_words import Position, Process
from project.domain.units import in_days
from project.domain.verdict import Reason, Ref, State

_NO_DAY, _ONE_DAY = timedelta(), timedelta(days=1)
CARD_KIND = "certification"


Classes = frozenset[tuple[Process, Position]]


@lru_cache(maxsize=256)
def _processes(classes: Classes) -> frozenset[Process]:
    return frozenset(process for process, _ in classes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Card(FactVersion):
    """One card as it was read. `expires_on` is the printed day, the last valid one.

    `classes` are the process and position pairs printed together on this card;
    two cards never add up to a pair that neither of them prints.
    """

    scheme: str
    number: str
    method: Method
    level: Level
    classes: Classes
    issued_on: date
    expires_on: date
    verified_on: date | None = None
    verified_how: str = ""

    @property
    def ref(self) -> Ref:
        """The version of the card as evidence."""
        return self._as_evidence(CARD_KIND, self.number)

    def is_for(self, process: Process, method: Method) -> bool:
        """Say whether the card has anything to say of a process by this method."""
        return self.method is method and process in _processes(self.classes)

    def covers(self, process: Process, position: Position) -> bool:
        """Say whether the card opens a position. Overhead includes vertical.

        Within one process only: overhead is certified on top of vertical
        (ACI CP-60, categories, read; that vertical comes first, from memory).
        """
        if (process, position) in self.classes:
            return True
        over = (process, Position.OVERHEAD) in self.classes
        return position is Position.VERTICAL and over

    def last_day(self, demand: Demand) -> date:
        """Return the last valid day: the printed one, or by contract the day before."""
        return self.expires_on - (_NO_DAY if demand.printed_day_valid else _ONE_DAY)

    def in_force(self, on: date, demand: Demand) -> bool:
        """Say whether a date lies between the day of issue and the last valid day."""
        return self.issued_on <= on <= self.last_day(demand)


@dataclass(frozen=True, slots=True, kw_only=True)
class CardFace:
    """What is printed on a card, read before it is anybody's record."""

    scheme: str
    number: str
    method: Method
    level: Level
    classes: Classes
    issued_on: date
    expires_on: date


def contradictions(card: Card | CardFace) -> Iterator[str]:
    """Yield what a card says that its scheme does not know, field and value named.

    Used where a card is entered. Raises ValueError for an unknown scheme.
    Source: the schemes' own rules.

    >>> from dataclasses import replace
    >>> from crews.domain import examples
    >>> card = replace(examples.card(), scheme="robotic", expires_on=date(2022, 1, 1))
    >>> for line in contradictions(card):
    ...     print(line)
    method hand: scheme robotic certifies robotic
    expiry 2022-01-01: the day of issue, 2023-03-14, or later is allowed
    """
    of = scheme(card.scheme)
    if card.method is not of.method:
        yield f"method {card.method}: scheme {of.key} certifies {of.method}"
    if not card.classes:
        yield "classes: at least one process with a position is needed"
    rule = of.rule(card.level)
    for process, position in sorted(card.classes):
        if process not in of.processes:
            allowed = ", ".join(sorted(of.processes))
            yield f"process {process}: scheme {of.key} certifies {allowed}"
        if rule is not None and position not in rule.positions:
            allowed = ", ".join(sorted(rule.positions))
            yield f"position {position}: level {card.level} allows {allowed}"
    if rule is None:
        allowed = ", ".join(r.level for r in of.levels)
        yield f"level {card.level}: scheme {of.key} has {allowed}"
    if card.expires_on < card.issued_on:
        ends, issued = card.expires_on, card.issued_on
        yield f"expiry {ends}: the day of issue, {issued}, or later is allowed"


def opening(
    cards: Sequence[Card], demand: Demand, *, dates: Sequence[date]
) -> tuple[Card, ...]:
    """Return the cards that open the demand on every date, one or more a date.

    Empty when some date has none. A renewed card may take over at midnight.
    Source: ACI CP-60 (process and position on one card; read).

    >>> from crews.domain import examples
    >>> night = (date(2028, 3, 14), date(2028, 3, 15))
    >>> [c.number for c in opening([examples.card()], examples.demand(), dates=night[:1])]
    ['WV-0001']
    >>> opening([examples.card()], examples.demand(), dates=night)
    ()
    """
    process, position = demand.process, demand.card_position
    able = [
        card
        for card in cards
        if card.method is demand.method and card.covers(process, position)
    ]
    used: list[Card] = []
    for on in dates:
        valid = [card for card in able if card.in_force(on, demand)]
        if not valid:
            return ()
        # The better level and the later end speak for the operator on that date.
        best = min(
            valid, key=lambda c: (c.level is not Level.FULL, -c.expires_on.toordinal())
        )
        used += [] if best in used else [best]
    return tuple(used)


def card_gate(
    cards: Sequence[Card],
    used: Sequence[Card],
    demand: Demand,
    *,
    dates: tuple[date, ...],
) -> Reason:
    """Say whether cards cover process, position and method on every local date.

    A hand card never opens a robotic part, nor the reverse. A part whose
    position nobody has classified, or one that the scheme has no word for,
    leaves an operator with a card of the process undecided. The margin is the
    number of days left on the last date, 0 on the card's last valid day.
    `used` are those of the cards that open the demand, as `opening` finds them.

    Source: ACI CP-60 (process and position on one card, hand nozzle only; read);
    the printed expiry as last valid day is the contract's.

    >>> from crews.domain import examples
    >>> after = (date(2028, 3, 15),)
    >>> reason = card_gate([examples.card()], (), examples.demand(), dates=after)
    >>> reason.state, reason.found
    (<State.FAIL: 'fail'>,
     'WV-0001: not in force on 2028-03-15 (last valid day 2028-03-14)')
    """
    source = scheme_of(demand.method).source
    wanted = f"{demand.process} {demand.card_position} {demand.method.by}"
    if demand.card_position is not demand.position:
        wanted += f" ({demand.lies} by the contract's table of surface angles)"
    if used:
        last = min(used, key=lambda card: card.expires_on)
        state, found = State.PASS, "; ".join(_held(card, demand) for card in used)
        left = (last.last_day(demand) - dates[-1]).days
        return Reason(
            key="card",
            requirement=_requirement(wanted, dates),
            state=state,
            found=found,
            source=source,
            margin=in_days(left),
            evidence=tuple([card.ref for card in used]),
        )
    related = [c for c in cards if c.is_for(demand.process, demand.method)]
    state, found = _refused(related, demand, dates)
    return Reason(
        key="card",
        requirement=_requirement(wanted, dates),
        state=state,
        found=found,
        source=source,
        evidence=tuple([card.ref for card in related or cards]),
    )


def _requirement(wanted: str, dates: tuple[date, ...]) -> str:
    return f"one card for {wanted}, in force on {in_words(dates)}"


def _printed(card: Card) -> str:
    """Name a card and what it prints, vertical before overhead."""
    return f"{card.number}: {_in_words(card.classes)}"


@lru_cache(maxsize=256)
def _in_words(classes: Classes) -> str:
    order = list(Position)
    pairs = sorted(classes, key=lambda pair: (pair[0], order.index(pair[1])))
    return ", ".join(f"{process} {position}" for process, position in pairs)


def _held(card: Card, demand: Demand) -> str:
    checked = (
        f", verified {card.verified_on!s}" if card.verified_on else ", not verified"
    )
    return f"{_printed(card)}; last valid day {card.last_day(demand)!s}{checked}"


def _refused(
    related: Sequence[Card], demand: Demand, dates: Sequence[date]
) -> tuple[State, str]:
    if not related:
        return State.FAIL, f"none for {demand.process} {demand.method.by}"
    named = scheme_of(demand.method).positions
    position = demand.card_position
    if position not in named and _any_in_force(related, demand, dates):
        words = f"position {demand.lies}: the scheme certifies "
        return State.UNDECIDED, words + " and ".join(sorted(named, reverse=True))
    covering = [c for c in related if c.covers(demand.process, position)]
    if position in named and not covering:
        held = "; ".join(_printed(card) for card in related)
        return State.FAIL, f"no {position} for {demand.process}; {held}"
    lines = [x for c in covering or related for x in _outside(c, demand, dates)]
    return State.FAIL, "; ".join(lines)


def _any_in_force(cards: Sequence[Card], demand: Demand, dates: Sequence[date]) -> bool:
    return all(any(card.in_force(on, demand) for card in cards) for on in dates)


def _outside(card: Card, demand: Demand, dates: Sequence[date]) -> Iterator[str]:
    for on in dates:
        if on > card.last_day(demand):
            ended = f"last valid day {card.last_day(demand)}"
            yield f"{card.number}: not in force on {on} ({ended})"
        elif on < card.issued_on:
            yield f"{card.number}: not in force on {on} (issued {card.issued_on})"
