"""What asks for another mock-up: each term on and off, each event and what cures it.

Source: the contract's terms; no published rule was found, the defaults are the
project's choice. Rig: IBC 2018 1908.5 (read).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID

import pytest

from crews.domain import examples
from crews.domain.demand import Asked, IdleLimit, RevisionMark
from crews.domain.gates import gates
from crews.domain.qualification import standing
from crews.domain.requalification import asking, lapses
from crews.domain.rolling_record import PanelSet, Where, failing_run
from crews.domain.surface import Surface
from crews.domain.trade_words import DecisionOutcome, Method
from project.domain.clocks import Interval
from project.domain.editions import Departure, resolve
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity
from project.domain.verdict import Ref, State

TAKE = Interval(examples.AT, None, examples.ZONE)
BEFORE = datetime(2026, 7, 30, 9, tzinfo=examples.AT.tzinfo)
LATER = examples.AT + timedelta(days=2)
OTHER_RIG = Ref("rig", "rig-2", "RIG-2")


def _terms(**said):
    given = {f"requalify_{k}": Departure(v, None, "contract") for k, v in said.items()}
    return resolve(
        "ibc-2018-1908",
        revision=1,
        effective_on=date(2026, 7, 1),
        departures=given,
    )


def _mock_up(demand=None, terms=None, interval=TAKE, **file):
    who = replace(examples.operator_file(), **file)
    asked = demand or examples.demand()
    reasons = gates(who, asked, interval=interval, watch=None, terms=terms)
    return next(reason for reason in reasons if reason.key == "mock-up")


def test_without_a_term_of_its_own_the_projects_choice_holds():
    assert Asked.by(_terms()) == Asked()


def _demand(change):
    demand = examples.demand()
    if change == "rig":
        return replace(demand, rig=OTHER_RIG)
    if change == "position":
        return replace(demand, position=Position.OVERHEAD)
    if change == "harder":
        return replace(demand, thickness=Quantity(Decimal(99), "in"))
    return replace(demand, mix=replace(demand.mix, revision=demand.mix.revision + 1))


@pytest.mark.parametrize(
    ("change", "off"),
    [
        ("rig", {"rig": False}),
        ("position", {"position": False}),
        ("harder", {"harder": False}),
        ("mix", {"mix_revision": "no revision"}),
    ],
)
def test_a_difference_asks_for_another_mock_up_unless_the_contract_lets_it(change, off):
    demand = _demand(change)
    mock_up = replace(examples.mock_up(), rig=Ref("rig", "rig-1", "RIG-1"))
    held = {"mock_ups": (mock_up,)}
    assert _mock_up(demand, **held).state is not State.PASS
    assert _mock_up(demand, _terms(), **held).state is not State.PASS
    found = _mock_up(demand, _terms(**off), **held)
    assert found.state is State.PASS


def test_each_revision_asks_even_where_the_engineer_marked_it_unchanged():
    demand = _demand("mix")
    unchanged = RevisionMark(demand.mix.revision, placing_properties_changed=False)
    marks = (*demand.mix.marks, unchanged)
    same = replace(demand, mix=replace(demand.mix, marks=marks))
    assert _mock_up(same, _terms()).state is State.PASS
    each = _terms(mix_revision="each revision")
    assert _mock_up(same, each).state is State.FAIL


def _setback(at=None, **more):
    return replace(examples.setback(), at=at or examples.setback().at, **more)


def test_a_rating_asks_for_an_acceptance_that_came_after_it():
    found = _mock_up(setbacks=(_setback(),))
    assert found.state is State.FAIL
    assert (
        "asked again accepted 2026-07-29 15:10 (needs an acceptance after "
        "2026-07-30 09:00: TP-001 not acceptable)" in found.found
    )
    assert str(examples.setback().id) in {ref.id for ref in found.evidence}


@pytest.mark.parametrize(
    "change",
    [
        {"process": Process.DRY},
        {"method": Method.ROBOTIC},
        {"position": Position.OVERHEAD},
        {"at": LATER},
    ],
)
def test_a_rating_of_other_work_or_of_a_later_day_asks_nothing(change):
    assert _mock_up(setbacks=(_setback(**change),)).state is State.PASS


@pytest.mark.parametrize(
    ("said", "face", "reached"),
    [
        (Position.VERTICAL, Position.SLOPED, True),
        (Position.OVERHEAD, Position.HORIZONTAL, True),
        (Position.VERTICAL, Position.UNCLASSIFIED, True),
        (Position.UNCLASSIFIED, Position.OVERHEAD, True),
        (None, Position.OVERHEAD, True),
        (Position.SLOPED, Position.SLOPED, True),
        (Position.SLOPED, Position.VERTICAL, False),
        (Position.HORIZONTAL, Position.OVERHEAD, False),
        (Position.OVERHEAD, Position.VERTICAL, False),
    ],
)
def test_a_rating_reaches_a_face_whose_position_is_not_settled(said, face, reached):
    """Project's choice: it may be meant there. Of sloped work it reaches no wall."""
    demand = replace(examples.demand(), position=face)
    assert _setback(position=said).concerns(demand) is reached


