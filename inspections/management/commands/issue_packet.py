"""`manage.py issue_packet JOB --week DATE --out FILE`: the week's packet as a file."""

from __future__ import annotations

import os
import tempfile
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from inspections.actions.packets import Hand, Issued, issue_week, issued_file
from inspections.queries.packets import week_packet
from project import clock
from project.actions.signatures import Proof
from project.domain.roles import Ability, Role, may
from project.models import Job, Membership, new_id
from project.queries.jobs import job_by_code, members_in_force


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
        with _file(options["out"]) as write:
            preparer, reviewer = _people(job, day, options)
            try:
                issued = issue_week(
                    id=new_id(),
                    job=job,
                    day=day,
                    preparer=preparer,
                    # Whoever may run commands here holds the database's own keys; the
                    # trail names the member in whose name it was done.
                    reviewer=Hand(reviewer, Proof(reviewer.user_id, clock.now()))
                    if reviewer
                    else None,
                    reason=options["reason"],
                )
                data = issued_file(issued.packet)
            except ValidationError as error:
                raise CommandError(_said(error, options)) from error
            except OSError as error:  # no room left, or a kept file was changed
                raise CommandError(str(error)) from error
            try:
                write(data)
            except OSError as error:
                raise CommandError(f"--out {options['out']!r}: {error}") from error
        self._tell(issued, options["out"])

    def _tell(self, issued: Issued, out: str) -> None:
        packet = issued.packet
        if issued.new:
            said = f"{packet} issued, prepared by {packet.recorded_by.user}."
        else:
            said = f"{packet} was issued before; its file is written out unchanged."
            if issued.changed:
                what = "record" if issued.changed == 1 else "records"
                said += (
                    f" {issued.changed} {what} changed since:"
                    " --reason TEXT issues the next revision."
                )
            else:
                said += " No record changed since."
        self.stdout.write(said)
        self.stdout.write(f"{out}  {packet.pages} pages  SHA-256 {packet.file_sha256}")


def _said(error: ValidationError, options: dict[str, Any]) -> str:
    """Name the option and its value before what an action refuses."""
    named = {"day": "week", "reason": "reason"}
    fields = (
        error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
    )
    lines = []
    for field, words in fields.items():
        option = named.get(field)
        before = f"--{option} {options[option]!r}: " if option else ""
        lines += [f"{before}{said}" for said in words]
    return " ".join(lines)


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(
            f"--week {text!r}: allowed is a date such as 2026-08-12"
        ) from None


@contextmanager
def _file(text: str) -> Iterator[Callable[[bytes], object]]:
    """Give what writes the file: whole under its name at the end, or not at all.

    Whether it can be written is found out first, before anything is issued.
    """
    out = Path(text)
    try:
        there = out.exists()
        if not out.parent.is_dir() or (there and not out.is_file()):
            allowed = "allowed is a file in a folder that exists"
            raise CommandError(f"--out {text!r}: {allowed}")
        if there:
            out.open("ab").close()
        handle, name = tempfile.mkstemp(dir=out.parent, prefix=".packet-")
    except OSError as error:
        raise CommandError(f"--out {text!r}: {error.strerror}") from error
    os.close(handle)
    draft = Path(name)
    try:
        yield draft.write_bytes
        draft.chmod(0o644)
        draft.replace(out)
    finally:
        draft.unlink(missing_ok=True)


def _people(
    job: Job, day: date, options: dict[str, Any]
) -> tuple[Membership | None, Membership | None]:
    """Return who prepares and who reviews, where the week still waits for them."""
    found = week_packet(job, day)
    state = found.state if found else ""
    if found and state == "issued" and not options["reason"].strip():
        return None, None
    if found and state in ("prepared", "reviewed"):
        preparer = found.row.recorded_by
    else:
        preparer = _member(
            job, Ability.PREPARE_PACKET, "--prepared-by", options["prepared_by"]
        )
    if found and state == "reviewed" and found.reviewed and not options["reviewed_by"]:
        return preparer, found.reviewed.recorded_by
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
    """Return the member an option names, or who is meant where it names nobody.

    Of several who may prepare, the first inspector by name is taken, and the answer
    names them; who reviews is taken only where nobody else could be meant.
    """
    able = [
        row
        for row in members_in_force(job, on=job.local(clock.now()).date())
        if may(Role(row.role), ability)
        and (apart_from is None or row.user_id != apart_from.user_id)
    ]
    named = ", ".join(row.user.email for row in able) or "nobody on this job"
    if email is None:
        able.sort(key=lambda row: row.role != Role.INSPECTOR)
        if len(able) == 1 or (able and apart_from is None):
            return able[0]
        raise CommandError(f"{option} is needed; allowed: {named}")
    found = [row for row in able if row.user.email == email.strip().lower()]
    if not found:
        raise CommandError(f"{option} {email!r}: allowed: {named}")
    return found[0]
