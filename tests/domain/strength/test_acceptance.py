"""Sets of cores against f_c: worked sets, boundaries, and every way to wait."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from statistics import mean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.acceptance import judge_set
from crews.domain.core_facts import CorePlace, Specimen
from crews.domain.strength_set import Due, due
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import State
from tests.domain.strength.making import (
    inches,
    make_core,
    make_set,
    make_terms,
    stated,
    untested,
)

DUE_ON = date(2026, 9, 1)
LATER = date(2026, 9, 14)
EDGE = CorePlace(inches("3"), inches("12"))


def _stated(*strengths: str, unit: str = "psi", age: int = 28):
    return [
        stated(f"TP-901/{n}", value, unit, planned_age=age, tested_after_d=age)
        for n, value in enumerate(strengths, start=1)
    ]


def _found(verdict, key):
    return [reason.found for reason in verdict.reasons if reason.key == key]


@given(st.lists(st.integers(20_000, 60_000), min_size=3, max_size=7))
def test_the_mean_is_the_library_s_and_no_core_is_left_out(hundredths):
    """Source: Python's statistics.mean on exact fractions."""
    strengths = [str(Decimal(value) / 10) for value in hundredths]
    verdict = judge_set(make_set(*_stated(*strengths)), terms=make_terms(), on=LATER)
    exact = mean(Fraction(value, 10) for value in hundredths)
    lowest = Fraction(min(hundredths), 10)
    accepted = exact >= 3400 and lowest >= 3000
    assert (verdict.state is State.PASS) is accepted
    assert len(_found(verdict, "core")) == len(strengths)
    assert verdict.working is not None
    made = verdict.working().exact.value
    assert abs(Fraction(made) - exact) < Fraction(1, 10**20)


def test_cores_are_judged_on_their_unrounded_strengths():
    """4,494.6 psi is reported as 4,490 and is judged as it is."""
    cores = _stated("4500", "4494.6", "4500")
    terms = make_terms(core_average=Decimal("1"), core_single=Decimal("0.9988"))
    f_c = Quantity(Decimal(4498), "psi")
    verdict = judge_set(make_set(*cores, f_c=f_c), terms=terms, on=LATER)
    assert verdict.state is State.PASS


def test_a_strength_in_another_unit_is_judged_in_the_unit_of_f_c():
    cores = _stated("27.58", "27.58", "27.58", unit="MPa")
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert verdict.state is State.PASS
    assert _found(verdict, "mean") == ["mean 4000.1 psi"]


def test_a_figure_near_its_limit_never_looks_like_it():
    cores = _stated("3399.9997", "3400", "3400")
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert _found(verdict, "mean") == ["mean 3399.9999 psi"]


@pytest.mark.parametrize(
    ("on", "state", "word"),
    [
        (date(2026, 8, 31), State.NOT_DUE, Due.NOT_DUE),
        (date(2026, 9, 1), State.NOT_DUE, Due.TODAY),
        (date(2026, 9, 2), State.NO_DATA, Due.AWAITED),
        (date(2026, 9, 4), State.NO_DATA, Due.AWAITED),
        (date(2026, 9, 5), State.NO_DATA, Due.OVERDUE),
    ],
)
def test_a_set_that_waits_says_for_what(on, state, word):
    """Overdue after 28 + 3 days: project's choice."""
    cores = [untested(core=f"TP-901/{n}") for n in (3, 4, 5)]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=on)
    assert verdict.state is state
    assert _found(verdict, "result") == [word]
    assert _found(verdict, "cores") == ["0 of 3 count so far"]
    assert verdict.working is None


def test_without_a_patience_a_result_is_overdue_the_next_day():
    terms = make_terms(result_overdue_after=None)
    assert due(DUE_ON, terms=terms, on=date(2026, 9, 2)) is Due.OVERDUE


@pytest.mark.parametrize(
    ("on", "state"), [(date(2026, 8, 20), State.NOT_DUE), (LATER, State.NO_DATA)]
)
def test_a_set_without_cores_is_never_a_pass(on, state):
    verdict = judge_set(make_set(), terms=make_terms(), on=on)
    assert verdict.state is state
    assert _found(verdict, "cores") == ["0 can count; 3 more to be drilled"]


