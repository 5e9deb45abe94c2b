"""The pages of planned work, as the contractor's quality control uses them."""

from __future__ import annotations

from crews.actions.people import suspend_operator
from crews.actions.plans import Asked, plan_placement
from crews.models import Eligibility, PlannedOperator, PlannedPlacement
from project.models import new_id
from tests.crews.pages import Visitor, complaints, words
from tests.factories import at, clock_at, with_mock_up
from tests.support.made_once import made_once


def _sent(site, **more):
    return {
        "id": str(new_id()),
        "part": str(site.wall.part.pk),
        "starts_at": "2026-09-17T07:00",
        "rig": str(site.rig.pk),
        "method": "hand",
        "operator_1": str(site.operator.pk),
    } | more


@made_once
def planned(qualified):
    """The wall is planned for Thursday with the operator who is qualified for it."""
    site = qualified
    with clock_at("2026-09-14 08:00"):
        site.extra["plan"] = plan_placement(
            id=new_id(),
            by=site.qc,
            part=site.wall.part,
            mix=site.mix,
            rig=site.rig,
            starts_at=at("2026-09-17 07:00"),
            operators=[Asked(site.operator)],
        ).planned
    return site


def test_a_plan_is_made_and_listed(qualified):
    visitor = Visitor(qualified.qc)
    assert "Nothing is planned from then on" in words(visitor.get("plans"))
    made = visitor.post("plan_placement", data=_sent(qualified))
    assert made.status_code == 302
    assert made.url.endswith("/plans/PLAN-01/")
    listed = words(visitor.get("plans"))
    assert "Thu 17 Sep 2026, 07:00" in listed
    assert "OP-01 Bartosz Ilunga" in listed
    assert "W-45A rev 1 RIG-A, by hand" in listed


def test_who_is_refused_is_told_with_every_gate_and_who_could_be_instead(qualified):
    visitor = Visitor(qualified.qc)
    sent = _sent(qualified, operator_1=str(qualified.trainee.pk))
    made = visitor.post("plan_placement", data=sent)
    again = visitor.post("plan_placement", data=sent)
    assert made.url == again.url
    assert (PlannedPlacement.objects.count(), Eligibility.objects.count()) == (1, 1)
    page = words(visitor.get("plan", "PLAN-01"))
    assert "Noor Vasilenko was not assigned: the record says why." in page
    assert "OP-02 not assigned, 14 Sep 2026, 09:00" in page
    assert "an accepted mock-up of the operator's own" in page
    assert "Qualified on record and not assigned: OP-01 Bartosz Ilunga" in page
    address = visitor.url("assign_operator", "PLAN-01", operator="OP-01")
    offered = visitor.client.get(address).content.decode()
    assert f'<option value="{qualified.operator.pk}" selected>' in offered
    assert "Nobody is assigned." in page


def test_what_is_wrong_stands_beside_its_field(qualified):
    visitor = Visitor(qualified.qc)
    sent = _sent(qualified, starts_at="2026-09-14T08:00")
    assert (
        "has passed"
        in complaints(visitor.post("plan_placement", data=sent))["starts_at"][0]
    )
    same = str(qualified.trainee.pk)
    sent = _sent(qualified, operator_2=same, supervisor_2=same)
    told = complaints(visitor.post("plan_placement", data=sent))
    assert "somebody else than the operator" in told["supervisor_2"][0]
    sent = _sent(qualified, operator_1="", supervisor_1=same)
    told = complaints(visitor.post("plan_placement", data=sent))
    assert told == {"supervisor_1": ["Nobody is named to be supervised."]}
    foreign = _sent(qualified, operator_1=str(qualified.other_operator.pk))
    told = complaints(visitor.post("plan_placement", data=foreign))
    assert "is not on this list" in told["operator_1"][0]
    assert not PlannedPlacement.objects.exists()


def test_one_is_assigned_under_another_and_taken_off_with_a_reason(planned):
    site, visitor = planned, Visitor(planned.qc)
    with_mock_up(site, site.trainee)
    sent = {
        "id": str(new_id()),
        "operator": str(site.trainee.pk),
        "supervisor": str(site.operator.pk),
    }
    assert visitor.post("assign_operator", "PLAN-01", data=sent).status_code == 302
    page = words(visitor.get("plan", "PLAN-01"))
    assert "OP-02 Noor Vasilenko under OP-01 Bartosz Ilunga" in page
    row = PlannedOperator.objects.get(operator=site.trainee)
    args = ("take_off_plan", "PLAN-01", row.first)
    off = {"id": str(new_id()), "reason": ""}
    assert "reason" in complaints(visitor.post(*args, data=off))
    off["reason"] = "On leave."
    for _again in range(2):
        assert visitor.post(*args, data=off).status_code == 302
    assert visitor.get(*args).status_code == 404
    assert "under OP-01" not in words(visitor.get("plan", "PLAN-01"))


