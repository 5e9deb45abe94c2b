"""The employer's letter on an operator's hours, set with the packet's pen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from zoneinfo import ZoneInfo

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from crews.domain.hours import LEVELS, Hours, Sum, clock_text, in_hours
from crews.domain.hours_told import Tally, unverified
from crews.domain.trade_words import Level
from crews.queries.hours import StatementRow
from inspections.packet.columns import Cell, Column, Row
from inspections.packet.flow import (
    HAIR,
    LABELS,
    PAPERS,
    SMALL,
    Flow,
    Footing,
)
from inspections.packet.labelled import labelled
from inspections.packet.table import table
from inspections.packet.words import missing_letters
from inspections.packet.writer import About, Writer
from project.charts.text import quantity_text, when_text

_SIGN_HEIGHT, _GAP = 46.0, 18.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """All that a letter says: whose hours, which days, as known when."""

    firm: str
    operator: str
    badge: str
    code: str
    job: str
    contract: str
    paper: str
    language: str
    zone: str
    hours: Hours
    tallies: tuple[Tally, ...]
    statements: tuple[StatementRow, ...]
    as_of: datetime
    known_at: datetime
    line: int
    head: str

    @property
    def days(self) -> tuple[date | None, date]:
        """The first day counted, if one was asked for, and the last that has come."""
        today = self.as_of.astimezone(ZoneInfo(self.zone)).date()
        asked = self.hours.period
        last = min(today, asked.last or today)
        return asked.first, max(last, asked.first or last)


def letter_pdf(letter: Letter) -> bytes:
    """Return the letter's file; the same letter gives the same bytes."""
    out = BytesIO()
    with translation.override(letter.language):
        writer = Writer(out, size=PAPERS[letter.paper], about=_about(letter))
        flow = Flow(writer, _footing(letter))
        _draw(flow, letter)
        flow.finish()
        writer.save()
    return out.getvalue()


def _about(letter: Letter) -> About:
    title = _("Hours of %(name)s on the nozzle") % {"name": letter.operator}
    return About(
        title=title,
        author=letter.firm,
        subject=letter.job,
        keywords=f"line {letter.line} {letter.head}",
        language=letter.language,
        made=letter.known_at,
    )


def _footing(letter: Letter) -> Footing:
    words = _("%(contract)s, hours of %(code)s, as known %(when)s") % {
        "contract": letter.contract,
        "code": letter.code,
        "when": when_text(letter.known_at, zone=letter.zone, form="zone"),
    }
    short = " ".join(letter.head[at : at + 4] for at in range(0, 16, 4))
    line = _("line %(line)s: %(head)s") % {"line": letter.line, "head": short}
    return Footing(words, line, draft=False, digits=1)


def _draw(flow: Flow, letter: Letter) -> None:
    flow.start_page(letter.firm)
    flow.sheet_head(
        label=_("Employer's letter"),
        title=letter.firm,
        facts=[(_("Badge"), letter.badge)],
        box=(_("Operator"), letter.code),
        key="letter",
    )
    flow.skip(14)
    words = _(
        "This letter states the time that %(name)s held a shotcrete nozzle on the job"
        " named below, from each take of the nozzle to its leave, as the job's record"
        " has it. It counts nozzle time only, not the hours of a crew. The body that"
        " certifies decides what counts."
    )
    flow.paragraph(words % {"name": letter.operator})
    flow.skip(8)
    labelled(
        flow,
        [
            (_("Operator"), f"{letter.operator}, {letter.badge}"),
            (_("Job"), f"{letter.job}, {letter.contract}"),
            (_("Days"), _days(letter)),
        ],
    )
    _counted(flow, letter)
    _verified(flow, letter)
    _stated(flow, letter)
    _known(flow, letter)
    _signed(flow)


def _days(letter: Letter) -> str:
    first, last = letter.days
    told = {"last": when_text(last), "first": when_text(first) if first else ""}
    if first:
        return _("%(first)s to %(last)s, both counted in") % told
    return _("all on record up to %(last)s, that day counted in") % told


def _head(level: Level | None) -> str:
    """Name a table by the card that was known; time in training stands apart."""
    heads = {
        Level.FULL: _("On the nozzle with a full card"),
        Level.IN_TRAINING: _("On the nozzle in training"),
        None: _("On the nozzle with no card known at the take"),
    }
    return heads[level]


def _counted(flow: Flow, letter: Letter) -> None:
    for level in LEVELS:
        pieces = tuple(p for p in letter.hours.pieces if p.time.level is level)
        if pieces:
            _table(flow, _head(level), _only(letter.hours, level))
    flow.skip(6)
    if letter.hours.pieces:
        every = letter.hours
        told = {
            "clock": clock_text(every.minutes),
            "hours": quantity_text(in_hours(every.minutes)),
            "days": _on_days(every.days),
        }
        flow.paragraph(_("All nozzle time: %(clock)s, %(hours)s, %(days)s.") % told)
    else:
        flow.paragraph(_("No nozzle time is on record for these days."))
    for time in letter.hours.still_on:
        since = when_text(time.start, zone=letter.zone)
        words = _("Still on the nozzle since %(since)s, %(shot)s: not counted.")
        flow.paragraph(words % {"since": since, "shot": time.shot})


def _only(hours: Hours, level: Level | None) -> Hours:
    pieces = tuple(p for p in hours.pieces if p.time.level is level)
    return Hours(pieces=pieces, period=hours.period, still_on=())


