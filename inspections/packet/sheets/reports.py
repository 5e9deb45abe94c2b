"""Each signed daily field report, complete, one sheet each, always in the same order."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column
from inspections.packet.faces import BOLD, Style
from inspections.packet.flow import SMALL, Flow
from inspections.packet.labelled import labelled
from inspections.packet.shape import Report, Snapshot
from inspections.packet.sheets.common import (
    Section,
    joined,
    open_section,
    stamp,
)
from inspections.packet.signed import signed, signed_height
from inspections.packet.table import table
from inspections.packet.words import (
    bare,
    clock,
    day,
    headed,
    span,
    unit_of,
    units,
    when,
    zone,
)


def key_of(sheet: Report) -> str:
    """Return the bookmark of a report."""
    return f"report-{sheet['number']}"


def title_of(sheet: Report) -> str:
    """Return a report's name in the contents."""
    return _("%(number)s, %(day)s") % {
        "number": sheet["number"],
        "day": day(sheet["work_date"], "day"),
    }


def draw(flow: Flow, snapshot: Snapshot, section: Section) -> None:
    """Draw the sheets, each on its own page or pages."""
    sheets = snapshot["sections"]["reports"]
    facts = [(_("Signed"), str(len(sheets)))]
    open_section(flow, section, label=_("In full"), facts=facts, nothing=not sheets)
    if not sheets:
        flow.skip(8)
        flow.paragraph(_("No daily field report was signed in this period."))
        return
    flow.skip(10)
    _list(flow, sheets)
    for sheet in sheets:
        _sheet(flow, sheet)


def _list(flow: Flow, sheets: list[Report]) -> None:
    """What was signed by whom; the sheets follow, complete."""
    columns = [
        Column(_("Report"), bold=True, most=0.2),
        Column(_("Work day")),
        Column(_("Contractor and shift"), grow=2),
        Column(_("Written by"), grow=2),
        Column(_("Last signature"), right=True),
        Column("", right=True),
    ]
    rows = [
        (
            sheet["number"],
            day(sheet["work_date"], "short"),
            joined([sheet["contractor"], sheet["shift"]]),
            sheet["inspector"],
            _last_signature(sheet),
            stamp(sheet["mark"]),
        )
        for sheet in sheets
    ]
    table(flow, columns, rows)


def _last_signature(sheet: Report) -> str:
    signed_at = [when(one["at"]) for one in sheet["signatures"] if one["at"]]
    return signed_at[-1] if signed_at else ""


def _sheet(flow: Flow, sheet: Report) -> None:
    flow.start_page(f"{sheet['number']}, {day(sheet['work_date'], 'day')}")
    hours = f"{span(sheet['start'], sheet['stop'])} {zone(sheet['start'])}"
    facts = [(_("Shift"), hours)]
    if sheet["day_of_contract"]:
        facts.append((_("Contract day"), sheet["day_of_contract"]))
    flow.sheet_head(
        label=_("Daily field report %(number)s, version %(version)s")
        % {"number": sheet["number"], "version": sheet["version"]},
        title=day(sheet["work_date"], "day"),
        facts=facts,
        box=(_("Sheet"), str(sheet["sheet"])),
        key=key_of(sheet),
    )
    flow.outline(title_of(sheet), key_of(sheet), level=1)
    flow.skip(8)
    mark = sheet["mark"]
    sentence = Style(BOLD, 10)
    flow.stamped((mark["stamp"], mark["words"]), sheet["statement"], sentence, size=8.5)
    flow.skip(3)
    by = _("%(inspector)s, %(agency)s. %(shift)s shift of %(contractor)s.") % {
        "inspector": sheet["inspector"],
        "agency": sheet["agency"],
        "shift": sheet["shift"][:1].upper() + sheet["shift"][1:],
        "contractor": sheet["contractor"],
    }
    flow.paragraph(by, SMALL)
    if sheet["amended"]:
        flow.skip(4)
        labelled(flow, [(line["label"], line["words"]) for line in sheet["amended"]])
    for part in (_placed, _loads, _weather, _rounds, _deficient, _lines, _signatures):
        part(flow, sheet)


def _placed(flow: Flow, sheet: Report) -> None:
    title = _("Placed")
    if not sheet["placed"]:
        flow.heading(title)
        flow.paragraph(_("Nothing was placed."))
        return
    unit = unit_of(row["neat"] for row in sheet["placed"])
    columns = [
        Column(_("Placement"), bold=True),
        Column(_("Element part"), grow=1),
        Column(_("Mix")),
        Column(_("Operator"), most=0.22),
        Column(_("Start"), right=True),
        Column(_("Stop"), right=True),
        Column(headed(_("Neat"), unit), right=True),
        Column(_("Standing at start"), right=True),
    ]
    rows = [
        (
            row["placement"],
            Cell(row["part"], second=row["part_words"]),
            row["mix"],
            row["operator"],
            clock(row["start"]),
            clock(row["stop"]),
            bare(row["neat"], unit),
            stamp(row["mark"]),
        )
        for row in sheet["placed"]
    ]
    closing = [
        (line["label"], None, None, None, None, None, bare(line["words"], unit), None)
        for line in sheet["totals"]
    ]
    table(flow, columns, rows, closing=closing, heading=title)


