"""Which versions of which records a packet tells of, each with its hash."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import models
from django.utils.translation import gettext as _

from crews.models import LabReport, NozzleTime, Panel, Placement, Shift
from crews.queries.shooting import Placed
from inspections.models import Deficiency, Load, Nonconformance, PacketRecord
from inspections.packet.gathering.reading import Reading
from inspections.packet.shape import Change, Cut, Departure, Record, Terms
from project.audit.chain import row_digest
from project.charts.text import number_text, unit_text
from project.domain.editions import edition_of
from project.domain.term_kinds import TERM_KINDS
from project.domain.terms import TermValue
from project.models import TermsRevision, Version
from project.models.records import Fact, Identified
from project.queries.jobs import audit_head_at

# The facts whose corrections the next packet tells, with what their words need.
CORRECTED: Mapping[type[Fact], tuple[str, ...]] = {
    Shift: (),
    Placement: (),
    NozzleTime: ("placement", "operator"),
    Load: (),
    Panel: (),
    LabReport: (),
    Deficiency: (),
    Nonconformance: (),
}
# The words under which the record page lists each table.
KINDS = {
    "shift": "shift",
    "placement": "placement",
    "nozzletime": "nozzle time",
    "eligibility": "frozen standing",
    "load": "load",
    "panel": "panel",
    "labreport": "laboratory report",
    "labresult": "core result",
    "reportversion": "daily field report",
    "deficiency": "deficiency",
    "nonconformance": "nonconformance report",
    "photo": "photograph",
    "termsrevision": "terms",
    "mixrevision": "mix revision",
}


@dataclass(frozen=True, slots=True)
class Told:
    """One record the packet tells of."""

    row: Identified
    code: str
    version: int
    sha256: str

    @property
    def kind(self) -> str:
        return self.row.kind

    def plain(self) -> Record:
        """Return the record as the snapshot lists it."""
        return {
            "kind": KINDS[self.kind],
            "code": self.code,
            "id": str(self.row.pk),
            "version": self.version,
            "sha256": self.sha256,
        }


def told(reading: Reading) -> list[Told]:
    """Return the records of the packet's days, by kind and code."""
    rows = {row.pk: (row, code) for row, code in _rows(reading)}
    versions = _versions([row for row, _code in rows.values()], known_at=reading.cut)
    kept = [
        Told(
            row,
            code[:120],
            versions.get(row.pk, 1),
            row_digest(row, known_at=reading.cut),
        )
        for row, code in rows.values()
    ]
    order = list(KINDS)
    return sorted(kept, key=lambda t: (order.index(t.kind), t.code, str(t.row.pk)))


def _rows(reading: Reading) -> Iterable[tuple[Identified, str]]:
    """Yield each record with the code people know it by."""
    week = reading.week
    for shift in week.shifts:
        yield shift, str(shift)
    for placed in week.placed:
        yield from _shot(placed)
    for load in week.loads:
        yield load, str(load)
    for panel in week.panels:
        yield panel.row, panel.code
    yield from _reported(reading)
    for sheet in reading.signed:
        for version in sheet.versions:
            yield version, sheet.code
    for found in reading.deficiencies:
        if reading.in_days(found.row.seen_at):
            yield found.row, found.code
    for report in reading.nonconformances:
        yield report.row, report.code
    for photo in reading.photographs:
        yield photo.row, photo.code
    for terms in reading.terms:
        if terms.effective_on <= reading.last:
            yield terms, str(terms)


def _shot(placed: Placed) -> Iterable[tuple[Identified, str]]:
    yield placed.row, placed.code
    if placed.mix is not None:
        yield placed.mix, str(placed.mix)
    for held in placed.times:
        code = f"{placed.code}, {held.code}"
        yield held.row, code
        for frozen in (held.take, held.whole):
            if frozen is not None:
                yield frozen.row, f"{code}, {frozen.row.moment}"


