"""Every unit against Pint, both ways without drift, and how its figures are reported."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from project.domain.reporting import (
    REPORT_STEPS,
    reported,
    rounding_words,
    to_step,
)
from project.domain.units import (
    ABSOLUTE_ZERO,
    UNITS,
    Quantity,
    convert,
    dimension,
    si_factor,
    units_of,
)

# What Pint calls our units. It works in binary floating point: about 15 figures.
PINT = {
    "m": "m", "mm": "mm", "in": "inch", "ft": "foot", "yd": "yard",
    "m2": "m**2", "mm2": "mm**2", "in2": "inch**2", "ft2": "foot**2",
    "m3": "m**3", "ft3": "foot**3", "yd3": "yard**3", "gal": "gallon", "l": "liter",
    "N": "newton", "kN": "kilonewton", "lbf": "force_pound",
    "Pa": "pascal", "kPa": "kilopascal", "MPa": "megapascal", "psi": "psi",
    "C": "degC", "F": "degF",
    "m/s": "m/s", "km/h": "km/hour", "mph": "mile/hour", "ft/s": "foot/s",
    "kg/m2/h": "kg/m**2/hour", "lb/ft2/h": "pound/foot**2/hour",
    "kg/m3": "kg/m**3", "pcf": "pound/foot**3",
    "kg": "kg", "lb": "pound", "kg/m2": "kg/m**2", "lb/ft2": "pound/foot**2",
    "m2/l": "m**2/liter", "ft2/gal": "foot**2/gallon",
    "m3/min": "m**3/minute", "cfm": "foot**3/minute",
    "m3/h": "m**3/hour", "yd3/h": "yard**3/hour",
    "m2/h": "m**2/hour", "ft2/h": "foot**2/hour",
    "s": "s", "min": "minute", "h": "hour", "d": "day",
    "percent": "percent", "1": "dimensionless",
}  # fmt: skip
PAIRS = [(unit, to) for unit in UNITS for to in units_of(dimension(unit)) if unit != to]


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


@pytest.mark.parametrize(("unit", "to"), PAIRS)
def test_every_unit_agrees_with_pint(registry, unit, to):
    """Outside check: Pint, to 12 figures of its floating point."""
    ours = convert(Quantity(Decimal("37.5"), unit), to=to).value
    theirs = registry.Quantity(37.5, PINT[unit]).to(PINT[to]).magnitude
    assert float(ours) == pytest.approx(theirs, rel=1e-12)


def test_pint_knows_a_name_for_every_unit():
    assert set(PINT) == set(UNITS)


typed = st.decimals(
    min_value=Decimal("-1E6"), max_value=Decimal("1E6"), allow_nan=False, places=6
)


@given(typed, st.sampled_from(PAIRS))
def test_there_and_back_is_where_it_was(value, pair):
    unit, to = pair
    there = convert(Quantity(value, unit), to=to)
    back = convert(there, to=unit).value
    # Only the 28th figure of a quotient is ever cut; a typed number has far fewer.
    assert round(back, 15) == value


@given(typed, st.sampled_from(PAIRS))
def test_going_to_and_fro_does_not_drift(value, pair):
    unit, to = pair
    now = Quantity(value, unit)
    for _ in range(50):
        now = convert(convert(now, to=to), to=unit)
    assert round(now.value, 12) == value


@given(st.sampled_from(PAIRS))
def test_a_factor_and_its_opposite_make_one(pair):
    unit, to = pair
    if dimension(unit) == "temperature":
        return
    there = Fraction(convert(Quantity(Decimal(1), unit), to=to).value)
    assert abs(there * si_factor(to) / si_factor(unit) - 1) < Fraction(1, 10**26)


@pytest.mark.parametrize("unit", UNITS)
def test_another_dimension_is_refused(unit):
    for to in UNITS:
        if dimension(to) != dimension(unit):
            with pytest.raises(ValueError, match="cannot be given in"):
                convert(Quantity(Decimal(1), unit), to=to)


@pytest.mark.parametrize("value", ["NaN", "sNaN", "Infinity", "-Infinity"])
def test_a_quantity_is_finite(value):
    with pytest.raises(ValueError, match="a finite number is needed"):
        Quantity(Decimal(value), "in")


@pytest.mark.parametrize("ask", [dimension, si_factor])
def test_an_unknown_unit_is_named(ask):
    with pytest.raises(ValueError, match="unit 'furlong': allowed are m, mm, in"):
        ask("furlong")


def test_nothing_is_colder_than_nothing():
    assert convert(ABSOLUTE_ZERO, to="F").value == Decimal("-459.67")


@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_says_how_it_is_reported(unit):
    assert REPORT_STEPS[unit] > 0
    assert rounding_words(unit).startswith("to ")


@given(typed, st.sampled_from(UNITS))
def test_a_reported_figure_is_the_nearest_step(value, unit):
    step = REPORT_STEPS[unit]
    shown = reported(Quantity(value, unit)).value
    assert shown % step == 0
    assert abs(shown - value) <= step / 2
    assert reported(Quantity(shown, unit)).value == shown


@pytest.mark.parametrize(("value", "shown"), [("5", "0"), ("15", "20"), ("25", "20")])
def test_a_tie_goes_to_the_even_step(value, shown):
    """Outside check: ASTM E29, rounding half to even (from memory)."""
    assert reported(Quantity(Decimal(value), "psi")).value == Decimal(shown)


@pytest.mark.parametrize("step", ["0", "-1", "NaN"])
def test_a_step_is_above_nothing(step):
    with pytest.raises(ValueError, match="allowed is a number above 0"):
        to_step(Quantity(Decimal(1), "in"), step=Decimal(step))