def test_two_of_three_are_incomplete_and_never_averaged():
    cores = [*_stated("4000", "4000"), untested(core="TP-901/5")]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert verdict.state is State.INCOMPLETE
    assert _found(verdict, "mean") == []
    assert _found(verdict, "cores") == ["2 of 3 count so far"]
    assert _found(verdict, "result") == ["overdue"]


def test_a_core_on_order_keeps_three_good_ones_from_being_the_set():
    cores = [*_stated("4000", "4000", "4000"), untested(core="TP-901/6")]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert verdict.state is State.INCOMPLETE


def test_one_low_core_refuses_a_set_that_is_not_complete():
    cores = [*_stated("2999"), untested(core="TP-901/4"), untested(core="TP-901/5")]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=DUE_ON)
    assert verdict.state is State.FAIL
    assert [reason.key for reason in verdict.unmet] == ["result", "cores", "core"]
    assert _found(verdict, "interpretation") == ["rounded: pass; lowest 74.98 % of f_c"]


def test_an_excluded_core_is_listed_and_wants_another():
    short = make_core(core="TP-901/5", length=inches("2.9"), reinforcement="bar")
    cores = [*_stated("4000", "4000"), short]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert verdict.state is State.INCOMPLETE
    assert _found(verdict, "result") == ["reported"]
    assert _found(verdict, "cores") == ["2 can count; 1 more to be drilled"]
    assert _found(verdict, "not counted") == [
        "TP-901/5: 0.967 diameters long as tested, too short; holds bar"
    ]


def test_a_set_where_nothing_may_count_is_incomplete():
    cores = [make_core(core=f"TP-901/{n}", damage="cracked") for n in (3, 4, 5)]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert verdict.state is State.INCOMPLETE
    assert verdict.working is None


def test_an_excluded_core_beside_three_good_ones_leaves_a_pass():
    low = make_core(
        core="TP-901/6", reinforcement="bar", load=Quantity(Decimal(9000), "lbf")
    )
    cores = [*_stated("4000", "4000", "4000"), low]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert verdict.state is State.PASS
    assert _found(verdict, "not counted") == ["TP-901/6: holds bar"]
    assert verdict.unmet == ()


def test_an_undecided_core_leaves_the_set_undecided():
    dry = stated("TP-901/4", "9000", conditioning="as received")
    cores = [*_stated("4000", "4000", "4000"), dry]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert verdict.state is State.UNDECIDED
    assert _found(verdict, "not decided") == ["TP-901/4: as received, not soaked"]
    assert _found(verdict, "mean") == []


def test_a_core_under_a_condition_counts_and_says_so():
    late = stated("TP-901/3", "4000", tested_after_d=30)
    cores = [*_stated("4000", "4000"), late]
    verdict = judge_set(make_set(*cores), terms=make_terms(), on=LATER)
    assert verdict.state is State.PASS
    assert _found(verdict, "counted, but") == ["TP-901/3: tested at 30 d"]


def test_early_cores_are_information_however_low():
    terms = make_terms(early_core_count=Decimal(2))
    cores = _stated("1000", "1120", age=7)
    verdict = judge_set(make_set(*cores, age=7), terms=terms, on=LATER)
    assert verdict.state is State.INFORMATION
    assert _found(verdict, "mean") == ["mean 1060.0 psi, 26.5 % of f_c"]
    assert verdict.failed == ()
    assert verdict.rule == "IBC 2018 s.1908: early cores, for information"


def test_a_mix_with_its_own_test_age_is_early_until_then():
    terms = make_terms()
    cores = _stated("2000", "2000", "2000")
    slow = make_set(*cores, test_age=56)
    assert judge_set(slow, terms=terms, on=LATER).state is State.INFORMATION
    plain = make_set(*cores)
    assert judge_set(plain, terms=terms, on=LATER).state is State.FAIL


