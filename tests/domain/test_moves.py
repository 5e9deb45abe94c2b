"""State tables, tested whole: every state, move and role, and every need alone."""

import itertools
import random

import pytest

from inspections.domain.move_needs import words
from inspections.domain.moves import (
    DEFICIENCY,
    NONCONFORMANCE,
    PACKET,
    REPORT,
    Move,
    MoveTable,
    fold,
    next_state,
    open_to,
)
from project.domain.roles import Role
from project.domain.verdict import State
from tests.support.scenario import SCENARIO

TABLES = (DEFICIENCY, NONCONFORMANCE, REPORT, PACKET)

# Everything any move may want, all of it right.
COMPLETE = {
    "by": "baigzada",
    "corrected_by": "eberechi",
    "firm": "agency",
    "opened_by_firm": "agency",
    "words": "dug out and shot again",
    "nonconformance": "NCR-002",
    "told": "trnka",
    "means": "phone",
    "meaning": "I was present and recorded what I saw",
    "printed_name": "Farrukh Baigzada",
    "shown_sha256": "ab" * 32,
    "content_sha256": "ab" * 32,
    "may_sign": True,
    "author": "ellingsrud",
    "flags": 0,
    "reason": "the second truck was left out",
    "prepared_by": "ellingsrud",
    "file_sha256": "cd" * 32,
}

I, V, Q, L = (  # noqa: E741
    Role.INSPECTOR,
    Role.AGENCY_REVIEWER,
    Role.CONTRACTOR_QC,
    Role.LABORATORY,
)
E, O = Role.ENGINEER, Role.OWNER  # noqa: E741

# Written out by hand from the rules, not from the tables: (state, move) -> roles, state.
EXPECTED = {
    "deficiency": {
        ("open", "correct"): ({I, Q}, "corrected"),
        ("corrected", "find right"): ({I, Q}, "closed"),
        ("corrected", "find still wrong"): ({I, Q}, "open"),
        ("open", "make a nonconformance"): ({I, V, Q}, "became a nonconformance"),
        ("corrected", "make a nonconformance"): ({I, V, Q}, "became a nonconformance"),
        ("open", "notify"): ({I, Q}, "open"),
        ("corrected", "notify"): ({I, Q}, "corrected"),
    },
    "nonconformance report": {
        ("raised", "notify"): ({I, V, Q}, "notified"),
        ("notified", "notify"): ({I, V, Q}, "notified"),
        ("notified", "close"): ({E, O}, "closed"),
    },
    "daily field report": {
        ("draft", "sign"): ({I, Q}, "signed"),
        ("signed", "review"): ({I, V, Q}, "reviewed"),
        ("amended", "review"): ({I, V, Q}, "reviewed"),
        ("signed", "amend"): ({I, Q}, "amended"),
        ("reviewed", "amend"): ({I, Q}, "amended"),
        ("amended", "amend"): ({I, Q}, "amended"),
    },
    "packet": {
        ("prepared", "review"): ({V}, "reviewed"),
        ("reviewed", "issue"): ({V}, "issued"),
        ("prepared", "withdraw"): ({I, V}, "withdrawn"),
        ("reviewed", "withdraw"): ({I, V}, "withdrawn"),
        ("issued", "supersede"): ({V}, "superseded"),
    },
}
MOVES = sorted({move.name for table in TABLES for move in table.moves} | {"reopen"})


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_state_move_and_role(table):
    tried = 0
    for state, move, role in itertools.product(table.states, MOVES, Role):
        found = next_state(table, state, move, role=role, given=COMPLETE)
        roles, leads_to = EXPECTED[table.name].get((state, move), (None, None))
        if roles is None:
            assert [reason.key for reason in found] == ["move"], (state, move)
            assert found[0].state is State.FAIL
        elif role in roles:
            assert found == leads_to, (state, move, role)
        else:
            assert [reason.key for reason in found] == ["role"], (state, move, role)
            assert str(role) == found[0].found
        tried += 1
    assert tried == len(table.states) * len(MOVES) * len(Role)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_need_alone_refuses_and_is_named(table):
    for move in table.moves:
        role = next(iter(move.roles))
        state = next(iter(move.sources))
        for need in move.needs:
            given = {name: v for name, v in COMPLETE.items() if name != need.key}
            found = next_state(table, state, move.name, role=role, given=given)
            assert need.key in [reason.key for reason in found], (move.name, need.key)
            reason = next(r for r in found if r.key == need.key)
            assert reason.requirement == need.requirement
            assert reason.found == "not given"


def test_all_reasons_are_told_at_once():
    found = next_state(REPORT, "draft", "sign", role=Role.OWNER, given={})
    keys = [reason.key for reason in found]
    assert keys == ["role", "meaning", "printed_name", "shown_sha256", "may_sign"]


