"""A rating of an operator's own work, from the engineer's word to who may shoot."""

from __future__ import annotations

from types import SimpleNamespace
from uuid import uuid4

import pytest

from crews.actions.plans import Asked, plan_placement
from crews.actions.ratings import rate_cores
from crews.actions.waivers import give_waiver
from crews.domain.trade_words import RatingDecision, WaivedGate
from crews.models import Eligibility, Panel
from crews.queries.hindsight import hindsight
from crews.queries.plans import plan_list
from crews.queries.qualification import operator_standing
from crews.queries.setbacks import of_ratings
from project.domain.verdict import State
from project.models import new_id
from project.queries.jobs import now_on
from tests.crews.pages import Visitor, a_day_with_one_panel_missing, words
from tests.factories import (
    at,
    clock_at,
    make_cores,
    make_judgement,
    make_placement,
    make_shift,
    shoot,
)
from tests.support.made_once import made_once

BAD = RatingDecision.NOT_ACCEPTABLE


@made_once
def cored(qualified):
    site = a_day_with_one_panel_missing(qualified)
    site.extra["cores"] = make_cores(site, site.extra["panel"])
    return site


def _rate(site, decision=BAD, when="2026-09-02 10:00", **more):
    with clock_at(when):
        return rate_cores(
            id=new_id(),
            by=site.engineer,
            panel=site.extra["panel"],
            rated_at=at(when),
            cores=site.extra["cores"][2:],
            decision=decision,
            words="Sand behind the bars.",
            **more,
        )


def _mock_up(site, when="2026-09-03 08:00", known_at=None, operator=None):
    verdict = operator_standing(
        site.job,
        operator=operator or site.operator,
        part=site.wall.part,
        start=at(when),
        known_at=known_at or at("2026-09-14 09:00"),
    )
    return next(reason for reason in verdict.reasons if reason.key == "mock-up")


def test_setbacks_come_by_panel_in_whatever_order_the_rows_are_read():
    """Two ratings of one instant: the words of a refusal name the same one always."""
    operator, mix, when = uuid4(), uuid4(), at("2026-09-02 10:00")
    panels = [
        SimpleNamespace(
            first=uuid4(),
            code=f"TP-00{n}",
            panel_kind="production",
            mix_revision_id=mix,
            method="hand",
            position="vertical",
            operator_id=operator,
            shared_with_id=None,
        )
        for n in (1, 2, 3)
    ]
    ratings = [
        SimpleNamespace(
            pk=uuid4(),
            panel_id=panel.first,
            recorded_at=when,
            rated_at=when,
            decision=BAD,
        )
        for panel in panels
    ]
    mixes = {mix: SimpleNamespace(process="wet")}
    for rows in (panels, panels[::-1], [panels[1], panels[2], panels[0]]):
        found = of_ratings(ratings[::-1], rows, mixes)[operator]
        assert [one.words[:6] for one in found] == ["TP-001", "TP-002", "TP-003"]


def test_a_rating_that_is_not_acceptable_asks_until_the_engineer_accepts_again(cored):
    assert _mock_up(cored).state is State.PASS
    rating = _rate(cored)
    shut = _mock_up(cored)
    assert shut.state is State.FAIL
    assert "TP-001 not acceptable" in shut.found
    assert ("visualrating", str(rating.pk)) in {(e.kind, e.id) for e in shut.evidence}
    assert _mock_up(cored, "2026-09-02 09:59").state is State.PASS
    known = at("2026-09-02 09:59")
    assert _mock_up(cored, known_at=known).state is State.PASS
    mock_up = Panel.objects.get(operator=cored.operator, panel_kind="mock-up")
    make_judgement(cored, mock_up, "2026-09-03 07:00")
    assert _mock_up(cored).state is State.PASS
    assert _mock_up(cored, "2026-09-02 16:00").state is State.FAIL


def test_more_cores_that_turn_out_well_take_it_away(cored):
    _rate(cored)
    _rate(cored, RatingDecision.ACCEPTABLE, "2026-09-02 15:00")
    assert _mock_up(cored).state is State.PASS


