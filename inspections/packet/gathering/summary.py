"""The week on one page: day by day, what is open, what changed since the last packet."""

from __future__ import annotations

from datetime import date, timedelta

from django.utils.translation import gettext as _

from crews.queries.panels import CORED
from inspections.packet.gathering.reading import Reading, sum_of_tenths, tenth
from inspections.packet.gathering.sheets import sheet_mark
from inspections.packet.gathering.wrong import days_text, whose
from inspections.packet.shape import Day, Open, Summary, mark


def summary(reading: Reading, *, news: list[str]) -> Summary:
    """Return the week day by day, what is open at the cut, and what changed."""
    days = [
        _day(reading, reading.first + timedelta(days=n))
        for n in range((reading.last - reading.first).days + 1)
    ]
    return {"days": days, "open": _open(reading), "news": news}


def _day(reading: Reading, day: date) -> Day:
    shifts = [s for s in reading.week.shifts if s.work_date == day]
    placed = [p for p in reading.week.placed if p.shift.work_date == day]
    sheets = [
        s
        for s in reading.sheets
        if s.row.shift_id in {shift.first for shift in shifts} and s.first
    ]
    work = "; ".join(f"{p.row.part.code}, {p.mix or ''}" for p in placed)
    if not work:
        off = reading.job.days_off().get(day)
        said = next((s.no_work_reason for s in shifts if s.no_work_reason), "")
        rest = _("weekend") if day.weekday() > 4 else _("no shift on record")
        work = said or off or rest
    stamp = sheet_mark(sheets[0]) if sheets else (mark("missing") if placed else None)
    return {
        "date": day.isoformat(),
        "work": work,
        "neat": tenth(sum_of_tenths(p.neat for p in placed)),
        "reports": ", ".join(s.code for s in sheets),
        "mark": stamp,
    }


def _open(reading: Reading) -> list[Open]:
    still = [row for row in reading.nonconformances if row.is_open]
    oldest = max(still, key=lambda row: row.age_observed, default=None)
    left = [row for row in reading.deficiencies if row.is_open]
    awaited = [
        one.due_on.isoformat()
        for panel in reading.panels
        if panel.kind in CORED and (one := panel.decisive) and one.waiting
    ]
    absent = [row for row in reading.to_date.ledger.missing if not row.answered]
    return [
        {
            "what": _("Nonconformance reports"),
            "count": len(still),
            "oldest": f"{oldest.code}, {days_text(oldest.age_observed)}"
            if oldest
            else "",
            "whose": whose(oldest) if oldest else "",
        },
        {
            "what": _("Deficiencies not led to a report"),
            "count": len(left),
            "oldest": left[0].code if left else "",
            "whose": left[0].waits_for if left else "",
        },
        {
            "what": _("Panels missing without an accepted substitute"),
            "count": len(absent),
            "oldest": absent[0].work_date.isoformat() if absent else "",
            "whose": _("contractor") if absent else "",
        },
        {
            "what": _("Sets of cores awaited"),
            "count": len(awaited),
            "oldest": _("due %(day)s") % {"day": min(awaited)} if awaited else "",
            "whose": _("laboratory") if awaited else "",
        },
    ]
