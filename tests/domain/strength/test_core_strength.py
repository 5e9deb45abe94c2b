"""Core strength against published tables, worked vectors and binary arithmetic."""

import math
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.core_facts import Specimen
from crews.domain.core_strength import (
    FACTORS,
    PI,
    as_reported,
    core_strength,
)
from project.domain.units import Quantity
from tests.domain.strength.making import inches, make_core, make_terms, stated

UNITS: Any = pint.UnitRegistry()


def test_pi_is_pi():
    """Source: the C library's constant, through Python's math."""
    assert float(PI) == math.pi


@given(
    d1=st.decimals("2.50", "6.00", places=2),
    d2=st.decimals("2.50", "6.00", places=2),
    slenderness=st.decimals("1.01", "2.09", places=2),
    load=st.integers(5_000, 150_000),
)
def test_strength_agrees_with_binary_arithmetic_and_pint(d1, d2, slenderness, load):
    """Source: floating point with math.pi; psi to MPa by the library Pint."""
    length = (d1 + d2) / 2 * slenderness
    sizes = {"d1": d1, "d2": d2, "length": length}
    core = make_core(
        **{name: Quantity(value, "in") for name, value in sizes.items()},
        load=Quantity(Decimal(load), "lbf"),
    )
    psi = core_strength(core, terms=make_terms()).exact.value
    mpa = core_strength(core, terms=make_terms(strength_unit="MPa")).exact.value
    mean = float(d1 + d2) / 2
    ratio = float(length) / mean
    factor = 1.0
    if slenderness <= Decimal("1.75"):
        table = [(float(a), float(b)) for a, b in FACTORS]
        below, above = next(
            pair for pair in pairwise(table) if ratio <= pair[1][0] + 1e-12
        )
        share = (ratio - below[0]) / (above[0] - below[0])
        factor = below[1] * (1 - share) + above[1] * share
    plain = load / (math.pi * mean**2 / 4) * factor
    assert math.isclose(float(psi), plain, rel_tol=1e-12)
    by_pint = UNITS.Quantity(float(psi), "psi").to("MPa").magnitude
    assert math.isclose(float(mpa), by_pint, rel_tol=1e-9)


@pytest.mark.parametrize(
    ("strength", "reported"),
    [("4444.9", "4440"), ("4445", "4440"), ("4455", "4460"), ("4455.0001", "4460")],
)
def test_ties_go_to_the_even_ten(strength, reported):
    """Source: ASTM E29 (from memory)."""
    made = as_reported(Quantity(Decimal(strength), "psi"))
    assert made == Quantity(Decimal(reported), "psi")


def test_a_strength_is_reported_in_psi_or_megapascals_only():
    with pytest.raises(ValueError, match=r"'kPa': allowed are psi, MPa"):
        as_reported(Quantity(Decimal(27000), "kPa"))


def test_a_stated_strength_stands_without_sizes():
    made = core_strength(stated("TP-901/3", "27.58", "MPa"), terms=make_terms())
    assert made.reported == Quantity(Decimal(4000), "psi")
    assert (made.ld, made.factor, made.area) == (None, None, None)
    (step,) = made.working().steps
    assert step.line == "27.58 MPa as the laboratory stated it"


def test_a_core_without_load_and_strength_has_none():
    with pytest.raises(ValueError, match="neither load nor strength"):
        core_strength(make_core(load=None), terms=make_terms())


def test_the_working_shows_what_the_other_limit_would_make_of_the_core():
    core = make_core(length=inches("5.30"), load=Quantity(Decimal(32000), "lbf"))
    working = core_strength(core, terms=make_terms()).working()
    assert working.steps[-1].name == "not used: corrected under 1.94, reported 4440 psi"
    assert working.steps[-1].line == "4527.1 × 0.9813 = 4442.6 psi"
    assert working.reported == Quantity(Decimal(4530), "psi")
    used = {(one.term, one.value) for one in working.settings}
    assert used == {("strength_unit", "psi"), ("ld_limit", "1.75 or less")}


