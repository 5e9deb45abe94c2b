"""The scenario's answers, compared with an independent reading of the rules.

Source of every expected answer: tests/tables/expected.json, computed from the
scenario by another hand. Compared are verdicts, the failed gates and idle days.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from crews.domain.certification import contradictions
from crews.domain.clearance import clear_spacing, mockup_needed
from crews.domain.demand import Demand
from crews.domain.mockup_coverage import missing
from crews.domain.mockup_gate import compared, shown_by
from crews.domain.qualification import possible_supervisors, standing, words
from crews.domain.supervision import Watch
from crews.domain.trade_words import Method
from project.domain.clocks import Interval
from project.domain.verdict import State, Verdict
from tests.domain.qualification.scenario import EXPECTED, Scenario, read

GATE_WORDS = {
    "assignment": "enrolment",
    "card": "card",
    "level": "level",
    "mock-up": "mock-up",
    "suspended": "suspension",
    "idle": "activity",
}
# Their word -> ours; the class of equipment is the mix's process here.
ATTRIBUTES = {
    "process": "process",
    "position": "position",
    "method": "method",
    "mix": "mix",
    "bar": "bar size",
    "clear": "clear spacing",
    "curtains": "curtains",
    "splice": "splice",
    "thickness": "thickness",
}

SCENARIO = Scenario()
WANTED = read(EXPECTED)


def judge(
    operator: str,
    demand: Demand,
    start: str,
    *,
    known_at: datetime | None = None,
    watch: Watch | None = None,
) -> Verdict:
    interval = SCENARIO.interval(start)
    return standing(
        SCENARIO.files[operator].known_at(known_at or SCENARIO.as_of()),
        demand,
        interval=interval,
        watch=watch,
        terms=SCENARIO.terms(interval.start.date()),
    )


def failed_gates(wanted: dict[str, Any]) -> set[str]:
    """Return the failed gates of an expected answer."""
    return {GATE_WORDS[line.split(":")[0]] for line in wanted.get("failed", [])}


def agrees(verdict: Verdict, wanted: dict[str, Any]) -> None:
    assert words(verdict) == wanted["verdict"]
    assert {reason.key for reason in verdict.failed} == failed_gates(wanted)
    if "evidence" in wanted:
        mock_up = next(r for r in verdict.reasons if r.key == "mock-up")
        assert wanted["evidence"]["mockup"] == mock_up.evidence[0].name
        activity = next(r for r in verdict.reasons if r.key == "activity")
        assert activity.found.startswith(f"{wanted['evidence']['idle_days']} days ")


QUESTIONS = WANTED["eligibility_at"]


@pytest.mark.parametrize(
    "question", QUESTIONS, ids=[f"{q['part']} {q['at']}" for q in QUESTIONS]
)
def test_who_may_shoot_a_part_at_an_instant(question: dict[str, Any]) -> None:
    demand = SCENARIO.demand(question["part"], mix=question["mix"])
    assert set(question["answers"]) == set(SCENARIO.files)
    for operator, wanted in question["answers"].items():
        agrees(judge(operator, demand, question["at"]), wanted)


def lacking(answer: dict[str, Any]) -> Iterator[tuple[str, set[str]]]:
    """Yield each mock-up that an expected answer says falls short, and in what."""
    for line in answer.get("failed", []):
        if line.startswith("mock-up"):
            for text in line.split("; ")[1:]:
                code, _, attributes = text.partition(": ")
                first = {a.strip().split(" ")[0] for a in attributes.split(",")}
                yield code, {ATTRIBUTES[a] for a in first if a != "equipment"}


def test_each_mock_up_falls_short_in_the_expected_attributes() -> None:
    seen = 0
    for question in QUESTIONS:
        demand = SCENARIO.demand(question["part"], mix=question["mix"])
        at = SCENARIO.local(question["at"])
        for operator, wanted in question["answers"].items():
            shown = shown_by(SCENARIO.files[operator], demand, at=at)
            found = {
                mock_up.code: {c.attribute for c in missing(lines)} - {"acceptance"}
                for mock_up, lines in compared(shown, demand)
            }
            for code, attributes in lacking(wanted):
                assert found[code] == attributes, (question["part"], operator, code)
                seen += 1
    assert seen > 200


def test_a_robotic_certificate_does_not_open_a_hand_part_nor_the_reverse() -> None:
    wanted = WANTED["eligibility_robotic"]
    for method in Method:
        demand = SCENARIO.demand(wanted["part"], mix="W-50F", method=method)
        verdict = judge(wanted["operator"], demand, wanted["at"])
        agrees(verdict, wanted[method.value])


STARTS = WANTED["eligibility_at_start_of_each_nozzle_time"]


def taken(placement: str, operator: str) -> tuple[dict[str, Any], dict[str, Any]]:
    row = next(p for p in SCENARIO.data["placements"] if p["id"] == placement)
    return row, next(s for s in row["segments"] if s["operator"] == operator)


def demand_of(placement: str, operator: str) -> Demand:
    row, nozzle_time = taken(placement, operator)
    return SCENARIO.demand(
        nozzle_time["part_code"],
        mix=row["mix"],
        method=Method(row["method"]),
        rig=SCENARIO.rig(row["rig"]),
    )


@pytest.mark.parametrize(
    "wanted", STARTS, ids=[f"{s['placement']} {s['operator']}" for s in STARTS]
)
def test_at_the_start_of_each_nozzle_time(wanted: dict[str, Any]) -> None:
    """On the rig that was used, so that rig A2 stands on the accepted equivalence."""
    demand = demand_of(wanted["placement"], wanted["operator"])
    verdict = judge(wanted["operator"], demand, wanted["start"])
    agrees(verdict, wanted)
    card = next(r for r in verdict.reasons if r.key == "card")
    if verdict.state is not State.FAIL:
        assert f"last valid day {wanted['card_last_day']}" in card.found


def test_every_nozzle_time_is_asked_about() -> None:
    shot = {
        (p["id"], s["operator"])
        for p in SCENARIO.data["placements"]
        for s in p["segments"]
    }
    assert shot == {(s["placement"], s["operator"]) for s in STARTS}


def test_only_two_nozzle_times_were_not_qualified_over_their_whole_interval() -> None:
    refused = []
    for row in SCENARIO.data["placements"]:
        for part in row["segments"]:
            interval = SCENARIO.interval(part["started_at"], part["ended_at"])
            verdict = standing(
                SCENARIO.files[part["operator"]].known_at(SCENARIO.as_of()),
                demand_of(row["id"], part["operator"]),
                interval=interval,
                watch=None,
                terms=SCENARIO.terms(interval.start.date()),
            )
            if verdict.state is State.FAIL:
                keys = {reason.key for reason in verdict.failed}
                refused.append((row["id"], part["operator"], keys))
    assert refused == [
        (line["placement"], line["operator"], failed_gates(line))
        for line in WANTED["not_permitted"]
    ]


@pytest.mark.parametrize(
    "wanted",
    WANTED["eligibility_two_clocks"],
    ids=[row["known_at"] for row in WANTED["eligibility_two_clocks"]],
)
def test_what_was_known_at_the_time_stays_answerable(wanted: dict[str, Any]) -> None:
    demand = SCENARIO.demand(wanted["part"], mix="W-45A")
    known_at = SCENARIO.local(wanted["known_at"])
    verdict = judge(wanted["operator"], demand, wanted["as_of"], known_at=known_at)
    agrees(verdict, wanted)
    if verdict.state is State.PASS:
        card = next(reason for reason in verdict.reasons if reason.key == "card")
        assert f"last valid day {wanted['card_last_day']}" in card.found
        # The 180 days without shooting run out before the mistyped card.
        assert verdict.holds_until is not None
        until = verdict.holds_until.astimezone(known_at.tzinfo)
        assert until.date() == date(2026, 8, 20) + timedelta(days=180)


def test_the_same_people_may_supervise_the_trainee() -> None:
    asked = 0
    for question in QUESTIONS:
        demand = SCENARIO.demand(question["part"], mix=question["mix"])
        interval = SCENARIO.interval(question["at"])
        for operator, wanted in question["answers"].items():
            if "possible_supervisors" not in wanted:
                continue
            known = {k: f.known_at(SCENARIO.as_of()) for k, f in SCENARIO.files.items()}
            able = possible_supervisors(
                known[operator],
                list(known.values()),
                demand,
                interval=interval,
                terms=SCENARIO.terms(interval.start.date()),
            )
            assert [f.operator.id for f in able] == wanted["possible_supervisors"]
            asked += 1
    assert asked == 9


def test_the_named_supervisor_stands_in_the_condition() -> None:
    wanted = next(s for s in STARTS if s.get("supervisor"))
    demand = demand_of(wanted["placement"], wanted["operator"])
    beside = SCENARIO.files[wanted["supervisor"]].known_at(SCENARIO.as_of())
    verdict = judge(
        wanted["operator"], demand, wanted["start"], watch=Watch(supervisor=beside)
    )
    level = next(r for r in verdict.reasons if r.key == "level")
    assert words(verdict) == wanted["verdict"]
    assert beside.operator.name in level.found
    assert beside.operator in level.evidence


@pytest.mark.parametrize(
    "wanted",
    WANTED["mockup_required"],
    ids=[w["part"] for w in WANTED["mockup_required"]],
)
def test_which_parts_the_code_asks_a_mock_up_for(wanted: dict[str, Any]) -> None:
    part = SCENARIO.parts[wanted["part"]]
    demand = SCENARIO.demand(wanted["part"], mix=part["mix"])
    terms = SCENARIO.terms(SCENARIO.as_of().date())
    verdict = mockup_needed(demand.reinforcement, terms=terms)
    assert (verdict.state is State.FAIL) is wanted["by_code_default"]
    keys = {r.key for r in verdict.failed}
    said = " ".join(wanted["reasons"])
    assert ("bar size" in keys) is ("bar No." in said)
    assert ("clear spacing" in keys) is ("clear" in said)
    assert ("splice" in keys) is ("contact splices" in said)


def test_the_scenario_prints_our_clear_spacings_and_diameters() -> None:
    printed = 0
    for row in [*SCENARIO.parts.values(), *SCENARIO.data["mockups"]]:
        reinforcement = SCENARIO.demand(
            row.get("code", "R1-lower"), mix="W-45A"
        ).reinforcement
        assert reinforcement is not None
        if "code" not in row:
            continue
        for bar, mat in zip(row["bars"], reinforcement.mats, strict=False):
            assert clear_spacing(mat).value == Decimal(bar["clear_in"])
            printed += 1
    assert printed >= 50


def test_every_card_of_the_scenario_fits_its_scheme() -> None:
    cards = [card for file in SCENARIO.files.values() for card in file.cards]
    assert len(cards) == 12
    assert [line for card in cards for line in contradictions(card)] == []


def test_the_night_shift_touches_two_dates_and_both_count() -> None:
    row, part = taken("PL-022", "OP-07")
    interval = Interval(
        SCENARIO.local(part["started_at"]),
        SCENARIO.local(part["ended_at"]),
        SCENARIO.zone,
    )
    file = SCENARIO.files["OP-07"].known_at(SCENARIO.as_of())
    verdict = standing(
        file,
        demand_of(row["id"], "OP-07"),
        interval=interval,
        watch=None,
        terms=SCENARIO.terms(interval.start.date()),
    )
    card = next(r for r in verdict.reasons if r.key == "card")
    assert verdict.state is State.PASS
    assert "2026-09-02 and 2026-09-03" in card.requirement
