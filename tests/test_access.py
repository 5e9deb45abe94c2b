"""One table says who may open which page; every page is tried by everybody.

`tests/tables/access.csv` names every address once, its methods, and for each role
whether the door opens. An address that is not in the table fails, and so does a row
without an address. Nothing posted here is kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from project.actions.accounts import enter_user, grant_membership
from project.actions.jobs import create_job
from project.domain.roles import Role
from project.models import User, new_id
from tests.support.addresses import (
    PAGES,
    READ,
    ROWS,
    Addresses,
    open_what_is_asked,
    patterns,
    signed_in,
)

# Pages outside any job: everybody who signed in may open them. A calendar's file asks
# for no session, and its secret for everything: tests/crews/test_calendar.py.
OPEN = {"calendar_feed", "jobs", "set_theme", "sign_in", "sign_out"}
METHODS = ("GET", "POST", "PUT", "DELETE")
# Doors that open to the role, but not to this record: written by another firm, or a
# mock-up, of which the architect judges only the finish.
NOT_THEIRS = {
    ("amend_entry", Role.CONTRACTOR_QC),
    ("amend_sheet", Role.CONTRACTOR_QC),
    ("review_sheet", Role.CONTRACTOR_QC),
    ("judge_panel", Role.ARCHITECT),
}


def test_the_table_names_every_page_and_no_other() -> None:
    assert sorted(set(PAGES) - OPEN) == sorted(ROWS)
    assert len(list(patterns())) == len(PAGES), "two pages share a name"


@dataclass(frozen=True)
class World:
    """The addresses, and clients by role, strangers, and nobody."""

    addresses: Addresses
    others: dict[str, Client]
    everything: Client  # somebody who is all of these on that other job
    stranger: Client
    anonymous: Client
    heard: dict[tuple[str, str, str], tuple[int, str]] = field(default_factory=dict)

    def answer(self, role: str, method: str, name: str) -> tuple[int, str]:
        """What a member is answered; asked once, for nothing they write is kept."""
        asked = role, method, name
        if asked not in self.heard:
            client = self.addresses.clients[role]
            self.heard[asked] = _status(client, method, self.addresses.of(name))
        return self.heard[asked]


@pytest.fixture(scope="module")
def world(demo) -> World:
    addresses = open_what_is_asked(demo)
    firm = addresses.members[Role.CONTRACTOR_QC].organization
    first = User.objects.get(email="wendeline@tarnhollow.example")
    other_job = create_job(
        id=new_id(),
        by=first,
        code="OTHER",
        name="Another wall",
        contract_number="X-1",
        owner=demo.owner,
        zone="America/Denver",
        unit_system="US",
        week_starts_on=0,
        paper="Letter",
    )

    def member(name: str, *roles: Role) -> Client:
        user = enter_user(
            id=new_id(), email=f"{uuid4()}@else.example", printed_name=name
        )
        for role in roles:
            grant_membership(
                id=new_id(),
                by=first,
                job=other_job,
                user=user,
                role=role,
                organization=firm,
                from_on=date(2026, 7, 1),
            )
        return signed_in(user)

    stranger = enter_user(
        id=new_id(), email="nobody@else.example", printed_name="Nobody Here"
    )
    return World(
        addresses=addresses,
        others={role.value: member(f"Else {role}", role) for role in Role},
        everything=member("Else Everything", *Role),
        stranger=signed_in(stranger),
        anonymous=Client(),
    )


def _status(client: Client, method: str, address: str) -> tuple[int, str]:
    """Ask once; whatever was written is taken back."""
    with transaction.atomic():
        answer = client.generic(method, address)
        transaction.set_rollback(True)
    return answer.status_code, answer.headers.get("Location", "")


def _elsewhere(world: World, method: str) -> Iterator[tuple[str, Client]]:
    """Members of another job, each in one role and one in all of them.

    No page takes PUT or DELETE: with those the last stands for the rest, for a door
    that one of its roles opened would open to it.
    """
    yield "every role", world.everything
    if method in ("GET", "POST"):
        yield from world.others.items()


CASES = [(name, method) for name in sorted(ROWS) for method in METHODS]


@pytest.mark.parametrize(("name", "method"), CASES)
def test_every_page_by_everybody(world: World, name: str, method: str) -> None:
    address = world.addresses.of(name)
    row = ROWS[name]
    allowed = row["methods"].split()
    status, where = _status(world.anonymous, method, address)
    assert status == 302, f"anonymous: {status}"
    assert where.startswith(reverse("sign_in"))
    assert _status(world.stranger, method, address)[0] == 404, "stranger"
    for who, client in _elsewhere(world, method):
        assert _status(client, method, address)[0] == 404, f"{who} of another job"
    for role in Role:
        status, where = world.answer(role.value, method, name)
        if row[role.value] != "yes":
            assert status == 403, f"{role}: {status}"
        elif method not in allowed:
            assert status == 405, f"{role}: {status}"
        elif (name, role) in NOT_THEIRS:
            assert status == 403, f"{role}: {status}"
        else:
            good = {200, 302, 304, 422} if method == "POST" else {200, 302}
            # Behind the door a page may still hold nothing for this firm.
            assert status in good | {404}, f"{role}: {status}"
            assert not where.startswith(reverse("sign_in"))


@pytest.mark.parametrize("name", READ)
def test_somebody_really_sees_every_page(world: World, name: str) -> None:
    seen = {
        role: world.answer(role, "GET", name)[0]
        for role in (r.value for r in Role)
        if ROWS[name][role] == "yes"
    }
    assert 200 in seen.values(), seen
