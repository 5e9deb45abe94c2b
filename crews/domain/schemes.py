"""Certification schemes, as reviewed data. The card's printed expiry decides its end.

A scheme that is not here is added by a reviewed change of this file: what it
certifies must be known before a card of it may open a gate.
"""

from __future__ import annotations

from dataclasses import dataclass

from crews.domain.trade_words import Level, Method
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Known, Source


@dataclass(frozen=True, slots=True)
class LevelRule:
    """One level of a scheme and the positions that it may hold."""

    level: Level
    positions: frozenset[Position]
    source: Source
    note: str = ""


@dataclass(frozen=True, slots=True)
class Scheme:
    """What one body certifies: by hand or by machine, which processes and positions."""

    key: str
    name: str
    body: str
    method: Method
    processes: frozenset[Process]
    levels: tuple[LevelRule, ...]
    source: Source
    validity: str

    @property
    def positions(self) -> frozenset[Position]:
        """Every position that some level of the scheme names."""
        return frozenset().union(*(rule.positions for rule in self.levels))

    def rule(self, level: Level) -> LevelRule | None:
        """Return the rule of a level, or nothing where the scheme has no such level."""
        return next((rule for rule in self.levels if rule.level is level), None)


_VERTICAL_OVERHEAD = frozenset({Position.VERTICAL, Position.OVERHEAD})

_HAND = Scheme(
    key="CP-60",
    name="Shotcreter (earlier cards: nozzleman)",
    body="ACI",
    method=Method.HAND,
    processes=frozenset(Process),
    levels=(
        LevelRule(
            Level.FULL,
            _VERTICAL_OVERHEAD,
            Source("ACI CP-60", "categories, as quoted", known=Known.READ),
            "500 hours of work experience in the process",
        ),
        LevelRule(
            Level.IN_TRAINING,
            frozenset({Position.VERTICAL}),
            Source("ACI CP-60", "policy 1.04, as quoted", known=Known.READ),
            "under 500 hours, at least 25 of them on the nozzle in the process",
        ),
    ),
    source=Source(
        "ACI CP-60", "process and position, hand nozzle only", known=Known.READ
    ),
    validity="five years, then examined again (from memory)",
)

# The board is named by the contract: national schemes for machine spraying differ,
# and none was read closely enough to be given its own entry.
_ROBOTIC = Scheme(
    key="robotic",
    name="robotic sprayed-concrete operator scheme",
    body="training board named by the contract",
    method=Method.ROBOTIC,
    processes=frozenset({Process.WET}),
    levels=(
        LevelRule(
            Level.FULL,
            _VERTICAL_OVERHEAD,
            Source("the contract's robotic scheme", known=Known.CONTRACT),
        ),
    ),
    source=Source("the contract's robotic scheme", known=Known.CONTRACT),
    validity="as printed on the card",
)

SCHEMES: dict[str, Scheme] = {scheme.key: scheme for scheme in (_HAND, _ROBOTIC)}


def scheme(key: str) -> Scheme:
    """Return a scheme by its key. Raises ValueError naming what is allowed.

    Source: each scheme carries its own.

    >>> scheme("CP-60").rule(Level.IN_TRAINING).positions
    frozenset({<Position.VERTICAL: 'vertical'>})
    >>> scheme("CP-99")
    Traceback (most recent call last):
    ValueError: scheme 'CP-99': allowed are CP-60, robotic
    """
    try:
        return SCHEMES[key]
    except KeyError:
        allowed = ", ".join(SCHEMES)
        raise ValueError(f"scheme {key!r}: allowed are {allowed}") from None


def scheme_of(method: Method) -> Scheme:
    """Return the scheme whose words a gate quotes where an operator has no card.

    Source: the schemes above. Raises nothing: each method has one.

    >>> scheme_of(Method.ROBOTIC).key
    'robotic'
    """
    return _BY_METHOD[method]


_BY_METHOD = {scheme.method: scheme for scheme in reversed(SCHEMES.values())}
