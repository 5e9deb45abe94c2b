"""Entering operators, cards, places and orders by the pages; crews and rigs too."""

from __future__ import annotations

import pytest

from crews.actions.people import suspend_operator
from crews.models import (
    Certification,
    Crew,
    CrewMember,
    Enrolment,
    Operator,
    Rig,
    RigEquivalence,
    Suspension,
)
from project.models import AuditEvent, new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, complaints, words
from tests.factories import at, clock_at


def _card(**changes):
    sent = {
        "scheme": "CP-60",
        "number": "WO-77",
        "method": "hand",
        "level": "full",
        "classes": ["wet/overhead", "wet/vertical"],
        "issued_on": "2024-05-01",
        "expires_on": "2029-05-01",
        "verified_how": "",
    }
    return sent | changes


def _in_force(operator):
    return Certification.objects.known_at(at("2026-09-14 09:30")).filter(
        operator=operator
    )


def test_an_operator_is_entered_then_enrolled(site):
    eye = Visitor(site.qc)
    response = eye.post(
        "enter_operator",
        data={
            "organization": site.contractor.pk,
            "legal_name": "Zlata Onwuka",
            "badge_number": "B-099",
            "aliases": "Z. Onwuka, Zlata O.",
        },
    )
    assert response.status_code == 302
    assert response.url == eye.url("enrol_operator")
    entered = Operator.objects.get(badge_number="B-099")
    assert entered.aliases == ["Z. Onwuka", "Zlata O."]
    assert "Enrol the one without a place" in words(eye.get("operators"))
    sent = {
        "id": new_id(),
        "operator": entered.pk,
        "employer": site.contractor.pk,
        "from_on": "2026-09-14",
        "submittal": "SUB-9",
    }
    for _ in range(2):  # pressed twice
        response = eye.post("enrol_operator", data=sent)
        assert response.url == eye.url("operator", "OP-04")
    assert Enrolment.objects.get(code="OP-04").operator == entered
    assert "not approved yet" in words(eye.get("operator", "OP-04"))


def test_the_same_request_sent_twice_makes_one_operator(site):
    eye = Visitor(site.qc)
    sent = {
        "id": new_id(),
        "organization": site.contractor.pk,
        "legal_name": "Zlata Onwuka",
        "badge_number": "B-099",
    }
    for _ in range(2):
        assert eye.post("enter_operator", data=sent).status_code == 302
    assert Operator.objects.filter(badge_number="B-099").count() == 1


def test_a_badge_in_use_is_refused_by_name_and_what_was_typed_stays(site):
    eye = Visitor(site.qc)
    sent = {
        "organization": site.contractor.pk,
        "legal_name": "Somebody Else",
        "badge_number": "B-001",
    }
    with nothing_written():
        response = eye.post("enter_operator", data=sent)
    assert complaints(response) == {
        "badge_number": [
            "Badge B-001 belongs to Bartosz Ilunga; allowed is one not in use."
        ]
    }
    assert 'value="Somebody Else"' in response.content.decode()


def test_a_firm_that_is_not_ones_own_is_not_offered_and_not_taken(site):
    eye = Visitor(site.qc)
    sent = {
        "organization": site.other_contractor.pk,
        "legal_name": "Somebody Else",
        "badge_number": "Q-1",
    }
    with nothing_written():
        refused = complaints(eye.post("enter_operator", data=sent))
    assert list(refused) == ["organization"]
    assert "is not on this list" in refused["organization"][0]
    offered = eye.get("enter_operator").content.decode()
    assert str(site.other_contractor.pk) not in offered


def test_names_and_badge_are_corrected_in_place(site):
    eye = Visitor(site.qc)
    sent = {"legal_name": "Bartosz Ilunga-Reed", "badge_number": "B-001"}
    assert eye.post("edit_operator", "OP-01", data=sent).status_code == 302
    site.operator.refresh_from_db()
    assert site.operator.legal_name == "Bartosz Ilunga-Reed"


