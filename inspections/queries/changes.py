"""Facts that were corrected, taken back or learned late: which, when and in what."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

from crews.models import (
    Certification,
    Enrolment,
    Experience,
    PanelJudgement,
    Shift,
    Suspension,
    Waiver,
)
from crews.queries.hindsight import Hindsight
from crews.queries.panel_hindsight import PanelHindsight
from inspections.domain.affected import is_late
from inspections.models import Deficiency, Load, Nonconformance
from project.domain.clocks import day_starts
from project.models import Job

# Where a fact of a kind begins to be true; a part's drawing has no such day.
_VALID_FROM: Mapping[str, str] = {
    "certification": "issued_on",
    "enrolment": "from_on",
    "experience": "stated_on",
    "suspension": "from_at",
    "waiver": "from_at",
    "paneljudgement": "decided_at",
    "visualrating": "rated_at",
    "panel": "shot_from",
    "core": "drilled_at",
    "labreport": "received_at",
    "mixrevision": "approved_on",
    "termsrevision": "effective_on",
    "rigequivalence": "accepted_at",
    "nozzletime": "started_at",
    "presence": "from_at",
    "shift": "starts_at",
}
# Told first where one act wrote several: what turned the answer, before what followed.
_ORDER = (
    *("certification", "enrolment", "suspension", "waiver", "paneljudgement"),
    *("visualrating", "labreport", "core", "panel", "nozzletime", "placement"),
)
_CHAIN = frozenset(
    {
        *("id", "first", "supersedes", "recorded_at", "recorded_by", "withdrawn"),
        *("reason", "job", "organization", "signature", "certificate", "scan"),
    }
)


class Deed(StrEnum):
    """What was done to the record."""

    CORRECTED = "corrected"
    TAKEN_BACK = "taken back"
    LATE = "recorded late"
    RECORDED = "recorded"


@dataclass(frozen=True, slots=True)
class Column:
    """One column that reads otherwise; without words where its value has none."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Change:
    """One fact as it was recorded, and the version that it superseded."""

    row: Any
    before: Any
    name: str
    deed: Deed
    columns: tuple[Column, ...]

    @property
    def kind(self) -> str:
        return str(self.row.kind)

    @property
    def at(self) -> datetime:
        return self.row.recorded_at  # type: ignore[no-any-return]

    @property
    def reason(self) -> str:
        return str(self.row.reason)

    @property
    def rank(self) -> tuple[bool, int, str]:
        """The order in which the facts of one act are told."""
        kinds = {kind: n for n, kind in enumerate(_ORDER)}
        return self.before is None, kinds.get(self.kind, len(kinds)), self.name


@dataclass(frozen=True, slots=True)
class Names:
    """What records are called, read before: no name asks the database."""

    job: Job
    operators: Mapping[UUID, str]
    parts: Mapping[UUID, str]
    mixes: Mapping[UUID, str]
    panels: Mapping[UUID, str]
    placements: Mapping[UUID, str]

    def of(self, row: Any) -> str:
        """Return what a fact is called, with whose or of what it is."""
        make = _NAMED.get(row.kind)
        return str(row) if make is None else make(self, row)

    def value(self, row: Any, field: Any) -> str | None:
        """Return a column's value in words; nothing where it has none."""
        value = getattr(row, field.attname)
        if value is None or value == "":
            return "none"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, datetime):
            return self.job.local(value).strftime("%Y-%m-%d %H:%M")
        if isinstance(value, UUID):
            tables = (self.operators, self.parts, self.mixes, self.panels)
            named = (table[value] for table in tables if value in table)
            return next(named, None)
        return None if isinstance(value, dict | list) else str(value)


_NAMED: Mapping[str, Any] = {
    "certification": lambda n, r: f"{r}, {n.operators.get(r.operator_id, '')}",
    "enrolment": lambda n, r: f"place of {r.code}",
    "experience": lambda n, r: f"experience of {n.operators.get(r.operator_id, '')}",
    "suspension": lambda n, r: f"suspension of {n.operators.get(r.operator_id, '')}",
    "waiver": lambda n, r: (
        f"{r}, {n.operators[r.operator_id]}" if r.operator_id in n.operators else str(r)
    ),
    "panel": lambda n, r: f"panel {r.code}",
    "paneljudgement": lambda n, r: f"judgement of {n.panels.get(r.panel_id, '')}",
    "visualrating": lambda n, r: f"visual rating of {n.panels.get(r.panel_id, '')}",
    "core": lambda n, r: f"core {r.number} of {n.panels.get(r.panel_id, '')}",
    "labreport": lambda n, r: f"laboratory report {r}",
    "mixrevision": lambda n, r: f"mix {r}",
    "partrevision": lambda n, r: f"part {n.parts.get(r.part_id, '')}",
    "rigequivalence": lambda n, r: "equal rigs",
    "placement": lambda n, r: f"placement {r.code}",
    "nozzletime": lambda n, r: (
        f"nozzle time {n.placements.get(r.placement_id, '')}, "
        f"{n.operators.get(r.operator_id, '')}"
    ),
    "presence": lambda n, r: f"presence of {n.operators.get(r.operator_id, r.role)}",
    "shift": lambda n, r: f"shift {r}",
}


