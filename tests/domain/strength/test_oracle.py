"""Whole sets of measured cores against a slow and obvious recomputation.

The recomputation knows nothing of the code: fractions, the table by hand, the two
limits of correction and the two interpretations of a percent spelled out.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from crews.domain.acceptance import judge_set
from project.domain.units import Quantity
from project.domain.verdict import State
from tests.domain.strength.making import inches, make_core, make_set, make_terms

# A bound of pi from either side would do; the 50 digits are the code's own figure's.
PI = Fraction("3.14159265358979323846264338327950288419716939937511")


def _factor(ld: Fraction, limit: str) -> Fraction:
    """Source: ASTM C42 table (read), linear between its rows (from memory)."""
    if limit == "1.75 or less" and ld > Fraction(7, 4):
        return Fraction(1)
    if limit == "under 1.94" and ld >= Fraction(194, 100):
        return Fraction(1)
    if ld <= Fraction(5, 4):
        return Fraction("0.87") + (ld - 1) * Fraction("0.06") / Fraction("0.25")
    if ld <= Fraction(3, 2):
        return Fraction("0.93") + (ld - Fraction(5, 4)) * Fraction("0.03") * 4
    if ld <= Fraction(7, 4):
        return Fraction("0.96") + (ld - Fraction(3, 2)) * Fraction("0.02") * 4
    return Fraction("0.98") + (ld - Fraction(7, 4)) * Fraction("0.02") * 4


def _counts(core: dict) -> bool:
    diameter = (Fraction(core["d1"]) + Fraction(core["d2"])) / 2
    ld = Fraction(core["length"]) / diameter
    return core["reinforcement"] == "none" and 1 <= ld <= Fraction("2.1")


def _strength(core: dict, limit: str) -> Fraction:
    diameter = (Fraction(core["d1"]) + Fraction(core["d2"])) / 2
    ld = Fraction(core["length"]) / diameter
    raw = core["load"] / (PI * diameter * diameter / 4)
    return raw * _factor(ld, limit)


def _state(cores: list[dict], f_c: int, limit: str, rounding: str) -> State:
    off = Fraction(0) if rounding == "strict" else Fraction(1, 200)
    strengths = [_strength(core, limit) for core in cores if _counts(core)]
    low = any(one < (Fraction(3, 4) - off) * f_c for one in strengths)
    if len(strengths) < 3:
        return State.FAIL if low else State.INCOMPLETE
    mean = sum(strengths, Fraction(0)) / len(strengths)
    return State.FAIL if low or mean < (Fraction("0.85") - off) * f_c else State.PASS


CORES = st.fixed_dictionaries(
    {
        "d1": st.decimals("2.95", "3.10", places=2),
        "d2": st.decimals("2.95", "3.10", places=2),
        "length": st.decimals("2.90", "6.60", places=2),
        "load": st.integers(22_000, 40_000),
        "reinforcement": st.sampled_from(("none", "none", "none", "bar", "mesh")),
    }
)


@given(
    cores=st.lists(CORES, min_size=1, max_size=7),
    f_c=st.sampled_from((3500, 4000, 4500, 5000)),
    limit=st.sampled_from(("1.75 or less", "under 1.94")),
    rounding=st.sampled_from(("strict", "rounded")),
)
def test_a_set_agrees_with_the_slow_recomputation(cores, f_c, limit, rounding):
    made = [
        make_core(
            core=f"TP-901/{n}",
            **{name: inches(str(core[name])) for name in ("d1", "d2", "length")},
            diameter=inches("3"),
            length_drilled=None,
            load=Quantity(Decimal(core["load"]), "lbf"),
            reinforcement=core["reinforcement"],
        )
        for n, core in enumerate(cores, start=1)
    ]
    terms = make_terms(ld_limit=limit, core_rounding=rounding)
    one = make_set(*made, f_c=Quantity(Decimal(f_c), "psi"))
    verdict = judge_set(one, terms=terms, on=date(2026, 9, 14))
    assert verdict.state is _state(cores, f_c, limit, rounding)
    assert len([r for r in verdict.reasons if r.key == "core"]) == sum(
        _counts(core) for core in cores
    )
    others = {
        "interpretation": _state(
            cores, f_c, limit, "rounded" if rounding == "strict" else "strict"
        ),
    }
    shown = any(r.key == "interpretation" for r in verdict.reasons)
    assert shown is (others["interpretation"] is not verdict.state)