def test_a_card_is_recorded_renewed_corrected_and_withdrawn(site):
    eye = Visitor(site.qc)
    operator = site.operator
    assert eye.post("record_card", "OP-01", data=_card()).status_code == 302
    card = _in_force(operator).get(number="WO-77")
    assert card.classes == [["wet", "overhead"], ["wet", "vertical"]]
    shown = eye.get("renew_card", "OP-01", card.pk).content.decode()
    assert 'value="WO-77"' in shown
    assert "2029-05-01" not in shown  # the new card has a new last day
    renewed = _card(issued_on="2026-09-01", expires_on="2031-09-01")
    assert eye.post("renew_card", "OP-01", card.pk, data=renewed).status_code == 302
    assert _in_force(operator).filter(number="WO-77").count() == 2
    verified = _card(
        verified_by=site.qc.user_id,
        verified_on="2026-09-10",
        verified_how="issuing body's register",
        reason="verified since",
        id=new_id(),
    )
    for _ in range(2):  # pressed twice
        response = eye.post("correct_card", "OP-01", card.pk, data=verified)
        assert response.status_code == 302
    corrected = _in_force(operator).get(verified_on__isnull=False)
    assert corrected.supersedes == card
    assert corrected.verified_how == "issuing body's register"
    assert eye.get("correct_card", "OP-01", card.pk).status_code == 404
    gone = {"reason": "card given back", "id": new_id()}
    for _ in range(2):
        response = eye.post("withdraw_card", "OP-01", corrected.pk, data=gone)
        assert response.status_code == 302
    assert not _in_force(operator).filter(verified_on__isnull=False).exists()


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"expires_on": "2024-04-30"}, "expires_on", "2024-04-30"),
        ({"issued_on": "2026-10-01"}, "issued_on", "2026-10-01 lies ahead"),
        ({"issued_on": "24-05-01"}, "issued_on", "24-05-01 is not a date"),
        ({"scheme": "CP-99"}, "scheme", "CP-99"),
        ({"classes": []}, "classes", "required"),
        ({"classes": ["wet/sideways"]}, "classes", "wet/sideways"),
        ({"verified_on": "2026-09-01"}, "verified_by", "Say both"),
        ({"method": "robotic"}, "method", "robotic"),
        # A trainee of this scheme holds vertical only: ACI CP-60 policy, as quoted.
        ({"level": "in training"}, "classes", "overhead"),
    ],
)
def test_a_card_that_cannot_be_is_refused_by_field(site, changes, field, said):
    eye = Visitor(site.qc)
    with nothing_written():
        response = eye.post("record_card", "OP-01", data=_card(**changes))
    refused = complaints(response)
    assert field in refused, refused
    assert said in " ".join(refused[field])
    assert 'value="WO-77"' in response.content.decode()


def test_a_correction_needs_its_reason(site):
    card = _in_force(site.operator).get()
    response = Visitor(site.qc).post("correct_card", "OP-01", card.pk, data=_card())
    assert list(complaints(response)) == ["reason"]


def test_another_operators_card_is_not_found_under_this_one(site):
    card = _in_force(site.trainee).get()
    eye = Visitor(site.qc)
    for name in ("renew_card", "correct_card", "withdraw_card"):
        assert eye.get(name, "OP-01", card.pk).status_code == 404
        assert eye.post(name, "OP-01", card.pk, data=_card()).status_code == 404


def test_another_firms_operator_is_not_found(site):
    eye = Visitor(site.other_qc)
    for name in ("record_card", "correct_place", "suspend_operator", "edit_operator"):
        assert eye.get(name, "OP-01").status_code == 404
        assert eye.post(name, "OP-01", data=_card()).status_code == 404


def test_an_approval_is_the_next_version_of_a_place(site):
    eye = Visitor(site.inspector)
    shown = eye.get("correct_place", "OP-01").content.decode()
    assert 'value="SUB-B-001"' in shown
    sent = {
        "employer": site.contractor.pk,
        "from_on": "2026-07-01",
        "to_on": "2026-06-30",
        "submittal": "SUB-B-001",
        "reason": "left",
    }
    with nothing_written():
        refused = complaints(eye.post("correct_place", "OP-01", data=sent))
    assert refused == {"to_on": ["To 2026-06-30; allowed is 2026-07-01 or later."]}
    sent["to_on"] = "2026-09-30"
    assert eye.post("correct_place", "OP-01", data=sent).status_code == 302
    known = Enrolment.objects.known_at(at("2026-09-14 09:30"))
    place = known.get(job=site.job, code="OP-01")
    assert (str(place.to_on), place.reason) == ("2026-09-30", "left")


def test_an_order_not_to_shoot_is_recorded_and_ended(site):
    eye = Visitor(site.inspector)
    sent = {
        "from_at": "2026-09-14T08:00",
        "ordered_by": "Ottilie Varga",
        "position": "overhead",
        "words": "Two dry patches in one hour.",
    }
    assert eye.post("suspend_operator", "OP-01", data=sent).status_code == 302
    order = Suspension.objects.get()
    assert order.scope == {"position": "overhead"}
    with nothing_written():
        refused = complaints(
            eye.post(
                "end_suspension", "OP-01", order.first,
                data={"until_at": "2026-09-14T07:00", "reason": "settled"},
            )
        )  # fmt: skip
    assert refused == {
        "until_at": ["2026-09-14 07:00; allowed is later than 2026-09-14 08:00."]
    }
    ended = {"until_at": "2026-09-14T08:30", "reason": "settled"}
    response = eye.post("end_suspension", "OP-01", order.first, data=ended)
    assert response.status_code == 302
    assert eye.get("end_suspension", "OP-02", order.first).status_code == 404


