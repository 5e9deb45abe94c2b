"""Volumes, thickness, orders and rates, with what is unknown and what cannot be."""

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.domain.ordering import Expected, bags_mass, order_volume, whole_loads
from inspections.domain.placing_rate import fresh_weight, piece_weight, placing_rate
from inspections.domain.thickness import Thickness, judge_thickness, thickness_of
from inspections.domain.volumes import Tickets, volumes
from project.domain.units import Quantity
from project.domain.verdict import State
from tests.domain.placing.making import departing, q

EXPECTED = Path(__file__).resolve().parents[2] / "tables" / "expected.json"
PLACED = json.loads(EXPECTED.read_text("utf-8"), parse_float=Decimal)["volumes"]
TEN = q("10 in")


def read_as(mean, least):
    """Return a thickness of which only the mean and the least are told."""
    return Thickness(TEN, *(Quantity(each, "in") for each in (mean, least, mean)), 0)


@pytest.mark.parametrize("line", PLACED, ids=lambda line: line["placement"])
def test_the_invented_job_adds_up(line):
    """An independent reading of the scenario, to the places it is told in."""
    deliver = {
        name: Quantity(Decimal(line[f"{told}_yd3"]), "yd3")
        for name, told in (
            ("delivered", "delivered"),
            ("returned", "returned"),
            ("line_waste", "line_waste"),
            ("panels", "panels"),
            ("removed", "removed_work"),
        )
    }
    neat = Quantity(Decimal(line["neat_yd3"]), "yd3")
    design = Quantity(neat.value * 27 * 12 / line["area_ft2"], "in")
    mean = Quantity(Decimal(line["mean_thickness_in"]), "in")
    made = volumes(
        neat=neat,
        tickets=Tickets(**deliver),
        thickness=Thickness(design, mean, mean, mean, 0),
    )
    off = Decimal("0.1")
    for name in ("shot", "in place", "overbuild", "loss"):
        told = line[f"{name.replace(' ', '_')}_yd3"]
        assert abs(made.get(name).value - told) <= off, (name, made.get(name), told)
    share = made.get("loss of shot").value
    assert abs(share - line["loss_pct"]) <= Decimal(1), (share, line["loss_pct"])


def test_what_is_not_known_makes_nothing_known():
    made = volumes(neat=q("10 yd3"), tickets=Tickets(q("12 yd3"), q("0 yd3")))
    assert set(made.made) == {"yield", "waste factor"}
    assert made.get("loss") is None
    assert made.unknown["shot"] == "line waste not given; panels not given"
    assert made.unknown["loss"] == (
        "line waste not given; panels not given; no readings of the thickness"
    )


nothing_or_more = st.decimals(min_value=0, max_value=50, places=2)


@given(*[nothing_or_more] * 5, st.decimals(min_value="0.1", max_value=20, places=2))
def test_the_parts_add_up_to_what_was_delivered(back, line, panels, bad, cut, mean):
    """A slow oracle: everything that was delivered is somewhere, in fractions."""
    parts = [Quantity(each, "yd3") for each in (back, line, panels, bad, cut)]
    tickets = Tickets(q("60 yd3"), *parts)
    made = volumes(neat=q("10 yd3"), tickets=tickets, thickness=read_as(mean, mean))
    somewhere = sum(
        (Fraction(made.get(name).value) for name in ("in place", "rebound")),
        sum(map(Fraction, (back, line, panels, bad, cut))),
    )
    assert abs(somewhere - 60) < Fraction(1, 10**20)
    shot = Fraction(60) - Fraction(back) - Fraction(line) - Fraction(panels)
    assert Fraction(made.get("shot").value) == shot
    assert bool(made.flags) == (shot < 0 or made.get("rebound").value < 0)


def test_shares_of_nothing_are_not_known():
    tickets = Tickets(q("1 yd3"), q("1 yd3"), q("0 yd3"), q("0 yd3"))
    made = volumes(
        neat=q("1 yd3"), tickets=tickets, thickness=read_as(TEN.value, TEN.value)
    )
    assert made.unknown["loss of shot"] == "shot comes to nothing"
    assert made.flags == ("more is in place than was shot",)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"delivered": q("0 yd3")}, "delivered 0 yd3: allowed is more than 0"),
        ({"delivered": q("1 in")}, "delivered 1 in: allowed is a volume"),
        ({"panels": q("-1 l")}, "panels -1 l: allowed is a volume of 0 or more"),
    ],
)
def test_tickets_that_cannot_be_are_named(given, said):
    with pytest.raises(ValueError, match=said):
        Tickets(**{"delivered": q("9 yd3"), **given})


@pytest.mark.parametrize("neat", ["0 yd3", "-1 yd3", "1 ft2"])
def test_a_neat_volume_is_one(neat):
    with pytest.raises(ValueError, match="a volume above 0 is needed"):
        volumes(neat=q(neat), tickets=Tickets(q("9 yd3")))
    with pytest.raises(ValueError, match="a volume above 0 is needed"):
        order_volume(q(neat), expected=Expected(q("0 percent"), q("0 percent")))


def test_readings_of_other_units_are_told_in_the_designs():
    read = thickness_of(q("250 mm"), readings=[q("10 in"), q("0.25 m")])
    assert str(read.mean) == "252 mm"
    assert (read.count, str(read.least)) == (2, "250 mm")
    assert thickness_of(TEN, readings=[]) is None


@pytest.mark.parametrize(
    ("design", "reading", "said"),
    [
        ("0 in", "9 in", "design 0 in: a length above 0"),
        ("9 in", "0 in", "readings 0 in: a length above 0"),
        ("9 psi", "9 in", "design 9 psi: a length above 0"),
    ],
)
def test_a_thickness_that_cannot_be_is_named(design, reading, said):
    with pytest.raises(ValueError, match=said):
        thickness_of(q(design), readings=[q(reading)])


