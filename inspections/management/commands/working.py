"""`manage.py working NAME`: one calculation, JSON in and JSON out."""

from __future__ import annotations

import json
import os
import re
import sys
from argparse import ArgumentParser
from collections.abc import Iterable, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inspections.domain.calculation_list import by_subject
from inspections.domain.calculations import CALCULATIONS
from inspections.management.calculation_text import described_in_text
from project import clock
from project.domain.calculation import Calculation
from project.domain.calculation_reading import InputError
from project.domain.calculation_running import work
from project.domain.calculation_showing import described, told
from project.domain.editions import EDITIONS

MOST_BYTES = 1_000_000
# A quantity, which is read on one line; no text inside a JSON string looks like it.
_PAIR = re.compile(r'\[\s+("(?:[^"\\]|\\.)*"),\s+("(?:[^"\\]|\\.)*")\s+\]')
_ALLOWED = "allowed is one JSON object of inputs, beside edition and settings"


class Command(BaseCommand):
    """List the calculations, write an example input, or make one."""

    help = (
        "Make one calculation of the trade: reads its inputs as JSON from the standard"
        " input, writes the figure with its steps, sources and settings as JSON."
    )
    requires_system_checks = ()  # no database is asked

    def add_arguments(self, parser: ArgumentParser) -> None:
        self._parser = parser
        parser.add_argument("name", nargs="?", help="a name of --list")
        parser.add_argument(
            "--list", action="store_true", help="describe every calculation, or NAME"
        )
        parser.add_argument(
            "--json", action="store_true", help="the list as JSON, for machines"
        )
        parser.add_argument(
            "--example", action="store_true", help="write an input of NAME to copy"
        )
        parser.add_argument(
            "--input", metavar="FILE", help="read this file instead of standard input"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            self._handle(**options)
            self.stdout.flush()
        except BrokenPipeError:
            # Whoever reads the list has seen enough; what is left goes nowhere.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())

    def _handle(self, **options: Any) -> None:
        name, listed = options["name"], options["list"]
        if options["json"] and not listed:
            self._parser.error("--json goes with --list; NAME writes JSON anyway")
        if (listed or options["example"]) and options["input"]:
            self._parser.error("--input goes with NAME alone")
        if listed and options["example"]:
            self._parser.error("--list or --example, not both")
        if name is None and not listed:
            self._parser.error("a NAME is needed, or --list")
        calculation = None if name is None else _named(name)
        if listed:
            chosen = [calculation] if calculation else list(CALCULATIONS.values())
            self._list(chosen, as_json=options["json"])
        elif calculation and options["example"]:
            self._write(_example(calculation))
        elif calculation:
            self._write(_made(calculation, _bytes(options["input"])))

    def _list(self, chosen: Iterable[Calculation], *, as_json: bool) -> None:
        groups = by_subject(chosen)
        if as_json:
            self._write([described(each) for _, under in groups for each in under])
            return
        for head, under in groups:
            self.stdout.write(f"{head.upper()}\n")
            for each in under:
                self.stdout.write(described_in_text(each))

    def _write(self, plain: object) -> None:
        text = json.dumps(plain, indent=2, ensure_ascii=False)
        self.stdout.write(_PAIR.sub(r"[\1, \2]", text))


def _named(name: str) -> Calculation:
    try:
        return CALCULATIONS[name]
    except KeyError:
        allowed = ", ".join(CALCULATIONS)
        raise CommandError(f"NAME {name[:60]!r}: allowed are {allowed}") from None


def _example(calculation: Calculation) -> Mapping[str, object]:
    if not calculation.settings:
        return calculation.example
    edition = next(iter(EDITIONS))
    return {**calculation.example, "edition": edition, "settings": {}}


def _made(calculation: Calculation, data: bytes) -> Mapping[str, Any]:
    inputs = _object(data)
    edition = inputs.pop("edition", "")
    settings = inputs.pop("settings", {})
    try:
        worked = work(
            calculation,
            inputs,
            edition=edition,
            settings=settings,
            effective_on=clock.now().date(),
        )
    except InputError as error:
        faults = [
            f"{name}: {why}" if name else why for name, why in error.errors.items()
        ]
        raise CommandError("\n".join([calculation.name, *faults])) from None
    return told(worked)


def _bytes(path: str | None) -> bytes:
    """Return what was given, at most one byte more than is taken."""
    try:
        if path is not None:
            with Path(path).open("rb") as file:
                return file.read(MOST_BYTES + 1)
        if sys.stdin.isatty():
            print("JSON, ended with Ctrl-D:", file=sys.stderr)
        return sys.stdin.buffer.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:  # a path may hold a zero byte
        raise CommandError(f"--input {path!r}: {error}") from None


def _object(data: bytes) -> dict[str, Any]:
    if len(data) > MOST_BYTES:
        raise CommandError(f"input: allowed are {MOST_BYTES:,} bytes")
    try:
        # Numbers exactly as they are written; NaN and Infinity are refused by field.
        read = json.loads(
            data.decode("utf-8-sig"),
            parse_float=Decimal,
            parse_int=Decimal,
            parse_constant=str,
            object_pairs_hook=_once,
        )
    except RecursionError:
        raise CommandError(f"input: nested too deeply; {_ALLOWED}") from None
    except ValueError as error:
        raise CommandError(f"input: {error}; {_ALLOWED}") from None
    if not isinstance(read, dict):
        raise CommandError(f"input: no object; {_ALLOWED}")
    return read


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"{twice[:60]} is given twice")
    return found
