"""`manage.py demo`: build the invented job and serve it on this machine."""

from __future__ import annotations

import time
from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from inspections.actions.packets import issued_file
from inspections.management.demo.build import build, built_weeks, weeks_to
from inspections.management.demo.contract import email_of
from inspections.management.demo.scenario import Scenario
from inspections.management.demo.serving import HOST, check_port, serve
from inspections.management.demo.world import PASSWORD
from inspections.queries.packets import latest_issued
from project import clock
from project.queries.jobs import job_by_code


class Command(BaseCommand):
    """Build the demo once, then serve it with one sign-in per role."""

    help = "Build the demo job and serve it; run again, it only serves."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="only build it")
        parser.add_argument(
            "--as-of",
            help="YYYY-MM-DD: move the job by whole weeks to end by this date",
        )
        parser.add_argument("--port", type=int, default=8000)

    def handle(self, *args: Any, **options: Any) -> None:
        port = options["port"]
        if not 1024 <= port <= 65535:
            raise CommandError(f"--port {port}: allowed is 1024 to 65535")
        if not options["no_serve"]:
            check_port(port)
        weeks = weeks_to(_date(options["as_of"]))
        call_command("migrate", verbosity=0)
        self._build(weeks, asked=options["as_of"] is not None)
        scenario = Scenario(weeks=built_weeks() or 0)
        if options["no_serve"]:
            self._tell(scenario, address="")
            return
        call_command("collectstatic", interactive=False, verbosity=0)
        serve(
            as_of=scenario.as_of,
            port=port,
            ready=lambda: self._tell(scenario, address=f"http://{HOST}:{port}/"),
        )

    def _build(self, weeks: int, *, asked: bool) -> None:
        stands = built_weeks()
        if stands is not None:
            if asked and stands != weeks:
                raise CommandError(
                    f"the demo in {settings.NOZZLEBOOK_DATA} ends on"
                    f" {Scenario(weeks=stands).as_of:%Y-%m-%d}; for another date name"
                    " another folder in NOZZLEBOOK_DATA"
                )
            self.stdout.write("The demo job is built already; nothing was changed.")
            return
        self.stdout.write("Building the demo job: six weeks of acts, one by one …")
        self.stdout.flush()
        begun = time.monotonic()
        build(weeks=weeks)
        self.stdout.write(f"Built in {time.monotonic() - begun:.0f} s.")

    def _tell(self, scenario: Scenario, *, address: str) -> None:
        as_of = scenario.as_of.astimezone(scenario.zone)
        lines = [
            "",
            f"{scenario['job']['name']}, contract {scenario.code}",
            f"Its clock stands at {as_of:%a %d %b %Y, %H:%M} {scenario['zone']};"
            " every person, firm and figure is invented.",
            "",
        ]
        if address:
            lines += [f"  Open      {address}", f"  Password  {PASSWORD}", ""]
        else:
            lines += [f"  Password for everybody  {PASSWORD}", ""]
        for person in scenario["people"]:
            if "username" in person:
                role = person["roles"][0]
                lines.append(f"  {email_of(person):<36} {role}, {person['name']}")
        lines += self._packet(scenario)
        if address:
            lines += ["", "  Stop with Ctrl-C."]
        self.stdout.write("\n".join(lines))
        self.stdout.flush()

    def _packet(self, scenario: Scenario) -> list[str]:
        """Say where the last issued packet lies, under a name a person can open."""
        job = job_by_code(scenario.code)
        packet = latest_issued(job) if job else None
        if packet is None:
            return []
        named = Path(settings.NOZZLEBOOK_DATA) / f"packet-{packet.number:02d}.pdf"
        named.write_bytes(issued_file(packet))
        return ["", f"  The owner's last packet  {named}"]


def _date(text: str | None) -> date:
    if text is None:
        return clock.now().astimezone().date()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(
            f"--as-of {text!r}: allowed is a date such as 2026-09-14"
        ) from None
