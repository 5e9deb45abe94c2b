"""Operators, cards and places on the job, entered through the actions."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import NON_FIELD_ERRORS, PermissionDenied

from crews.actions.people import (
    edit_operator,
    end_suspension,
    enrol_operator,
    enter_operator,
    record_certification,
    suspend_operator,
    withdraw_certification,
)
from crews.domain.trade_words import Level, Method
from crews.models import Certification, Enrolment, Operator, Suspension
from crews.queries.qualification import qualification_record
from project.domain.shooting_words import Position, Process
from project.models import new_id
from tests.crews.acts import lines, nothing_written, one_line, refused
from tests.factories import at, card, clock_at, make_card


def _enter(site, **facts):
    given = {
        "id": new_id(),
        "by": site.qc,
        "organization": site.contractor,
        "legal_name": "Marisol Ekwueme",
        "badge_number": "B-009",
    }
    return given | facts


def test_entering_an_operator_is_one_line_on_the_firms_own_stream(site):
    with one_line(site.contractor, "operator.entered"):
        operator = enter_operator(**_enter(site, aliases=["Mari", " "]))
    assert operator.aliases == ["Mari"]


def test_the_same_operator_sent_twice_is_one_operator(site):
    given = _enter(site)
    first = enter_operator(**given)
    with nothing_written(site.contractor):
        again = enter_operator(**given)
    assert again == first
    assert Operator.objects.filter(badge_number="B-009").count() == 1


def test_an_identity_of_another_firms_record_is_refused(site):
    taken = site.other_operator.pk
    assert "id" in refused(enter_operator, **_enter(site, id=taken))


def test_a_badge_in_use_is_refused_with_its_holder(site):
    errors = refused(enter_operator, **_enter(site, badge_number="B-001"))
    assert "Bartosz Ilunga" in errors["badge_number"][0]


def test_a_contractor_enters_its_own_operators_only(site):
    with nothing_written(), pytest.raises(PermissionDenied):
        enter_operator(**_enter(site, by=site.other_qc))


@pytest.mark.parametrize("who", ["owner", "laboratory", "architect", "official"])
def test_a_role_without_the_ability_enters_nobody(site, who):
    with nothing_written(), pytest.raises(PermissionDenied):
        enter_operator(**_enter(site, by=site.members[who]))


def test_a_firm_that_nobody_on_the_job_stands_for_is_refused(site, elsewhere):
    given = _enter(site, by=site.inspector, organization=elsewhere.contractor)
    assert "organization" in refused(enter_operator, **given)


def test_an_edited_name_keeps_what_stood_before_on_the_line(site):
    with one_line(site.contractor, "operator.edited"):
        edit_operator(
            by=site.qc,
            operator=site.operator,
            legal_name="Bartosz Ilunga-Reyes",
            badge_number="B-001",
            aliases=[],
        )
    change = lines(site.contractor.stream)[-1].payload["changes"]
    assert change[str(site.operator.pk)] == {
        "legal_name": ["Bartosz Ilunga", "Bartosz Ilunga-Reyes"]
    }


def _record(site, **facts):
    given = {"id": new_id(), "by": site.qc, "operator": site.operator}
    return given | {"card": card()} | facts


def test_an_expiry_before_the_issue_is_refused_with_both_days(site):
    entry = card(issued_on=date(2026, 1, 2), expires_on=date(2025, 1, 2))
    errors = refused(record_certification, **_record(site, card=entry))
    assert "2025-01-02" in errors["expires_on"][0]
    assert "2026-01-02" in errors["expires_on"][0]


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"method": Method.ROBOTIC}, "method"),
        ({"classes": []}, "classes"),
        ({"classes": [(Process.WET, Position.SLOPED)]}, "classes"),
        (
            {
                "level": Level.IN_TRAINING,
                "classes": [(Process.WET, Position.OVERHEAD)],
            },
            "classes",
        ),
        ({"scheme": "CP-99"}, "scheme"),
        ({"issued_on": date(2031, 1, 1), "expires_on": date(2036, 1, 1)}, "issued_on"),
        ({"verified_on": date(2026, 7, 13)}, "verified_by"),
    ],
)
def test_a_card_that_cannot_be_is_refused_by_field(site, facts, field):
    with clock_at("2026-08-01 08:00"):
        entry = card(**facts)
        assert field in refused(record_certification, **_record(site, card=entry))


def test_a_corrected_card_supersedes_and_a_second_correction_of_it_is_told(site):
    wrong = make_card(site.qc, site.operator, card(expires_on=date(2027, 8, 19)))
    right = card(expires_on=date(2026, 8, 19))
    with one_line(site.contractor, "card.recorded"):
        new = record_certification(
            **_record(site, card=right, supersedes=wrong, reason="year mistyped")
        )
    assert (new.first, new.supersedes_id) == (wrong.pk, wrong.pk)
    given = _record(site, card=right, supersedes=wrong, reason="again")
    errors = refused(record_certification, **given)
    assert "corrected by somebody else" in errors[NON_FIELD_ERRORS][0]


def test_a_correction_without_a_reason_is_refused(site):
    wrong = make_card(site.qc, site.operator, card())
    given = _record(site, supersedes=wrong, reason=" ")
    assert "reason" in refused(record_certification, **given)


def test_a_card_cannot_supersede_another_operators(site):
    other = make_card(site.qc, site.trainee, card(number="WV-7"))
    given = _record(site, supersedes=other, reason="slip")
    assert "supersedes" in refused(record_certification, **given)


def test_a_renewed_card_stands_beside_the_old_one(site):
    before = Certification.objects.filter(operator=site.operator).count()
    make_card(site.qc, site.operator, card(number="WV-2", issued_on=date(2026, 7, 1)))
    rows = Certification.objects.filter(operator=site.operator, supersedes=None)
    assert rows.count() == before + 1


def test_a_withdrawn_card_hides_what_it_superseded(site):
    kept = make_card(site.qc, site.operator, card(number="WV-8"))
    with one_line(site.contractor, "card.withdrawn"):
        withdraw_certification(
            id=new_id(), by=site.qc, card=kept, reason="another person's card"
        )
    known = Certification.objects.known_at(at("2030-01-01 00:00"))
    assert not known.filter(number="WV-8").exists()


def test_a_verifier_who_is_nobody_on_the_job_is_refused(site):
    entry = card(verified_by=site.stranger.user, verified_on=date(2026, 7, 13))
    with clock_at("2026-08-01 08:00"):
        given = _record(site, card=entry)
        assert "verified_by" in refused(record_certification, **given)


def _enrol(site, **facts):
    operator = enter_operator(**_enter(site))
    given = {
        "id": new_id(),
        "by": site.qc,
        "operator": operator,
        "employer": site.contractor,
        "from_on": date(2026, 8, 1),
    }
    return given | facts


def test_an_enrolment_takes_the_next_code(site):
    with clock_at("2026-08-01 08:00"):
        given = _enrol(site)
        with one_line(site.job, "operator.enrolled"):
            place = enrol_operator(**given)
    assert place.code == "OP-04"


@pytest.mark.parametrize("code", ["OP-01", "op-2x", "TP-004"])
def test_a_code_that_is_taken_or_misformed_is_refused(site, code):
    given = _enrol(site, code=code)
    assert "code" in refused(enrol_operator, **given)


def test_one_place_on_the_job_for_each_operator_and_firm(site):
    given = _enrol(site, operator=site.operator)
    assert "operator" in refused(enrol_operator, **given)


def test_approving_a_place_later_supersedes_it(site):
    given = _enrol(site)
    first = enrol_operator(**given)
    again = given | {"id": new_id(), "approved_on": date(2026, 7, 16)}
    with clock_at("2026-08-01 08:00"):
        new = enrol_operator(**again, supersedes=first, reason="submittal approved")
    assert (new.code, new.first) == (first.code, first.pk)
    assert Enrolment.objects.filter(operator=first.operator).count() == 2


def test_a_place_that_ends_before_it_begins_is_refused(site):
    given = _enrol(site, to_on=date(2026, 7, 31))
    assert "2026-08-01" in refused(enrol_operator, **given)["to_on"][0]


def _suspend(site, **facts):
    given = {
        "id": new_id(),
        "by": site.qc,
        "operator": site.operator,
        "from_at": at("2026-08-24 11:00"),
        "ordered_by": "Idris Halloran",
        "words": "card ended",
    }
    return given | facts


def test_a_suspension_is_ended_by_a_new_version(site):
    with one_line(site.job, "operator.suspended"):
        order = suspend_operator(**_suspend(site, position=Position.OVERHEAD))
    assert order.scope == {"position": "overhead"}
    with one_line(site.job, "operator.suspension_ended"):
        ended = end_suspension(
            id=new_id(),
            by=site.qc,
            suspension=order,
            until_at=at("2026-09-24 12:00"),
            reason="examined again",
        )
    assert ended.facts().position is Position.OVERHEAD
    assert ended.words == "card ended"
    assert Suspension.objects.filter(first=order.pk).count() == 2


def test_a_suspension_that_ends_before_it_begins_is_refused(site):
    given = _suspend(site, until_at=at("2026-08-24 11:00"))
    assert "until_at" in refused(suspend_operator, **given)


def test_an_operator_of_another_job_cannot_be_suspended(site, elsewhere):
    given = _suspend(site, by=site.inspector, operator=elsewhere.operator)
    assert "operator" in refused(suspend_operator, **given)


def test_a_place_that_went_over_to_another_firm_stands_no_more_for_the_first(site):
    place = Enrolment.objects.get(operator=site.operator)
    with clock_at("2026-08-05 09:00"):
        enrol_operator(
            id=new_id(),
            by=site.inspector,
            operator=site.operator,
            employer=site.other_contractor,
            from_on=place.from_on,
            approved_on=place.approved_on,
            supersedes=place,
            reason="went over",
        )
    seen = {}
    for member in (site.qc, site.other_qc, site.inspector):
        record = qualification_record(
            site.job, known_at=at("2026-08-05 09:01"), for_member=member
        )
        file = record.files.get(site.operator.pk)
        seen[member.pk] = file and [one.employer for one in file.enrolments]
    other = site.other_contractor.name
    assert list(seen.values()) == [[], [other], [other]]
