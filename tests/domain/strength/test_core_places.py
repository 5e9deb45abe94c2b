"""Room for cores, against counting them one by one."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.core_facts import CorePlace, PanelShape
from crews.domain.core_places import from_edge, room_for
from project.domain.units import Quantity
from tests.domain.strength.making import inches, make_terms

PANEL = PanelShape(inches("24"), inches("18"), inches("5"))


@given(
    side=st.decimals("6", "40", places=1),
    diameter=st.decimals("1", "6", places=1),
    between=st.decimals("0", "3", places=1),
)
def test_room_agrees_with_laying_core_beside_core(side, diameter, between):
    """Source: the cores laid down one after the other."""
    panel = PanelShape(inches(str(side)), inches("24"), inches("4"))
    room = room_for(
        panel,
        diameter=Quantity(diameter, "in"),
        between=Quantity(between, "in"),
        terms=make_terms(),
    )
    laid, at = 0, Decimal(5) + diameter
    while at <= side - 5:
        laid, at = laid + 1, at + between + diameter
    assert room.along == laid


def test_every_core_that_fits_keeps_out_of_the_edge_zone():
    terms = make_terms(edge_zone_depths=None)
    wide = inches("3")
    room = room_for(PANEL, diameter=wide, between=inches("1"), terms=terms)
    assert (room.along, room.across) == (5, 4)
    last = Decimal(1) + Decimal("1.5") + (room.across - 1) * 4
    place = CorePlace(inches("2.5"), Quantity(last, "in"))
    assert from_edge(place, PANEL, diameter=wide) == inches("1.0")


@pytest.mark.parametrize(
    ("diameter", "between", "words"),
    [("0", "1", "diameter 0 in: allowed"), ("3", "-1", "between -1 in: allowed")],
)
def test_cores_of_no_width_are_refused_by_name(diameter, between, words):
    with pytest.raises(ValueError, match=words):
        room_for(
            PANEL,
            diameter=inches(diameter),
            between=inches(between),
            terms=make_terms(),
        )
