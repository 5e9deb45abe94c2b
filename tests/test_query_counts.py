"""How many queries each page takes: a committed baseline that rows do not raise.

`tests/tables/query_counts.csv` names every page that can be read. After a page was
changed on purpose, write it anew and look at the difference:

    .venv/bin/python -m pytest tests/test_query_counts.py --write-query-counts
"""

from __future__ import annotations

import csv
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from crews.actions.crews import enter_crew, enter_crew_member, enter_rig
from crews.actions.nozzle import take_nozzle
from crews.actions.panels import shoot_panel
from crews.actions.plans import Asked, plan_placement
from crews.actions.shooting import place
from crews.domain.trade_words import PanelKind, RigKind, Trade
from crews.models import Operator, Shift
from inspections.actions.deficiencies import open_deficiency
from inspections.actions.loads import LoadAsCame, record_load
from inspections.actions.reports import record_weather
from inspections.actions.rounds import Walk, record_round
from inspections.domain.catalogue import RoundKind
from inspections.models import DailyReport
from inspections.queries.catalogue import CURRENT
from project import clock
from project.domain.roles import Role
from project.domain.shooting_words import Position
from project.domain.units import Quantity
from project.models import ElementPart, Job, MixRevision, new_id
from tests.factories import make_operator
from tests.support.addresses import (
    DRAFT,
    READ,
    Addresses,
    open_what_is_asked,
)

TABLE = Path(__file__).parent / "tables" / "query_counts.csv"
MORE = 3


def _baseline() -> dict[str, int]:
    with TABLE.open(encoding="utf-8") as table:
        return {row["page"]: int(row["queries"]) for row in csv.DictReader(table)}


def _write(counts: dict[str, int]) -> None:
    lines = ["page,queries", *(f"{page},{n}" for page, n in sorted(counts.items()))]
    TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _count(client: Client, address: str) -> int:
    """Count a page's queries, what a process keeps in memory being there already."""
    with CaptureQueriesContext(connection) as counted:
        answer = client.get(address)
        answer.getvalue()  # a file is read while it is sent
    assert answer.status_code == 200
    return len(counted)


def _work_more(addresses: Addresses, mark: int) -> None:
    """Add a crew with its people, a shift on a sheet, a panel, and what was seen."""
    inspector = addresses.members[Role.INSPECTOR]
    qc = addresses.members[Role.CONTRACTOR_QC]
    firm, now = qc.organization, clock.now()
    mix = MixRevision.objects.filter(code="W-45A", revision=2).latest("recorded_at")
    crew = enter_crew(id=new_id(), by=qc, organization=firm, code=f"X{mark}")
    rig = enter_rig(
        id=new_id(),
        by=qc,
        organization=firm,
        code=f"RIG-X{mark}",
        kind=RigKind.WET_PUMP,
    )
    enter_crew_member(
        id=new_id(), by=qc, crew=crew, name=f"Hand {mark}", trade=Trade.BLOWPIPE
    )
    operator = make_operator(qc, firm, f"Operator {mark}", f"X-00{mark}")
    placement = place(
        id=new_id(),
        by=inspector,
        shift=Shift.objects.latest("recorded_at"),
        part=ElementPart.objects.get(code="R6-upstand"),
        mix=mix,
        crew=crew,
        rig=rig,
    )
    take_nozzle(
        id=new_id(),
        by=inspector,
        placement=placement,
        operator=operator,
        at=now - timedelta(minutes=30),
    )
    shoot_panel(
        id=new_id(),
        by=qc,
        kind=PanelKind.PRODUCTION,
        mix=mix,
        position=Position.VERTICAL,
        shot_from=now - timedelta(minutes=20),
        shift=placement.shift,
        operator=operator,
        rig=rig,
    )
    plan_placement(
        id=new_id(),
        by=qc,
        part=ElementPart.objects.get(code="R6-soffit"),
        mix=mix,
        starts_at=now + timedelta(days=mark + 1),
        operators=[
            Asked(operator),
            Asked(Operator.objects.get(badge_number="BC-014")),
        ],
    )
    _see_more(addresses, placement)


def _see_more(addresses: Addresses, placement: Any) -> None:
    """Add a reading, a load, a walk and a deficiency to the draft sheet."""
    inspector, now = addresses.members[Role.INSPECTOR], clock.now()
    sheet = DailyReport.objects.get(job=addresses.job, number=DRAFT)
    common = {"by": inspector, "report": sheet}
    record_weather(id=new_id(), at=now, air=Quantity(Decimal(71), "F"), **common)
    record_load(
        id=new_id(),
        shift=placement.shift,
        placement=placement,
        load=LoadAsCame(
            kind="truck",
            volume=Quantity(Decimal(4), "yd3"),
            ticket=f"9{placement.code}",
            batched_at=now - timedelta(minutes=40),
            first_shot_at=now - timedelta(minutes=20),
        ),
        **common,
    )
    walk = Walk(
        kinds=[RoundKind.ROUND],
        at=now,
        edition=CURRENT,
        answers=[],
        placement=placement,
    )
    record_round(id=new_id(), walk=walk, **common)
    open_deficiency(id=new_id(), item="place-overspray", seen_at=now, **common)


@pytest.fixture(scope="module")
def counted(demo: Job, request: pytest.FixtureRequest) -> dict[str, Any]:
    """Count every page, once with one of each kind still open and once with more."""
    addresses = open_what_is_asked(demo)
    # Whoever is found to read a page has read it once: the process is warm.
    readers = {n: addresses.clients[addresses.reader(n).role] for n in READ}
    _work_more(addresses, 0)

    def counts() -> dict[str, int]:
        return {n: _count(readers[n], addresses.of(n)) for n in READ}

    few = counts()
    for mark in range(1, MORE + 1):
        _work_more(addresses, mark)
    if request.config.getoption("write_query_counts"):
        _write(few)
    return {"few": few, "many": counts(), "baseline": _baseline()}


def test_the_table_names_every_page_that_is_read(counted: dict[str, Any]) -> None:
    assert sorted(counted["baseline"]) == READ


@pytest.mark.parametrize("name", READ)
def test_a_page_takes_as_many_queries_as_were_committed(
    counted: dict[str, Any], name: str
) -> None:
    assert counted["few"][name] == counted["baseline"][name]


@pytest.mark.parametrize("name", READ)
def test_more_rows_take_no_more_queries(counted: dict[str, Any], name: str) -> None:
    assert counted["many"][name] == counted["few"][name]