def test_a_plan_is_moved_and_taken_back(planned):
    visitor = Visitor(planned.qc)
    form = visitor.get("move_plan", "PLAN-01")
    assert 'value="2026-09-17T07:00"' in form.content.decode()
    moved = {
        "id": str(new_id()),
        "starts_at": "2026-09-18T06:30",
        "mix": str(planned.mix.first),
        "rig": "",
        "method": "hand",
        "reason": "The scaffold is late.",
    }
    assert visitor.post("move_plan", "PLAN-01", data=moved).status_code == 302
    page = words(visitor.get("plan", "PLAN-01"))
    assert "Planned for Fri 18 Sep 2026, 06:30" in page
    assert "Rig not named yet" in page
    assert "as of 18 Sep 2026, 06:30, as known 14 Sep 2026" in page
    before = words(visitor.get("plan", "PLAN-01", known="2026-09-14T08:30"))
    assert "as of 17 Sep 2026, 07:00, as known 14 Sep 2026, 08:30" in before
    assert "Planned for Thu 17 Sep 2026, 07:00" in before
    gone = {"id": str(new_id()), "reason": "Not wanted."}
    for _again in range(2):
        sent = visitor.post("withdraw_plan", "PLAN-01", data=gone)
        assert sent.status_code == 302
    assert visitor.get("plan", "PLAN-01").status_code == 404
    assert "PLAN-01" in words(visitor.get("plans", known="2026-09-14T08:30"))


def test_a_lost_standing_is_on_the_list_and_not_as_known_before(planned):
    with clock_at("2026-09-14 08:40"):
        suspend_operator(
            id=new_id(),
            by=planned.qc,
            operator=planned.operator,
            from_at=at("2026-09-14 08:30"),
            until_at=None,
            ordered_by="Idris Halloran",
            words="Stood down.",
        )
    visitor = Visitor(planned.inspector)
    now = words(visitor.get("plans"))
    assert "no longer, since it was recorded 14 Sep 2026, 08:40" in now
    assert "suspension: from 2026-09-14 08:30 by Idris Halloran: Stood down." in now
    assert "to be assigned anew" in now
    before = words(visitor.get("plans", known="2026-09-14T08:35"))
    assert "no longer" not in before
    assert "Plan a placement" not in now


def test_one_named_on_two_plans_of_an_hour_is_told_on_both_and_not_refused(planned):
    site, visitor = planned, Visitor(planned.qc)
    with_mock_up(site, site.trainee)
    sent = _sent(
        site,
        starts_at="2026-09-17T07:30",
        operator_1=str(site.trainee.pk),
        supervisor_1=str(site.operator.pk),
    )
    assert visitor.post("plan_placement", data=sent).status_code == 302
    second = words(visitor.get("plan", "PLAN-02"))
    assert "OP-01 is named on PLAN-01 too, 17 Sep 2026, 07:00" in second
    assert "OP-02 Noor Vasilenko under OP-01 Bartosz Ilunga" in second
    first = words(visitor.get("plan", "PLAN-01"))
    assert "OP-01 is named on PLAN-02 too, 17 Sep 2026, 07:30" in first
    assert words(visitor.get("plans")).count("named twice") == 2
    before = words(visitor.get("plans", known="2026-09-14T08:30"))
    assert "named twice" not in before
    moved = {
        "id": str(new_id()),
        "starts_at": "2026-09-17T08:00",
        "mix": str(site.mix.first),
        "rig": "",
        "method": "hand",
        "reason": "One after the other.",
    }
    assert visitor.post("move_plan", "PLAN-02", data=moved).status_code == 302
    assert "named twice" not in words(visitor.get("plans"))


def test_as_of_a_later_day_it_is_a_plan_of_before(planned):
    visitor = Visitor(planned.inspector)
    page = words(visitor.get("plans", at="2026-09-18T08:00"))
    assert "Nothing is planned from then on" in page
    assert "One planned for before" in page
    wrong = visitor.get("plans", at="soon")
    assert wrong.status_code == 422
    assert "soon" in words(wrong)


def test_another_contractor_and_who_does_not_read_operators_find_nothing(planned):
    other = Visitor(planned.other_qc)
    assert "PLAN-01" not in words(other.get("plans"))
    for name in ("plan", "move_plan", "withdraw_plan", "assign_operator"):
        assert other.get(name, "PLAN-01").status_code == 404
    assert Visitor(planned.technician).get("plans").status_code == 403
