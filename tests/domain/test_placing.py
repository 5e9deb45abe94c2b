"""The shares that nozzle times have of what was delivered."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crews.domain.nozzle_volume import TimeOnNozzle, neat_shares
from crews.domain.sampling import Cell, panels_owed
from inspections.domain.placing import (
    NozzleVolume,
    delivered_shares,
)
from project.domain.editions import resolve
from project.domain.units import Quantity, si_factor


def q(text, unit="yd3"):
    return Quantity(Decimal(text), unit)


@pytest.mark.parametrize("unit", ["C", "F"])
def test_a_temperature_has_no_factor_alone(unit):
    with pytest.raises(ValueError, match="a temperature has no factor alone"):
        si_factor(unit)


def shares(*times, delivered="14.30"):
    return delivered_shares(times, delivered=q(delivered))


def test_shares_without_loads_follow_neat_volume_and_say_estimated():
    # PL-008 of the scenario: 7.4 and 4.5 yd3 neat, 14.3 delivered
    one, two = shares(NozzleVolume("a", q("7.4")), NozzleVolume("b", q("4.5")))
    assert one.estimated
    assert two.estimated
    assert round(one.volume.value, 2) == Decimal("8.89")
    assert one.volume.value + two.volume.value == Decimal("14.3")
    assert "estimated" in one.words


def test_loads_shared_at_hand_over_stand_as_they_are():
    one, two = shares(
        NozzleVolume("a", q("7.4"), loads=q("8.9")),
        NozzleVolume("b", q("4.5"), loads=q("5.4")),
    )
    assert (one.volume, two.volume) == (q("8.9"), q("5.4"))
    assert not one.estimated
    assert not two.estimated


def test_what_shared_loads_leave_goes_to_the_others():
    one, two, three = shares(
        NozzleVolume("a", q("7"), loads=q("8.30")),
        NozzleVolume("b", q("2")),
        NozzleVolume("c", q("1")),
    )
    assert not one.estimated
    assert (two.volume, three.volume) == (q("4"), q("2"))
    assert two.estimated


def test_a_single_nozzle_time_takes_all_without_an_estimate():
    (one,) = shares(NozzleVolume("a", None))
    assert one.volume == q("14.3")
    assert not one.estimated


def test_a_missing_neat_volume_leaves_the_rest_unknown():
    one, two = shares(NozzleVolume("a", q("7.4")), NozzleVolume("b", None))
    assert one.volume is two.volume is None
    assert "a neat volume is missing" in one.words


def test_shared_loads_beyond_what_was_delivered_leave_the_rest_unknown():
    one, two = shares(
        NozzleVolume("a", q("7"), loads=q("15")), NozzleVolume("b", q("4"))
    )
    assert one.volume == q("15")
    assert two.volume is None
    assert "exceed what was delivered" in two.words


def test_delivered_must_be_a_volume():
    with pytest.raises(ValueError, match="delivered 3 in: a volume is needed"):
        delivered_shares([], delivered=q("3", "in"))


volumes = st.decimals(min_value="0.01", max_value="99.99", places=2)


@settings(max_examples=60, deadline=None)
@given(neats=st.lists(volumes, min_size=2, max_size=6), delivered=volumes)
def test_shares_add_up_to_what_was_delivered(neats, delivered):
    times = [NozzleVolume(str(n), q(str(neat))) for n, neat in enumerate(neats)]
    found = delivered_shares(times, delivered=q(str(delivered)))
    total = sum(Fraction(share.volume.value) for share in found)
    assert total == Fraction(delivered)
    assert all(share.volume.value > 0 for share in found)


@pytest.mark.parametrize("many", [3, 6, 7])
def test_equal_shares_of_a_whole_panels_volume_ask_for_no_second_panel(many):
    """A third of 50 cut to 28 digits comes to a hair more than 50 three times over."""
    terms = resolve(
        "ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1), departures={}
    )
    times = [NozzleVolume(str(n), q("20")) for n in range(many)]
    faces = [TimeOnNozzle(str(n), 60) for n in range(many)]
    for parts in (
        delivered_shares(times, delivered=q("50")),
        neat_shares(q("50"), faces),
    ):
        cells = [
            Cell(
                date(2026, 8, 13),
                shift="day",
                mix="W-45A rev 2",
                operator=f"OP-{part.id}",
                volume=part.volume,
            )
            for part in parts
        ]
        assert len(panels_owed(cells, terms=terms)) == 1
