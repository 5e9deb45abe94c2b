"""A member's hand reaches the rows of the member's own job and no further."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from project.actions.accounts import end_membership, grant_membership
from project.actions.jobs import (
    add_coat,
    add_element,
    add_part,
    approve_mix,
    create_job,
    revise_mix,
    revise_part,
    revise_terms,
)
from project.domain.roles import Role
from project.models import AuditEvent, Membership, new_id
from tests.project.conftest import MIX_FACTS


@pytest.fixture
def other(book):
    """Another job whose administrator and engineer is the same person."""
    job = create_job(
        id=new_id(),
        by=book.user,
        code="J-2",
        name="Another wall",
        contract_number="C-2",
        owner=book.firm,
        zone="America/Denver",
        unit_system="US",
        week_starts_on=0,
        paper="Letter",
    )
    admin, engineer = (
        grant_membership(
            id=new_id(),
            by=book.user,
            job=job,
            user=book.user,
            role=role,
            organization=book.firm,
            from_on=date(2026, 7, 1),
        )
        for role in (Role.JOB_ADMINISTRATOR, Role.ENGINEER)
    )
    return {"job": job, "admin": admin, "engineer": engineer}


def _element(book):
    return add_element(id=new_id(), by=book.admin, code="R1", name="Wall")


def _refused(act, /, **given) -> list[str]:
    before = AuditEvent.objects.count()
    with pytest.raises(ValidationError) as refused:
        act(**given)
    assert AuditEvent.objects.count() == before
    return list(refused.value.message_dict)


def test_parts_and_coats_of_another_job_are_refused(book, other):
    element = _element(book)
    part = {"id": new_id(), "code": "R1-a", "order": 1, "name": "Lower"}
    assert _refused(add_part, by=other["admin"], element=element, **part) == ["element"]
    made = add_part(by=book.admin, element=element, **part)
    revised = {"id": new_id(), "old": made, "reason": "drawn anew", "name": "Upper"}
    assert _refused(revise_part, by=other["admin"], **revised) == ["old"]
    coat = {"id": new_id(), "part": made.part, "order": 1, "mix_code": "W-1"}
    assert _refused(add_coat, by=other["admin"], **coat) == ["part"]


def test_a_mix_of_another_job_is_not_approved(book, other):
    given = {"id": new_id(), "mix": book.mix, "on": date(2026, 7, 1)}
    assert _refused(approve_mix, by=other["engineer"], **given) == ["mix"]


def test_members_are_let_in_and_out_by_their_own_jobs_administrator(book, other):
    given = {
        "id": new_id(),
        "job": book.job,
        "user": book.user,
        "role": Role.INSPECTOR,
        "organization": book.firm,
        "from_on": date(2026, 7, 2),
    }
    assert _refused(grant_membership, by=other["admin"], **given) == ["job"]
    ended = {"membership": book.engineer, "on": date(2026, 7, 3), "reason": "left"}
    assert _refused(end_membership, by=other["admin"], **ended) == ["membership"]
    assert Membership.objects.get(pk=book.engineer.pk).to_on is None


def test_an_identity_of_another_jobs_row_is_refused(book, other):
    element = _element(book)
    by = other["admin"]
    asked = {"by": by, "code": "R1", "name": "Wall"}
    assert _refused(add_element, id=element.pk, **asked) == ["id"]
    mix = {"by": by, "code": "W-1", "revision": 1} | MIX_FACTS
    assert _refused(revise_mix, id=book.mix.pk, **mix) == ["id"]
    terms = {"number": 1, "edition": "ibc-2018-1908", "departures": {}}
    terms |= {"id": new_id(), "effective_on": date(2026, 7, 1)}
    revise_terms(by=book.admin, **terms)
    assert _refused(revise_terms, by=by, **terms) == ["id"]
