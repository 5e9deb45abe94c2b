"""One table says who may open which page; every page is tried by everybody.

`tests/tables/access.csv` names every address once, its methods, and for each role
whether the door opens. An address that is not in the table fails, and so does a row
without an address. Nothing posted here is kept.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from crews.models import (
    Certification,
    Crew,
    LabReport,
    NozzleTime,
    Presence,
    Shift,
    Suspension,
)
from inspections.models import Load, Photo
from project.actions.accounts import enter_user, grant_membership
from project.actions.jobs import create_job
from project.domain.roles import Role
from project.models import Membership, Organization, User, new_id
from project.queries.jobs import members_of

TABLE = Path(__file__).parent / "tables" / "access.csv"
ROWS: dict[str, dict[str, str]] = {
    row["page"]: row
    for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines())
}
# Pages outside any job: everybody who signed in may open them.
OPEN = {"jobs", "set_theme", "sign_in", "sign_out"}
METHODS = ("GET", "POST", "PUT", "DELETE")


def _patterns(resolver: Any = None) -> Iterator[URLPattern]:
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            yield from _patterns(entry)
        else:
            yield entry


PAGES = {str(pattern.name): pattern for pattern in _patterns()}


def test_the_table_names_every_page_and_no_other() -> None:
    assert sorted(set(PAGES) - OPEN) == sorted(ROWS)
    assert len(list(_patterns())) == len(PAGES), "two pages share a name"


@dataclass(frozen=True)
class World:
    """Clients by role, strangers, and the identities that addresses ask for."""

    job: Any
    members: dict[str, Client]
    others: dict[str, Client]
    stranger: Client
    anonymous: Client
    ids: dict[str, Any]


def _signed_in(user: User) -> Client:
    client = Client(raise_request_exception=True)
    client.force_login(user)
    return client


@pytest.fixture(scope="module")
def world(demo) -> World:
    members = {row.role: row for row in reversed(members_of(demo))}
    firm = Organization.objects.get(code="ORG-A")
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
    others = {}
    for role in Role:
        user = enter_user(
            id=new_id(), email=f"{uuid4()}@else.example", printed_name=f"Else {role}"
        )
        grant_membership(
            id=new_id(),
            by=first,
            job=other_job,
            user=user,
            role=role,
            organization=firm,
            from_on=date(2026, 7, 1),
        )
        others[role.value] = _signed_in(user)
    stranger = enter_user(
        id=new_id(), email="nobody@else.example", printed_name="Nobody Here"
    )
    return World(
        job=demo,
        members={role: _signed_in(row.user) for role, row in members.items()},
        others=others,
        stranger=_signed_in(stranger),
        anonymous=Client(),
        ids=_identities(members),
    )


def _identities(members: dict[str, Membership]) -> dict[str, Any]:
    """Return one identity of each kind, all of the first contractor's own work."""
    firm = members[Role.CONTRACTOR_QC].organization
    shift = Shift.objects.filter(organization=firm).earliest("work_date")
    card = Certification.objects.filter(operator__badge_number="BC-014").latest(
        "recorded_at"
    )
    return {
        "card": card.pk,
        "order": Suspension.objects.latest("recorded_at").pk,
        "crew": Crew.objects.filter(organization=firm).earliest("code").pk,
        "shift": shift.first,
        "presence": Presence.objects.filter(shift=shift).earliest("from_at").first,
        "held": NozzleTime.objects.filter(placement__shift=shift)
        .earliest("started_at")
        .first,
        "report": LabReport.objects.earliest("received_at").pk,
        "member": members[Role.OWNER].pk,
        "record": shift.pk,
        "load": Load.objects.filter(shift=shift).earliest("order").first,
        "photo": Photo.objects.earliest("number").first,
    }


# What a word in an address stands for; a page may need its own.
WORDS: dict[str, Any] = {
    "number": 1,
    "revision": 1,
    "n": 1,
    "element": "R1",
    "mix": "W-45A",
    "kind": "production",
    "code": "OP-01",
}
OWN_WORDS: dict[str, dict[str, Any]] = {
    "part": {"code": "R1-lower"},
    "approve_mix": {"code": "W-45A"},
    "end_suspension": {"code": "OP-03"},
}


def _address(world: World, name: str) -> str:
    pattern = PAGES[name]
    words = WORDS | world.ids | OWN_WORDS.get(name, {})
    if "panel" in name or name in (
        "drill_cores",
        "accept_substitute",
        "drill_own_cores",
        "enter_results",
    ):
        words["code"] = OWN_WORDS.get(name, {}).get("code", "TP-001")
    wanted = [key for key in pattern.pattern.converters if key != "job"]
    kwargs = {"job": world.job.code} | {key: words[key] for key in wanted}
    return reverse(name, kwargs=kwargs)


def _status(client: Client, method: str, address: str) -> tuple[int, str]:
    """Ask once; whatever was written is taken back."""
    with transaction.atomic():
        answer = client.generic(method, address)
        transaction.set_rollback(True)
    return answer.status_code, answer.headers.get("Location", "")


CASES = [(name, method) for name in sorted(ROWS) for method in METHODS]


@pytest.mark.parametrize(("name", "method"), CASES)
def test_every_page_by_everybody(world: World, name: str, method: str) -> None:
    address = _address(world, name)
    row = ROWS[name]
    allowed = row["methods"].split()
    status, where = _status(world.anonymous, method, address)
    assert status == 302, f"anonymous: {status}"
    assert where.startswith(reverse("sign_in"))
    assert _status(world.stranger, method, address)[0] == 404, "stranger"
    for role, client in world.others.items():
        assert _status(client, method, address)[0] == 404, f"{role} of another job"
    for role in Role:
        status, where = _status(world.members[role.value], method, address)
        if row[role.value] != "yes":
            assert status == 403, f"{role}: {status}"
        elif method not in allowed:
            assert status == 405, f"{role}: {status}"
        else:
            good = {200, 302, 304, 422} if method == "POST" else {200, 302}
            # Behind the door a page may still hold nothing for this firm.
            assert status in good | {404}, f"{role}: {status}"
            assert not where.startswith(reverse("sign_in"))


@pytest.mark.parametrize("name", sorted(n for n in ROWS if "GET" in ROWS[n]["methods"]))
def test_somebody_really_sees_every_page(world: World, name: str) -> None:
    address = _address(world, name)
    seen = {
        role: _status(world.members[role], "GET", address)[0]
        for role in (r.value for r in Role)
        if ROWS[name][role] == "yes"
    }
    assert 200 in seen.values(), seen
