"""Where a core may be drilled from a panel, and how many there is room for.

No part of a core lies in the edge zone: the core's edge counts, not its centre.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from crews.domain.core_facts import CorePlace, PanelShape
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Source


@dataclass(frozen=True, slots=True)
class Room:
    """What a panel leaves for cores: the zone kept free, and how many fit each way.

    Source: `room_for`.

    >>> Room(Quantity(Decimal(6), "in"), along=4, across=3).cores
    12
    """

    zone: Quantity
    along: int
    across: int

    @property
    def cores(self) -> int:
        """How many cores fit in a square pattern."""
        return self.along * self.across


def edge_zone(shape: PanelShape, *, terms: Terms) -> Quantity | None:
    """Return how far a core's edge keeps from the panel's, in the unit of its depth.

    Parameters
    ----------
    shape
        The panel [length].
    terms
        Give `edge_zone_depths` [panel depths] and `edge_zone_add` [length].

    Nothing where the terms give neither. Source: the terms; ASTM C1140, panel depth
    and 1 in. (from memory); EN 14488-1, 125 mm (from memory).

    >>> from datetime import date
    >>> from project.domain.editions import resolve
    >>> terms = resolve("aci-506.2-2013", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> sides = (Quantity(Decimal(side), "in") for side in (24, 24, 5))
    >>> str(edge_zone(PanelShape(*sides), terms=terms))
    '6 in'
    """
    depths, add = terms.decimal("edge_zone_depths"), terms.quantity("edge_zone_add")
    if depths is None and add is None:
        return None
    unit = shape.depth.unit
    zone = (depths or Decimal(0)) * shape.depth.value
    zone += Decimal(0) if add is None else convert(add, to=unit).value
    return Quantity(zone, unit)


def edge_source(terms: Terms) -> Source:
    """Return where the edge zone comes from.

    Raises KeyError where the terms have no such name. Source: the terms.

    >>> from project.domain.editions import FHWA_1998, own_terms
    >>> from datetime import date
    >>> own = own_terms(FHWA_1998.key, revision=1, effective_on=date(2026, 7, 1))
    >>> edge_source(own).section
    'outer 6 in of a panel'
    """
    depths = terms.decimal("edge_zone_depths")
    return terms.source("edge_zone_add" if depths is None else "edge_zone_depths")


def from_edge(place: CorePlace, shape: PanelShape, *, diameter: Quantity) -> Quantity:
    """Return how far the edge of a core lies from the nearest edge of its panel.

    Parameters
    ----------
    place
        The core's centre [length].
    shape
        The panel [length].
    diameter
        The core's [length].

    In the unit of the panel's depth; any place will do, and a core that leaves the
    panel lies at a negative distance. Source: geometry.

    >>> inches = [Quantity(Decimal(v), "in") for v in ("7.5", "12", "24", "5", "3")]
    >>> x, y, side, depth, wide = inches
    >>> panel = PanelShape(side, side, depth)
    >>> str(from_edge(CorePlace(x, y), panel, diameter=wide))
    '6.0 in'
    """
    unit = shape.depth.unit
    x, y, length, width, wide = (
        convert(q, to=unit).value
        for q in (place.x, place.y, shape.length, shape.width, diameter)
    )
    return Quantity(min(x, length - x, y, width - y) - wide / 2, unit)


def room_for(
    shape: PanelShape, *, diameter: Quantity, between: Quantity, terms: Terms
) -> Room:
    """Return how many cores fit outside the edge zone, in a square pattern.

    Parameters
    ----------
    shape
        The panel [length].
    diameter
        Of the cores [length].
    between
        Left standing between two cores [length]; no document read gives one.
    terms
        As `edge_zone` asks; a zone not given is none.

    Raises ValueError for a diameter that is not above 0 and for less than nothing
    between two. Source: geometry; the pattern is the project's choice.

    >>> from datetime import date
    >>> from project.domain.editions import resolve
    >>> terms = resolve("aci-506.2-2013", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> side, depth, wide, one = (
    ...     Quantity(Decimal(v), "in") for v in (16, 5, 3, 1))
    >>> panel = PanelShape(side, side, depth)
    >>> room_for(panel, diameter=wide, between=one, terms=terms).cores
    1
    """
    unit = shape.depth.unit
    zone = edge_zone(shape, terms=terms) or Quantity(Decimal(0), unit)
    wide, apart = convert(diameter, to=unit).value, convert(between, to=unit).value
    if wide <= 0:
        raise ValueError(f"diameter {diameter}: allowed is a length above 0")
    if apart < 0:
        raise ValueError(f"between {between}: allowed is a length of 0 or more")
    sides = (convert(side, to=unit).value for side in (shape.length, shape.width))
    along, across = (_fit(side - 2 * zone.value, wide, apart) for side in sides)
    return Room(zone, along, across)


def _fit(room: Decimal, wide: Decimal, apart: Decimal) -> int:
    count = ((room + apart) / (wide + apart)).to_integral_value(ROUND_FLOOR)
    return max(0, int(count))