def test_early_cores_without_a_number_in_the_terms_need_one_at_least():
    verdict = judge_set(make_set(age=7), terms=make_terms(), on=LATER)
    assert verdict.state is State.NO_DATA
    one = judge_set(
        make_set(*_stated("1000", age=7), age=7), terms=make_terms(), on=LATER
    )
    assert one.state is State.INFORMATION


def test_limits_and_margins_are_in_the_unit_of_f_c():
    verdict = judge_set(
        make_set(*_stated("3900", "4000", "4100")), terms=make_terms(), on=LATER
    )
    shown = [
        (str(reason.limit), str(reason.margin))
        for reason in verdict.reasons
        if reason.limit is not None
    ]
    assert shown == [
        ("3400.00 psi", "600.00 psi"),
        ("3000.00 psi", "900.00 psi"),
        ("3000.00 psi", "1000.00 psi"),
        ("3000.00 psi", "1100.00 psi"),
    ]
    assert verdict.rule == (
        "IBC 2018 s.1908: mean at least 0.85 f_c, each core at least 0.75 f_c, strict"
    )


def test_the_working_shows_the_mean_and_both_limits():
    verdict = judge_set(
        make_set(*_stated("3900", "4000", "4055")), terms=make_terms(), on=LATER
    )
    assert verdict.working is not None
    working = verdict.working()
    assert [step.line for step in working.steps] == [
        "(3900.0 + 4000.0 + 4055.0) / 3 = 3985.0 psi",
        "0.85 × 4000 = 3400 psi",
        "0.75 × 4000 = 3000 psi",
    ]
    assert working.reported == Quantity(Decimal(3980), "psi")


def test_terms_of_an_edition_no_longer_kept_are_named_by_their_key():
    terms = make_terms()
    old = Terms(1, "an older set", terms.effective_on, terms.values)
    verdict = judge_set(make_set(*_stated("4000", "4000", "4000")), terms=old, on=LATER)
    assert verdict.rule.startswith("an older set: ")


def test_terms_without_a_rule_are_refused_by_name():
    terms = make_terms()
    values = {k: v for k, v in terms.values.items() if k != "core_single"}
    with pytest.raises(ValueError, match="term core_single: not given"):
        judge_set(make_set(), terms=Terms(1, "x", terms.effective_on, values), on=LATER)


def test_terms_without_an_age_take_no_set_for_early():
    terms = make_terms()
    values = {k: v for k, v in terms.values.items() if k != "core_age"}
    lacking = Terms(1, "x", terms.effective_on, values)
    cores = _stated("4000", "4000", "4000", age=7)
    verdict = judge_set(make_set(*cores, age=7), terms=lacking, on=LATER)
    assert verdict.state is State.PASS


@pytest.mark.parametrize("key", ["core_average", "strength_basis"])
def test_terms_without_a_share_or_a_basis_are_refused_by_name(key):
    terms = make_terms()
    values = {k: v for k, v in terms.values.items() if k != key}
    with pytest.raises(ValueError, match=f"term {key}: not given"):
        judge_set(make_set(), terms=Terms(1, "x", terms.effective_on, values), on=LATER)


def test_cores_and_cubes_are_never_one_set():
    """Source: IBC 2009, 1913.10.3, cores 0.85 and 0.75, cubes 1.00 and 0.88 (read)."""
    cube = stated("TP-901/4", "4000", specimen=Specimen.CUBE)
    with pytest.raises(ValueError, match="TP-901/4: cube; the set's is core"):
        make_set(*_stated("4000", "4000"), cube)


def test_a_set_of_cubes_speaks_of_cubes():
    cubes = [
        stated(f"TP-901/{n}", value, specimen=Specimen.CUBE)
        for n, value in ((3, "4000"), (4, "4480"), (5, "3519"))
    ]
    one = make_set(*cubes, specimen=Specimen.CUBE)
    verdict = judge_set(one, terms=make_terms(), on=LATER)
    assert [(r.key, r.found) for r in verdict.failed] == [
        ("mean", "mean 3999.7 psi"),
        ("cube", "TP-901/5: 3519.0 psi"),
    ]
    assert verdict.rule.endswith("each cube at least 0.88 f_c, strict")
    lacking = judge_set(
        make_set(*cubes[:2], specimen=Specimen.CUBE), terms=make_terms(), on=LATER
    )
    assert _found(lacking, "cubes") == ["2 can count; 1 more to be sawn"]