def test_a_rating_of_vertical_work_leaves_an_overhead_face_by_the_table_alone():
    lies = Surface(card=Position.OVERHEAD, mock_up=Position.OVERHEAD)
    face = replace(examples.demand(), position=Position.SLOPED, surface=lies)
    assert not _setback(position=Position.VERTICAL).concerns(face)
    assert _setback(position=Position.OVERHEAD).concerns(face)


def test_a_contract_may_leave_a_rating_without_consequence():
    assert (
        _mock_up(None, _terms(rating=False), setbacks=(_setback(),)).state is State.PASS
    )


@pytest.mark.parametrize(
    ("minutes", "state"), [(-1, State.FAIL), (0, State.FAIL), (1, State.PASS)]
)
def test_only_an_acceptance_after_the_rating_cures(minutes, state):
    again = replace(
        examples.mock_up().decisions[0],
        id=UUID(int=91),
        decided_at=BEFORE + timedelta(minutes=minutes),
    )
    decisions = (*examples.mock_up().decisions, again)
    mock_up = replace(examples.mock_up(), decisions=decisions)
    found = _mock_up(mock_ups=(mock_up,), setbacks=(_setback(),))
    assert found.state is state


def test_a_refusal_by_a_rating_ends_when_the_panel_is_rated_again():
    who = replace(examples.operator_file(), setbacks=(_setback(until=LATER),))
    answer = standing(who, examples.demand(), interval=TAKE, watch=None, terms=None)
    assert answer.state is State.FAIL
    assert answer.holds_until == LATER - timedelta(microseconds=1)
    assert answer.ends_because == "acceptable again after: TP-001 not acceptable"
    after = Interval(LATER, None, examples.ZONE)
    again = standing(who, examples.demand(), interval=after, watch=None, terms=None)
    assert again.state is State.PASS


def test_a_rating_that_is_to_come_ends_the_answer():
    who = replace(examples.operator_file(), setbacks=(_setback(LATER),))
    answer = standing(who, examples.demand(), interval=TAKE, watch=None, terms=None)
    assert answer.state is State.PASS
    assert answer.holds_until == LATER - timedelta(microseconds=1)
    assert answer.ends_because == "asked again: TP-001 not acceptable"


def _card(number, issued, expires, **more):
    card = replace(examples.card(), id=UUID(int=int(number)), number=number, **more)
    return replace(card, issued_on=issued, expires_on=expires)


GAP = (
    _card("93", date(2021, 1, 1), date(2026, 7, 29)),
    _card("94", date(2026, 8, 1), date(2031, 8, 1)),
)


def test_a_lapse_is_told_by_its_days_and_asks_where_the_contract_says_so():
    (lapse,) = lapses(GAP, examples.demand(), zone=examples.ZONE)
    assert lapse.words == "no card from 2026-07-30 to 2026-07-31"
    assert (
        _mock_up(cards=GAP).state is State.PASS
    )  # the project's choice: it stays valid
    found = _mock_up(None, _terms(lapse=True), cards=GAP)
    assert found.state is State.FAIL
    assert "no card from 2026-07-30 to 2026-07-31" in found.found