def test_an_order_of_another_job_is_not_found(site, elsewhere):
    with clock_at("2026-09-01 08:00"):
        order = suspend_operator(
            id=new_id(), by=elsewhere.inspector, operator=elsewhere.operator,
            from_at=at("2026-09-01 08:00"), ordered_by="x", words="y",
        )  # fmt: skip
    eye = Visitor(site.inspector)
    assert eye.get("end_suspension", "OP-01", order.first).status_code == 404


def test_crews_their_people_and_rigs_are_entered(site):
    eye = Visitor(site.qc)
    firm = site.contractor.pk
    sent = {"organization": firm, "code": "A2"}
    assert eye.post("enter_crew", data=sent).status_code == 302
    crew = Crew.objects.get(code="A2")
    sent = {"name": "Milo Adeyemi", "trade": "finisher"}
    assert eye.post("enter_crew_member", crew.pk, data=sent).status_code == 302
    assert CrewMember.objects.get(name="Milo Adeyemi").crew == crew
    rig = {
        "organization": firm, "code": "RIG-Z", "kind": "wet pump",
        "machine": "pump 3", "air_flow_0": "375", "air_flow_1": "cfm",
        "hose_diameter_0": "2", "hose_diameter_1": "in",
        "hose_length_0": "120.5", "hose_length_1": "ft",
    }  # fmt: skip
    assert eye.post("enter_rig", data=rig).status_code == 302
    page = words(eye.get("crews"))
    for said in ("A2", "Milo Adeyemi", "RIG-Z", "375", "120.5"):
        assert said in page
    entered = Rig.objects.get(code="RIG-Z")
    assert (entered.hose_length_unit, entered.air_flow_unit) == ("ft", "cfm")


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"air_flow_0": "-3"}, "air_flow", "-3 cfm; allowed is more than 0."),
        ({"air_flow_0": "lots"}, "air_flow", "lots is not a number"),
        ({"air_flow_1": "psi"}, "air_flow", "Unit psi; allowed are"),
        ({"code": "RIG-A"}, "code", "Rig RIG-A is entered already."),
        ({"kind": "crane"}, "kind", "crane is not on this list"),
        ({"code": ""}, "code", "required"),
    ],
)
def test_a_rig_that_cannot_be_is_refused_by_field(site, changes, field, said):
    sent = {
        "organization": site.contractor.pk, "code": "RIG-Z", "kind": "wet pump",
        "air_flow_0": "375", "air_flow_1": "cfm",
    }  # fmt: skip
    with nothing_written():
        refused = complaints(Visitor(site.qc).post("enter_rig", data=sent | changes))
    assert said in " ".join(refused[field])


def test_another_firms_crews_and_rigs_are_neither_shown_nor_extended(site):
    eye = Visitor(site.other_qc)
    page = words(eye.get("crews"))
    assert "RIG-B" in page
    assert "RIG-A" not in page
    sent = {"name": "Milo Adeyemi", "trade": "finisher"}
    response = eye.post("enter_crew_member", site.crew.pk, data=sent)
    assert response.status_code == 404
    assert not CrewMember.objects.filter(name="Milo Adeyemi").exists()


def test_only_the_engineer_accepts_rigs_as_equal(site):
    sent = {
        "rig": site.rig.pk,
        "other": site.other_rig.pk,
        "accepted_at": "2026-09-14T08:00",
        "words": "same pump and hose",
    }
    before = AuditEvent.objects.count()
    assert Visitor(site.qc).post("accept_equal_rigs", data=sent).status_code == 403
    assert AuditEvent.objects.count() == before
    eye = Visitor(site.engineer)
    same = complaints(eye.post("accept_equal_rigs", data=sent | {"other": site.rig.pk}))
    assert same == {"other": ["RIG-A is its own equal; allowed is another."]}
    assert eye.post("accept_equal_rigs", data=sent).status_code == 302
    assert RigEquivalence.objects.get().words == "same pump and hose"
    assert "same pump and hose" in words(eye.get("crews"))


@pytest.mark.parametrize("key", ["owner", "engineer", "reviewer", "laboratory"])
def test_who_may_not_keep_operators_may_not_enter_them(site, key):
    eye = Visitor(site.members[key])
    for name, args in (
        ("enter_operator", []),
        ("enrol_operator", []),
        ("record_card", ["OP-01"]),
        ("enter_crew", []),
        ("enter_rig", []),
    ):
        assert eye.get(name, *args).status_code == 403
        assert eye.post(name, *args, data={}).status_code == 403