def test_cubes_without_a_share_wait_as_cubes_do():
    terms = make_terms(cube_single=None)
    empty = make_set(specimen=Specimen.CUBE)
    verdict = judge_set(empty, terms=terms, on=date(2026, 8, 20))
    assert verdict.state is State.NOT_DUE
    assert _found(verdict, "limits") == ["no limit given"]
    assert verdict.rule == "IBC 2018 s.1908: not all limits are given"


def test_a_required_core_strength_that_is_missing_is_never_f_c():
    terms = make_terms(strength_basis="required core strength")
    verdict = judge_set(make_set(*_stated(*["9000"] * 3)), terms=terms, on=LATER)
    assert verdict.state is State.UNDECIDED
    assert _found(verdict, "basis") == ["required core strength not given"]
    assert _found(verdict, "mean") == ["mean 9000.0 psi"]
    assert verdict.working is not None
    assert [step.name for step in verdict.working().steps] == ["mean"]


def test_shares_of_a_required_core_strength_are_compared_in_its_own_unit():
    terms = make_terms(
        strength_basis="required core strength",
        required_core_strength=Quantity(Decimal("27.5"), "MPa"),
    )
    verdict = judge_set(make_set(*_stated(*["4000"] * 3)), terms=terms, on=LATER)
    (average,) = [r for r in verdict.reasons if r.key == "mean"]
    assert average.found == "mean 27.58 MPa"
    assert str(average.limit) == "23.375 MPa"
    assert average.requirement == (
        "mean of the set at least 0.85 required core strength"
    )
    assert verdict.working is not None
    working = verdict.working()
    assert working.inputs[0].name == "required core strength"
    assert working.reported == Quantity(Decimal(4000), "psi")


def test_the_other_limit_of_correction_is_shown_with_its_answer():
    """Three cores of L/D 1.767: 4,527 psi, or 4,443 by the other limit."""
    long = {"length": inches("5.30"), "load": Quantity(Decimal(32000), "lbf")}
    cores = [make_core(core=f"TP-901/{n}", **long) for n in (3, 4, 5)]
    one = make_set(*cores, f_c=Quantity(Decimal(5300), "psi"))
    verdict = judge_set(one, terms=make_terms(), on=LATER)
    assert verdict.state is State.PASS
    assert _found(verdict, "correction limit") == [
        "by the other limit: fail; mean 4442.6, lowest 4442.6 psi"
    ]
    other = judge_set(one, terms=make_terms(ld_limit="under 1.94"), on=LATER)
    assert other.state is State.FAIL
    assert _found(other, "correction limit") == [
        "by the other limit: pass; mean 4527.1, lowest 4527.1 psi"
    ]


def test_a_wide_scatter_is_a_prompt_and_leaves_every_core_in():
    verdict = judge_set(
        make_set(*_stated("4000", "4000", "3100")), terms=make_terms(), on=LATER
    )
    assert verdict.state is State.PASS
    assert _found(verdict, "scatter") == ["range 900.0 psi, 24.3 % of the mean"]
    assert _found(verdict, "erratic") == ["TP-901/3: 22.5 % off the mean of the others"]
    assert len(_found(verdict, "core")) == 3


def test_cores_of_another_age_are_refused():
    with pytest.raises(ValueError, match="core TP-901/3: planned_age 28 d"):
        make_set(make_core(), age=7)


@pytest.mark.parametrize("f_c", ["0", "50000"])
def test_an_f_c_no_concrete_has_is_refused(f_c):
    with pytest.raises(ValueError, match=r"f_c of W-40 rev 1: strength .+ allowed is"):
        make_set(f_c=Quantity(Decimal(f_c), "psi"))
