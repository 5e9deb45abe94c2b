"""Proposals and the home pages: computed lines that go when somebody acts."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crews.domain.trade_words import PanelKind
from inspections.actions.nozzle import operator_takes_nozzle
from inspections.actions.reports import open_report, void_report
from inspections.models import Nonconformance
from inspections.queries.proposals import Why, proposals
from inspections.queries.today import today
from inspections.queries.work import work
from project import clock
from project.models import AuditEvent, new_id
from project.queries.jobs import now_on
from tests.factories import make_cores, make_panel, report, result, shoot, with_mock_up
from tests.inspections.hands import SHOT_TOO_SOON, load, raise_one, review, sign
from tests.inspections.wall import DAY, at


def proposed(wall, member=None):
    known = now_on(wall.job)
    on = wall.job.local(known).date()
    return proposals(work(wall.job, known_at=known, on=on, for_member=member))


def take(wall, id=None):
    with clock.set_to(at("07:00")):
        return operator_takes_nozzle(
            id=id or new_id(),
            by=wall.inspector,
            placement=wall.placement,
            operator=wall.operator,
            at=at("06:55"),
        )


@pytest.mark.usefixtures("sound")
def test_a_take_that_is_not_qualified_proposes_and_stores_nothing(wall, lines):
    before, id = lines(), new_id()
    taken, frozen = take(wall, id)
    assert take(wall, id)[0] == taken
    assert frozen.state == "fail"  # no accepted mock-up of the wall
    assert lines() == before + 1
    line = AuditEvent.objects.filter(stream=wall.job.stream).last()
    assert "mock-up" in line.payload["words"]["proposes"]
    (proposal,) = proposed(wall)
    assert (proposal.why, proposal.about_id) == (Why.NOT_QUALIFIED, taken.first)
    assert proposal.since == at("06:55")
    assert proposal.part_code == wall.part.code
    assert "mock-up" in proposal.words
    assert Nonconformance.objects.count() == 0


def test_who_is_qualified_proposes_nothing(wall):
    with_mock_up(wall.site)
    _taken, frozen = take(wall)
    assert frozen.state == "pass"
    assert proposed(wall) == ()


def test_a_proposal_is_gone_once_a_person_raised_it(wall):
    taken, _frozen = take(wall)
    raise_one(wall, taken, part=wall.part)
    assert proposed(wall) == ()


def test_a_contractor_reads_its_own_proposals(wall):
    take(wall)
    assert proposed(wall, wall.qc)
    assert proposed(wall, wall.other_qc) == ()


def test_a_panel_missing_is_proposed_when_the_sheet_is_signed(wall):
    with_mock_up(wall.site)
    shoot(wall.site, wall.placement, wall.operator, f"{DAY} 06:55", f"{DAY} 09:00")
    with clock.set_to(at("15:00")):
        assert proposed(wall) == ()  # it may still be shot
        version = sign(wall)
        (proposal,) = proposed(wall)
    assert proposal.why is Why.PANEL_MISSING
    assert proposal.since == version.signature.signed_at
    assert "no panel of W-45A rev 1" in proposal.words


def test_a_panel_shot_is_not_missing(wall):
    with_mock_up(wall.site)
    shoot(wall.site, wall.placement, wall.operator, f"{DAY} 06:55", f"{DAY} 09:00")
    make_panel(wall.site, shot=f"{DAY} 08:00", shift=wall.shift)
    with clock.set_to(at("15:00")):
        sign(wall)
        assert proposed(wall) == ()


def test_a_failed_set_is_proposed_from_the_hour_its_report_came(wall):
    panel = make_panel(wall.site, shot=f"{DAY} 08:00", shift=wall.shift)
    cores = make_cores(wall.site, panel, drilled="2026-08-18 09:00")[2:]
    # f_c 4500 psi: each core at least 0.75, the mean at least 0.85 of it
    # (IBC 2018, 1908.10.3; from memory).
    strengths = ("3300", "3920", "3790")
    results = [
        result(core, "2026-09-08 10:00", strength)
        for core, strength in zip(cores, strengths, strict=True)
    ]
    letter = report(wall.site, "HP-1182", "2026-09-08 14:05", results)
    with clock.set_to(at("2026-09-08 15:00")):
        (proposal,) = [one for one in proposed(wall) if one.why is Why.SET_FAILED]
        assert (proposal.about_id, proposal.since) == (panel.first, letter.received_at)
        assert "mean" in proposal.words
        assert "core" in proposal.words
        raise_one(
            wall,
            panel,
            observed_at=at("2026-09-08 14:05"),
            written_at=at("2026-09-08 14:20"),
        )
        assert not [one for one in proposed(wall) if one.why is Why.SET_FAILED]


def needs(wall, member):
    found = today(wall.job, member, known_at=now_on(wall.job))
    return {
        name
        for name in found.__dataclass_fields__
        if isinstance(getattr(found, name), tuple) and getattr(found, name)
        if name != "shifts_today"  # told to everybody, asked of nobody
    } | ({"packet_week"} if found.packet_week else set())


def test_each_role_is_told_what_needs_it_and_nothing_else(wall):
    people = wall.site.members
    everybody = {key: needs(wall, member) for key, member in people.items()}
    told = {key: names for key, names in everybody.items() if names}
    assert told == {"inspector": {"to_sign"}}

    make_panel(wall.site, PanelKind.MOCK_UP, shot=f"{DAY} 08:30", mockup_class="A")
    load(wall, **SHOT_TOO_SOON)
    assert needs(wall, people["engineer"]) == {"to_judge"}
    assert needs(wall, people["inspector"]) == {"to_sign", "flagged"}
    sign(wall)
    assert needs(wall, people["inspector"]) == {"flagged"}
    assert needs(wall, people["reviewer"]) == {"to_review", "flagged"}
    assert needs(wall, people["qc"]) == set()
    raise_one(wall, wall.placement)
    for key in ("inspector", "reviewer", "qc", "engineer", "owner"):
        assert "nonconformances" in needs(wall, people[key]), key
    assert needs(wall, people["other_qc"]) == set()
    assert needs(wall, people["official"]) == set()


def test_a_week_that_ended_without_a_packet_waits_for_the_agency(wall):
    sign(wall)
    review(wall)
    with clock.set_to(at("2026-08-16 23:59")):
        assert needs(wall, wall.reviewer) == set()
    with clock.set_to(at("2026-08-17 00:00")):
        found = today(wall.job, wall.reviewer, known_at=now_on(wall.job))
        assert found.packet_week.first == date(2026, 8, 10)
        assert needs(wall, wall.owner) == set()


def test_an_associates_sheet_waits_for_a_certified_reviewer(wall):
    theirs = open_report(id=new_id(), by=wall.associate, shift=wall.shift)
    wall.associate.may_sign_alone = True  # as if the contract let the associate sign
    sign(wall, wall.associate, theirs)
    for member in (wall.inspector, wall.reviewer):
        found = today(wall.job, member, known_at=now_on(wall.job))
        assert [sheet.code for sheet in found.to_review] == ["DFR-002"]
    for member in (wall.associate, wall.other_associate, wall.qc):
        found = today(wall.job, member, known_at=now_on(wall.job))
        assert found.to_review == ()


def test_a_shift_nobody_of_the_agency_opened_a_sheet_for_is_named(wall):
    void_report(by=wall.inspector, report=wall.report, reason="opened in error")
    found = today(wall.job, wall.associate, known_at=now_on(wall.job))
    assert [shift.first for shift in found.shifts_without_sheet] == [wall.shift.first]
    assert not found.is_clear
    assert today(wall.job, wall.owner, known_at=now_on(wall.job)).is_clear


@pytest.mark.parametrize("role", ["inspector", "qc", "engineer", "laboratory"])
def test_a_home_page_takes_as_many_queries_however_much_there_is(wall, role):
    member = wall.site.members[role]

    def counted():
        with CaptureQueriesContext(connection) as queries:
            today(wall.job, member, known_at=now_on(wall.job))
        return len(queries)

    take(wall)
    load(wall)
    load(wall)  # a second ticket: flags are looked up from here on
    raise_one(wall, wall.report)
    few = counted()
    for _more in range(3):
        load(wall)
        raise_one(wall, wall.report)
    assert counted() == few
    assert few <= 40
