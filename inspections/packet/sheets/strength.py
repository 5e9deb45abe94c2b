"""Strength by mix: the chart, the sets behind it, and every reason of every verdict."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column
from inspections.packet.draw import PIXEL
from inspections.packet.draw import draw as draw_shapes
from inspections.packet.flow import SMALL, STRONG, Flow
from inspections.packet.shape import Series, Snapshot, StrengthSet
from inspections.packet.sheets.common import (
    Section,
    joined,
    open_section,
    stamp,
    state_words,
)
from inspections.packet.table import table
from inspections.packet.words import bare, day, headed
from project.charts.control_chart import ChartSet, ChartWords, Limit, control_chart
from project.charts.text import MINUS, NO_BREAK
from project.domain.verdict import State

_HEIGHT = 300.0  # of the chart, in its own pixels


def draw(flow: Flow, snapshot: Snapshot, section: Section) -> None:
    """Draw each mix."""
    series = snapshot["sections"]["strength"]
    reported = sum(len(one["sets"]) for one in series)
    facts = [(_("Sets reported"), str(reported))]
    # The head does not part from the first chart.
    charted = bool(series and series[0]["sets"])
    open_section(
        flow,
        section,
        label=_("By mix"),
        facts=facts,
        fresh=charted and flow.room < 150 + _HEIGHT * PIXEL,
        nothing=not series,
    )
    if not series:
        flow.skip(8)
        flow.paragraph(_("No panel has been shot yet, so there is no set."))
    told = ""
    for one in series:
        _series(flow, snapshot, one)
        if (rule := f"{one['rule']} {one['source']}.") != told:
            flow.skip(4)
            flow.paragraph(rule, SMALL)
            told = rule
        if run := one.get("run"):
            flow.skip(4)
            flow.paragraph(run)
        if one["sets"]:
            _reasons(flow, snapshot, one)
    _settings(flow, series)


def _series(flow: Flow, snapshot: Snapshot, one: Series) -> None:
    flow.heading(one["mix"], keep=_HEIGHT * PIXEL * 0.8 if one["sets"] else 90)
    flow.paragraph(one["description"], SMALL)
    flow.skip(3)
    flow.paragraph(one["says"], STRONG)
    flow.skip(4)
    if one["sets"]:
        _chart(flow, one)
        _sets(flow, one["sets"], one["unit"], _("Specified age"))
    if one["early"]:
        _sets(flow, one["early"], one["unit"], _("Early age, for information"))


def _number(text: str) -> Decimal:
    """Return the number of a printed amount."""
    digits = text.rpartition(NO_BREAK)[0] or text
    return Decimal(digits.replace(",", "").replace(MINUS, "-"))


def _limit(words: str, amount: str, *, unit: str) -> Limit:
    return Limit(words % {"value": bare(amount, unit)}, _number(amount))


def _chart(flow: Flow, one: Series) -> None:
    sets = [
        ChartSet(
            code=row["panel"],
            place=row["place"],
            mean=_number(row["mean"]),
            cores=tuple(_number(core) for core in row["cores"]),
            failed=row["mark"] is not None and row["mark"]["stamp"] == "fail",
            running=_number(row["running"]) if row["running"] else None,
        )
        for row in one["sets"]
    ]
    unit = one["unit"]
    drawing = control_chart(
        sets,
        specified=_limit(_("specified %(value)s"), one["specified"], unit=unit),
        mean_limit=_limit(_("mean %(value)s"), one["mean_limit"], unit=unit),
        least_limit=_limit(_("least %(value)s"), one["least_limit"], unit=unit),
        unit=unit,
        words=ChartWords(title=one["mix"], description=one["says"]),
        width=flow.width / PIXEL,
        height=_HEIGHT,
    )
    high = drawing.height * PIXEL
    flow.need(high)
    draw_shapes(flow.writer, drawing.shapes, x=flow.left, y=flow.y, k=PIXEL)
    flow.used(high)


def _sets(flow: Flow, rows: list[StrengthSet], unit: str, title: str) -> None:
    cores = max(len(row["cores"]) for row in rows)
    ages = {row["age"] for row in rows}
    columns = [
        Column(_("Panel"), bold=True),
        Column(_("Part"), most=0.2),
        Column(_("Operator")),
        Column(_("Tested"), right=True),
        Column(_("Age"), right=True),
        *(Column(_("Core %(n)s") % {"n": n + 1}, right=True) for n in range(cores)),
        Column(headed(_("Mean"), unit), right=True, bold=True),
        Column(_("Of specified"), right=True),
        Column(_("Mean of 3"), right=True),
        Column("", right=True),
    ]
    lines = [
        (
            row["panel"],
            row["place"],
            row["operator"],
            day(row["tested"]),
            row["age"] if len(ages) > 1 else "",
            *(bare(core, unit) for core in row["cores"]),
            *("" for _n in range(cores - len(row["cores"]))),
            bare(row["mean"], unit),
            row["share"],
            bare(row["running"], unit),
            stamp(row["mark"]),
        )
        for row in rows
    ]
    if len(ages) == 1:
        title = joined([title, *ages])
    table(flow, columns, lines, under=title)


def _reasons(flow: Flow, snapshot: Snapshot, one: Series) -> None:
    """Print every reason of every set, met and unmet, one set after another."""
    rows: list[tuple[str | Cell, ...]] = []
    for row in one["sets"]:
        verdict = snapshot["verdicts"][row["verdict"]]
        for n, reason in enumerate(verdict["reasons"]):
            failed = reason["state"] == State.FAIL
            rows.append(
                (
                    row["panel"] if n == 0 else "",
                    joined(reason["evidence"]) if n == 0 else "",
                    reason["requirement"],
                    reason["found"],
                    reason["limit"],
                    reason["margin"],
                    Cell(state_words(reason["state"]), bold=failed),
                )
            )
    columns = [
        Column(_("Panel"), bold=True),
        Column(_("Report"), most=0.15),
        Column(_("Requirement"), grow=1),
        Column(_("Found"), right=True, most=0.25),
        Column(_("Limit"), right=True),
        Column(_("Margin"), right=True),
        Column(_("Stands")),
    ]
    table(flow, columns, rows, under=_("Why each set stands as it does"))


def _settings(flow: Flow, series: list[Series]) -> None:
    """Print once the choices that every mix's figures were made under."""
    rows: list[tuple[str | Cell, ...]] = []
    told = ""
    for one in series:
        for setting in one.get("settings", []):
            line = (setting["name"], setting["value"], setting["source"])
            mix = "" if one["mix"] == told else one["mix"]
            told = one["mix"]
            if not any(row[1:] == line for row in rows):
                rows.append((mix, *line))
    if not rows:
        return
    columns = [
        Column(_("Mix"), bold=True),
        Column(_("Setting"), grow=1),
        Column(_("Used")),
        Column(_("Source"), most=0.35),
    ]
    table(flow, columns, rows, heading=_("Settings these figures were made under"))
