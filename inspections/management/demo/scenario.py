"""The invented job's facts: read from its file, moved by whole weeks if asked."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from project import clock
from project.domain.identity import derived
from project.domain.units import Quantity

FILE = Path(__file__).parent / "scenario.json"
# Everything in the demo is derived from this, so that two builds are one.
ROOT = UUID("6e6f7a7a-6c65-8b6f-8f6b-64656d6f0001")
_DAY = re.compile(r"\b(20\d\d-\d\d-\d\d)\b")


@dataclass
class Scenario:
    """The file, its clock, and the identity of each thing in it."""

    weeks: int = 0
    data: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.data:
            text = FILE.read_text(encoding="utf-8")
            self.data = json.loads(text, parse_float=Decimal)

    def __getitem__(self, key: str) -> Any:
        return self.data[key]

    @cached_property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.data["zone"])

    @property
    def code(self) -> str:
        return str(self.data["job"]["id"])

    @property
    def as_of(self) -> datetime:
        return self.at(self.data["as_of_instant"])

    def at(self, text: str) -> datetime:
        """Return an instant given as local wall time."""
        local = datetime.fromisoformat(text) + timedelta(weeks=self.weeks)
        return local.replace(tzinfo=self.zone).astimezone(UTC)

    def maybe_at(self, text: str | None) -> datetime | None:
        """Return an instant, or nothing where the file has none."""
        return None if text is None else self.at(text)

    def on(self, text: str) -> date:
        """Return a calendar date."""
        return date.fromisoformat(text[:10]) + timedelta(weeks=self.weeks)

    def maybe_on(self, text: str | None) -> date | None:
        """Return a calendar date, or nothing where the file has none."""
        return None if text is None else self.on(text)

    def words(self, text: str | None) -> str:
        """Return free text, the dates inside it moved as the job is."""
        return _DAY.sub(lambda m: self.on(m.group(1)).isoformat(), text or "")

    def id(self, *names: object) -> UUID:
        """Return the identity of a thing under the job."""
        found = derived(ROOT, self.code)
        for name in names:
            found = derived(found, str(name))
        return found


def quantity(value: Any, unit: str) -> Quantity | None:
    """Return a figure of the file with its unit; nothing where it is absent."""
    return None if value is None else Quantity(Decimal(str(value)), unit)


def known_quantity(value: Any, unit: str) -> Quantity:
    """Return a figure that the file always gives."""
    return Quantity(Decimal(str(value)), unit)


def columns(name: str, value: Any, unit: str) -> dict[str, Any]:
    """Return a figure of the file as the two columns of a typed quantity."""
    if value is None:
        return {name: None, f"{name}_unit": ""}
    return {name: Decimal(str(value)), f"{name}_unit": unit}


def bounds(name: str, text: str | None, unit: str) -> dict[str, Any]:
    """Return "2.0-3.5" as the columns of a range; nothing where it is none."""
    if not text or text == "n/a":
        return {}
    low, high = text.split("-")
    return {
        f"{name}_low": Decimal(low),
        f"{name}_high": Decimal(high),
        f"{name}_unit": unit,
    }


@dataclass(frozen=True, slots=True)
class Step:
    """One act of the job, at the instant it happened."""

    at: datetime
    run: Callable[[], object]


Steps = Iterator[Step]


def replay(steps: list[Step]) -> None:
    """Run acts in the order of their instants; those of one instant as they came."""
    for step in sorted(steps, key=lambda step: step.at):
        with clock.set_to(step.at):
            step.run()
