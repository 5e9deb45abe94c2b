"""One small job, made through the actions."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest

from project import clock
from project.actions.accounts import enter_organization, enter_user, grant_membership
from project.actions.jobs import create_job, revise_mix
from project.domain.roles import Role
from project.models import new_id
from tests.support.made_once import made_once

START = datetime(2026, 7, 1, 14, tzinfo=UTC)
MIX_FACTS = {"process": "wet", "f_c": Decimal("4500"), "f_c_unit": "psi"}


@made_once
def bound() -> SimpleNamespace:
    """A job with an administrator, an engineer and one mix."""
    with clock.set_to(START):
        anna = enter_user(
            id=new_id(), email="Anna@firm.example", printed_name="Anna Norddal"
        )
        firm = enter_organization(
            id=new_id(), by=anna, code="FIRM", name="Firm", kind="owner"
        )
        job = create_job(
            id=new_id(),
            by=anna,
            code="J-1",
            name="A wall",
            contract_number="C-1",
            owner=firm,
            zone="America/Denver",
            unit_system="US",
            week_starts_on=0,
            paper="Letter",
        )
        admin, engineer = (
            grant_membership(
                id=new_id(),
                by=anna,
                job=job,
                user=anna,
                role=role,
                organization=firm,
                from_on=date(2026, 7, 1),
            )
            for role in (Role.JOB_ADMINISTRATOR, Role.ENGINEER)
        )
        mix = revise_mix(
            id=new_id(),
            by=admin,
            code="W-1",
            revision=1,
            **MIX_FACTS,
        )
    return SimpleNamespace(
        job=job, firm=firm, user=anna, admin=admin, engineer=engineer, mix=mix
    )


@pytest.fixture
def book(bound: SimpleNamespace) -> Iterator[SimpleNamespace]:
    """That job at its beginning; the clock stands still."""
    with clock.set_to(START):
        yield bound
