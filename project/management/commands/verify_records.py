"""`manage.py verify_records JOB`: walk a job's chain and the rows it names."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from project.audit.chain import verify_stream
from project.audit.write_once import missing
from project.queries.accounts import firms_on
from project.queries.jobs import job_by_code


class Command(BaseCommand):
    """Exit 0 where everything holds together, 1 naming the first break."""

    help = "Check that a job's records are as they were written."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("job", help="the job's code")
        parser.add_argument(
            "--head",
            help="SEQ:HASH as printed on a packet; finds a cut or rewritten chain",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        from django.db import connection

        job = job_by_code(options["job"])
        if job is None:
            raise CommandError(f"job {options['job']!r}: there is none of this code")
        unguarded = missing(connection)
        if unguarded:
            self._stop(f"no write-once trigger on {', '.join(unguarded)}")
        streams = [job.stream, *(firm.stream for firm in firms_on(job))]
        for stream in streams:
            head = _head(options["head"]) if stream == job.stream else None
            found = verify_stream(stream, head=head)
            if found is not None:
                self._stop(str(found))
        self.stdout.write(f"{job.code}: {len(streams)} chains hold together.")

    def _stop(self, words: str) -> None:
        self.stderr.write(words)
        sys.exit(1)


def _head(text: str | None) -> tuple[int, str] | None:
    if text is None:
        return None
    seq, _, digest = text.partition(":")
    if not seq.isdecimal() or len(digest) != 64:
        raise CommandError(f"--head {text!r}: allowed is SEQ:HASH, as it is printed")
    return int(seq), digest
