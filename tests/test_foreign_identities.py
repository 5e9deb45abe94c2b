"""An identity of another job is refused wherever it can be posted or asked for.

A second job with one row of everything stands beside the demo. Each form is read as
its page shows it; each list of rows in it is then sent each of the other job's rows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.apps import apps
from django.db import transaction
from django.forms import BaseForm
from django.forms.formsets import BaseFormSet
from django.test import Client

from project.models import AuditEvent, Membership
from tests import factories
from tests.support.addresses import (
    PAGES,
    ROWS,
    Addresses,
    open_what_is_asked,
)

# Choices of which any member of any job is one: a person is let in from outside.
FROM_OUTSIDE = {"let_in": {"user", "organization"}}
# What lists of rows are made of.
KINDS = {
    "Core",
    "Crew",
    "CrewMember",
    "ElementPart",
    "Membership",
    "MixRevision",
    "NozzleTime",
    "Operator",
    "Panel",
    "Placement",
    "Rig",
    "Shift",
}
POSTED = sorted(name for name, row in ROWS.items() if "POST" in row["methods"].split())
WITH_IDENTITY = sorted(
    name
    for name, pattern in PAGES.items()
    if any(
        type(c).__name__ == "UUIDConverter" for c in pattern.pattern.converters.values()
    )
)


class _Fields(HTMLParser):
    """What a page's own forms would send as they stand, and their lists of rows."""

    def __init__(self) -> None:
        super().__init__()
        self.sent: dict[str, list[str]] = {}
        self.lists: dict[str, str] = {}  # by name, how the form is sent
        self._select, self._method = "", "get"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        name, value = given.get("name") or "", given.get("value") or ""
        if tag == "form":
            self._method = given.get("method") or "get"
        elif tag == "select":
            self._select = name
        elif tag == "option":
            self._choice(self._select, value, chosen="selected" in given)
        elif tag == "input" and given.get("type") in ("radio", "checkbox"):
            self._choice(name, value, chosen="checked" in given)
        elif tag == "input" and name:
            self.sent.setdefault(name, []).append(value)

    def _choice(self, name: str, value: str, *, chosen: bool) -> None:
        if _is_identity(value):
            self.lists[name] = self._method
        if chosen:
            self.sent.setdefault(name, []).append(value)


def _is_identity(value: str) -> bool:
    try:
        UUID(value)
    except ValueError:
        return False
    return True


@dataclass(frozen=True)
class World:
    """The demo's addresses, and the other job's rows."""

    addresses: Addresses
    foreign: dict[str, str]

    def hands(self, name: str) -> Iterator[tuple[Membership, Client]]:
        """Everybody to whom a page's door opens."""
        for role, client in self.addresses.clients.items():
            if ROWS[name][role] == "yes":
                yield self.addresses.members[role], client


def _rows() -> dict[str, set[str]]:
    return {
        model.__name__: {
            str(pk) for pk in model._default_manager.values_list("pk", flat=True)
        }
        for model in apps.get_models()
        if model._meta.app_label in ("project", "crews", "inspections")
    }


def _second_job() -> None:
    """One row of most kinds, on a job that nobody of the demo is a member of."""
    site = factories.make_site("ELSE-1")
    with factories.clock_at("2026-08-04 07:00"):
        shift = factories.make_shift(site.inspector, site.contractor)
        placement = factories.make_placement(site, shift)
    factories.shoot(
        site, placement, site.operator, "2026-08-04 08:00", "2026-08-04 09:00"
    )
    panel = factories.make_panel(site, shift=shift)
    factories.make_cores(site, panel)


@pytest.fixture(scope="module")
def world(demo) -> World:
    addresses = open_what_is_asked(demo)
    before = _rows()
    _second_job()
    foreign = {
        kind: min(keys - before[kind])
        for kind, keys in _rows().items()
        if kind in KINDS and keys - before[kind]
    }
    return World(addresses, foreign)


def _refused(context: Any, name: str) -> bool:
    """Whether a form of the page says what is wrong with that field."""
    return any(
        name in {form.add_prefix(one) for one in form.errors}
        for part in context or []
        for value in part.flatten().values()
        for form in (value.forms if isinstance(value, BaseFormSet) else [value])
        if isinstance(form, BaseForm) and form.is_bound
    )


def test_the_other_job_has_rows_of_what_lists_are_made_of(world: World) -> None:
    assert set(world.foreign) == KINDS


@pytest.mark.parametrize("name", POSTED)
def test_a_list_takes_no_row_of_another_job(world: World, name: str) -> None:
    address = world.addresses.of(name)
    pages = ((client, client.get(address)) for _member, client in world.hands(name))
    client, page = next((c, p) for c, p in pages if p.status_code in (200, 302, 405))
    fields = _Fields()
    fields.feed(page.content.decode())
    ours = FROM_OUTSIDE.get(name, set())
    lists = {key: how for key, how in fields.lists.items() if key and key not in ours}
    for identity in world.foreign.values() if lists else ():
        sent = fields.sent | {key: [identity] for key in lists}
        events = AuditEvent.objects.count()
        with transaction.atomic():
            # A page sends all of its lists by the one form they stand in.
            (how,) = set(lists.values())
            answer = getattr(client, how)(address, sent)
            transaction.set_rollback(True)
        assert answer.status_code == 422, (identity, answer.status_code)
        for field in lists:
            assert _refused(answer.context, field), (field, identity)
        assert AuditEvent.objects.count() == events


@pytest.mark.parametrize("name", WITH_IDENTITY)
def test_an_address_finds_no_row_of_another_job(world: World, name: str) -> None:
    address = world.addresses.of(name)
    own = next(part for part in address.split("/") if _is_identity(part))
    method = "get" if "GET" in ROWS[name]["methods"].split() else "post"
    for identity in [*world.foreign.values(), str(uuid4())]:
        asked = address.replace(own, identity)
        for member, client in world.hands(name):
            answer = getattr(client, method)(asked)
            assert answer.status_code in (403, 404), (asked, member.role)


def test_lists_of_rows_were_really_found(world: World) -> None:
    """A check that cannot fail is none: these pages do offer rows."""
    offered = {}
    for name in ("record_placement", "open_shift", "shoot_panel", "walk"):
        _member, client = next(iter(world.hands(name)))
        fields = _Fields()
        fields.feed(client.get(world.addresses.of(name)).content.decode())
        offered[name] = set(fields.lists) - {""}
    assert all(offered.values()), offered


def test_no_operator_of_another_job_takes_the_nozzle(world: World) -> None:
    """The hand-over offers tiles, and sends the one that was touched."""
    address = world.addresses.of("take_nozzle")
    for _member, client in world.hands("take_nozzle"):
        answer = client.post(address, {"operator": world.foreign["Operator"]})
        assert answer.status_code == 422
        assert _refused(answer.context, "operator")
