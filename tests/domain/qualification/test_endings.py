"""Until when an answer stands, and what ends it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest

from crews.domain import examples
from crews.domain.qualification import standing
from crews.domain.trade_words import Level
from project.domain.clocks import Interval
from project.domain.verdict import State, Verdict
from tests.domain.qualification.changes import CHANGES, Case, at, example


def ends(verdict: Verdict) -> tuple[str, str]:
    if verdict.holds_until is None:
        return "", verdict.ends_because
    local = verdict.holds_until.astimezone(examples.AT.tzinfo)
    return f"{local:%Y-%m-%d %H:%M:%S}", verdict.ends_because


def renewed(case: Case) -> Case:
    old = case.file.cards[0]
    new = replace(
        old,
        id=UUID(int=60),
        number="WV-0009",
        issued_on=date(2028, 3, 15),
        expires_on=date(2033, 3, 14),
    )
    return replace(case, file=replace(case.file, cards=(old, new)))


@pytest.mark.parametrize(
    ("change", "until", "because"),
    [
        ("none", "2028-03-14 23:59:59", "card WV-0001: last valid day 2028-03-14"),
        ("card_last_day", "2026-08-04 23:59:59", "card WV-0001: last valid day"),
        ("enrolment_last_day", "2026-08-04 23:59:59", "enrolment: last day 2026-08-04"),
        ("mix_withdrawn_next_day", "2026-08-04 23:59:59", "withdrawn from 2026-08-05"),
        ("suspended_later", "2026-08-04 07:10:59", "suspension by BT"),
        ("trainee", "2028-03-14 23:59:59", "card WV-0001: last valid day"),
        ("trainee_supervised", "2028-03-14 23:59:59", "card WV-0001: last valid day"),
        # A refusal ends when something on record opens what is shut.
        ("enrolment_not_begun", "2026-08-04 23:59:59", "enrolment: from 2026-08-05"),
        ("card_not_issued", "2026-08-04 23:59:59", "WV-0001: valid from 2026-08-05"),
        ("mix_approved_next_day", "2026-08-04 23:59:59", "approved 2026-08-05"),
        ("mock_up_accepted_later", "2026-08-04 07:10:59", "mock-up MU-01: accepted"),
        ("rig_equal_later", "2026-08-04 11:59:59", "rig accepted as equivalent"),
        ("suspended", "", ""),
        ("card_expired", "", ""),
        ("enrolment_ended", "", ""),
        ("mock_up_rejected_afterwards", "", ""),
    ],
)
def test_the_first_fact_that_ends_an_answer(
    change: str, until: str, because: str
) -> None:
    found = ends(CHANGES[change](example()).judge())
    assert found[0] == until
    assert because in found[1]


def test_a_renewed_card_carries_the_answer_on() -> None:
    assert ends(renewed(example()).judge())[0] == "2033-03-14 23:59:59"


def test_two_shut_gates_end_together_only_when_both_open() -> None:
    case = CHANGES["mock_up_accepted_later"](CHANGES["card_not_issued"](example()))
    found = ends(case.judge())
    assert found[0] == "2026-08-04 23:59:59"
    assert "valid from 2026-08-05" in found[1]


def test_a_supervisors_card_ends_the_condition_too() -> None:
    case = CHANGES["trainee_supervised"](example())
    assert case.watch is not None
    assert case.watch.supervisor is not None
    beside = case.watch.supervisor
    soon = replace(beside.cards[0], number="WV-0003", expires_on=date(2026, 8, 10))
    short = replace(case.watch, supervisor=replace(beside, cards=(soon,)))
    found = ends(replace(case, watch=short).judge())
    assert found == ("2026-08-10 23:59:59", "card WV-0003: last valid day 2026-08-10")


def test_a_contract_that_does_not_count_the_printed_day_ends_one_day_earlier() -> None:
    case = replace(
        example(), terms=CHANGES["card_last_day_not_counted"](example()).terms
    )
    assert ends(case.judge())[0] == "2028-03-13 23:59:59"


def test_an_answer_over_an_interval_looks_on_from_its_end() -> None:
    """The suspension falls inside: it refuses; nothing after it changes that."""
    case = CHANGES["suspended_later"](example())
    whole = Interval(examples.AT, at("2026-08-04T11:00"), examples.ZONE)
    verdict = standing(case.file, case.demand, interval=whole, watch=None, terms=None)
    assert verdict.state is State.FAIL
    assert verdict.holds_until is None


def test_a_suspension_that_begins_as_the_nozzle_is_left_does_not_touch() -> None:
    case = CHANGES["suspended_later"](example())
    for stop, state in (("07:11", State.PASS), ("07:12", State.FAIL)):
        left = Interval(examples.AT, at(f"2026-08-04T{stop}"), examples.ZONE)
        verdict = standing(
            case.file, case.demand, interval=left, watch=None, terms=None
        )
        assert verdict.state is state


@pytest.mark.parametrize(
    "change", ["mix_approved_next_day", "enrolment_not_begun", "card_not_issued"]
)
def test_what_opens_on_the_second_date_does_not_cure_the_first(change: str) -> None:
    case = CHANGES[change](example())
    night = Interval(examples.AT, at("2026-08-05T03:00"), examples.ZONE)
    verdict = standing(case.file, case.demand, interval=night, watch=None, terms=None)
    assert verdict.state is State.FAIL
    assert verdict.holds_until is None


def test_a_full_card_on_record_ends_the_condition() -> None:
    case = CHANGES["trainee"](example())
    full = replace(
        examples.card(), id=UUID(int=61), number="WV-0004", issued_on=date(2026, 9, 1)
    )
    assert case.file.cards[0].level is Level.IN_TRAINING
    file = replace(case.file, cards=(*case.file.cards, full))
    found = ends(replace(case, file=file).judge())
    assert found == ("2026-08-31 23:59:59", "card WV-0004: valid from 2026-09-01")
