"""One table says who may open which page; every page is tried by everybody.

`tests/tables/access.csv` names every address once, its methods, and for each role
whether the door opens. An address that is not in the table fails, and so does a row
without an address. Nothing posted here is kept.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from crews.actions.panels import shoot_panel
from crews.actions.shooting import open_shift, place
from crews.domain.trade_words import PanelKind, ShiftName
from crews.models import (
    Certification,
    Crew,
    LabReport,
    NozzleTime,
    Operator,
    Placement,
    Presence,
    Rig,
    Shift,
    Suspension,
)
from inspections.actions.deficiencies import open_deficiency
from inspections.actions.loads import LoadAsCame, record_load
from inspections.actions.packets import prepare_packet
from inspections.actions.reports import open_report, record_weather
from inspections.actions.rounds import Walk, record_round
from inspections.domain.catalogue import RoundKind
from inspections.models import Weather
from inspections.queries.catalogue import CURRENT
from inspections.queries.flags import flags_of
from project import clock
from project.actions.accounts import enter_user, grant_membership
from project.actions.jobs import create_job
from project.domain.roles import Role
from project.domain.shooting_words import Position
from project.domain.units import Quantity
from project.models import (
    ElementPart,
    Membership,
    MixRevision,
    Organization,
    User,
    new_id,
)
from project.queries.jobs import members_of, now_on

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
    contractors = members_of(demo, role=Role.CONTRACTOR_QC)
    members[Role.CONTRACTOR_QC] = next(
        row for row in contractors if row.organization == firm
    )
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
        **_draft(members),
    }


def _draft(members: dict[str, Membership]) -> dict[str, Any]:
    """Open what is still open: a draft sheet, a packet to review, panels to judge."""
    inspector, qc = members[Role.INSPECTOR], members[Role.CONTRACTOR_QC]
    now = clock.now()
    shift = open_shift(
        id=new_id(),
        by=inspector,
        contractor=qc.organization,
        work_date=date(2026, 9, 14),
        name=ShiftName.DAY,
        starts_at=now - timedelta(minutes=60),
    )
    sheet = open_report(id=new_id(), by=inspector, shift=shift)
    assert sheet.number == DRAFT
    part = ElementPart.objects.get(code="R6-upstand")
    mix = MixRevision.objects.filter(code="W-45A", revision=2).latest("recorded_at")
    placed = place(
        id=new_id(),
        by=inspector,
        shift=shift,
        part=part,
        mix=mix,
        crew=Crew.objects.get(code="A1"),
        rig=Rig.objects.get(code="RIG-A1"),
    )
    # Shot before it was batched: kept, and flagged.
    load = record_load(
        id=new_id(),
        by=inspector,
        shift=shift,
        report=sheet,
        placement=placed,
        load=LoadAsCame(
            kind="truck",
            volume=Quantity(Decimal("3"), "yd3"),
            ticket="90001",
            batched_at=now - timedelta(minutes=10),
            first_shot_at=now - timedelta(minutes=20),
        ),
    )
    weather = record_weather(
        id=new_id(),
        by=inspector,
        report=sheet,
        at=now,
        air=Quantity(Decimal("70"), "F"),
    )
    found = open_deficiency(
        id=new_id(), by=inspector, item="place-overspray", seen_at=now, report=sheet
    )
    walked = record_round(
        id=new_id(),
        by=inspector,
        report=sheet,
        walk=Walk(
            kinds=[RoundKind.ROUND],
            at=now,
            edition=CURRENT,
            answers=[],
            placement=placed,
        ),
    )
    mock_up = shoot_panel(
        id=new_id(),
        by=qc,
        kind=PanelKind.MOCK_UP,
        mix=mix,
        position=Position.VERTICAL,
        shot_from=now - timedelta(minutes=50),
        operator=Operator.objects.get(badge_number="BC-014"),
        thickness=Quantity(Decimal("8"), "in"),
    )
    in_place = shoot_panel(
        id=new_id(),
        by=qc,
        kind=PanelKind.IN_PLACE,
        mix=mix,
        position=Position.OVERHEAD,
        shot_from=now - timedelta(minutes=50),
        placement=Placement.objects.get(code="PL-008"),
        stands_for=NozzleTime.objects.filter(placement__code="PL-008").latest(
            "started_at"
        ),
    )
    prepare_packet(id=new_id(), by=inspector, day=date(2026, 9, 8))
    signed = Weather.objects.filter(report__number=1).earliest("at")
    return {
        "load": load.first,
        "entry": weather.first,
        "signed entry": signed.first,
        "walked": walked.first,
        "deficiency": found.number,
        "mock-up": mock_up.code,
        "in place": in_place.code,
        "flag": flags_of(sheet, known_at=now_on(sheet.job))[0].mark,
    }


# The sheet that is opened for this test: the demo's own are signed.
DRAFT = 27
# What a word in an address stands for; a page may need its own.
WORDS: dict[str, Any] = {
    "number": 1,
    "revision": 1,
    "n": 1,
    "element": "R1",
    "mix": "W-45A-2",
    "kind": "weather",
    "act": "correct",
    "longest": 320,
    "code": "OP-01",
}
_PACKET = {"number": 5, "revision": 0}
OWN_WORDS: dict[str, dict[str, Any]] = {
    "part": {"code": "R1-lower"},
    "approve_mix": {"code": "W-45A"},
    "end_suspension": {"code": "OP-03"},
    "shoot_panel": {"kind": "production"},
    "take_nozzle": {"code": "PL-001"},
    "panel": {"code": "TP-001"},
    "drill_cores": {"code": "TP-001"},
    "drill_own_cores": {"code": "TP-001"},
    "enter_results": {"code": "TP-011"},
    "judge_panel": {"code": "mock-up"},
    "accept_substitute": {"code": "in place"},
    "packet": _PACKET,
    "packet_file": _PACKET,
    "revise_packet": _PACKET,
    "review_packet": {"number": 6, "revision": 0},
    "issue_packet": {"number": 6, "revision": 0},
    "move_deficiency": {"number": "deficiency", "move": "correct"},
    "move_nonconformance": {"number": 3, "move": "notify"},
    "amend_entry": {"entry": "signed entry"},
}
# Pages of a sheet that takes entries.
_ON_DRAFT = {
    "void_sheet",
    "sign_sheet",
    "clear_flag",
    "record_weather",
    "record_load",
    "finish_load",
    "record_test",
    "record_readings",
    "add_remark",
    "add_photograph",
    "open_deficiency",
    "walk",
    "correct_round",
    "correct_entry",
    "withdraw_entry",
}
# Sheets that wait for nobody's review or amendment lead back to themselves.
LEADS_BACK = {"review_sheet"}


def _address(world: World, name: str) -> str:
    own = OWN_WORDS.get(name, {})
    words = WORDS | world.ids | {k: world.ids.get(v, v) for k, v in own.items()}
    if name in _ON_DRAFT:
        words["number"] = DRAFT
    wanted = [key for key in PAGES[name].pattern.converters if key != "job"]
    kwargs = {"job": world.job.code} | {key: words[key] for key in wanted}
    address = reverse(name, kwargs=kwargs)
    return f"{address}?mark={world.ids['flag']}" if name == "clear_flag" else address


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
    expected = 302 if name in LEADS_BACK else 200
    assert expected in seen.values(), seen