def _reported(reading: Reading) -> Iterable[tuple[Identified, str]]:
    """Yield the laboratory reports that came in the packet's days."""
    for panel in reading.panels:
        for one in panel.sets:
            for core in one.cores:
                if core.report and reading.in_days(core.report.received_at):
                    yield core.report, f"{core.report.number} {core.report.letter}"
                    if core.result is not None:
                        yield core.result, f"{panel.code} core {core.row.number}"


def _versions(rows: Sequence[Identified], *, known_at: datetime) -> dict[UUID, int]:
    """Return which version of its chain each fact is. One query a table."""
    by_model: dict[type[models.Model], list[Version]] = {}
    for row in rows:
        if isinstance(row, Version):
            by_model.setdefault(type(row), []).append(row)
    found: dict[UUID, int] = {}
    for model, facts in by_model.items():
        chains = model._base_manager.filter(
            first__in=[row.first for row in facts], recorded_at__lte=known_at
        )
        times: dict[UUID, list[datetime]] = {}
        for first, at in chains.values_list("first", "recorded_at"):
            times.setdefault(first, []).append(at)
        for row in facts:
            earlier = [at for at in times[row.first] if at <= row.recorded_at]
            found[row.pk] = len(earlier)
    return found


def changed_since(reading: Reading, kept: Sequence[PacketRecord]) -> int:
    """Return how many records read otherwise now than an issued packet told."""
    now = {one.row.pk: one for one in told(reading)}
    then = {row.record_id: row.sha256 for row in kept}
    fresh = [one for pk, one in now.items() if one.sha256 != then.get(pk)]
    replaced = {_before(one.row) for one in fresh}
    gone = set(then) - set(now) - replaced
    return len(fresh) + len(gone)


def _before(row: Identified) -> UUID | None:
    """Return the identity of the version that a row supersedes, if it does."""
    return row.supersedes_id if isinstance(row, Version) else None  # type: ignore[attr-defined]


def changes(
    reading: Reading, records: Sequence[Told], before: Sequence[PacketRecord]
) -> list[Change]:
    """Return what a revision tells otherwise than the revision before it."""
    then: dict[UUID | None, PacketRecord] = {row.record_id: row for row in before}
    rows: list[Change] = []
    for one in records:
        if one.row.pk in then:
            continue
        old = then.get(_before(one.row))
        rows.append(
            {
                "record": f"{KINDS[one.kind]} {one.code}",
                "before": old.sha256[:12] if old else "",
                "after": one.sha256[:12],
                "why": getattr(one.row, "reason", "") or _("not on record then"),
                "when": reading.moment(one.row.recorded_at),  # type: ignore[attr-defined]
            }
        )
    return rows


def cut_line(reading: Reading) -> Cut:
    """Return the cut with the end of the audit trail as it stood then."""
    seq, head = audit_head_at(reading.job, known_at=reading.cut)
    return {
        "at": reading.moment(reading.cut),
        "stream": f"job:{reading.job.code}",
        "seq": seq,
        "head": head,
    }


def terms_section(reading: Reading) -> list[Terms]:
    """Return the revisions of the terms in force in the packet's days."""
    rows = [row for row in reading.terms if row.effective_on <= reading.last]
    before = [row for row in rows if row.effective_on <= reading.first]
    in_force = rows[max(len(before) - 1, 0) :]
    return [_terms(row) for row in in_force]


def _terms(row: TermsRevision) -> Terms:
    edition = edition_of(row.edition)
    departures: list[Departure] = [
        {
            "term": f"{TERM_KINDS[name].group}: {TERM_KINDS[name].label}",
            "value": _value(term),
            "edition_value": _value(edition.values.get(name)),
            "source": str(term.source),
            "reason": term.reason,
        }
        for name, term in sorted(row.facts().departures.items())
    ]
    return {
        "number": row.number,
        "edition": edition.name,
        "effective_on": row.effective_on.isoformat(),
        "departures": departures,
    }


def _value(term: TermValue | None) -> str:
    if term is None or term.value is None:
        return "not given"
    if isinstance(term.value, bool):
        return "yes" if term.value else "no"
    text = term.value if isinstance(term.value, str) else number_text(term.value)
    return f"{text} {unit_text(term.unit)}" if term.unit else text
