"""Deficiencies, nonconformance reports and photographs of the days."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.packet.gathering.reading import Reading
from inspections.packet.shape import (
    Deficiencies,
    Deficiency,
    ItemCount,
    Nonconformance,
    Photograph,
    mark,
)
from inspections.queries.findings import DeficiencyRow, NonconformanceRow
from project.charts.text import quantity_text
from project.domain.units import Quantity

# The longest side of the pictures that a packet carries, in pixels.
PICTURE = "1280"


def deficiency_section(reading: Reading) -> Deficiencies:
    """Return what was opened this week, and how often each item was, to date."""
    week = [row for row in reading.deficiencies if reading.in_days(row.row.seen_at)]
    own = Counter(row.item.key for row in week)
    ever = Counter(row.item.key for row in reading.deficiencies)
    titles = {row.item.key: row.item for row in reading.deficiencies}
    counts: list[ItemCount] = [
        {
            "item": titles[key].title.in_language(reading.job.language),
            "week": own[key],
            "to_date": ever[key],
        }
        for key in sorted(own, key=lambda key: (-own[key], key))
    ]
    return {"rows": [_deficiency(reading, row) for row in week], "counts": counts}


def _deficiency(reading: Reading, row: DeficiencyRow) -> Deficiency:
    found = row.row
    corrected = next((m for m in reversed(row.moves) if m.move == "correct"), None)
    put_right = corrected.words if corrected else ""
    if row.became:
        put_right = _("became %(code)s") % {"code": row.became}
    if row.is_open:
        stamp = mark("open")
    else:
        stamp = mark("closed", row.became) if row.became else mark("closed")
    placement = found.round.placement if found.round else None
    return {
        "code": row.code,
        "opened": reading.moment(found.seen_at),
        "by": found.recorded_by.user.printed_name,
        "item": row.item.title.in_language(reading.job.language),
        "part": found.part.code if found.part else "",
        "placement": placement.code if placement else "",
        "place": found.place,
        "words": found.words,
        "severity": found.severity.replace("_", " "),
        "put_right": put_right,
        "closed": None if row.is_open else reading.maybe(row.closed_at),
        "open_for": duration(row.minutes),
        "photographs": [photo.code for photo in row.photographs],
        "mark": stamp,
    }


def duration(minutes: int) -> str:
    """Return minutes as people say them: minutes under two hours, then hours, days."""
    if minutes < 120:
        return quantity_text(Quantity(Decimal(minutes), "min"))
    if minutes < 48 * 60:
        return quantity_text(Quantity(Decimal(minutes // 60), "h"))
    return quantity_text(Quantity(Decimal(minutes // (24 * 60)), "d"))


def days_text(days: int) -> str:
    """Return a count of full days in words."""
    return ngettext("%(n)s day", "%(n)s days", days) % {"n": days}


def nonconformance_section(reading: Reading) -> list[Nonconformance]:
    """Return what was open in the week, and what was closed in it."""
    return [
        _nonconformance(reading, row)
        for row in reading.nonconformances
        if row.is_open or (row.closed_at and reading.in_days(row.closed_at))
    ]


def whose(row: NonconformanceRow) -> str:
    """Return whose move it is, by role."""
    return ", ".join(role.value for role in row.waits_for) if row.is_open else ""


def _nonconformance(reading: Reading, row: NonconformanceRow) -> Nonconformance:
    found = row.row
    closing = row.moves[-1] if row.moves and not row.is_open else None
    return {
        "number": row.code,
        "about": found.about_text,
        "parts": [found.part.code] if found.part else [],
        "origin": "",
        "requirement": found.requirement,
        "words": found.words,
        "observed": reading.moment(found.observed_at),
        "written": reading.moment(found.written_at),
        "told": [
            {
                "who": str(move.evidence.get("told", "")),
                "at": reading.moment(move.at),
                "how": str(move.evidence.get("means", "")),
            }
            for move in row.told
        ],
        "response_due": row.response_due.isoformat() if row.response_due else "",
        "disposition": closing.words if closing else found.containment,
        "closed": reading.maybe(row.closed_at),
        "age": days_text(row.age_observed),
        "whose": whose(row),
        "links": [d.code for d in reading.deficiencies if d.became == row.code],
        "mark": mark("open" if row.is_open else "closed"),
    }


def photograph_section(reading: Reading) -> list[Photograph]:
    """Return the photographs taken in the week, each by the copy that is placed."""
    rows = []
    for one in reading.photographs:
        row = one.row
        rows.append(
            Photograph(
                number=one.code,
                sha256=str(row.attachment.derivatives[PICTURE]["sha256"]),
                caption=row.caption,
                part=row.part.code if row.part else "",
                grid=row.place,
                at=reading.moment(row.at),
                by=row.recorded_by.user.printed_name,
                of=[_title(reading, code) for code in one.of],
            )
        )
    return rows


def _title(reading: Reading, code: str) -> str:
    """Return an item's title for its key; a record's code stays as it is."""
    if reading.catalogue.has(code):
        return reading.catalogue.item(code).title.in_language(reading.job.language)
    return code
