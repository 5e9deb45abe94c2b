"""Panels and cores: what the rule owes, what was shot, and what the cores said."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column
from inspections.packet.flow import SMALL, Flow
from inspections.packet.shape import CoreResult, Ledger, Snapshot
from inspections.packet.sheets.common import Section, joined, open_section, stamp
from inspections.packet.table import table
from inspections.packet.words import bare, clock, day, headed, on, unit_of, units
from project.charts.text import NO_BREAK


def draw(flow: Flow, snapshot: Snapshot, section: Section) -> None:
    """Draw the panels owed, the results of the period, and every panel to date."""
    ledger = snapshot["sections"]["ledger"]
    absent = sum(1 for row in ledger["owed"] if not row["panel"])
    facts = [(_("Owed"), str(len(ledger["owed"]))), (_("Missing"), str(absent))]
    open_section(
        flow, section, label=_("Ledger"), facts=facts, nothing=not ledger["panels"]
    )
    flow.skip(8)
    flow.paragraph(ledger["rule"], SMALL)
    _owed(flow, ledger)
    _results(flow, ledger["results"])
    _panels(flow, ledger)


def _owed(flow: Flow, ledger: Ledger) -> None:
    title = _("Owed in this period")
    if not ledger["owed"]:
        flow.heading(title)
        flow.paragraph(_("No panel was owed: nothing was placed."))
    else:
        unit = unit_of(row["volume"] for row in ledger["owed"])
        columns = [
            Column(_("Work day")),
            Column(_("Operator"), bold=True),
            Column(_("Mix")),
            Column(headed(_("Delivered"), unit), right=True),
            Column(_("Part"), grow=1),
            Column(_("Panel"), bold=True),
            Column(_("Shot"), right=True),
            Column("", right=True),
        ]
        rows = [
            (
                day(row["work_date"], "short"),
                row["operator"],
                row["mix"],
                bare(row["volume"], unit),
                Cell(row["part"], second=joined(row["flags"])),
                row["panel"],
                clock(row["shot"]),
                stamp(row["mark"]),
            )
            for row in ledger["owed"]
        ]
        table(flow, columns, rows, heading=title)
    for line in ledger["totals"]:
        flow.skip(3)
        flow.paragraph(line)


def _results(flow: Flow, results: list[CoreResult]) -> None:
    title = _("Core results received in this period")
    if not results:
        flow.heading(title)
        flow.paragraph(_("No core result was received."))
        return
    unit = units(results, "age", "strength", "density")
    columns = [
        Column(_("Panel"), bold=True),
        Column(_("Core")),
        Column(_("Mix")),
        Column(_("Operator")),
        Column(headed(_("Age"), unit["age"]), right=True),
        Column(_("Tested"), right=True),
        Column(headed(_("Strength"), unit["strength"]), right=True, bold=True),
        Column(_("L/D"), right=True),
        Column(headed(_("Density"), unit["density"]), right=True),
        Column(_("Report"), right=True),
        Column("", right=True),
    ]
    rows = [
        (
            row["panel"],
            row["core"],
            row["mix"].replace(" ", NO_BREAK),
            row["operator"],
            bare(row["age"], unit["age"]),
            day(on(row["tested"])),
            bare(row["strength"], unit["strength"]),
            row["ratio"],
            bare(row["density"], unit["density"]),
            row["report"],
            stamp(row["mark"]),
        )
        for row in results
    ]
    table(flow, columns, rows, heading=title)
    flow.skip(4)
    flow.paragraph(
        _("Strengths are corrected for length over diameter and rounded."), SMALL
    )


def _panels(flow: Flow, ledger: Ledger) -> None:
    title = _("Every panel to date")
    if not ledger["panels"]:
        flow.heading(title)
        flow.paragraph(_("No panel has been shot yet."))
        return
    columns = [
        Column(_("Panel"), bold=True),
        Column(_("Shot")),
        Column(_("Mix")),
        Column(_("Operator")),
        Column(_("Part"), grow=1),
        Column(_("Early cores"), right=True),
        Column(_("Deciding cores"), right=True, bold=True),
        Column(_("Stands"), right=True),
    ]
    rows = [
        (
            row["panel"],
            day(row["shot"], "date"),
            row["mix"].replace(" ", NO_BREAK),
            row["operator"],
            row["part"],
            row["early"],
            row["final"],
            stamp(row["mark"]),
        )
        for row in ledger["panels"]
    ]
    table(flow, columns, rows, heading=title)
