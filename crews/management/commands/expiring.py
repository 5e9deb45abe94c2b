"""`manage.py expiring JOB --days 60`: what ends next, and what has ended."""

from __future__ import annotations

import json
import textwrap
from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError

from crews.domain.endings import Ending
from crews.queries.endings import EndsNext, ends_next
from project import clock
from project.domain.clocks import on_the_clock
from project.management.asked import instant_of, job_named
from project.queries.jobs import now_on

MOST = 3660  # ten years: nothing on record is printed further ahead


class Command(BaseCommand):
    """List cards, places, idle limits and waivers by their last day, and work planned."""

    help = (
        "List what ends within some days: cards, places on the job, idle limits,"
        " waivers, suspensions; and what has ended without being followed. Nothing is"
        " written."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("job", help="the job's code")
        parser.add_argument(
            "--days", default="60", metavar="N", help=f"0 to {MOST}; 60 where left out"
        )
        parser.add_argument(
            "--at", metavar="INSTANT", help="as of another instant than now"
        )
        parser.add_argument(
            "--known-at", metavar="INSTANT", help="as known at another instant than now"
        )
        parser.add_argument(
            "--json", action="store_true", help="write JSON, for machines"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        job = job_named(options["job"])
        days = _days(str(options["days"]))
        at = clock.now()
        if options["at"] is not None:
            at = instant_of("--at", options["at"], job=job, future=True)
        known_at = now_on(job)
        if options["known_at"] is not None:
            known_at = instant_of("--known-at", options["known_at"], job=job)
        found = ends_next(job, at=at, known_at=known_at)
        if options["json"]:
            told = {
                "job": job.code,
                "on": found.on.isoformat(),
                "days": days,
                "ends": [_plain(found, one) for one in found.within(days)],
                "ended": [_plain(found, one) for one in found.ended],
            }
            self.stdout.write(json.dumps(told, indent=2, ensure_ascii=False))
        else:
            self.stdout.write("\n".join(_lines(job.code, found, days)))


def _days(text: str) -> int:
    typed = text.isascii() and text.isdecimal() and len(text) <= len(str(MOST))
    if not (typed and int(text) <= MOST):
        raise CommandError(f"--days {text!r}: allowed is a whole number, 0 to {MOST}")
    return int(text)


def _plain(found: EndsNext, one: Ending) -> dict[str, Any]:
    zone = ZoneInfo(found.zone)
    return {
        "last_on": one.last_on.isoformat(),
        "days": one.days(found.on),
        "kind": one.kind.value,
        "operator": one.whose,
        "name": found.name(one),
        "what": one.what,
        "planned": [
            {
                "plan": plan.code,
                "part": plan.part,
                "starts_at": on_the_clock(plan.starts_at.astimezone(zone)),
            }
            for plan in found.reached(one)
        ],
    }


def _lines(job: str, found: EndsNext, days: int) -> Iterator[str]:
    yield f"{job}: what ends within {days} days of {found.on}"
    yield from _told(found, found.within(days)) or ["  nothing"]
    yield ""
    yield "ended, and not followed by another"
    yield from _told(found, found.ended) or ["  nothing"]


def _told(found: EndsNext, some: tuple[Ending, ...]) -> list[str]:
    told: list[str] = []
    zone = ZoneInfo(found.zone)
    for one in some:
        days = f"{abs(one.days(found.on)):>4} d"
        whose = one.whose or "all"
        words = f"{one.kind}: {one.what}"
        told += _wrapped(words, first=f"  {one.last_on}  {days}  {whose:<5}  ")
        for plan in found.reached(one):
            starts = plan.starts_at.astimezone(zone).date()
            words = f"planned after it: {plan.code}, {plan.part}, {starts}"
            told += _wrapped(words, first=" " * 29)
    return told


def _wrapped(words: str, *, first: str) -> list[str]:
    return textwrap.wrap(
        words,
        80,
        initial_indent=first,
        subsequent_indent=" " * 31,
        break_on_hyphens=False,
    )
