"""Deficiencies: opened or put right in the period, and every one still open."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column
from inspections.packet.flow import Flow
from inspections.packet.shape import Deficiency, ItemCount, Snapshot
from inspections.packet.sheets.common import (
    Section,
    joined,
    open_section,
    stamp,
)
from inspections.packet.table import table
from inspections.packet.words import bare, headed, unit_of, when


def draw(flow: Flow, snapshot: Snapshot, section: Section) -> None:
    """Draw the deficiencies and how often each item recurred."""
    shown = snapshot["sections"]["deficiencies"]
    waiting = sum(1 for row in shown["rows"] if row["closed"] is None)
    facts = [(_("Listed"), str(len(shown["rows"]))), (_("Not closed"), str(waiting))]
    label = _("Opened, closed or still open")
    open_section(flow, section, label=label, facts=facts, nothing=not shown["rows"])
    if not shown["rows"]:
        flow.skip(8)
        flow.paragraph(_("No deficiency was opened or closed, and none is open."))
        return
    flow.skip(10)
    unit = unit_of(row["open_for"] for row in shown["rows"])
    columns = [
        Column(_("Number and time"), most=0.2),
        Column(_("Item and place"), grow=3),
        Column(_("What was seen"), grow=4),
        Column(_("Put right"), grow=4),
        Column(headed(_("Open"), unit), right=True),
        Column("", right=True),
    ]
    table(flow, columns, [_row(row, unit) for row in shown["rows"]])
    _counts(flow, shown["counts"])


def _row(row: Deficiency, unit: str) -> list[str | Cell | None]:
    photographs = joined(row["photographs"])
    seen = joined([row["severity"], row["by"]])
    return [
        Cell(row["code"], second=when(row["opened"], "short"), bold=True),
        Cell(row["item"], second=joined([row["part"], row["placement"], row["place"]])),
        Cell(row["words"], second=seen),
        Cell(row["put_right"] or _("not put right"), second=photographs),
        bare(row["open_for"], unit),
        stamp(row["mark"]),
    ]


def _counts(flow: Flow, counts: list[ItemCount]) -> None:
    if not counts:
        return
    columns = [
        Column(_("Item"), grow=1),
        Column(_("This period"), right=True, bold=True),
        Column(_("To date"), right=True),
    ]
    rows = [(row["item"], str(row["week"]), str(row["to_date"])) for row in counts]
    table(flow, columns, rows, heading=_("How often each item"))