def names_of(record: Hindsight, panels: PanelHindsight) -> Names:
    """Return what every record of a job is called."""
    return Names(
        job=record.job,
        operators={pk: person.code for pk, person in record.people.items()},
        parts={row.part_id: row.part.code for row in record.parts},
        mixes={row.first: str(row) for row in record.mixes},
        panels={row.first: row.code for row in panels.panels},
        placements={row.first: row.code for row in record.placements},
    )


def recorded(
    record: Hindsight, panels: PanelHindsight, *, after: datetime, until: datetime
) -> dict[datetime, list[Change]]:
    """Return the facts recorded in a stretch of time, by their instant. Ten queries.

    All facts that a gate or a set asks for; of what is only told, corrections alone.
    """
    names = names_of(record, panels)
    found: dict[datetime, list[Change]] = {}
    for rows in _tables(record, panels, until):
        by_id = {row.pk: row for row in rows}
        for row in rows:
            if after < row.recorded_at <= until:
                old = by_id.get(row.supersedes_id)
                made = _change(row, old, names)
                found.setdefault(row.recorded_at, []).append(made)
    for row in _told_only(record.job, after, until):
        made = _change(row, row.supersedes, names)
        found.setdefault(row.recorded_at, []).append(made)
    return {at: sorted(found[at], key=lambda c: c.rank) for at in sorted(found)}


def _tables(
    record: Hindsight, panels: PanelHindsight, until: datetime
) -> Iterator[list[Any]]:
    for chains in (
        *(record.parts, record.mixes, record.equivalences, record.terms),
        *(record.placements, record.times, record.presences),
        *(panels.panels, panels.cores, panels.reports, panels.ratings),
    ):
        yield list(chains)
    known = {"recorded_at__lte": until}
    people = list(record.people)
    for company in (Certification, Experience):
        yield list(company.objects.filter(operator__in=people, **known))
    yield list(
        Enrolment.objects.filter(job=record.job, **known).select_related("employer")
    )
    for table in (Suspension, Waiver, PanelJudgement):
        yield list(table.objects.filter(job=record.job, **known))


def _told_only(job: Job, after: datetime, until: datetime) -> Iterator[Any]:
    """Yield corrections of what no gate reads, but a packet may have told."""
    for table in (Shift, Load, Deficiency, Nonconformance):
        rows = table.objects.filter(
            job=job,
            supersedes__isnull=False,
            recorded_at__gt=after,
            recorded_at__lte=until,
        )
        yield from rows.select_related("supersedes")


def _change(row: Any, old: Any, names: Names) -> Change:
    return Change(
        row=row,
        before=old,
        name=names.of(row),
        deed=_deed(row, old, names.job),
        columns=tuple(_columns(row, old, names)) if old is not None else (),
    )


def _deed(row: Any, old: Any, job: Job) -> Deed:
    if row.withdrawn:
        return Deed.TAKEN_BACK
    if old is not None:
        return Deed.CORRECTED
    late = is_late(valid_from(row, job), recorded_at=row.recorded_at)
    return Deed.LATE if late else Deed.RECORDED


def valid_from(row: Any, job: Job) -> datetime | None:
    """Return when a fact begins to be true; nothing where it has no such time."""
    value = getattr(row, _VALID_FROM.get(row.kind, ""), None)
    if isinstance(value, date) and not isinstance(value, datetime):
        return day_starts(value, zone=job.zone)
    return value


def _columns(row: Any, old: Any, names: Names) -> Iterable[Column]:
    for field in row._meta.concrete_fields:
        if field.name in _CHAIN or field.name in row.ONCE:
            continue
        if getattr(row, field.attname) == getattr(old, field.attname):
            continue
        before, after = names.value(old, field), names.value(row, field)
        told = before is not None and after is not None
        yield Column(
            label=field.verbose_name,
            before=before or "" if told else "",
            after=after or "" if told else "",
        )
