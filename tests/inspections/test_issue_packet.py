"""`manage.py issue_packet`: the week as a file, and every answer it gives instead."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from inspections.actions import packets as acts
from inspections.models import Packet
from project import clock
from project.actions.accounts import grant_membership
from project.actions.files import kept_path
from project.domain.roles import Role
from project.models import new_id
from tests import factories
from tests.inspections.desk import MONDAY, Desk
from tests.inspections.hands import raise_one
from tests.inspections.wall import at


@dataclass
class Command:
    """The command for the desk's job, into a folder of its own."""

    job: str
    folder: Path

    def __call__(self, **options: str) -> str:
        said = StringIO()
        given = {"week": "2026-08-12", "out": str(self.folder / "week.pdf"), **options}
        job = given.pop("job", self.job)
        words = [f"--{name.replace('_', '-')}={text}" for name, text in given.items()]
        call_command("issue_packet", job, *words, stdout=said)
        return said.getvalue()


@pytest.fixture
def issue(desk: Desk, tmp_path: Path) -> Command:
    folder = tmp_path / "out"
    folder.mkdir()
    return Command(desk.wall.job.code, folder)


def refused(issue, **options: str) -> str:
    """Return what the command says instead; nothing is issued, no file is left."""
    before = Packet.objects.count()
    with pytest.raises(CommandError) as error:
        issue(**options)
    assert Packet.objects.count() == before
    assert list(issue.folder.iterdir()) == []
    return str(error.value)


@pytest.mark.usefixtures("sound")
@pytest.mark.parametrize("day", ["2026-08-10", "2026-08-16"])
def test_any_date_of_the_week_issues_it(desk, issue, day):
    said = issue(week=day)
    packet = Packet.objects.get()
    data = (issue.folder / "week.pdf").read_bytes()
    assert sha256(data).hexdigest() == packet.file_sha256  # FIPS 180-4, by hashlib
    assert "PK-01 revision 0 issued, prepared by " in said
    assert f"{packet.pages} pages  SHA-256 {packet.file_sha256}" in said
    assert [path.name for path in issue.folder.iterdir()] == ["week.pdf"]


def test_on_an_issued_week_it_writes_the_issued_file_and_counts_what_changed(
    desk, issue
):
    issue()
    first = (issue.folder / "week.pdf").read_bytes()
    assert "its file is written out unchanged. No record changed since." in issue()
    with clock.set_to(at("2026-08-18 09:00")):
        raise_one(desk.wall, desk.load)
        said = issue(out=str(issue.folder / "again.pdf"))
    assert "1 record changed since: --reason TEXT issues the next revision." in said
    assert (issue.folder / "again.pdf").read_bytes() == first
    assert Packet.objects.count() == 1


def test_with_a_reason_it_issues_the_next_revision(desk, issue):
    issue()
    with clock.set_to(at("2026-08-18 09:00")):
        raise_one(desk.wall, desk.load)
        assert "PK-01 revision 1 issued" in issue(reason="a report came late")
        assert "PK-01 revision 1 was issued before" in issue()
    assert list(Packet.objects.values_list("revision", flat=True)) == [0, 1]


def test_what_was_prepared_and_reviewed_on_the_page_needs_nobody(desk, issue):
    packet = desk.prepare(by=desk.wall.associate)
    desk.review(packet)
    _second_reviewer(desk)
    assert "issued, prepared by" in issue()
    issued = Packet.objects.get()
    assert issued.recorded_by == desk.wall.associate


def test_a_week_without_reports_makes_a_packet_that_says_so(desk, issue):
    with clock.set_to(at("2026-08-31 08:00")):
        issue(week="2026-08-26")
    packet = Packet.objects.get(from_on=date(2026, 8, 24))
    snapshot = desk.snapshot(packet)
    assert snapshot["sections"]["reports"] == []
    assert snapshot["sentence"].startswith("No shift was worked this week.")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"job": "NOPE"}, "job 'NOPE': there is none of this code"),
        ({"week": "yesterday"}, "--week 'yesterday': allowed is a date such as"),
        ({"week": "2026-02-30"}, "--week '2026-02-30': allowed is a date such as"),
        ({"week": "2026-08-17"}, "--week '2026-08-17': The week to 2026-08-23 is not"),
        ({"week": "2024-08-12"}, "--week '2024-08-12': The week to 2024-08-18 lies"),
        ({"prepared_by": "a@b.example"}, "--prepared-by 'a@b.example': allowed: "),
        ({"reviewed_by": "a@b.example"}, "--reviewed-by 'a@b.example': allowed: "),
    ],
)
def test_what_cannot_be_is_said_by_its_option(desk, issue, options, said):
    assert said in refused(issue, **options)


def test_nobody_reviews_what_they_prepared(desk, issue):
    reviewer = desk.wall.reviewer.user.email
    said = refused(issue, prepared_by=reviewer)
    assert said == "--reviewed-by is needed; allowed: nobody on this job"


def test_with_two_reviewers_the_command_asks_which(desk, issue):
    other = _second_reviewer(desk)
    said = refused(issue)
    assert said.startswith("--reviewed-by is needed; allowed: ")
    assert other in said
    assert "issued" in issue(reviewed_by=other.upper())


def _second_reviewer(desk: Desk) -> str:
    site = desk.wall.site
    with clock.set_to(at(MONDAY)):
        row = grant_membership(
            id=new_id(),
            by=site.admin,
            job=site.job,
            user=factories.make_user("Noor Halvorsen", email="noor@example.org"),
            role=Role.AGENCY_REVIEWER,
            organization=site.firms["agency"],
            from_on=date(2026, 7, 1),
        )
    return row.user.email


@pytest.mark.parametrize("out", ["", "missing/week.pdf", "x" * 300])
def test_a_file_that_cannot_be_written_is_said_before_anything_is_issued(
    desk, issue, out
):
    said = refused(issue, out=str(issue.folder / out))
    assert said.startswith("--out '")


def test_a_kept_file_that_was_altered_is_not_written_out(desk, issue):
    issue()
    packet = Packet.objects.get()
    kept = kept_path(acts.store(), packet.file_sha256, suffix=".pdf")
    kept.write_bytes(b"something else")
    (issue.folder / "week.pdf").unlink()
    assert "was changed on the disk" in refused(issue)