def test_a_cube_has_an_area_and_no_factor():
    side = inches("3.00")
    cube = make_core(specimen=Specimen.CUBE, d1=side, d2=side, length=None)
    made = core_strength(cube, terms=make_terms())
    assert (made.ld, made.factor, made.otherwise) == (None, None, None)
    assert [step.line for step in made.working().steps] == [
        "3 × 3 = 9 in2",
        "38500 / 9 = 4277.8 psi",
    ]
    assert made.working().title == "Strength of cube TP-901/3"


@pytest.mark.parametrize("field", ["d1", "d2", "length"])
def test_a_load_without_a_size_is_not_guessed(field):
    with pytest.raises(ValueError, match=r"TP-901/3: d1.* needed$"):
        core_strength(make_core(**{field: None}), terms=make_terms())


def test_terms_without_a_unit_or_a_limit_are_refused():
    terms = make_terms()
    lacking = {k: v for k, v in terms.values.items() if k != "ld_limit"}
    with pytest.raises(ValueError, match="ld_limit must be given"):
        core_strength(
            make_core(), terms=type(terms)(1, "x", terms.effective_on, lacking)
        )


@pytest.mark.parametrize(
    ("field", "quantity"),
    [
        ("d1", Quantity(Decimal(40), "in")),
        ("d1", Quantity(Decimal(0), "in")),
        ("d2", Quantity(Decimal("24.9"), "mm")),
        ("length", Quantity(Decimal(-4), "in")),
        ("length", Quantity(Decimal(4), "lbf")),
        ("load", Quantity(Decimal(0), "lbf")),
        ("load", Quantity(Decimal(5001), "kN")),
        ("strength", Quantity(Decimal(301), "MPa")),
    ],
)
def test_a_figure_no_core_can_have_is_refused_by_name_and_range(field, quantity):
    with pytest.raises(ValueError, match=rf"^{field} {quantity}: allowed is .+ to "):
        make_core(**{field: quantity})


@pytest.mark.parametrize("value", ["25", "300"])
def test_the_ends_of_a_range_are_allowed(value):
    diameter = Quantity(Decimal(value), "mm")
    assert make_core(d1=diameter).d1 == diameter


def test_the_working_puts_the_numbers_in():
    core = make_core(d1=inches("3.06"), d2=inches("3.07"), length=inches("4.6"))
    working = core_strength(core, terms=make_terms()).working()
    assert [step.line for step in working.steps] == [
        "(3.06 + 3.07) / 2 = 3.065 in",
        "π × 3.065² / 4 = 7.3782 in2",
        "4.6 / 3.065 = 1.5008",
        "0.96 + (1.5008 - 1.50) × (0.98 - 0.96) / (1.75 - 1.50) = 0.9601",
        "38500 / 7.3782 = 5218.1 psi",
        "5218.1 × 0.9601 = 5009.7 psi",
    ]
    assert working.reported == Quantity(Decimal(5010), "psi")
    assert [named.name for named in working.inputs] == ["d1", "d2", "length", "load"]


def test_the_working_says_why_a_long_core_is_not_corrected():
    core = make_core(length=inches("5.30"), length_drilled=None)
    working = core_strength(core, terms=make_terms(strength_unit="MPa")).working()
    assert working.steps[3].line == "1.7667: corrected only 1.75 or less, so 1"
    assert working.rounding == "once, at the end, to 0.1 MPa, ties to even"


def test_a_cube_without_a_side_has_no_strength():
    cube = make_core(specimen=Specimen.CUBE, d2=None)
    with pytest.raises(ValueError, match="cube TP-901/3: d1 and d2, its sides"):
        core_strength(cube, terms=make_terms())


@pytest.mark.parametrize(
    ("core", "title"),
    [
        ("1", "Strength of core 1"),
        ("core", "Strength of core"),
        ("core 3 of TP-001", "Strength of core 3 of TP-001"),
    ],
)
def test_a_core_is_called_a_core_once(core, title):
    test = stated(core, "4000", "psi")
    assert core_strength(test, terms=make_terms()).working().title == title
