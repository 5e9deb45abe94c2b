"""Affected work of the built job: the query, the page and the command say the same.

Source of every expected answer: tests/tables/expected.json (`affected_work`, `ncrs`),
computed from the facts by an independent reading of the rules.
"""

from __future__ import annotations

import json
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from crews.actions.panels import judge_panel
from crews.domain.trade_words import DecisionOutcome
from crews.models import Eligibility, Panel, Placement
from inspections.queries.affected import BEGINNING, affected_by, affected_work
from inspections.queries.proposals import Why, proposed_later
from project import clock
from project.actions.signatures import Proof
from project.domain.roles import Role
from project.models import Job, new_id
from project.queries.jobs import members_of
from tests.journeys.conftest import WANTED, at
from tests.support.demo import SCENARIO

CARD, TP_008, TP_010, MOCK_UP, _LOT = WANTED["affected_work"]
TURNED = [CARD, TP_008, TP_010]
ANSWERED_BY = dict(zip(("NCR-003", "NCR-006", "NCR-007"), TURNED, strict=True))
ids = [line["known_at"] for line in TURNED]


def _told(line) -> dict[str, Any]:
    # The expected answers add up volumes that were rounded one by one.
    volumes = [round(held.neat.volume.value, 1) for _placed, held in line.times]
    return {
        "nozzle_times": list(line.nozzle_times),
        "parts": list(line.parts),
        "neat_yd3": sum(volumes),
        "panels": list(line.panels),
        "packets_already_issued": [packet.code for packet in line.packets],
    }


def _wanted(expected: dict[str, Any]) -> dict[str, Any]:
    return {k: v for k, v in expected.items() if k not in ("fact", "known_at")}


def _lines(job: Job, **asked: Any):
    given = {"since": BEGINNING, "until": SCENARIO.as_of}
    return affected_work(job, **given | asked)


def _client(job: Job, role: Role, firm: str = "") -> Client:
    members = members_of(job, role=role)
    client = Client()
    client.force_login(
        next(m for m in members if firm in ("", m.organization.code)).user
    )
    return client


def test_three_facts_turned_work_and_no_other_did(demo):
    lines = _lines(demo)
    assert [line.found_at for line in lines] == [
        at(w["known_at"]) for w in reversed(TURNED)
    ]


@pytest.mark.parametrize("wanted", TURNED, ids=ids)
def test_each_lists_its_work_its_panels_and_its_packets(demo, wanted):
    (line,) = (one for one in _lines(demo) if one.found_at == at(wanted["known_at"]))
    assert _told(line) == _wanted(wanted)


def test_the_corrected_card_is_told_with_both_clocks(demo):
    """Qualified as known at 10:19, not as known at 10:20 (`eligibility_two_clocks`)."""
    minute_before = _lines(demo, until=at("2026-08-24T10:19"))
    assert minute_before == ()
    (line,) = _lines(demo, until=at("2026-08-24T10:20"))
    assert (line.answered, line.reports) == (False, ())
    (turned,) = line.turned
    _, _, wanted, _ = WANTED["eligibility_two_clocks"]
    assert turned.words_before == "qualified on record"
    assert turned.words_after == wanted["verdict"]
    (gate,) = turned.gates
    assert f"{gate.key}: " in wanted["failed"][0]
    assert "last valid day 2026-08-19" in gate.after.found
    expires = next(c for c in line.fact.columns if c.label == "expires on")
    assert (expires.before, expires.after) == ("2027-08-19", "2026-08-19")
    frozen = Eligibility.objects.filter(nozzle_time=turned.held.id)
    assert {row.state for row in frozen} == {"pass"}  # nothing was rewritten


@pytest.mark.parametrize("code", ANSWERED_BY)
def test_a_report_answers_it_from_the_instant_it_was_raised(demo, code):
    (report,) = (row for row in WANTED["ncrs"] if row["ncr"] == code)
    raised, found = at(report["raised_at"]), at(ANSWERED_BY[code]["known_at"])
    for until, answered in ((found, False), (raised, True)):
        line = _lines(demo, until=until)[0]
        assert (line.found_at, line.answered) == (found, answered)
        assert [row.code for row in line.reports] == [code] * answered


