"""Planned placements: who is assigned, who is refused and what is frozen of it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied

from crews.actions.people import suspend_operator
from crews.actions.plans import (
    Asked,
    assign_operator,
    move_plan,
    plan_placement,
    take_off_plan,
    withdraw_plan,
)
from crews.domain.trade_words import Method, Moment
from crews.models import Eligibility, PlannedOperator, PlannedPlacement
from crews.queries.plans import plan_list, plan_page
from crews.queries.qualification import operator_standing
from project.domain.frozen import thawed
from project.domain.roles import Ability, Role, may
from project.domain.shooting_words import Position
from project.domain.verdict import State
from project.models import AuditHead, new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.factories import at, card, clock_at, make_card, with_mock_up
from tests.factories.kernel import make_part
from tests.support.made_once import made_once

NOW = "2026-09-14 09:00"
START = at("2026-09-17 07:00")


def _given(site, **more):
    return {
        "id": new_id(),
        "by": site.qc,
        "part": site.wall.part,
        "mix": site.mix,
        "rig": site.rig,
        "starts_at": START,
    } | more


def _plan(site, *operators, **more):
    with clock_at(NOW):
        return plan_placement(**_given(site, operators=list(operators), **more))


@made_once
def planned(qualified):
    """The wall is planned for Thursday with the operator who is qualified for it."""
    qualified.extra["plan"] = _plan(qualified, Asked(qualified.operator)).planned
    return qualified


def _on(site, known=NOW):
    rows = plan_list(site.job, known_at=at(known) + timedelta(minutes=1))
    return next(row for row in rows if row.row.first == site.extra["plan"].first)


def test_a_plan_and_its_operators_are_one_line(qualified):
    with clock_at(NOW), one_line(qualified.job, "plan.made"):
        made = plan_placement(
            **_given(qualified, operators=[Asked(qualified.operator)])
        )
    assert made.planned.code == "PLAN-01"
    assert [row.operator for row in made.assigned] == [qualified.operator]
    assert made.refused == ()
    assert not Eligibility.objects.filter(moment=Moment.PLAN).exists()


def test_who_is_not_qualified_is_not_assigned_and_the_refusal_is_frozen(qualified):
    with clock_at(NOW), one_line(qualified.job, "plan.made"):
        made = plan_placement(
            **_given(
                qualified,
                part=qualified.soffit.part,
                operators=[Asked(qualified.operator)],
            )
        )
    assert made.assigned == ()
    assert not PlannedOperator.objects.exists()
    (row,) = made.refused
    asked = (row.moment, row.planned_id, row.operator, row.as_of, row.until)
    assert asked == (
        Moment.PLAN,
        made.planned.first,
        qualified.operator,
        START,
        None,
    )
    assert row.known_at == row.recorded_at == made.planned.recorded_at
    now = operator_standing(
        qualified.job,
        operator=qualified.operator,
        part=qualified.soffit.part,
        mix=qualified.mix,
        rig=qualified.rig,
        start=START,
        known_at=row.known_at,
    )
    assert thawed(row.verdict) == now
    assert {"card", "mock-up"} <= {reason.key for reason in now.failed}
    kinds = {kind for kind, _id in row.evidence}
    assert {
        "certification",
        "partrevision",
        "termsrevision",
        "plannedplacement",
    } <= kinds


def test_the_employers_records_stand_still_meanwhile(qualified):
    """No card is recorded before what was read of it, as known then."""
    made = _plan(qualified, Asked(qualified.operator))
    heads = AuditHead.objects.filter(
        stream__in=[qualified.job.stream, qualified.contractor.stream]
    )
    assert {head.at for head in heads} == {made.planned.recorded_at}
    with clock_at(NOW):
        later = make_card(qualified.qc, qualified.operator, card(number="WV-9"))
    assert later.recorded_at > made.planned.recorded_at


def test_undecided_is_no_pass(qualified):
    """Nobody has classified the ramp: a card says nothing of it, and that is no yes."""
    with clock_at("2026-09-01 08:00"):
        ramp = make_part(
            qualified.admin,
            "R9",
            Position.UNCLASSIFIED,
            order=9,
            mockup_class="",
            mockup_by_contract=False,
            reinforcement={},
        )
    made = _plan(qualified, Asked(qualified.operator), part=ramp.part)
    assert made.assigned == ()
    (row,) = made.refused
    assert row.state == State.UNDECIDED
    assert [r.key for r in thawed(row.verdict).unmet] == ["card", "mock-up"]


def test_a_hand_card_opens_nothing_for_a_machine(qualified):
    made = _plan(qualified, Asked(qualified.operator), method=Method.ROBOTIC)
    assert made.refused[0].state == State.FAIL
    assert made.refused[0].method == Method.ROBOTIC


@made_once
def trainee(qualified):
    """The trainee has a mock-up of the wall too: what is left is the supervisor."""
    with_mock_up(qualified, qualified.trainee)
    return qualified


def test_under_a_condition_somebody_must_be_named(trainee):
    made = _plan(trainee, Asked(trainee.trainee))
    (row,) = made.refused
    reason = thawed(row.verdict).failed[-1]
    assert (reason.key, reason.found) == ("supervisor", "nobody is named")
    with clock_at(NOW):
        again = assign_operator(
            id=new_id(),
            by=trainee.qc,
            planned=made.planned,
            operator=trainee.trainee,
            supervisor=trainee.operator,
        )
    (kept,) = again.assigned
    assert (kept.operator, kept.supervisor) == (trainee.trainee, trainee.operator)


def test_who_is_named_must_qualify(trainee):
    with clock_at(NOW):
        suspend_operator(
            id=new_id(),
            by=trainee.qc,
            operator=trainee.operator,
            from_at=at(NOW),
            until_at=None,
            words="Stood down.",
            ordered_by="Idris Halloran",
        )
    made = _plan(trainee, Asked(trainee.trainee, trainee.operator))
    (row,) = made.refused
    level = next(r for r in thawed(row.verdict).failed if r.key == "level")
    assert level.found == "in training; OP-01 cannot supervise: suspension"


def test_nobody_supervises_themself(trainee):
    with clock_at(NOW):
        errors = refused(
            plan_placement,
            **_given(trainee, operators=[Asked(trainee.trainee, trainee.trainee)]),
        )
    assert "somebody else than the operator" in errors["operators.1.supervisor"][0]


@pytest.mark.parametrize(
    ("wrong", "field", "told"),
    [
        (lambda s, e: {"starts_at": at("2026-09-14 08:59")}, "starts_at", "has passed"),
        (lambda s, e: {"starts_at": at("2062-09-17 07:00")}, "starts_at", "too far"),
        (lambda s, e: {"part": e.wall.part}, "part", "not of this job"),
        (lambda s, e: {"mix": e.mix}, "mix", "not of this job"),
        (lambda s, e: {"rig": s.other_rig}, "rig", "is not of contractor"),
        (lambda s, e: {"code": "X-1"}, "code", "allowed is PLAN- and a number"),
        (
            lambda s, e: {"operators": [Asked(s.other_operator)]},
            "operators.1.operator",
            "is not of contractor",
        ),
        (
            lambda s, e: {"operators": [Asked(s.operator, s.other_operator)]},
            "operators.1.supervisor",
            "is not of contractor",
        ),
        (
            lambda s, e: {"operators": [Asked(s.operator), Asked(s.operator)]},
            "operators.2.operator",
            "named twice",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_name(qualified, elsewhere, wrong, field, told):
    with clock_at(NOW):
        errors = refused(
            plan_placement, **_given(qualified, **wrong(qualified, elsewhere))
        )
    assert told in errors[field][0]


def test_sent_twice_it_is_planned_once_and_refused_once(qualified):
    given = _given(
        qualified,
        part=qualified.soffit.part,
        operators=[Asked(qualified.operator)],
    )
    with clock_at(NOW):
        first = plan_placement(**given)
        with nothing_written(qualified.job):
            again = plan_placement(**given)
    assert [row.pk for row in again.refused] == [row.pk for row in first.refused]
    assert (PlannedPlacement.objects.count(), Eligibility.objects.count()) == (1, 1)


def test_an_operator_is_asked_twice_with_one_request_and_refused_with_another(planned):
    site, plan = planned, planned.extra["plan"]
    asked = {"by": site.qc, "planned": plan, "operator": site.trainee}
    with clock_at(NOW):
        id = new_id()
        with one_line(site.job, "plan.operator_asked"):
            assign_operator(id=id, **asked)
        with nothing_written(site.job):
            assign_operator(id=id, **asked)
        errors = refused(
            assign_operator, id=new_id(), **(asked | {"operator": site.operator})
        )
    assert "is assigned to PLAN-01 already" in errors["operator"][0]


def test_taken_off_and_assigned_again(planned):
    site, plan = planned, planned.extra["plan"]
    row = PlannedOperator.objects.get()
    off = {"id": new_id(), "by": site.qc, "assigned": row}
    with clock_at(NOW):
        assert "reason" in refused(take_off_plan, reason=" ", **off)
        with one_line(site.job, "plan.operator_taken_off"):
            take_off_plan(reason="On leave.", **off)
        with nothing_written(site.job):
            take_off_plan(reason="On leave.", **off)
        assert _on(site).operators == ()
        assign_operator(id=new_id(), by=site.qc, planned=plan, operator=site.operator)
    assert [one.code for one in _on(site).operators] == ["OP-01"]


def _moved(site, starts_at, **more):
    return {
        "id": new_id(),
        "by": site.qc,
        "planned": site.extra["plan"],
        "starts_at": starts_at,
        "mix": site.mix,
        "rig": site.rig,
        "reason": "The scaffold is late.",
    } | more


def test_a_moved_plan_keeps_its_code_and_its_people(planned):
    site = planned
    move = _moved(site, at("2026-09-18 07:00"))
    with clock_at(NOW), one_line(site.job, "plan.moved"):
        moved = move_plan(**move)
    with clock_at(NOW), nothing_written(site.job):
        move_plan(**move)
    assert (moved.planned.code, moved.planned.rig) == ("PLAN-01", site.rig)
    assert _on(site).starts_at == at("2026-09-18 07:00")
    assert [one.code for one in _on(site).operators] == ["OP-01"]


def test_a_plan_moved_past_a_cards_end_loses_its_operator_with_the_reason(planned):
    site = planned
    with clock_at("2028-03-10 08:00"):
        moved = move_plan(**_moved(site, at("2028-03-15 07:00")))
    (row,) = moved.refused
    assert [reason.key for reason in thawed(row.verdict).failed] == ["card"]
    shown = _on(site, "2028-03-10 08:01")
    assert shown.operators == ()
    assert [one.code for one in shown.refused] == ["OP-01"]


def test_a_plan_taken_back_is_readable_as_known_before(planned):
    site = planned
    gone = {"id": new_id(), "by": site.qc, "planned": site.extra["plan"]}
    with clock_at("2026-09-15 10:00"):
        assert "reason" in refused(withdraw_plan, reason="", **gone)
        with one_line(site.job, "plan.withdrawn"):
            withdraw_plan(reason="Shot by the other firm.", **gone)
    before, after = at("2026-09-15 09:59"), at("2026-09-15 10:01")
    assert [row.code for row in plan_list(site.job, known_at=before)] == ["PLAN-01"]
    assert plan_list(site.job, known_at=after) == ()


def test_a_plan_that_began_takes_nobody_more(planned):
    site = planned
    with clock_at("2026-09-17 07:01"):
        errors = refused(
            assign_operator,
            id=new_id(),
            by=site.qc,
            planned=site.extra["plan"],
            operator=site.trainee,
        )
    assert "has passed" in errors["starts_at"][0]


def test_a_lost_standing_is_told_with_its_reason_and_since_when(planned):
    site = planned
    with clock_at("2026-09-15 11:20"):
        suspend_operator(
            id=new_id(),
            by=site.qc,
            operator=site.operator,
            from_at=at("2026-09-15 11:00"),
            until_at=None,
            words="Stood down.",
            ordered_by="Idris Halloran",
        )
    (before,) = _on(site, "2026-09-15 11:00").operators
    assert (before.stands, before.lost_at) == (True, None)
    (after,) = _on(site, "2026-09-16 08:00").operators
    assert not after.stands
    assert after.lost_at == at("2026-09-15 11:20")
    assert [reason.key for reason in after.verdict.unmet] == ["suspension"]


def test_only_the_contractors_quality_control_plans_and_only_its_own(planned):
    roles = {role for role in Role if may(role, Ability.PLAN_WORK)}
    assert roles == {Role.CONTRACTOR_QC}
    site, plan = planned, planned.extra["plan"]
    for member in (site.inspector, site.engineer, site.admin):
        with nothing_written(), pytest.raises(PermissionDenied):
            plan_placement(**_given(site, by=member))
    with nothing_written(), pytest.raises(PermissionDenied):
        withdraw_plan(id=new_id(), by=site.other_qc, planned=plan, reason="No.")


def test_another_contractor_sees_nothing_of_a_plan(planned):
    site, known = planned, at("2026-09-15 08:00")
    theirs = {"known_at": known, "for_member": site.other_qc}
    assert plan_list(site.job, **theirs) == ()
    assert plan_page(site.job, "PLAN-01", **theirs) is None
    page = plan_page(site.job, "PLAN-01", known_at=known, for_member=site.qc)
    assert page is not None
    assert [person.code for person, _standing in page.standings] == ["OP-01", "OP-02"]


def test_the_page_names_who_is_qualified_instead(qualified):
    made = _plan(qualified, Asked(qualified.trainee))
    page = plan_page(
        qualified.job, made.planned.code, known_at=at(NOW) + timedelta(minutes=1)
    )
    assert page is not None
    assert [person.code for person in page.instead] == ["OP-01"]