def test_a_low_spot_never_looks_like_its_limit():
    terms = departing(thickness_low=q("-0.25 in"))
    read = thickness_of(TEN, readings=[q("9.7499 in"), q("11 in")])
    reason = judge_thickness(read, terms=terms).reasons[0]
    assert (reason.state, reason.found) == (State.FAIL, "9.7499 in, below")
    assert reason.margin == q("-0.0001 in")


def test_without_terms_a_thickness_is_undecided():
    verdict = judge_thickness(thickness_of(TEN, readings=[TEN]), terms=None)
    assert verdict.state is State.UNDECIDED
    assert [reason.key for reason in verdict.reasons] == ["least reading", "mean"]
    assert verdict.working().settings == ()


def test_the_working_of_a_thickness_names_its_settings():
    terms = departing(thickness_mean="not asked")
    verdict = judge_thickness(thickness_of(TEN, readings=[TEN]), terms=terms)
    used = {used.term: used.value for used in verdict.working().settings}
    assert used["thickness_mean"] == "not asked"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"overbuild": q("-1 percent")}, "overbuild -1 percent: a share of 0"),
        ({"overbuild": q("1 in")}, "overbuild 1 in: a share of 0"),
        ({"loss": q("1 1")}, "loss 1: allowed is 0 and below 100 percent"),
        ({"loss": q("1 in")}, "loss 1 in: allowed is 0 and below 100 percent"),
        ({"line": q("-1 l")}, "line -1 l: a volume of 0 or more"),
        ({"panels": q("1 in")}, "panels 1 in: a volume of 0 or more"),
    ],
)
def test_an_expectation_that_cannot_be_is_named(given, said):
    plain = {"overbuild": q("0 percent"), "loss": q("0 percent")}
    with pytest.raises(ValueError, match=said):
        Expected(**{**plain, **given})


@given(st.integers(1, 400), st.integers(1, 40), st.integers(1, 40))
def test_whole_loads_hold_what_is_wanted_and_no_more(tenths, one, quarter):
    wanted = Quantity(Decimal(tenths) / 10, "yd3")
    each = Quantity(Decimal(one) / 4 + Decimal(quarter) / 8, "yd3")
    count = whole_loads(wanted, each=each).reported.value
    assert count * each.value >= wanted.value > (count - 1) * each.value


def test_a_conversions_last_digit_orders_no_further_truck():
    assert whole_loads(q("1 yd3"), each=q("27 ft3")).reported.value == 1
    assert whole_loads(q("201.974025984 l"), each=q("1 ft3")).reported.value == 8


@pytest.mark.parametrize(
    ("volume", "each", "said"),
    [
        ("0 yd3", "1 yd3", "volume 0 yd3: a volume above 0"),
        ("1 yd3", "0 yd3", "bag 0 yd3: a volume above 0"),
        ("1 yd3", "1 lb", "bag 1 lb: a volume above 0"),
    ],
)
def test_loads_that_cannot_be_are_named(volume, each, said):
    with pytest.raises(ValueError, match=said):
        whole_loads(q(volume), each=q(each), what="bag")


@pytest.mark.parametrize("mass", ["0 lb", "1 in"])
def test_bags_that_weigh_nothing_are_named(mass):
    with pytest.raises(ValueError, match="a mass above 0 is needed"):
        bags_mass(q("2 1"), mass=q(mass))


@pytest.mark.parametrize(
    ("placed", "time", "said"),
    [
        ("0 yd3", "1 h", "volume 0 yd3: a volume or an area above 0"),
        ("1 in", "1 h", "volume 1 in: a volume or an area above 0"),
        ("1 yd3", "0 h", "time 0 h: a time above 0"),
        ("1 yd3", "1 in", "time 1 in: a time above 0"),
    ],
)
def test_a_rate_that_cannot_be_is_named(placed, time, said):
    with pytest.raises(ValueError, match=said):
        placing_rate(q(placed), time=q(time), of="shift")


@pytest.mark.parametrize(
    ("placed", "told"),
    [
        ("100 l", "0.10 m3/h"),
        ("27 ft3", "1.00 yd3/h"),
        ("202 gal", "1.00 yd3/h"),
        ("5 m2", "5.0 m2/h"),
        ("5000000 mm2", "5.0 m2/h"),
        ("144 in2", "1 ft2/h"),
    ],
)
def test_a_rate_is_told_in_the_units_of_the_day(placed, told):
    assert str(placing_rate(q(placed), time=q("60 min"), of="shift").reported) == told


@pytest.mark.parametrize(
    ("thickness", "unit_weight", "said"),
    [
        ("0 in", None, "thickness 0 in: a length above 0"),
        ("1 psi", None, "thickness 1 psi: a length above 0"),
        ("1 in", "0 pcf", "unit_weight 0 pcf: a density above 0"),
        ("1 in", "1 lb", "unit_weight 1 lb: a density above 0"),
    ],
)
def test_a_weight_that_cannot_be_is_named(thickness, unit_weight, said):
    with pytest.raises(ValueError, match=said):
        fresh_weight(q(thickness), unit_weight=unit_weight and q(unit_weight))


@pytest.mark.parametrize(
    ("on_area", "area", "said"),
    [
        ("1 lb", "1 ft2", "on_area 1 lb: a mass on an area"),
        ("1 lb/ft2", "0 ft2", "area 0 ft2: an area above 0"),
        ("1 lb/ft2", "1 ft", "area 1 ft: an area above 0"),
    ],
)
def test_a_piece_that_cannot_be_is_named(on_area, area, said):
    with pytest.raises(ValueError, match=said):
        piece_weight(q(on_area), area=q(area))
