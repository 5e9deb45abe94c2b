"""`manage.py eligibility JOB --part CODE --at INSTANT`: who is qualified on record."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import date, datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from crews.management.eligibility_text import as_plain, as_text
from crews.queries.matrix import matrix
from project.management.asked import instant_of, job_named
from project.models import Job, MixRevision
from project.queries.jobs import mixes, now_on, parts, planned_mix


class Command(BaseCommand):
    """Say for a part, a mix and an instant who is qualified on record, and why not."""

    help = (
        "Say who is qualified on record to shoot a part at an instant, with every gate"
        " that does not hold. An element's code answers for each of its parts. Nothing"
        " is written."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("job", help="the job's code")
        parser.add_argument(
            "--part",
            required=True,
            metavar="CODE",
            help="a part's or an element's code",
        )
        parser.add_argument(
            "--at",
            required=True,
            metavar="INSTANT",
            help="on the job's clock: 2026-08-13 12:10",
        )
        parser.add_argument(
            "--mix", metavar="CODE", help="another mix than the part is planned with"
        )
        parser.add_argument(
            "--known-at", metavar="INSTANT", help="as known then; now, where left out"
        )
        parser.add_argument(
            "--json", action="store_true", help="write JSON, for machines"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        job = job_named(options["job"])
        at = instant_of("--at", options["at"], job=job, future=True)
        known_at = now_on(job)
        if options["known_at"] is not None:
            known_at = instant_of("--known-at", options["known_at"], job=job)
        table = matrix(
            job,
            as_of=at,
            known_at=known_at,
            mix=_mix(job, options["mix"], on=job.local(at).date(), known_at=known_at),
            parts=_parts(job, options["part"], known_at=known_at),
        )
        if options["json"]:
            told = as_plain(job, table)
            self.stdout.write(json.dumps(told, indent=2, ensure_ascii=False))
        else:
            self.stdout.write(as_text(job, table))


def _parts(job: Job, code: str, *, known_at: datetime) -> set[str]:
    """Return the codes that a part's or an element's code stands for."""
    rows = parts(job, known_at=known_at)
    found = {row.code for row in rows if code in (row.code, row.part.element.code)}
    if not found:
        allowed = ", ".join(dict.fromkeys(row.part.element.code for row in rows))
        raise CommandError(
            f"--part {code!r}: no part or element of this code as known then; the"
            f" elements are {allowed or 'none'}"
        )
    return found


def _mix(
    job: Job, code: str | None, *, on: date, known_at: datetime
) -> MixRevision | None:
    if code is None:
        return None
    rows = mixes(job, known_at=known_at)
    found = planned_mix(rows, code, on=on)
    if found is None:
        allowed = ", ".join(dict.fromkeys(row.code for row in rows))
        raise CommandError(f"--mix {code!r}: allowed are {allowed or 'none'}")
    return found
