"""Three consecutive panels of a mixture: order, gaps, and what a run is made of."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crews.domain.panel_run import PanelMean, judge_means, judge_run
from project.domain.editions import ACI_318_19, Departure, resolve
from project.domain.units import Quantity
from project.domain.verdict import State
from tests.domain.strength.making import make_set, make_terms, stated, untested

TERMS = resolve(
    ACI_318_19.key,
    revision=1,
    effective_on=date(2026, 7, 1),
    departures={"conditioning": Departure("soaked", None, "tested")},
)
F_C = Quantity(Decimal(4000), "psi")
LATER = date(2026, 9, 14)


def _panel(day: int, *strengths: str, **changed):
    cores = [
        stated(f"TP-{day}/{n}", one, planned_age=changed.get("age", 28))
        for n, one in enumerate(strengths, start=1)
    ]
    return make_set(*cores, shot_on=date(2026, 8, day), **changed)


def _means(*values: str | None):
    return [
        PanelMean(
            f"TP-{day}",
            date(2026, 8, day),
            None if value is None else Quantity(Decimal(value), "psi"),
        )
        for day, value in enumerate(values, start=1)
    ]


def test_a_run_is_made_of_sets_in_the_order_of_their_days():
    sets = [
        _panel(5, "3700", "3700", "3700"),
        _panel(3, "4200", "4200", "4200"),
        _panel(4, "4000", "4000", "4000"),
    ]
    verdict = judge_run(sets, terms=TERMS)
    assert verdict.state is State.FAIL
    assert verdict.working is not None
    working = verdict.working()
    assert [step.line for step in working.steps] == [
        "(4200.0 + 4000.0 + 3700.0) / 3 = 3966.7 psi",
        "1.00 × 4000 = 4000 psi",
    ]
    assert {one.term for one in working.settings} == {
        "core_three_mean",
        "strength_basis",
        "core_rounding",
    }
    assert working.reported == Quantity(Decimal(3970), "psi")


def test_early_sets_and_incomplete_ones_make_no_mean():
    good = [_panel(day, "4000", "4000", "4000") for day in (3, 4)]
    early = _panel(5, "4000", "4000", "4000", age=7)
    waiting = make_set(untested(), shot_on=date(2026, 8, 6))
    verdict = judge_run([*good, early, waiting], terms=TERMS)
    assert verdict.state is State.NOT_ENOUGH_YET
    assert [reason.found for reason in verdict.reasons] == [
        "2 of 3: not enough panels yet",
        "no mean yet",
    ]
    assert [ref.name for ref in verdict.reasons[-1].evidence] == ["TP-901"]


def test_a_panel_amid_the_others_without_a_mean_leaves_the_run_undecided():
    verdict = judge_means(_means("4000", None, "4000", "4000"), f_c=F_C, terms=TERMS)
    assert verdict.state is State.UNDECIDED
    assert verdict.reasons[0].found == "TP-2 without a mean"
    names = [[ref.name for ref in reason.evidence] for reason in verdict.reasons]
    assert names == [["TP-1", "TP-2", "TP-3"], ["TP-2", "TP-3", "TP-4"]]
    assert verdict.working is None


def test_a_failing_mean_fails_the_run_whatever_is_missing():
    means = _means("3900", "3900", "4000", None, "4000")
    verdict = judge_means(means, f_c=F_C, terms=TERMS)
    assert verdict.state is State.FAIL


@pytest.mark.parametrize(
    "changed", [{"mix": "D-60"}, {"f_c": Quantity(Decimal(5), "MPa")}]
)
def test_one_run_is_of_one_mixture(changed):
    sets = [_panel(3, "4000"), _panel(4, "4000", **changed)]
    with pytest.raises(ValueError, match=r"mix of TP-901: .*; the run's is W-40"):
        judge_run(sets, terms=TERMS)


def test_a_run_needs_the_days_and_f_c():
    with pytest.raises(ValueError, match="shot_on of TP-901: not given"):
        judge_run([make_set()], terms=TERMS)
    with pytest.raises(ValueError, match="f_c: not given"):
        judge_means(_means("4000", "4000", "4000"), f_c=None, terms=TERMS)


def test_terms_that_ask_no_such_mean_say_no_limit_given():
    verdict = judge_means(_means("1000", "1000", "1000"), f_c=F_C, terms=make_terms())
    assert verdict.state is State.INFORMATION
    assert [reason.found for reason in verdict.reasons] == ["no limit given"]


def test_a_run_of_a_required_strength_that_is_missing_is_undecided():
    terms = make_terms(
        core_three_mean=Decimal(1), strength_basis="required core strength"
    )
    verdict = judge_means(_means("4000", "4000", "4000"), f_c=F_C, terms=terms)
    assert verdict.state is State.UNDECIDED


@pytest.mark.parametrize("rounding", ["strict", "rounded"])
def test_both_interpretations_of_a_run_are_shown_where_they_part(rounding):
    terms = make_terms(core_three_mean=Decimal(1), core_rounding=rounding)
    verdict = judge_means(_means("3990", "3990", "3990"), f_c=F_C, terms=terms)
    passes = rounding == "rounded"
    assert verdict.state is (State.PASS if passes else State.FAIL)
    (other,) = [r.found for r in verdict.reasons if r.key == "interpretation"]
    word = "strict: fail" if passes else "rounded: pass"
    assert other == f"{word}; lowest 99.8 % of f_c"


def test_terms_of_an_edition_no_longer_kept_are_named_by_their_key():
    old = type(TERMS)(1, "an older set", TERMS.effective_on, TERMS.values)
    verdict = judge_means(_means("4000"), f_c=F_C, terms=old)
    assert verdict.rule.startswith("an older set: ")


@given(st.lists(st.one_of(st.none(), st.integers(38_500, 41_500)), max_size=9))
def test_a_run_agrees_with_a_plain_recount(tenths):
    """Source: exact fractions, each three looked at by hand."""
    values = [None if one is None else str(Decimal(one) / 10) for one in tenths]
    verdict = judge_means(_means(*values), f_c=F_C, terms=TERMS)
    while tenths and tenths[-1] is None:
        tenths.pop()
    low = gap = False
    for first in range(len(tenths) - 2):
        three = tenths[first : first + 3]
        if None in three:
            gap = True
        elif sum(Fraction(one, 10) for one in three) < 12000:
            low = True
    if len(tenths) < 3:
        wanted = State.NOT_ENOUGH_YET
    else:
        wanted = State.FAIL if low else State.UNDECIDED if gap else State.PASS
    assert verdict.state is wanted
