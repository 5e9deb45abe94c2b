"""Early strength between typed points: scipy and numpy on the logarithms, in floats."""

import re
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import interp1d

import inspections.domain.early_age as module
from inspections.domain.early_age import (
    CAUTION,
    Line,
    Point,
    class_reached,
    significant,
    strength_on,
    strength_working,
)
from inspections.domain.worked.early_age import CALCULATIONS
from project.domain.units import Quantity


def minutes(value):
    return Quantity(Decimal(value), "min")


def mpa(value):
    return Quantity(Decimal(value), "MPa")


def line(*pairs, name="typed"):
    return Line(name, tuple(Point(minutes(t), mpa(f)) for t, f in pairs))


times = st.lists(st.integers(1, 100_000), min_size=2, max_size=6, unique=True).map(
    sorted
)


@given(times, st.data())
def test_between_points_it_is_scipy_on_the_logarithms(given_times, data):
    amounts = st.integers(1, 99_999)
    strengths = [data.draw(amounts) / 1000 for _ in given_times]
    found = line(*((t, str(f)) for t, f in zip(given_times, strengths, strict=True)))
    at = data.draw(st.integers(given_times[0], given_times[-1]))
    logs = np.log(given_times), np.log(strengths)
    by_scipy = float(np.exp(interp1d(*logs)(np.log(at))))
    by_numpy = float(np.exp(np.interp(np.log(at), *logs)))
    ours = float(strength_on(found, minutes(at)).value)
    assert ours == pytest.approx(by_scipy, rel=1e-9)
    assert ours == pytest.approx(by_numpy, rel=1e-9)


def test_a_thousand_times_along_one_line_agree_with_scipy():
    # from memory, MPa, typed here for the check alone: no line ships with the product
    pairs = [(6, 0.2), (60, 0.5), (1440, 5.0)]
    found = line(*((t, str(f)) for t, f in pairs))
    logs = np.log([t for t, _ in pairs]), np.log([f for _, f in pairs])
    at = range(6, 1440, 2)
    expected = np.exp(interp1d(*logs)(np.log(list(at))))
    ours = [float(strength_on(found, minutes(t)).value) for t in at]
    assert ours == pytest.approx(list(expected), rel=1e-9)


def test_a_line_rises_as_its_points_do_and_never_passes_them():
    found = line((6, "0.2"), (60, "0.5"))
    values = [strength_on(found, minutes(t)).value for t in range(6, 61)]
    assert values == sorted(values)
    assert (values[0], values[-1]) == (Decimal("0.2"), Decimal("0.5"))


def test_points_in_other_units_are_read_in_the_first_points_unit():
    psi = Line(
        "mixed",
        (
            Point(Quantity(Decimal("0.1"), "h"), mpa("0.2")),
            Point(minutes(54), Quantity(Decimal("116.030190"), "psi")),
        ),
    )
    found = strength_on(psi, Quantity(Decimal("0.3"), "h"))
    assert found.unit == "MPa"
    assert found.value == pytest.approx(Decimal("0.4"), abs=Decimal("1e-7"))


def test_the_highest_class_that_is_reached_is_said():
    lines = [
        line((6, "0.1"), (60, "0.2"), name="low"),
        line((6, "0.5"), (60, 1), name="high"),
    ]
    at = minutes(60)
    said = [class_reached(lines, time=at, strength=mpa(f)) for f in ("0.19", "0.2", 1)]
    assert said == ["", "low", "high"]


def test_a_figure_on_a_typed_point_is_the_point():
    made = strength_working(line((6, "0.2"), (60, "0.5")), minutes(60))
    assert made.exact == mpa("0.5")
    assert made.steps[0].line == "0.2 MPa at 6 min and 0.5 MPa at 60 min"


NAN = Quantity(Decimal("1E-30"), "MPa")


@pytest.mark.parametrize(
    ("refused", "said"),
    [
        (lambda: Point(minutes(-1), mpa(1)), "time -1 min: allowed is a time above 0"),
        (lambda: Point(mpa(1), mpa(1)), "time 1 MPa: allowed is a time above 0"),
        (lambda: Point(minutes(1), mpa(0)), "strength 0 MPa: allowed is a pressure"),
        (lambda: Point(minutes(1), minutes(1)), "strength 1 min: allowed is a pressure"),
        (lambda: line((6, 1)), "points: 1 in typed; two or more"),
        (lambda: line((6, 1), (6, 2)), "time 6 min: in typed allowed is more than 6"),
        (lambda: line((60, 1), (6, 2)), "time 6 min: in typed allowed is more than 60"),
        (lambda: strength_on(line((6, 1), (60, 2)), minutes("5.9")), "nothing beyond"),
        (lambda: strength_on(line((6, 1), (60, 2)), minutes("60.1")), "nothing beyond"),
        (lambda: strength_on(line((6, 1), (60, 2)), mpa(9)), "time 9 MPa: allowed"),
        (
            lambda: class_reached([], time=minutes(6), strength=mpa(1)),
            "lines: none; allowed is one or more",
        ),
        (
            lambda: class_reached(
                [line((6, 1), (60, 2))], time=minutes(6), strength=mpa(0)
            ),
            "strength 0 MPa: allowed",
        ),
        (
            lambda: class_reached(
                [line((6, 1), (60, 2))] * 2, time=minutes(6), strength=mpa(1)
            ),
            "asks no more than the class before it",
        ),
    ],
)  # fmt: skip
def test_what_is_no_measurement_is_refused_by_name(refused, said):
    with pytest.raises(ValueError, match=said):
        refused()


def test_a_very_small_strength_is_still_a_number():
    assert significant(NAN.value) == NAN.value
    tiny = Line("tiny", (Point(minutes(1), NAN), Point(minutes(4), mpa("1E-28"))))
    assert strength_on(tiny, minutes(2)).value == pytest.approx(Decimal("1E-29"))


def test_no_line_ships_and_no_time_of_re_entry_is_computed():
    # Classes and their lines are from memory with little confidence: nobody's default.
    source = Path(module.__file__).read_text("utf-8")
    assert not re.search(r"\bJ[123]\b", source)
    held = [v for v in vars(module).values() if isinstance(v, Line | Point)]
    assert held == []
    (calculation,) = CALCULATIONS
    assert calculation.caution == CAUTION
    assert "not a time of re-entry" in CAUTION
    assert "safe" not in re.sub(r"safety plan", "", CAUTION.lower())
