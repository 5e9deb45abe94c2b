"""Page 2: the week on one page, and everything that is missing from it."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.packet.columns import Column
from inspections.packet.flow import SMALL, Flow
from inspections.packet.shape import Snapshot
from inspections.packet.sheets.common import Section, open_section, stamp
from inspections.packet.sheets.cover import decisions
from inspections.packet.table import table
from inspections.packet.words import bare, day, headed, unit_of, when


def draw(flow: Flow, snapshot: Snapshot, section: Section, *, decided: int) -> None:
    """Draw the summary; the cover has shown so many of the decisions."""
    facts = [(_("Known at"), when(snapshot["cut"]["at"]))]
    open_section(flow, section, label=_("Page 2"), facts=facts, fresh=True)
    if rest := snapshot["decide"][decided:]:
        title = _("You are also asked to decide")
        decisions(flow, rest, first=decided + 1, title=title)
    _days(flow, snapshot)
    _open(flow, snapshot)
    _missing(flow, snapshot)
    _news(flow, snapshot)
    _cautions(flow)


def _days(flow: Flow, snapshot: Snapshot) -> None:
    days = snapshot["summary"]["days"]
    unit = unit_of(row["neat"] for row in days)
    columns = [
        Column(_("Day"), bold=True),
        Column(_("Work"), grow=1),
        Column(headed(_("Neat"), unit), right=True),
        Column(_("Reports"), most=0.25),
        Column("", right=True),
    ]
    rows = [
        (
            day(row["date"], "short"),
            row["work"],
            bare(row["neat"], unit),
            row["reports"],
            stamp(row["mark"]),
        )
        for row in days
    ]
    table(flow, columns, rows, heading=_("Day by day"))


def _open(flow: Flow, snapshot: Snapshot) -> None:
    columns = [
        Column(_("What"), grow=2),
        Column(_("How many"), right=True, bold=True),
        Column(_("Oldest"), grow=2),
        Column(_("Whose move"), grow=2),
    ]
    rows = [
        (row["what"], str(row["count"]), row["oldest"], row["whose"])
        for row in snapshot["summary"]["open"]
    ]
    table(flow, columns, rows, heading=_("Open at the cut"))


def _missing(flow: Flow, snapshot: Snapshot) -> None:
    title = _("Missing or still to be done")
    if not snapshot["missing"]:
        flow.heading(title)
        flow.paragraph(
            _("Nothing is missing: every report owed is signed and reviewed.")
        )
        return
    columns = [
        Column(_("What"), grow=2, bold=True),
        Column(_("Why"), grow=3),
        Column("", right=True),
    ]
    rows = [
        (row["what"], row["why"], stamp(row["mark"])) for row in snapshot["missing"]
    ]
    table(flow, columns, rows, heading=title)


def _news(flow: Flow, snapshot: Snapshot) -> None:
    revision = snapshot["packet"]["revision"]
    since = _("Since revision %(n)s") % {"n": revision - 1}
    flow.heading(since if revision else _("Since the last packet"))
    news = snapshot["summary"]["news"]
    if not news and snapshot["packet"]["number"] == 1 and not revision:
        flow.paragraph(_("There is no packet before this one."))
    elif not news:
        flow.paragraph(_("Nothing that an earlier packet said has changed."))
    for line in news:
        flow.paragraph(line)
        flow.skip(2)


def _cautions(flow: Flow) -> None:
    """What a reader may not take this packet for."""
    flow.skip(14)
    flow.paragraph(
        _(
            "This packet reports what was recorded and what follows from it under the terms"
            " in force. It is not a substitute for the contract documents, the adopted local"
            " code and licensed practice. Neither it nor an inspector permits means and"
            " methods, and nothing in it says when people may go under or near fresh work:"
            " that is for the site safety plan and the licensed engineer."
        ),
        SMALL,
    )
