"""The address of every page, on the demo with a few things still open.

`tests/tables/access.csv` names every page once, its methods, and for each role whether
the door opens; what an address needs beside the job is found, or opened, here.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from crews.actions.calendar import make_calendar_address
from crews.actions.panels import shoot_panel
from crews.actions.shooting import open_shift, place
from crews.actions.waivers import give_waiver
from crews.domain.trade_words import PanelKind, ShiftName, WaivedGate
from crews.models import (
    Certification,
    Crew,
    HoursStatement,
    LabReport,
    NozzleTime,
    Operator,
    Placement,
    PlannedOperator,
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
from project.domain.roles import Role
from project.domain.shooting_words import Position
from project.domain.units import Quantity
from project.models import (
    ElementPart,
    Job,
    Membership,
    MixRevision,
    Organization,
    User,
    new_id,
)
from project.queries.jobs import members_of, now_on
from tests.support.papers import keep_papers

TABLE = Path(__file__).resolve().parent.parent / "tables" / "access.csv"
ROWS: dict[str, dict[str, str]] = {
    row["page"]: row
    for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines())
}
READ = sorted(name for name, row in ROWS.items() if "GET" in row["methods"].split())


def patterns(resolver: Any = None) -> Iterator[URLPattern]:
    """Every address of the map, wherever it is nested."""
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            yield from patterns(entry)
        else:
            yield entry


PAGES = {str(pattern.name): pattern for pattern in patterns()}


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
    "name": "core-strength",
}
_PACKET = {"number": 5, "revision": 0}
OWN_WORDS: dict[str, dict[str, Any]] = {
    "part": {"code": "R1-lower"},
    "plan": {"code": "PLAN-02"},
    "assign_operator": {"code": "PLAN-02"},
    "take_off_plan": {"code": "PLAN-02"},
    "move_plan": {"code": "PLAN-02"},
    "withdraw_plan": {"code": "PLAN-02"},
    "correct_hours": {"code": "OP-02"},
    "withdraw_hours": {"code": "OP-02"},
    "revoke_calendar_address": {"address": "calendar"},
    "approve_mix": {"code": "W-45A"},
    "end_suspension": {"code": "OP-03"},
    "card_scan": {"card": "scanned card"},
    "shoot_panel": {"kind": "production"},
    "take_nozzle": {"code": "placed"},
    "placement": {"code": "PL-001"},
    "record_waste": {"code": "placed"},
    "panel": {"code": "TP-001"},
    "drill_cores": {"code": "TP-001"},
    "drill_own_cores": {"code": "TP-001"},
    "enter_results": {"code": "TP-011"},
    "judge_panel": {"code": "mock-up"},
    "rate_cores": {"code": "TP-001"},
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


def first_members(job: Job) -> dict[str, Membership]:
    """One member of each role; the contractor's is the first contractor's own."""
    members = {row.role: row for row in reversed(members_of(job))}
    firm = Organization.objects.get(code="ORG-A")
    members[Role.CONTRACTOR_QC] = next(
        row
        for row in members_of(job, role=Role.CONTRACTOR_QC)
        if row.organization == firm
    )
    return members


@dataclass(frozen=True)
class Addresses:
    """The job, a member of each role, who has signed in, and what addresses ask for."""

    job: Job
    members: dict[str, Membership]
    ids: dict[str, Any]
    clients: dict[str, Client]

    def of(self, name: str) -> str:
        """Return the address of a page."""
        own = OWN_WORDS.get(name, {})
        words = WORDS | self.ids | {k: self.ids.get(v, v) for k, v in own.items()}
        if name in _ON_DRAFT:
            words["number"] = DRAFT
        wanted = [key for key in PAGES[name].pattern.converters if key != "job"]
        kwargs = {"job": self.job.code} | {key: words[key] for key in wanted}
        address = reverse(name, kwargs=kwargs)
        asked = {
            "clear_flag": f"?mark={self.ids['flag']}",
            "revise_terms": "?term=panel_volume",
            "change_edition": "?edition=metric",
        }
        return address + asked.get(name, "")

    def reader(self, name: str) -> Membership:
        """Return the first member who is shown a page."""
        for role in Role:
            if ROWS[name][role.value] != "yes":
                continue
            if self.clients[role.value].get(self.of(name)).status_code == 200:
                return self.members[role.value]
        raise LookupError(f"nobody is shown {name}")


def open_what_is_asked(job: Job) -> Addresses:
    """Find one identity of each kind, and open what the demo has closed."""
    members = first_members(job)
    return Addresses(
        job=job,
        members=members,
        ids=_identities(members),
        clients={role: signed_in(row.user) for role, row in members.items()},
    )


def signed_in(user: User) -> Client:
    """Return a client in which a person has signed in."""
    client = Client(raise_request_exception=True)
    client.force_login(user)
    return client


def _identities(members: dict[str, Membership]) -> dict[str, Any]:
    """Return one identity of each kind, all of the first contractor's own work."""
    firm = members[Role.CONTRACTOR_QC].organization
    shift = Shift.objects.filter(organization=firm).earliest("work_date")
    card = Certification.objects.filter(operator__badge_number="BC-014").latest(
        "recorded_at"
    )
    return {
        "card": card.pk,
        "waiver": _waiver(members),
        "statement": HoursStatement.objects.get(operator__badge_number="BC-027").first,
        "calendar": make_calendar_address(id=new_id(), by=members[Role.INSPECTOR])[
            0
        ].pk,
        "assigned": PlannedOperator.objects.get(planned__code="PLAN-02").pk,
        **keep_papers(members[Role.CONTRACTOR_QC]),
        "order": Suspension.objects.latest("recorded_at").pk,
        "operator": Operator.objects.filter(organization=firm)
        .earliest("badge_number")
        .pk,
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


def _waiver(members: dict[str, Membership]) -> Any:
    """Give the engineer's waiver of an idle limit, which the demo has not."""
    now = clock.now()
    return give_waiver(
        id=new_id(),
        by=members[Role.ENGINEER],
        gate=WaivedGate.IDLE,
        operator=Operator.objects.get(badge_number="BC-014"),
        from_at=now,
        until_at=now + timedelta(days=7),
        words="Refresher under supervision.",
    ).pk


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
        "placed": placed.code,
        "load": load.first,
        "entry": weather.first,
        "signed entry": signed.first,
        "walked": walked.first,
        "deficiency": found.number,
        "mock-up": mock_up.code,
        "in place": in_place.code,
        "flag": flags_of(sheet, known_at=now_on(sheet.job))[0].mark,
    }
