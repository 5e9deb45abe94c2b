"""`manage.py issue_packet JOB --week DATE --out FILE`: the week's packet as a file."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from inspections.actions.packets import Hand, issue_week
from inspections.queries.packets import week_packet
from project import clock
from project.actions.signatures import Proof
from project.domain.roles import Ability, Role, may
from project.models import Job, Membership, new_id
from project.queries.jobs import job_by_code, members_of


class Command(BaseCommand):
    """Issue a week's packet, or write out the one that was issued."""

    help = "Issue the packet of a week and write its file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("job", help="the job's code")
        parser.add_argument("--week", required=True, help="any date of it, YYYY-MM-DD")
        parser.add_argument("--out", required=True, help="the file to write")
        parser.add_argument("--reason", default="", help="issue a revision, and why")
        parser.add_argument("--prepared-by", help="e-mail of the member who prepares")
        parser.add_argument(
            "--reviewed-by", help="e-mail of the other member, who reviews and issues"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        job = job_by_code(options["job"])
        if job is None:
            raise CommandError(f"job {options['job']!r}: there is none of this code")
        day = _date(options["week"])
        out = _writable(options["out"])
        preparer, reviewer = _people(job, day, options)
        try:
            issued = issue_week(
                id=new_id(),
                day=day,
                preparer=preparer,
                # Whoever may run commands here holds the database's own keys; the
                # trail names the member in whose name it was done.
                reviewer=Hand(reviewer, Proof(reviewer.user_id, clock.now())),
                reason=options["reason"],
            )
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        out.write_bytes(issued.path.read_bytes())
        self._tell(issued, out)

    def _tell(self, issued: Any, out: Path) -> None:
        packet = issued.packet
        if issued.new:
            said = f"{packet} issued, prepared by {packet.recorded_by.user}."
        else:
            said = f"{packet} was issued before; its file is written out unchanged."
            if issued.changed:
                said += (
                    f" {issued.changed} records changed since:"
                    " --reason TEXT issues the next revision."
                )
            else:
                said += " No record changed since."
        self.stdout.write(said)
        self.stdout.write(f"{out}  {packet.pages} pages  SHA-256 {packet.file_sha256}")


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(
            f"--week {text!r}: allowed is a date such as 2026-08-12"
        ) from None


def _writable(text: str) -> Path:
    out = Path(text)
    if out.is_dir() or not out.parent.is_dir():
        raise CommandError(f"--out {text!r}: allowed is a file in a folder that exists")
    try:
        with out.open("ab"):
            pass
    except OSError as error:
        raise CommandError(f"--out {text!r}: {error.strerror}") from error
    return out


def _people(
    job: Job, day: date, options: dict[str, Any]
) -> tuple[Membership, Membership]:
    """Return who prepares and who reviews: as named, or where only one can be meant."""
    waiting = week_packet(job, day)
    preparer = (
        waiting.recorded_by
        if waiting is not None and not options["prepared_by"]
        else _member(
            job, Ability.PREPARE_PACKET, "--prepared-by", options["prepared_by"]
        )
    )
    reviewer = _member(
        job,
        Ability.ISSUE_PACKET,
        "--reviewed-by",
        options["reviewed_by"],
        apart_from=preparer,
    )
    return preparer, reviewer


def _member(
    job: Job,
    ability: Ability,
    option: str,
    email: str | None,
    *,
    apart_from: Membership | None = None,
) -> Membership:
    today = job.local(clock.now()).date()
    able = [
        row
        for row in members_of(job)
        if may(Role(row.role), ability)
        and row.from_on <= today
        and (row.to_on is None or row.to_on >= today)
        and (apart_from is None or row.user_id != apart_from.user_id)
    ]
    named = ", ".join(row.user.email for row in able) or "nobody on this job"
    if email is None:
        # Of several who may prepare, the first by name is taken and named; who reviews
        # is taken only where nobody else could be meant.
        if len(able) == 1 or (able and apart_from is None):
            return able[0]
        raise CommandError(f"{option} is needed; allowed: {named}")
    found = [row for row in able if row.user.email == email.lower()]
    if not found:
        raise CommandError(f"{option} {email}: allowed: {named}")
    return found[0]