def test_the_record_proposes_the_report_when_it_learned_of_it(demo):
    wanted = next(row for row in WANTED["ncrs"] if row["ncr"] == "NCR-003")
    known = at("2026-08-24T10:30")
    (proposal,) = proposed_later(_lines(demo, until=known))
    assert proposal.since == at(wanted["proposed_by_tool_at"])
    assert (proposal.why, proposal.part_code) == (Why.TURNED, "R3-upper-right")
    assert proposed_later(_lines(demo)) == ()  # a person raised it


def test_the_command_says_the_same_for_machines(demo):
    out = StringIO()
    since = "2026-08-01"
    call_command("affected", demo.code, "--since", since, "--json", stdout=out)
    told = json.loads(out.getvalue(), parse_float=Decimal)
    found = [
        {
            "known_at": line["found_at"][:16],
            "nozzle_times": line["nozzle_times"],
            "parts": line["parts"],
            "neat_yd3": round(Decimal(line["volume"]["value"]), 1),
            "panels": line["panels"],
            "packets_already_issued": [p["code"] for p in line["packets"]],
        }
        for line in told["lines"]
    ]
    assert found == [
        {k: v for k, v in wanted.items() if k != "fact"} for wanted in reversed(TURNED)
    ]


def test_the_command_writes_lines_that_fit_a_terminal(demo):
    out = StringIO()
    asked = ["--since", "2026-08-24 10:00", "--until", "2026-08-24 10:20"]
    call_command("affected", demo.code, *asked, stdout=out)
    text = out.getvalue()
    assert max(map(len, text.splitlines())) <= 80
    assert "qualified on record -> not qualified on record" in " ".join(text.split())
    assert "packets: PK-03 revision 0, to revise" in text
    assert "to answer" in text


@pytest.mark.parametrize(
    "role", [Role.INSPECTOR, Role.ENGINEER, Role.OWNER, Role.AGENCY_REVIEWER]
)
def test_the_page_says_the_same_to_whoever_follows_the_work(demo, role):
    page = _client(demo, role).get(reverse("affected", args=[demo.code]))
    text = page.content.decode()
    for wanted in TURNED:
        for name in (*wanted["panels"], *wanted["packets_already_issued"]):
            assert f">{name}</a>" in text
        for name in wanted["nozzle_times"]:
            assert name in text
    assert "not qualified on record" in text
    assert "2027-08-19 → 2026-08-19" in text


def test_a_contractor_reads_of_its_own_work_alone(demo):
    address = reverse("affected", args=[demo.code])
    own = _client(demo, Role.CONTRACTOR_QC, "ORG-A").get(address).content.decode()
    other = _client(demo, Role.CONTRACTOR_QC, "ORG-B").get(address).content.decode()
    assert {"TP-008", "TP-014", "PL-013/OP-03"} <= {
        name for name in ("TP-008", "TP-014", "PL-013/OP-03") if name in own
    }
    assert "TP-010" not in own
    assert "TP-010" in other
    assert "OP-03" not in other


def test_a_mock_up_rejected_months_later_lists_its_placements_and_packets(demo):
    """Last of this file: it writes. The engineer takes back MU-05's acceptance."""
    panel = Panel.objects.known_at(SCENARIO.as_of).get(code="MU-05")
    engineer = members_of(demo, role=Role.ENGINEER)[0]
    rows = Placement.objects.count(), Eligibility.objects.count()
    with clock.set_to(at(MOCK_UP["known_at"])):
        judgement = judge_panel(
            id=new_id(),
            by=engineer,
            panel=panel,
            decision=DecisionOutcome.REJECTED,
            decided_at=at(MOCK_UP["known_at"]),
            words="Voids behind the bars, seen on the saw cut.",
            proof=Proof(engineer.user_id, clock.now()),
            printed_name=engineer.user.printed_name,
        )
        (line,) = affected_by(judgement, job=demo, until=judgement.recorded_at)
    assert _told(line) == _wanted(MOCK_UP)
    assert line.fact.name == "judgement of MU-05"
    assert {gate.key for one in line.turned for gate in one.gates} == {"mock-up"}
    assert (Placement.objects.count(), Eligibility.objects.count()) == rows
