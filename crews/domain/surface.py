"""Which card and which mock-up a sloped face asks for, by the contract's table of angles.

The angle is between straight up and the direction the shot face looks [degrees]: 0
looks up as a slab does, 90 stands as a wall, 180 looks down as a soffit. A curved face
is parted into pieces; of each the angle that overhangs most is on record.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from project.domain.shooting_words import Position
from project.domain.terms import Terms

# A face that lies, and looks up: no angle need be typed for it.
LYING = Decimal(0)
_BY_ANGLE = (Position.SLOPED, Position.HORIZONTAL)


@dataclass(frozen=True, slots=True)
class Surface:
    """What a face counts as: for the card, and for the mock-up; nothing: undecided.

    Source: the contract's own table (project's choice of form, no published angle found).

    >>> Surface(Position.OVERHEAD, None).card
    <Position.OVERHEAD: 'overhead'>
    """

    card: Position | None
    mock_up: Position | None


def surface(
    position: Position, *, angle: Decimal | None, terms: Terms | None
) -> Surface | None:
    """Return what a face counts as, or nothing where its position says it itself.

    Parameters
    ----------
    position
        As the drawings have it.
    angle
        Of a sloped face, 0 to 180 [degrees]; a horizontal one has 0 where none is typed.
    terms
        In force on the day of the work.

    Source: as `Surface`. Raises nothing.

    >>> surface(Position.VERTICAL, angle=None, terms=None) is None
    True
    >>> surface(Position.SLOPED, angle=Decimal(120), terms=None)
    Surface(card=None, mock_up=None)
    """
    if position not in _BY_ANGLE:
        return None
    if angle is None and position is Position.HORIZONTAL:
        angle = LYING
    return Surface(_counts_as("card", angle, terms), _counts_as("mockup", angle, terms))


def _counts_as(
    what: str, angle: Decimal | None, terms: Terms | None
) -> Position | None:
    if angle is None or terms is None:
        return None
    overhead = terms.decimal(f"{what}_overhead_from")
    vertical = terms.decimal(f"{what}_vertical_from")
    if overhead is not None and angle >= overhead:
        return Position.OVERHEAD
    # Where nobody says from when a face is overhead, none is known not to be.
    if overhead is None or vertical is None or angle < vertical:
        return None
    return Position.VERTICAL
