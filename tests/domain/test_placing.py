"""Neat volume and the shares of nozzle times."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.domain.placing import (
    NozzleVolume,
    delivered_shares,
    neat_volume,
    neat_working,
)
from project.domain.units import Quantity, si_factor, units_of
from tests.support.scenario import SCENARIO

PARTS = [part for element in SCENARIO["elements"] for part in element["parts"]]


def q(text, unit="yd3"):
    return Quantity(Decimal(text), unit)


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part["code"])
def test_neat_volume_of_each_part_of_the_scenario(part):
    found = neat_volume(
        q(str(part["area_ft2"]), "ft2"),
        thickness=q(str(part["thickness_in"]), "in"),
        unit="yd3",
    )
    assert round(found.value, 3) == Decimal(str(part["neat_yd3_exact"]))


@pytest.mark.parametrize(
    ("area", "thickness", "unit", "volume"),
    [
        # common practice, no source: 48 ft by 10 ft by 9 in is 13.33 yd3
        (q("480", "ft2"), q("9", "in"), "yd3", Fraction(40, 3)),
        # common practice, no source: a wall 1.5 m thick of 24 m2 holds 36 m3
        (q("24", "m2"), q("1500", "mm"), "m3", Fraction(36)),
        (q("24", "m2"), q("1.5", "m"), "l", Fraction(36000)),
        (q("27", "ft2"), q("12", "in"), "yd3", Fraction(1)),
    ],
)
def test_neat_volume_is_exact(area, thickness, unit, volume):
    found = neat_volume(area, thickness=thickness, unit=unit)
    assert abs(Fraction(found.value) - volume) <= volume / 10**27
    assert found.unit == unit


def test_units_agree_with_pint():
    """Outside check: Pint's own factors, to 12 digits of its floating point."""
    registry = pint.UnitRegistry()
    names = {"m2": "m**2", "mm2": "mm**2", "in2": "inch**2", "ft2": "ft**2"}
    volumes = {"m3": "m**3", "ft3": "ft**3", "yd3": "yd**3", "gal": "gal", "l": "l"}
    for area in units_of("area"):
        for volume in units_of("volume"):
            for length, name in (("in", "inch"), ("mm", "mm"), ("ft", "ft")):
                ours = neat_volume(q("7", area), thickness=q("3", length), unit=volume)
                theirs = 7 * registry(names[area]) * 3 * registry(name)
                expected = theirs.to(volumes[volume]).magnitude
                assert float(ours.value) == pytest.approx(expected, rel=1e-12)


def test_coverage_units_agree_with_pint():
    registry = pint.UnitRegistry()
    theirs = registry("ft**2 / gal").to("m**2 / m**3").magnitude
    assert float(si_factor("ft2/gal")) == pytest.approx(theirs, rel=1e-12)
    assert si_factor("m2/l") == 1000


@pytest.mark.parametrize("unit", ["C", "F"])
def test_a_temperature_has_no_factor_alone(unit):
    with pytest.raises(ValueError, match="a temperature has no factor alone"):
        si_factor(unit)


@pytest.mark.parametrize(
    ("area", "thickness", "unit", "said"),
    [
        (q("0", "ft2"), q("9", "in"), "yd3", "area 0 ft2: a positive area"),
        (q("-3", "ft2"), q("9", "in"), "yd3", "area -3 ft2"),
        (q("9", "ft"), q("9", "in"), "yd3", "area 9 ft: a positive area"),
        (q("9", "ft2"), q("0", "in"), "yd3", "thickness 0 in: a positive length"),
        (q("9", "ft2"), q("9", "psi"), "yd3", "thickness 9 psi"),
        (q("9", "ft2"), q("9", "in"), "ft2", "unit ft2: a unit of volume"),
    ],
)
def test_what_is_no_volume_is_refused(area, thickness, unit, said):
    with pytest.raises(ValueError, match=said):
        neat_volume(area, thickness=thickness, unit=unit)


def test_the_working_shows_the_numbers_and_the_rounding():
    working = neat_working(q("840", "ft2"), thickness=q("10", "in"), unit="yd3")
    assert working.steps[0].line == "840 ft2 × 10 in = 25.93 yd3"
    assert working.reported == q("25.93")
    assert abs(Fraction(working.exact.value) - Fraction(700, 27)) < Fraction(1, 10**25)


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
    assert abs(total - Fraction(delivered)) < Fraction(1, 10**24)
    assert all(share.volume.value > 0 for share in found)
