"""Every gate alone, the gates in pairs, the days on which a card ends."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from crews.domain import examples
from crews.domain.gates import GATES
from crews.domain.qualification import RULE, standing, words
from project.domain.clocks import Interval
from project.domain.verdict import State, Verdict
from tests.domain.qualification.changes import CHANGES, example, table

ALONE = table("gates_alone.csv")
PAIRS = table("gates_in_pairs.csv")
DAYS = table("card_days.csv")


def test_the_table_walks_every_change() -> None:
    assert {row["changes"] for row in ALONE} == set(CHANGES)


@pytest.mark.parametrize("row", ALONE, ids=[row["changes"] for row in ALONE])
def test_each_gate_alone(row: dict[str, str]) -> None:
    verdict = CHANGES[row["changes"]](example()).judge()
    found = {reason.key: reason.state.value for reason in verdict.reasons}
    assert found == {gate: row[gate.replace("-", "_")] for gate in GATES}
    assert words(verdict) == row["words"]
    assert row["found"] in " | ".join(reason.found for reason in verdict.reasons)


@pytest.mark.parametrize(
    "row", PAIRS, ids=[f"{row['first']} {row['second']}" for row in PAIRS]
)
def test_two_gates_at_once_give_both_reasons(row: dict[str, str]) -> None:
    case = CHANGES[row["second"]](CHANGES[row["first"]](example()))
    verdict = case.judge()
    assert words(verdict) == row["words"]
    assert [reason.key for reason in verdict.failed] == row["failed"].split()


def test_the_pairs_are_every_pair_of_gates() -> None:
    pairs = {tuple(row["failed"].split()) for row in PAIRS}
    wanted = {(a, b) for n, a in enumerate(GATES) for b in GATES[n + 1 :]}
    assert wanted <= pairs


@pytest.mark.parametrize("change", CHANGES)
def test_all_gates_are_listed_in_their_order_with_their_grounds(change: str) -> None:
    verdict = CHANGES[change](example()).judge()
    assert tuple(reason.key for reason in verdict.reasons) == GATES
    assert verdict.rule == RULE
    for reason in verdict.reasons:
        assert reason.requirement
        assert reason.found
        assert reason.source.document


def test_an_open_gate_names_the_record_that_opens_it() -> None:
    verdict = example().judge()
    named = {r.key: [ref.name for ref in r.evidence] for r in verdict.reasons}
    assert named == {
        "enrolment": ["SUB-OP-01"],
        "card": ["WV-0001"],
        "level": ["WV-0001"],
        "mock-up": ["MU-01"],
        "activity": ["MU-01"],
        "mix": ["W-45A rev 2"],
        "suspension": [],
    }


def test_a_mock_up_says_who_asks_for_it() -> None:
    asked = example().judge().reasons[GATES.index("mock-up")].requirement
    assert "asked by contract (class A)" in asked
    case = CHANGES["mock_up_absent_asked_by_code"](example())
    by_code = case.judge().reasons[GATES.index("mock-up")].requirement
    assert "contract" not in by_code
    assert "IBC 2018, 1908.4.2 (from memory)" in by_code


def in_utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def judged_on(row: dict[str, str]) -> Verdict:
    card = replace(
        examples.card(),
        issued_on=date(2020, 1, 1),
        expires_on=date.fromisoformat(row["last_day"]),
    )
    place = replace(
        examples.operator_file().enrolments[0],
        from_on=date(2020, 1, 1),
        approved_on=date(2020, 1, 1),
    )
    file = replace(
        examples.operator_file(), cards=(card,), enrolments=(place,), mock_ups=()
    )
    mix = replace(examples.demand().mix, approved_on=date(2020, 1, 1))
    demand = replace(
        examples.demand(), mix=mix, reinforcement=None, mock_up_by_contract=None
    )
    stop = in_utc(row["stop_utc"]) if row["stop_utc"] else None
    interval = Interval(in_utc(row["start_utc"]), stop, row["zone"])
    return standing(file, demand, interval=interval, watch=None, terms=None)


@pytest.mark.parametrize(
    "row", DAYS, ids=[f"{r['zone']} {r['start_utc']} {r['stop_utc']}" for r in DAYS]
)
def test_the_printed_day_is_the_last_valid_one_in_the_jobs_zone(
    row: dict[str, str],
) -> None:
    verdict = judged_on(row)
    card = next(reason for reason in verdict.reasons if reason.key == "card")
    assert card.state.value == row["state"]
    if row["holds_until_utc"]:
        assert verdict.holds_until == in_utc(row["holds_until_utc"])
        last = f"card WV-0001: last valid day {row['last_day']}"
        assert verdict.ends_because == last
    else:
        assert verdict.state is State.FAIL
        assert verdict.holds_until is None
