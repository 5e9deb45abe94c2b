"""Nonconformance reports: open ones, and those raised or closed in the period."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.packet.columns import Column
from inspections.packet.flow import Flow
from inspections.packet.labelled import labelled, labelled_height
from inspections.packet.shape import Nonconformance, Snapshot
from inspections.packet.sheets.common import (
    Section,
    joined,
    open_section,
    stamp,
)
from inspections.packet.table import table
from inspections.packet.words import bare, day, headed, unit_of, when


def draw(flow: Flow, snapshot: Snapshot, section: Section) -> None:
    """Draw the log with its ages, then each report."""
    rows = snapshot["sections"]["nonconformances"]
    waiting = sum(1 for row in rows if row["closed"] is None)
    facts = [(_("Listed"), str(len(rows))), (_("Open"), str(waiting))]
    label = _("Raised, closed or still open")
    open_section(flow, section, label=label, facts=facts, nothing=not rows)
    if not rows:
        flow.skip(8)
        words = _("No nonconformance report was raised or closed, and none is open.")
        flow.paragraph(words)
        return
    flow.skip(10)
    unit = unit_of(row["age"] for row in rows)
    columns = [
        Column(_("Report"), bold=True),
        Column(_("About"), grow=3),
        Column(_("Observed"), right=True),
        Column(headed(_("Age"), unit), right=True, bold=True),
        Column(_("Answer due"), right=True),
        Column(_("Whose move"), grow=2),
        Column("", right=True),
    ]
    lines = [
        (
            row["number"],
            row["about"],
            when(row["observed"]),
            bare(row["age"], unit),
            day(row["response_due"]) if row["response_due"] else "",
            row["whose"],
            stamp(row["mark"]),
        )
        for row in rows
    ]
    table(flow, columns, lines)
    for row in rows:
        _report(flow, row)


def _report(flow: Flow, row: Nonconformance) -> None:
    told = [
        _("%(who)s, %(when)s, %(how)s")
        % {"who": one["who"], "when": when(one["at"]), "how": one["how"]}
        for one in row["told"]
    ]
    lines = [
        (_("Parts"), joined(row["parts"])),
        (_("Came from"), row["origin"]),
        (_("Requirement"), row["requirement"]),
        (_("What was found"), row["words"]),
        (_("Observed"), when(row["observed"])),
        (_("Written"), when(row["written"])),
        (_("Notified"), "; ".join(told) or _("nobody yet")),
        (_("Last step"), row["disposition"] or _("none yet")),
        (_("Closed"), when(row["closed"]) or _("open")),
        (_("Linked"), joined(row["links"])),
    ]
    keep = min(labelled_height(flow, lines), flow.bottom / 2)
    flow.heading(joined([row["number"], row["about"]]), keep=keep)
    labelled(flow, lines)