@pytest.mark.parametrize(
    ("second", "after"),
    [
        (RatingDecision.ACCEPTABLE, State.PASS),
        (RatingDecision.MORE_WANTED, State.FAIL),  # the question stays open
        (BAD, State.FAIL),
    ],
)
def test_a_further_rating_says_nothing_of_work_shot_before_it(cored, second, after):
    """What was seen on the 2nd asks until the 12th, however the panel looks then."""
    _rate(cored)
    before = _mock_up(cored, "2026-09-10 08:00")
    assert before.state is State.FAIL
    _rate(cored, second, "2026-09-12 15:00")
    for when in ("2026-09-10 08:00", "2026-09-12 14:59"):
        assert _mock_up(cored, when).state is State.FAIL, when
    assert _mock_up(cored, "2026-09-10 08:00") == before
    assert _mock_up(cored, "2026-09-12 15:00").state is after


def test_a_rating_put_right_is_known_from_then(cored):
    row = _rate(cored)
    better = {"supersedes": row, "reason": "another panel was looked at"}
    _rate(cored, RatingDecision.ACCEPTABLE, "2026-09-04 10:00", **better)
    assert _mock_up(cored).state is State.PASS
    assert _mock_up(cored, known_at=at("2026-09-03 12:00")).state is State.FAIL


def test_it_turns_what_is_known_of_a_nozzle_time_and_nothing_frozen(cored):
    with clock_at("2026-09-03 06:50"):
        shift = make_shift(
            cored.inspector, cored.contractor, at("2026-09-03 06:50").date()
        )
        placed = make_placement(cored, shift)
    held = shoot(cored, placed, cored.operator, "2026-09-03 07:10", "2026-09-03 09:00")
    with clock_at("2026-09-04 10:00"):
        rate_cores(
            id=new_id(),
            by=cored.engineer,
            panel=cored.extra["panel"],
            rated_at=at("2026-09-02 10:00"),
            cores=cored.extra["cores"][2:],
            decision=BAD,
            words="Sand behind the bars.",
        )
        record = hindsight(cored.job)
        now = record.judged(held.first, at=now_on(cored.job))
        then = record.judged(held.first, at=at("2026-09-03 12:00"))
    assert now.verdict.state is State.FAIL
    assert then.verdict.state is State.PASS
    frozen = Eligibility.objects.filter(nozzle_time=held.first)
    assert {row.state for row in frozen} == {"pass"}


def test_a_plan_says_since_which_rating_its_operator_stands_no_longer(cored):
    with clock_at("2026-09-01 08:00"):
        plan_placement(
            id=new_id(),
            by=cored.qc,
            part=cored.wall.part,
            mix=cored.mix,
            rig=cored.rig,
            starts_at=at("2026-09-17 07:00"),
            operators=[Asked(cored.operator)],
        )
    row = _rate(cored)
    (plan,) = plan_list(cored.job, known_at=at("2026-09-03 08:00"))
    (lost,) = plan.lost
    assert lost.lost_at == row.recorded_at


def test_an_equivalence_given_before_does_not_answer_what_was_asked_since(cored):
    mock_up = Panel.objects.get(operator=cored.operator, panel_kind="mock-up")
    with clock_at("2026-08-01 09:00"):
        give_waiver(
            id=new_id(),
            by=cored.engineer,
            gate=WaivedGate.MOCK_UP,
            operator=cored.operator,
            mock_up=mock_up,
            from_at=at("2026-08-01 09:00"),
            until_at=at("2026-10-30 09:00"),
            words="It stands for the upper lifts.",
        )
    _rate(cored)
    assert _mock_up(cored).state is State.FAIL


def test_the_operators_sheet_tells_what_asks(cored):
    visitor = Visitor(cored.qc)
    assert "Asked to be accepted again" not in words(visitor.get("operator", "OP-01"))
    _rate(cored)
    page = words(visitor.get("operator", "OP-01"))
    assert "Asked to be accepted again" in page
    assert "TP-001 not acceptable" in page