def _table(flow: Flow, heading: str, hours: Hours) -> None:
    columns = [
        Column(_("Process")),
        Column(_("Position")),
        Column(_("Method"), grow=1),
        # The closing row is bold, so its figures ask for more room than the others.
        Column(_("Days"), right=True, bold=True),
        Column(_("Minutes"), right=True, bold=True),
        Column(_("h:min"), right=True, bold=True),
        Column(_("Hours"), right=True, bold=True),
    ]
    rows: list[Row] = [
        (c.shot.process, c.shot.position, c.shot.method, *_figures(c))
        for c in hours.classes
    ]
    closing: Row = (_("Together"), "", "", *_figures(hours))
    table(flow, columns, rows, heading=heading, closing=[closing])


def _figures(counted: Sum) -> tuple[str, str, str, str]:
    return (
        str(counted.days),
        f"{counted.minutes:,d}",
        clock_text(counted.minutes),
        f"{in_hours(counted.minutes).value:,f}",
    )


def _on_days(count: int) -> str:
    return ngettext("on %(n)s day", "on %(n)s days", count) % {"n": count}


def _verified(flow: Flow, letter: Letter) -> None:
    first, last = letter.days
    said = [
        one
        for one in letter.statements
        if one.row.from_on <= last and (first is None or one.row.to_on >= first)
    ]
    heading = _("Verified by name")
    columns = [
        Column(_("Days")),
        Column(_("Verified by"), grow=1, bold=True),
        Column(_("On"), right=True),
        Column(_("h:min"), right=True),
    ]
    rows: list[Row] = [
        (
            f"{when_text(one.row.from_on)} – {when_text(one.row.to_on)}",
            Cell(one.row.verified_by, second=one.row.words),
            when_text(one.row.recorded_at, zone=letter.zone, form="date"),
            Cell(clock_text(one.minutes), second=_now(one)),
        )
        for one in said
    ]
    if rows:
        table(flow, columns, rows, heading=heading)
    else:
        flow.heading(heading)
    left = unverified(
        letter.hours, verified=[(one.row.from_on, one.row.to_on) for one in said]
    )
    minutes = sum(piece.minutes for piece in left)
    flow.skip(4)
    if minutes:
        words = _("Of the nozzle time above, %(clock)s is verified by nobody.")
        flow.paragraph(words % {"clock": clock_text(minutes)})
    elif letter.hours.pieces:
        flow.paragraph(_("All days with nozzle time above are verified by name."))


def _now(one: StatementRow) -> str:
    """Say where the record reads otherwise than when the days were verified."""
    if not one.changed:
        return ""
    words = _("the record now says %(clock)s")
    return words % {"clock": clock_text(one.now.minutes)}


def _stated(flow: Flow, letter: Letter) -> None:
    said = [(tally, one) for tally in letter.tallies for one in tally.stated]
    if not said:
        return
    columns = [
        Column(_("Process")),
        Column(_("Method")),
        Column(_("Stated by"), grow=1),
        Column(_("On"), right=True),
        Column(_("Hours"), right=True),
    ]
    rows: list[Row] = [
        (
            one.process,
            one.method,
            one.stated_by,
            when_text(one.stated_on),
            f"{one.hours:,f}",
        )
        for _tally, one in said
    ]
    table(flow, columns, rows, heading=_("Stated, and not on record"))
    flow.skip(4)
    for tally in letter.tallies:
        flow.paragraph(_together(tally))


def _together(tally: Tally) -> str:
    told = {
        "process": tally.process,
        "method": tally.method,
        "record": clock_text(tally.minutes),
        "days": _on_days(tally.days),
        "why": tally.because,
        "sum": quantity_text(tally.together) if tally.together else "",
    }
    if tally.together is None:
        words = _(
            "%(process)s, %(method)s: on record to the last day %(record)s, %(days)s;"
            " not added to what is stated: %(why)s."
        )
    else:
        words = _(
            "%(process)s, %(method)s: on record to the last day %(record)s, %(days)s;"
            " with what is stated %(sum)s."
        )
    return words % told


def _known(flow: Flow, letter: Letter) -> None:
    flow.heading(_("How this can be checked"))
    words = _(
        "Counted as of %(as_of)s, as known at %(known)s. The job's chain of audit lines"
        " then ended with line %(line)s, %(head)s. Whoever holds the record can count"
        " the same days as known then."
    )
    told = {
        "as_of": when_text(letter.as_of, zone=letter.zone, form="zone"),
        "known": when_text(letter.known_at, zone=letter.zone, form="zone"),
        "line": letter.line,
        "head": letter.head,
    }
    flow.paragraph(words % told, SMALL)
    for line in missing_letters(flow.writer.missing):
        flow.paragraph(line, SMALL)


def _signed(flow: Flow) -> None:
    """Leave ruled room for the employer's signature."""
    flow.need(_SIGN_HEIGHT + 24)
    flow.skip(16)
    base = flow.y + _SIGN_HEIGHT - 14
    labels = (_("Signed for the employer"), _("Name and post"), _("Date"))
    shares = (0.42, 0.38, 0.2)
    room = flow.width - _GAP * (len(labels) - 1)
    x = flow.left
    for label, share in zip(labels, shares, strict=True):
        wide = room * share
        flow.writer.lines([(x, base, x + wide, base)], width=HAIR)
        flow.writer.text(x, base + 11, label, LABELS)
        x += wide + _GAP
    flow.used(_SIGN_HEIGHT)