@pytest.mark.parametrize(
    ("table", "state", "move", "wrong"),
    [
        (DEFICIENCY, "corrected", "find right", {"corrected_by": "baigzada"}),
        (DEFICIENCY, "corrected", "find right", {"corrected_by": None}),
        (DEFICIENCY, "corrected", "find right", {"opened_by_firm": "contractor"}),
        (DEFICIENCY, "open", "correct", {"words": "  "}),
        (REPORT, "signed", "review", {"author": "baigzada"}),
        (REPORT, "signed", "review", {"flags": 1}),
        (REPORT, "signed", "review", {"flags": None}),
        (REPORT, "draft", "sign", {"shown_sha256": "00" * 32}),
        (REPORT, "draft", "sign", {"may_sign": "yes"}),
        (REPORT, "reviewed", "amend", {"reason": ""}),
        (PACKET, "prepared", "review", {"prepared_by": "baigzada"}),
        (PACKET, "reviewed", "issue", {"file_sha256": ""}),
        (NONCONFORMANCE, "notified", "close", {"words": None}),
    ],
)
def test_a_wrong_or_unknown_value_is_not_a_pass(table, state, move, wrong):
    made = next(m for m in table.from_state(state) if m.name == move)
    role = next(iter(made.roles))
    found = next_state(table, state, move, role=role, given=COMPLETE | wrong)
    assert isinstance(found, tuple)
    assert len(found) == 1


def test_a_nonconformance_is_not_closed_before_anybody_was_told():
    found = next_state(
        NONCONFORMANCE, "raised", "close", role=Role.OWNER, given=COMPLETE
    )
    assert "the moves from here are notify" in found[0].requirement


@pytest.mark.parametrize(
    ("table", "final"),
    [
        (DEFICIENCY, {"closed", "became a nonconformance"}),
        (NONCONFORMANCE, {"closed"}),
        (REPORT, set()),
        (PACKET, {"withdrawn", "superseded"}),
    ],
    ids=lambda value: getattr(value, "name", ""),
)
def test_final_states(table, final):
    assert table.final == final
    for state in final:
        assert open_to(table, state, role=Role.INSPECTOR) == ()


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_random_walks_never_leave_the_table(table):
    lots = random.Random(20260914)
    for _ in range(300):
        state, made = table.initial, []
        for _ in range(12):
            move = lots.choice(MOVES)
            found = next_state(
                table, state, move, role=lots.choice(list(Role)), given=COMPLETE
            )
            if isinstance(found, str):
                state, made = found, [*made, move]
            assert state in table.states
        assert fold(table, made) == state


def test_every_state_can_be_reached():
    for table in TABLES:
        reached = {table.initial}
        while more := {
            m.to for m in table.moves if m.sources & reached and m.to not in reached
        }:
            reached |= more
        assert reached == set(table.states)


def test_fold_names_the_move_that_does_not_follow():
    assert fold(REPORT, ["sign", "review", "amend", "review"]) == "reviewed"
    with pytest.raises(ValueError, match="daily field report: review does not follow"):
        fold(REPORT, ["review"])


def test_an_unknown_state_is_refused_with_what_is_allowed():
    with pytest.raises(ValueError, match="'gone': allowed are draft, signed"):
        next_state(REPORT, "gone", "sign", role=Role.INSPECTOR, given={})


def test_a_table_grows_without_touching_what_it_had():
    disposition = Move(
        "propose",
        frozenset({"notified"}),
        frozenset({Role.CONTRACTOR_QC}),
        "proposed",
        (words("disposition", "a disposition is named"),),
    )
    grown = NONCONFORMANCE.with_moves(disposition, states=("proposed",))
    assert grown.from_state("notified")[-1] is disposition
    assert NONCONFORMANCE.states == ("raised", "notified", "closed")
    found = next_state(grown, "notified", "propose", role=Role.CONTRACTOR_QC, given={})
    assert [reason.key for reason in found] == ["disposition"]
    assert fold(grown, ["notify", "propose"]) == "proposed"


def test_a_table_that_contradicts_itself_is_refused():
    twice = Move("notify", frozenset({"raised"}), frozenset(), "closed")
    with pytest.raises(ValueError, match="notify from raised twice"):
        NONCONFORMANCE.with_moves(twice)
    astray = Move("lose", frozenset({"raised"}), frozenset(), "lost")
    with pytest.raises(ValueError, match="'lost': allowed are raised"):
        NONCONFORMANCE.with_moves(astray)
    with pytest.raises(ValueError, match="'new'"):
        MoveTable("x", ("old",), "new", (astray,))


def test_the_scenarios_deficiencies_walk_their_table():
    ends = []
    for one in SCENARIO["deficiencies"]:
        made = ["correct"] if one["corrected_at"] else []
        if one["became"]:
            made.append("make a nonconformance")
        elif one["closed_at"]:
            made.append("find right")
            assert one["reinspected_by"] != one["corrected_by"]
        state = fold(DEFICIENCY, made)
        ends.append(state)
        expected = "became a nonconformance" if one["became"] else "closed"
        assert state == expected, one["id"]
    assert ends.count("closed") == 12
    assert ends.count("became a nonconformance") == 6


def test_the_scenarios_nonconformance_reports_walk_their_table():
    states = {}
    for one in SCENARIO["ncrs"]:
        made = ["notify"] * len(one["notified"])
        made += ["close"] if one["closed_at"] else []
        states[one["id"]] = fold(NONCONFORMANCE, made)
    closed = {name for name, state in states.items() if state == "closed"}
    assert closed == {"NCR-001", "NCR-002", "NCR-004"}
    assert set(states.values()) == {"closed", "notified"}
