"""Affected work for a terminal of eighty columns, and for machines."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

from inspections.queries.affected_lines import Line, TurnedPanel, TurnedTime
from inspections.queries.changes import Change
from project.domain.clocks import on_the_clock
from project.domain.units import Quantity
from project.domain.verdict import Reason
from project.models import Job

_WIDTH = 80


def as_text(
    job: Job, lines: Sequence[Line], *, since: datetime, until: datetime
) -> str:
    """Return the lines as paragraphs, the latest first."""
    count = f"{len(lines)} {'line' if len(lines) == 1 else 'lines'}"
    head = f"{job.code}: {count} of affected work"
    told = [*_wrapped(head, ""), *_wrapped(_span(job, since, until), "")]
    for line in lines:
        told += ["", *_paragraph(job, line)]
    return "\n".join(told)


def _span(job: Job, since: datetime, until: datetime) -> str:
    whole = (at.replace(microsecond=0) for at in (since, until))
    first, last = (on_the_clock(job.local(at)) for at in whole)
    return f"learned after {first}, as known {last}"


def _paragraph(job: Job, line: Line) -> Iterator[str]:
    found = on_the_clock(job.local(line.found_at))
    stands = "answered" if line.answered else "to answer"
    yield from _wrapped(f"{found}  {line.fact.name}, {line.fact.deed}: {stands}", "")
    for column in line.fact.columns:
        if column.before or column.after:
            words = f"{column.label}: {column.before} -> {column.after}"
            yield from _wrapped(words, "  ")
    if line.fact.reason:
        yield from _wrapped(f"reason: {line.fact.reason}", "  ")
    for one in line.judged:
        words = f"{one.name}: {one.words_before} -> {one.words_after}"
        yield from _wrapped(words, "  ")
        for reason in one.after.unmet:
            yield from _wrapped(f"{reason.key}: {reason.found}", "    ")
    rows = {
        "nozzle times": line.nozzle_times,
        "parts": line.parts,
        "panels": line.panels,
        "neat volume": [_tenths(line.volume)] if line.volume else [],
        "packets": [_packet(packet) for packet in line.packets],
        "reports": [report.code for report in line.reports],
    }
    for name, values in rows.items():
        if values:
            yield from _wrapped(f"{name}: {', '.join(values)}", "  ")


def _packet(packet: Any) -> str:
    if packet.revised is None:
        return f"{packet.code} revision {packet.row.revision}, to revise"
    return f"{packet.code}, told anew in revision {packet.revised.revision}"


def _tenths(volume: Quantity) -> str:
    value = volume.value.quantize(Decimal("0.1"), rounding=ROUND_HALF_EVEN)
    return f"{value} {volume.unit}"


def _wrapped(words: str, indent: str) -> list[str]:
    return textwrap.wrap(
        words, _WIDTH, initial_indent=indent, subsequent_indent=f"{indent}    "
    )


def as_plain(
    job: Job, lines: Iterable[Line], *, since: datetime, until: datetime
) -> dict[str, Any]:
    """Return the lines as JSON's own kinds; instants on the job's clock, with offset."""
    return {
        "job": job.code,
        "since": job.local(since).isoformat(),
        "until": job.local(until).isoformat(),
        "lines": [_line(job, line) for line in lines],
    }


def _line(job: Job, line: Line) -> dict[str, Any]:
    return {
        "fact": _fact(job, line.fact),
        "with": [_fact(job, change) for change in line.facts[1:]],
        "found_at": job.local(line.found_at).isoformat(),
        "turned": [_turned(one) for one in line.judged],
        "nozzle_times": list(line.nozzle_times),
        "parts": list(line.parts),
        "panels": list(line.panels),
        "volume": _pair(line.volume),
        "packets": [
            {
                "code": packet.code,
                "revision": packet.row.revision,
                "cut_at": job.local(packet.row.cut_at).isoformat(),
                "told_anew_in_revision": packet.revised and packet.revised.revision,
            }
            for packet in line.packets
        ],
        "reports": [report.code for report in line.reports],
        "answered": line.answered,
    }


def _fact(job: Job, change: Change) -> dict[str, Any]:
    return {
        "kind": change.kind,
        "id": str(change.row.pk),
        "name": change.name,
        "deed": change.deed.value,
        "recorded_at": job.local(change.at).isoformat(),
        "reason": change.reason,
        "changed": [
            {"column": c.label, "before": c.before, "after": c.after}
            for c in change.columns
        ],
    }


def _turned(one: TurnedTime | TurnedPanel) -> dict[str, Any]:
    return {
        "name": one.name,
        "kind": one.about_kind,
        "id": str(one.about_id),
        "before": one.words_before,
        "after": one.words_after,
        "gates": [
            {
                "key": gate.key,
                "before": _reason(gate.before),
                "after": _reason(gate.after),
            }
            for gate in one.gates
        ],
        "not_met": [
            {"key": r.key, "requirement": r.requirement, **(_reason(r) or {})}
            for r in one.after.unmet
        ],
    }


def _reason(reason: Reason | None) -> dict[str, str] | None:
    if reason is None:
        return None
    return {"state": reason.state.value, "found": reason.found}


def _pair(volume: Quantity | None) -> dict[str, str] | None:
    if volume is None:
        return None
    return {"value": f"{volume.value:f}", "unit": volume.unit}