def _loads(flow: Flow, sheet: Report) -> None:
    title = _("Loads")
    rows = sheet["loads"]
    if not rows:
        flow.heading(title)
        flow.paragraph(_("No load was recorded."))
        return
    unit = units(rows, "volume", "age", "limit", "slump", "air", "temperature")
    columns = [
        Column(_("Ticket"), most=0.2),
        Column(headed(_("Vol."), unit["volume"]), right=True),
        Column(_("Batched"), right=True),
        Column(_("Arrived"), right=True),
        Column(_("Last shot"), right=True),
        Column(headed(_("Age"), unit["age"]), right=True),
        Column(_("Limit"), right=True),
        Column(headed(_("Slump"), unit["slump"]), right=True),
        Column(headed(_("Air"), unit["air"]), right=True),
        Column(headed(_("Mix"), unit["temperature"]), right=True),
        Column("", right=True),
    ]
    lines = [
        (
            row["ticket"],
            bare(row["volume"], unit["volume"]),
            clock(row["batched"]),
            clock(row["arrived"]),
            clock(row["last_shot"]),
            bare(row["age"], unit["age"]),
            bare(row["limit"], unit["limit"]),
            bare(row["slump"], unit["slump"]),
            bare(row["air"], unit["air"]),
            bare(row["temperature"], unit["temperature"]),
            stamp(row["mark"]) or row["words"],
        )
        for row in rows
    ]
    total = bare(sheet["loads_total"], unit["volume"])
    label = _("%(count)s loads") % {"count": len(rows)}
    table(
        flow,
        columns,
        lines,
        closing=[(label, total, *[None] * 9)],
        numbered=True,
        heading=title,
    )


def _weather(flow: Flow, sheet: Report) -> None:
    title = _("Weather at the wall")
    rows = sheet["weather"]
    if not rows:
        flow.heading(title)
        flow.paragraph(_("No reading was taken."))
        return
    unit = units(rows, "air", "humidity", "wind", "concrete", "evaporation")
    columns = [
        Column(_("Time")),
        Column(headed(_("Air"), unit["air"]), right=True),
        Column(headed(_("Humidity"), unit["humidity"]), right=True),
        Column(headed(_("Wind"), unit["wind"]), right=True),
        Column(headed(_("Mix"), unit["concrete"]), right=True),
        Column(headed(_("Evaporation"), unit["evaporation"]), right=True),
        Column(_("Limit"), right=True),
        Column(_("Sky")),
        Column("", right=True),
    ]
    lines = [
        (
            clock(row["at"]),
            bare(row["air"], unit["air"]),
            bare(row["humidity"], unit["humidity"]),
            bare(row["wind"], unit["wind"]),
            bare(row["concrete"], unit["concrete"]),
            bare(row["evaporation"], unit["evaporation"]),
            bare(row["limit"], unit["evaporation"]),
            row["words"],
            stamp(row["mark"]),
        )
        for row in rows
    ]
    table(flow, columns, lines, heading=title)


def _rounds(flow: Flow, sheet: Report) -> None:
    title = _("Rounds")
    rows = sheet["rounds"]
    if not rows:
        flow.heading(title)
        flow.paragraph(_("No round was walked."))
        return
    columns = [
        Column(_("Time")),
        Column(_("Round"), grow=2),
        Column(_("Part")),
        Column(_("Right"), right=True),
        Column(_("Deficient"), right=True),
        Column(_("Does not apply"), right=True),
        Column(_("Not looked at"), right=True),
    ]
    lines = [
        (
            clock(row["at"]),
            row["name"],
            row["part"],
            str(row["right"]),
            _counted(row["deficient"]),
            str(row["does_not_apply"]),
            _counted(row["not_looked_at"]),
        )
        for row in rows
    ]
    sums = (
        sum(row["right"] for row in rows),
        sum(row["deficient"] for row in rows),
        sum(row["does_not_apply"] for row in rows),
        sum(row["not_looked_at"] for row in rows),
    )
    table(
        flow,
        columns,
        lines,
        closing=[("", _("This sheet"), "", *map(str, sums))],
        heading=title,
    )


def _counted(count: int) -> Cell:
    """A count that somebody should see is bold."""
    return Cell(str(count), bold=count > 0)


def _deficient(flow: Flow, sheet: Report) -> None:
    title = _("Deficient")
    if not sheet["deficient"]:
        flow.heading(title)
        flow.paragraph(_("Nothing was found deficient."))
        return
    columns = [
        Column(_("Time")),
        Column(_("Item"), grow=3),
        Column(_("Place"), grow=4),
        Column(_("Put right"), grow=5),
        Column("", right=True),
    ]
    rows = [
        (
            clock(row["at"]),
            Cell(row["item"], second=row["code"], bold=True),
            row["place"],
            row["put_right"],
            stamp(row["mark"]),
        )
        for row in sheet["deficient"]
    ]
    table(flow, columns, rows, heading=title)


def _lines(flow: Flow, sheet: Report) -> None:
    flow.heading(_("Crew, panels and remarks"))
    if not sheet["lines"]:
        flow.paragraph(_("None recorded."))
        return
    labelled(flow, [(line["label"], line["words"]) for line in sheet["lines"]])


def _signatures(flow: Flow, sheet: Report) -> None:
    """Write the signatures with their meanings, and the hash of what was signed."""
    names = [
        (one["name"], joined([one["meaning"], when(one["at"])]))
        for one in sheet["signatures"]
    ]
    flow.need(signed_height(names, room=flow.width) + 36)
    flow.skip(14)
    signed(flow, names, room=flow.width)
    flow.paragraph(_("Content hash %(hash)s") % {"hash": sheet["sha256"]}, SMALL)