def test_a_lapse_that_is_to_come_ends_the_answer_for_good():
    ends = date(2026, 8, 10)
    cards = (
        _card("93", date(2021, 1, 1), ends),
        _card("94", date(2026, 8, 20), date(2031, 8, 1)),
    )
    who = replace(examples.operator_file(), cards=cards)

    def ask(day, terms):
        at = examples.AT.replace(day=day)
        then = Interval(at, None, examples.ZONE)
        return standing(who, examples.demand(), interval=then, watch=None, terms=terms)

    lapse = _terms(lapse=True)
    assert ask(4, lapse).ends_because == "card 93: last valid day 2026-08-10"
    renewed = ask(12, _terms())
    assert (renewed.state, renewed.ends_because) == (
        State.FAIL,
        "card 94: valid from 2026-08-20",
    )
    assert ask(12, lapse).holds_until is None
    assert ask(21, lapse).state is State.FAIL


@pytest.mark.parametrize(
    "cards",
    [
        (_card("93", date(2021, 1, 1), date(2026, 7, 31)), GAP[1]),  # the day after
        (*GAP, _card("95", date(2026, 7, 1), date(2026, 8, 15))),  # a third bridges
        GAP[:1],
    ],
)
def test_cards_that_follow_each_other_have_not_lapsed(cards):
    assert list(lapses(cards, examples.demand(), zone=examples.ZONE)) == []


def test_a_card_of_another_process_bridges_nothing():
    dry = frozenset({(Process.DRY, Position.VERTICAL)})
    other = _card("95", date(2026, 7, 1), date(2026, 8, 15), classes=dry)
    assert len(list(lapses((*GAP, other), examples.demand(), zone=examples.ZONE))) == 1


def test_a_rejection_counts_from_its_own_day_where_the_contract_says_so():
    rejected = replace(
        examples.mock_up().decisions[0],
        id=UUID(int=92),
        outcome=DecisionOutcome.REJECTED,
        decided_at=LATER,
    )
    decisions = (*examples.mock_up().decisions, rejected)
    held = {"mock_ups": (replace(examples.mock_up(), decisions=decisions),)}
    assert _mock_up(**held).state is State.FAIL
    own_day = _terms(withdrawal="from its own day")
    assert _mock_up(None, own_day, **held).state is State.PASS
    after = Interval(LATER, None, examples.ZONE)
    found = _mock_up(None, own_day, interval=after, **held)
    assert found.state is State.FAIL
    assert "acceptance rejected 2026-08-06 07:10" in found.found


def test_the_latest_that_asks_is_named_and_all_are_found():
    two = (
        _setback(BEFORE - timedelta(days=5), words="TP-000 not acceptable"),
        _setback(),
    )
    found = asking(two, (), examples.demand(), at=examples.AT)
    assert [one.words for one in found] == [
        "TP-000 not acceptable",
        "TP-001 not acceptable",
    ]


def _set(day, state):
    return PanelSet(
        panel=f"TP-{day:03}",
        where=Where(operator="OP-01", mix="W-1", position="vertical"),
        shot_at=BEFORE + timedelta(days=day),
        f_c=Quantity(Decimal(4500), "psi"),
        state=state,
    )


@pytest.mark.parametrize(
    ("states", "run"),
    [
        ("", []),
        ("p", []),
        ("f", ["TP-000"]),
        ("fp", []),
        ("pff", ["TP-001", "TP-002"]),
        ("fwf", ["TP-000", "TP-002"]),  # one that waits says nothing yet
        ("ffpf", ["TP-003"]),
    ],
)
def test_failing_sets_are_counted_in_a_row(states, run):
    kinds = {"p": State.PASS, "f": State.FAIL, "w": State.NOT_DUE}
    sets = [_set(day, kinds[letter]) for day, letter in enumerate(states)]
    assert [one.panel for one in failing_run(reversed(sets))] == run


def test_an_idle_limit_in_hours_counts_whole_days():
    limit = {"idle_limit": Departure(Decimal(4335), "h", "contract")}
    terms = resolve(
        "ibc-2018-1908",
        revision=1,
        effective_on=date(2026, 7, 1),
        departures=limit,
    )
    assert IdleLimit.by(terms).days == 180  # 180 d and 15 h


def test_a_demand_is_asked_under_other_terms_without_keeping_their_answer():
    demand = replace(examples.demand(), mock_up_by_contract=None)
    under = demand.under(_terms())
    assert under.mock_up_asked(None) == demand.mock_up_asked(None)
    assert under.mock_up_asked(under.terms) == under.mock_up_asked(under.terms)
