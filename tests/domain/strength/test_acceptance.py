"""Sets of cores against f_c: worked sets, boundaries, and every way to wait."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from statistics import mean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.acceptance import judge_set
from crews.domain.core_facts import CorePlace
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
from tests.support.tables import cases

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


@cases("strength/sets")
def test_worked_set(row):
    unit = row["unit"]
    cores = _stated(*row["strengths"].split(), unit=unit)
    terms = make_terms(
        core_average=Decimal(row["average"]),
        core_single=Decimal(row["single"]),
        core_rounding=row["rounding"],
        strength_unit=unit,
    )
    f_c = Quantity(Decimal(row["f_c"]), unit)
    verdict = judge_set(make_set(*cores, f_c=f_c), terms=terms, on=LATER)
    assert verdict.state == row["state"]
    assert {reason.key for reason in verdict.failed} == set(row["failed"].split())
    (average,) = [reason for reason in verdict.reasons if reason.key == "mean"]
    assert average.limit is not None
    assert average.margin is not None
    assert average.limit.value == Decimal(row["average"]) * f_c.value
    computed = average.limit.value + average.margin.value
    assert abs(computed - Decimal(row["mean"])) <= Decimal(row["tolerance"])
    other = [text.split(";")[0] for text in _found(verdict, "interpretation")]
    mode = {"strict": "rounded", "rounded": "strict"}[row["rounding"]]
    assert other == ([f"{mode}: {row['other']}"] if row["other"] else [])


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


def test_cores_of_another_age_are_refused():
    with pytest.raises(ValueError, match="core TP-901/3: planned_age 28 d"):
        make_set(make_core(), age=7)


@pytest.mark.parametrize("f_c", ["0", "50000"])
def test_an_f_c_no_concrete_has_is_refused(f_c):
    with pytest.raises(ValueError, match=r"f_c of W-40 rev 1: strength .+ allowed is"):
        make_set(f_c=Quantity(Decimal(f_c), "psi"))
