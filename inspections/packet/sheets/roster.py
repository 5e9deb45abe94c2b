"""Who held the nozzle in each shift, and how each stood on record when it was taken."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column
from inspections.packet.flow import SMALL, Flow
from inspections.packet.shape import NotQualified, NozzleTime, Shift, Snapshot
from inspections.packet.sheets.common import (
    Section,
    joined,
    open_section,
    reasons,
    stamp,
)
from inspections.packet.table import table
from inspections.packet.words import bare, day, headed, on, span, unit_of


def draw(flow: Flow, snapshot: Snapshot, section: Section) -> None:
    """Draw the shifts, then what was placed while not qualified on record."""
    roster = snapshot["sections"]["roster"]
    facts = [(_("Not qualified"), str(len(roster["not_qualified"])))]
    label = _("As of each shift")
    open_section(flow, section, label=label, facts=facts, nothing=not roster["shifts"])
    if not roster["shifts"]:
        flow.skip(8)
        flow.paragraph(_("Nobody held a nozzle in this period."))
        return
    flow.skip(8)
    words = _(
        "Each standing is the one frozen when the operator took the nozzle, as known then."
        " What was learned later stands beside it and never instead of it."
    )
    flow.paragraph(words, SMALL)
    for shift in roster["shifts"]:
        _shift(flow, snapshot, shift)
    _placed_not_qualified(flow, snapshot, roster["not_qualified"])
    if roster["later"]:
        flow.heading(_("Learned later"))
    for line in roster["later"]:
        flow.paragraph(line)
        flow.skip(3)


def _shift(flow: Flow, snapshot: Snapshot, shift: Shift) -> None:
    title = _("%(day)s, %(name)s shift, %(contractor)s") % {
        "day": day(shift["work_date"], "day"),
        "name": shift["name"],
        "contractor": shift["contractor"],
    }
    unit = unit_of(row["volume"] for row in shift["rows"])
    columns = [
        Column(_("Operator"), most=0.24),
        Column(_("Part and work"), grow=1),
        Column(_("Held the nozzle")),
        Column(headed(_("Neat"), unit), right=True),
        Column(_("Standing at the take"), right=True, most=0.36),
    ]
    table(
        flow,
        columns,
        [_row(row, snapshot, unit) for row in shift["rows"]],
        heading=title,
    )
    for crew in shift["crews"]:
        flow.skip(3)
        flow.paragraph(crew, SMALL)


def _row(row: NozzleTime, snapshot: Snapshot, unit: str) -> list[str | Cell | None]:
    verdict = snapshot["verdicts"][row["verdict"]]
    named = (name for reason in verdict["reasons"] for name in reason["evidence"])
    evidence = joined(dict.fromkeys(named))
    work = joined([row["placement"], row["mix"], row["process"], row["position"]])
    return [
        Cell(f"{row['operator']} {row['name']}", second=row["card"]),
        Cell(
            row["part"], second="\n".join(filter(None, (work, row["words"], evidence)))
        ),
        span(row["start"], row["stop"]),
        bare(row["volume"], unit),
        stamp(row["mark"]),
    ]


def _placed_not_qualified(
    flow: Flow, snapshot: Snapshot, rows: list[NotQualified]
) -> None:
    flow.heading(_("Placed while not qualified on record"), keep=80)
    if not rows:
        flow.paragraph(_("No operator stood as not qualified on record at the take."))
        return
    for row in rows:
        words = _("%(operator)s %(name)s on %(part)s, %(when)s, %(volume)s.") % {
            "operator": row["operator"],
            "name": row["name"],
            "part": joined([row["part"], row["placement"]]),
            "when": joined([day(on(row["start"])), span(row["start"], row["stop"])]),
            "volume": row["volume"],
        }
        if row["report"]:
            words += " " + _("See %(report)s.") % {"report": row["report"]}
        flow.skip(4)
        flow.paragraph(words)
        flow.skip(4)
        reasons(flow, snapshot["verdicts"][row["verdict"]])
