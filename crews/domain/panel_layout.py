"""Whether a panel is large enough, and whether its cores fit where they may be drilled.

The size of a panel and the zone kept free along its edges come from different
documents; one may leave no room for the other, and that is said as such.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import combinations

from crews.domain.bar_rules import margin
from crews.domain.core_facts import CorePlace, PanelShape
from crews.domain.core_places import edge_source, edge_zone, from_edge, room_for
from crews.domain.panel_size import judge_panel_size
from project.domain.showing import beside
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict, worst

NO_ROOM = "the size rule of one document leaves no room for the edge rule of another"
GEOMETRY = Source("geometry", known=Known.DERIVED)


def panel_layout(
    shape: PanelShape,
    *,
    diameter: Quantity,
    between: Quantity,
    terms: Terms,
    places: Sequence[CorePlace] = (),
    aggregate: Quantity | None = None,
) -> Verdict:
    """Return whether a panel, and the places of its cores, do what the terms ask.

    Parameters
    ----------
    shape
        The panel [length].
    diameter
        Of its cores [length].
    between
        Left standing between two cores [length]; no document read gives one.
    terms
        As `judge_panel_size`, and `edge_zone_depths`, `edge_zone_add`, `core_count`.
    places
        Centres of cores already laid out [length].
    aggregate
        Largest of the mix [length].

    Every requirement is listed: side, depth, room for a set of cores in a square
    pattern, and of each place its edge and its neighbours. Raises ValueError for a
    length that is none. Source: the terms and geometry.

    >>> from datetime import date
    >>> from project.domain.editions import own_terms
    >>> terms = own_terms("aci-506.2-2013", revision=1, effective_on=date(2026, 7, 1))
    >>> side, depth, wide, one = (
    ...     Quantity(Decimal(v), "in") for v in (16, 5, 3, 1))
    >>> panel_layout(PanelShape(side, side, depth), diameter=wide, between=one,
    ...              terms=terms).failed[0].found
    'room for 1; the size rule of one document leaves no room for the edge rule of another'
    """
    size = judge_panel_size(shape, aggregate=aggregate, terms=terms)
    reasons = (
        *size.reasons,
        _room(shape, diameter, between, terms, large_enough=size.state is State.PASS),
        *_edges(shape, places, diameter, terms),
        *_neighbours(places, diameter, between),
    )
    rule = "a panel and the places of its cores"
    asked = [reason for reason in reasons if reason.state is not State.INFORMATION]
    return Verdict(worst(asked) if asked else State.UNDECIDED, rule, reasons)


def _room(
    shape: PanelShape,
    diameter: Quantity,
    between: Quantity,
    terms: Terms,
    *,
    large_enough: bool,
) -> Reason:
    room = room_for(shape, diameter=diameter, between=between, terms=terms)
    zone = edge_zone(shape, terms=terms)
    wanted = int(terms.decimal("core_count") or 0)
    found = f"room for {room.cores}"
    if zone is None or not wanted:
        missing = "no edge zone given" if zone is None else "no number of cores given"
        source = terms.source("edge_zone_add" if zone is None else "core_count")
        return Reason("room", missing, State.INFORMATION, f"{found}; {missing}", source)
    asked = f"room for {wanted} cores of {diameter}, {between} between two, "
    asked += f"outside {zone} at each edge"
    state = State.PASS if room.cores >= wanted else State.FAIL
    if state is State.FAIL and large_enough:
        found = f"{found}; {NO_ROOM}"
    return Reason("room", asked, state, found, edge_source(terms))


def _edges(
    shape: PanelShape, places: Sequence[CorePlace], diameter: Quantity, terms: Terms
) -> Iterator[Reason]:
    """Yield, for each place, how far the core's edge lies from the panel's."""
    zone = edge_zone(shape, terms=terms)
    # Without a zone a core still has to lie in the panel.
    limit = zone or Quantity(Decimal(0), shape.depth.unit)
    source = GEOMETRY if zone is None else edge_source(terms)
    for number, place in enumerate(places, start=1):
        away = from_edge(place, shape, diameter=diameter)
        over = margin(away, limit)
        state = State.PASS if over.value >= 0 else State.FAIL
        found = f"core {number}: {away} from the panel's edge"
        asked = f"the core's edge at least {limit} from the panel's edge"
        yield Reason("edge zone", asked, state, found, source, limit, over)


def _neighbours(
    places: Sequence[CorePlace], diameter: Quantity, between: Quantity
) -> Iterator[Reason]:
    """Yield the pairs of cores that stand closer than is to be left between them."""
    unit = diameter.unit
    left = convert(between, to=unit)
    apart = (diameter.value + left.value) ** 2
    numbered = enumerate(places, start=1)
    for (one, here), (other, there) in combinations(numbered, 2):
        along, across = (
            convert(getattr(here, way), to=unit).value
            - convert(getattr(there, way), to=unit).value
            for way in ("x", "y")
        )
        square = along**2 + across**2
        if square < apart:
            gap = Quantity(square.sqrt() - diameter.value, unit)
            shown = beside(gap.value, left.value, places=3)
            found = f"cores {one} and {other}: {shown} {unit} between them"
            asked = f"at least {left} between two cores"
            over = Quantity(gap.value - left.value, unit)
            yield Reason("between", asked, State.FAIL, found, GEOMETRY, left, over)
