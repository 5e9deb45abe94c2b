"""`manage.py affected JOB --since INSTANT`: what was learned later, and what it turned."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inspections.management.affected_text import as_plain, as_text
from inspections.queries.affected import affected_work
from project.domain.clocks import on_the_clock
from project.management.asked import instant_of, job_named
from project.queries.jobs import now_on


class Command(BaseCommand):
    """List the nozzle times, parts, panels and packets that later facts turned."""

    help = (
        "List what facts recorded since an instant turned: nozzle times, parts, panels"
        " and issued packets. Nothing is written."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("job", help="the job's code")
        parser.add_argument(
            "--since",
            required=True,
            metavar="INSTANT",
            help="facts recorded after this, on the job's clock: 2026-08-24 07:00",
        )
        parser.add_argument(
            "--until", metavar="INSTANT", help="and by this; now, where it is left out"
        )
        parser.add_argument(
            "--json", action="store_true", help="write JSON, for machines"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        job = job_named(options["job"])
        since = instant_of("--since", options["since"], job=job)
        until = now_on(job)
        if options["until"] is not None:
            until = instant_of("--until", options["until"], job=job)
        if until <= since:
            earliest = on_the_clock(job.local(since))
            given = options["until"] or on_the_clock(job.local(until))
            raise CommandError(f"--until {given!r}: allowed is later than {earliest}")
        lines = affected_work(job, since=since, until=until)
        if options["json"]:
            told = as_plain(job, lines, since=since, until=until)
            self.stdout.write(json.dumps(told, indent=2, ensure_ascii=False))
        else:
            self.stdout.write(as_text(job, lines, since=since, until=until))
