"""Work placed: every placement of the period, with the volumes carried on."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column
from inspections.packet.flow import SMALL, Flow
from inspections.packet.shape import Placed, Snapshot
from inspections.packet.sheets.common import Section, joined, open_section
from inspections.packet.table import table
from inspections.packet.words import bare, day, headed, on, span, unit_of


def draw(flow: Flow, snapshot: Snapshot, section: Section) -> None:
    """Draw the placements and the closing rows."""
    work = snapshot["sections"]["work"]
    facts = [(_("Placements"), str(len(work["rows"])))]
    open_section(
        flow, section, label=_("By placement"), facts=facts, nothing=not work["rows"]
    )
    if not work["rows"]:
        flow.skip(8)
        flow.paragraph(_("Nothing was placed in this period."))
    flow.skip(8)
    words = _(
        "Neat is area times drawn thickness; delivered is what was delivered and accepted,"
        " losses and panels included. A work day is the day its shift began."
    )
    flow.paragraph(words, SMALL)
    flow.skip(6)
    neat = unit_of(row["neat"] for row in [*work["rows"], *work["totals"]])
    delivered = unit_of(row["delivered"] for row in [*work["rows"], *work["totals"]])
    columns = [
        Column(_("Placement"), bold=True),
        Column(_("Part"), grow=1),
        Column(_("Mix")),
        Column(_("Operators"), most=0.2),
        Column(_("Day and time"), most=0.25),
        Column(headed(_("Neat"), neat), right=True),
        Column(headed(_("Delivered"), delivered), right=True),
    ]
    rows = [_row(row, neat, delivered) for row in work["rows"]]
    closing = [
        (
            total["label"],
            None,
            None,
            None,
            None,
            bare(total["neat"], neat),
            bare(total["delivered"], delivered),
        )
        for total in work["totals"]
    ]
    table(flow, columns, rows, closing=closing)


def _row(row: Placed, neat: str, delivered: str) -> list[str | Cell | None]:
    crossed = on(row["start"]) != row["work_date"]
    began = day(on(row["start"]), "short") if crossed else ""
    return [
        row["placement"],
        Cell(row["part"], second=joined([row["part_words"], row["position"]])),
        row["mix"],
        Cell("\n".join(row["operators"]), second=row["basis"]),
        Cell(
            day(row["work_date"], "short"),
            second=joined([began, span(row["start"], row["stop"])]),
        ),
        bare(row["neat"], neat),
        bare(row["delivered"], delivered),
    ]
