"""The record page: what this packet is made of, so that it can be shown to be it."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column
from inspections.packet.flow import SMALL, Flow
from inspections.packet.labelled import labelled
from inspections.packet.shape import Record, Snapshot, Terms
from inspections.packet.sheets.common import Section, open_section
from inspections.packet.table import table
from inspections.packet.words import day, when


def draw(
    flow: Flow,
    snapshot: Snapshot,
    section: Section,
    *,
    digest: str,
    exceptions: Sequence[str],
) -> None:
    """Draw what the packet rests on and every record in it."""
    facts = [(_("Records"), str(len(snapshot["records"])))]
    open_section(flow, section, label=_("What this is"), facts=facts, fresh=True)
    flow.skip(6)
    labelled(flow, _rests_on(snapshot, digest))
    _changes(flow, snapshot)
    _exceptions(flow, exceptions)
    for terms in snapshot["terms"]:
        _terms(flow, terms)
    _records(flow, snapshot["records"])


def _rests_on(snapshot: Snapshot, digest: str) -> list[tuple[str, str]]:
    cut, packet = snapshot["cut"], snapshot["packet"]
    trail = _("%(stream)s, entry %(seq)s, %(head)s") % {
        "stream": cut["stream"],
        "seq": cut["seq"],
        "head": cut["head"],
    }
    revision = _("%(number)s, revision %(revision)s") % packet
    reason = packet["reason"]
    return [
        (_("Packet"), revision),
        (_("Reason of this revision"), reason),
        (
            _("Known at"),
            f"{when(cut['at'], 'day')} {snapshot['job']['zone']}, {cut['at']['utc']}",
        ),
        (_("Snapshot"), f"SHA-256 {digest}"),
        (_("Audit trail's head"), trail),
        (_("Catalogue"), snapshot["catalogue"]),
        (_("Software"), snapshot["software"]),
        (
            _("Shape and layout"),
            f"{snapshot['snapshot']}, {snapshot['layout']}",
        ),
    ]


def _changes(flow: Flow, snapshot: Snapshot) -> None:
    title = _("What changed since the last revision")
    changes = snapshot["changes"]
    if not changes:
        flow.heading(title)
        first = snapshot["packet"]["revision"] == 0
        flow.paragraph(
            _("Nothing: this is what was first issued for the period.")
            if first
            else _("No record in it changed.")
        )
        return
    columns = [
        Column(_("Record"), bold=True, most=0.2),
        Column(_("Before"), grow=1),
        Column(_("Now"), grow=1),
        Column(_("Why"), grow=1),
        Column(_("When"), right=True),
    ]
    rows = [
        (row["record"], row["before"], row["after"], row["why"], when(row["when"]))
        for row in changes
    ]
    table(flow, columns, rows, heading=title)


def _exceptions(flow: Flow, exceptions: Sequence[str]) -> None:
    flow.heading(_("Could not be shown"))
    if not exceptions:
        flow.paragraph(_("Everything in the packet is shown as it is on record."))
    for line in exceptions:
        flow.paragraph(line)


def _terms(flow: Flow, terms: Terms) -> None:
    title = _("Terms revision %(number)s, from %(day)s") % {
        "number": terms["number"],
        "day": day(terms["effective_on"]),
    }
    flow.heading(title)
    base = _("Started from %(edition)s. Where the contract departs from it:")
    flow.paragraph(base % {"edition": terms["edition"]})
    if not terms["departures"]:
        flow.paragraph(_("Nowhere."))
        return
    flow.skip(4)
    columns = [
        Column(_("Term"), grow=3),
        Column(_("In this contract"), grow=2),
        Column(_("In the edition"), grow=2),
        Column(_("Why"), grow=3),
    ]
    rows = [
        (
            row["term"],
            row["value"],
            row["edition_value"],
            Cell(row["reason"], second=row["source"]),
        )
        for row in terms["departures"]
    ]
    table(flow, columns, rows)


def _records(flow: Flow, records: Sequence[Record]) -> None:
    title = _("Records in this packet")
    if not records:
        flow.heading(title)
        flow.paragraph(_("None."))
        return
    columns = [
        Column(_("Record"), grow=1),
        Column(_("Identity, and SHA-256 of the content"), most=0.7),
    ]
    about = _("%(kind)s, version %(version)s")
    rows = [
        (
            Cell(row["code"], second=about % row, bold=True),
            Cell(second=f"{row['id']}\n{row['sha256']}"),
        )
        for row in records
    ]
    table(flow, columns, rows, heading=title)
    flow.skip(4)
    words = _("Each hash is of the record's own content as it stood at the cut.")
    flow.paragraph(words, SMALL)
