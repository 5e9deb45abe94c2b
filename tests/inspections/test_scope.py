"""Who may read what: a firm's drafts, what is signed, what one was told of."""

from __future__ import annotations

import pytest

from inspections.actions.moves import notify
from inspections.actions.readings import Measured, record_readings
from inspections.actions.reports import open_report
from inspections.queries.findings import deficiencies, nonconformances
from inspections.queries.photographs import photographs
from inspections.queries.reports import all_sheets
from project.models import new_id
from project.queries.jobs import audit_lines, now_on
from tests.inspections.hands import find, load, photograph, raise_one, remark, sign
from tests.inspections.wall import Wall, at, q

pytestmark = pytest.mark.usefixtures("files")


def now(wall):
    return now_on(wall.job)


def readers(wall: Wall) -> dict:
    return {
        key: wall.site.members[key]
        for key in (
            *("inspector", "associate", "reviewer", "qc", "other_qc"),
            *("engineer", "owner", "laboratory", "official"),
        )
    }


def seen_by(wall, ask) -> set[str]:
    return {
        key
        for key, member in readers(wall).items()
        if ask(wall.job, member, known_at=now(wall))
    }


AGENCY = {"inspector", "associate", "reviewer"}


def test_an_agencys_draft_is_seen_by_nobody_outside_until_it_is_signed(wall):
    load(wall)
    assert seen_by(wall, all_sheets) == AGENCY
    sign(wall)
    # Rooms without a door (the laboratory's, the official's) are closed by ability;
    # the query's own rule is: signed, and for a contractor its own shift.
    assert seen_by(wall, all_sheets) == AGENCY | {"qc", "engineer", "owner", "official"}


def test_a_contractors_own_sheet_is_seen_by_the_agency_when_it_is_signed(wall):
    theirs = open_report(id=new_id(), by=wall.qc, shift=wall.shift)
    mine = {"inspector", "reviewer"}

    def seen():
        return {
            key
            for key in mine
            if any(
                one.row.pk == theirs.pk
                for one in all_sheets(wall.job, readers(wall)[key], known_at=now(wall))
            )
        }

    assert seen() == set()
    sign(wall, wall.qc, theirs)
    assert seen() == mine


def test_a_finding_of_a_draft_is_seen_by_whom_it_concerns_once_somebody_was_told(wall):
    deficiency = find(wall)
    assert seen_by(wall, deficiencies) == AGENCY
    notify(
        id=new_id(),
        by=wall.inspector,
        subject=deficiency,
        person="Idris Halloran",
        means="phone",
        at=at("09:01"),
    )
    outside = {"qc", "engineer", "owner", "official"}
    assert seen_by(wall, deficiencies) == AGENCY | outside


def test_a_contractor_reads_reports_about_its_own_work_only(wall):
    raise_one(wall, wall.placement)
    everybody = set(readers(wall)) - {"other_qc", "laboratory"}
    assert seen_by(wall, nonconformances) == everybody


def test_a_draft_sheets_photograph_is_the_firms_own(wall):
    photograph(wall)
    assert seen_by(wall, photographs) == AGENCY


def test_the_trail_names_what_a_draft_says_to_nobody_outside(wall):
    """A line names its record; the words of an unsigned sheet are not its name."""
    remark(wall, words="The pump was late again.")
    record_readings(
        id=new_id(),
        by=wall.inspector,
        report=wall.report,
        kind="thickness",
        at=at("09:00"),
        readings=[Measured(q("10.25", "in"), place="grid C4")],
    )
    lines = [line for line in audit_lines(wall.admin) if not line.own]
    named = " ".join(line.event.subject_text for line in lines)
    assert "thickness" in named
    assert not [word for word in ("pump", "10.25", "C4") if word in named]
