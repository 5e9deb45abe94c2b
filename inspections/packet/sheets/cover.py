"""Page 1: which packet this is, what it says in one line, and what is asked."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inspections.packet.columns import Cell, Column, Row
from inspections.packet.faces import BOLD, LABEL, TEXT, Style, width, wrap
from inspections.packet.flow import (
    HAIR,
    HEADING_HEIGHT,
    LABELS,
    LEADING,
    SMALL,
    STRONG,
    TOP_LINE,
    Flow,
)
from inspections.packet.shape import Decision, Recipient, Snapshot
from inspections.packet.sheets.common import stamp
from inspections.packet.signed import Name, signed, signed_height
from inspections.packet.table import height, table
from inspections.packet.words import day, when
from project.charts.drawing import Ink
from project.charts.square import dark_runs

_BOX = 92.0
_CODE = 72.0  # the square code's side


def draw(flow: Flow, snapshot: Snapshot) -> int:
    """Draw the cover and return how many of the decisions it shows."""
    flow.start_page()
    flow.writer.bookmark("cover", y=0)
    flow.outline(_("Cover"), "cover")
    flow.used(4)
    _title(flow, snapshot)
    _band(flow, snapshot)
    flow.skip(14)
    mark = snapshot["verdict"]
    sentence = Style(BOLD, 13)
    flow.stamped(
        (mark["stamp"], mark["words"]), snapshot["sentence"], sentence, size=13
    )
    flow.skip(4)
    decided = _decide(flow, snapshot)
    table(flow, *_figure_table(snapshot), heading=_("The job in figures"))
    _hands(flow, snapshot)
    _recipients(flow, snapshot["recipients"])
    return decided


def _title(flow: Flow, snapshot: Snapshot) -> None:
    job, writer, top = snapshot["job"], flow.writer, flow.y
    name, _comma, rest = job["name"].partition(", ")
    room = flow.width - _BOX - 24
    words = [(flow.left, top + 10, _("Weekly quality packet to the owner"), LABELS)]
    big, second = Style(BOLD, 28), Style(TEXT, 12)
    y = top + 16
    for line in wrap(name, BOLD, big.size, room):
        y += 29
        words.append((flow.left, y, line, big))
    y += 5
    rest = rest[:1].upper() + rest[1:]
    by = _("%(owner)s, contract %(contract)s") % {
        "owner": job["owner"],
        "contract": job["contract"],
    }
    for text in (rest, by):
        for line in wrap(text, TEXT, second.size, room) if text else ():
            y += 16.5
            words.append((flow.left, y, line, second))
    writer.texts(words)
    _number(flow, snapshot)
    flow.used(max(y - top, 88) + 14)


def _number(flow: Flow, snapshot: Snapshot) -> None:
    """The packet's number in its black frame, in the outer corner."""
    writer, packet, y = flow.writer, snapshot["packet"], flow.y
    x = flow.right - _BOX
    writer.rect(x, y, _BOX, 84, stroke=Ink.INK, line=2.25)
    writer.lines(
        [(x, y + 19, x + _BOX, y + 19), (x, y + 65, x + _BOX, y + 65)], width=0.75
    )
    revision = _("Revision %(number)s") % {"number": packet["revision"]}
    for base, text, face, size in (
        (y + 13, _("Packet"), LABEL, 8.5),
        (y + 56, str(packet["number"]), BOLD, 39),
        (y + 77.5, revision, LABEL, 8.5),
    ):
        at = x + (_BOX - width(text, face, size)) / 2
        writer.text(at, base, text, Style(face, size))


def _band(flow: Flow, snapshot: Snapshot) -> None:
    """The ruled facts of this packet."""
    packet, cut, writer, top = snapshot["packet"], snapshot["cut"], flow.writer, flow.y
    period = _("%(first)s to %(last)s") % {
        "first": day(packet["first"], "short"),
        "last": day(packet["last"], "day"),
    }
    missing = len(snapshot["missing"])
    cells = [
        (_("Week"), period),
        (_("Cut"), when(cut["at"], "short")),
        (_("Missing, see page 2"), str(missing) if missing else _("nothing")),
        (_("Replaces"), packet["supersedes"] or _("nothing")),
    ]
    words, bars, x = [], [], flow.left
    for n, (name, value) in enumerate(cells):
        inset = 10 if n else 0
        if n:
            bars.append((x, top, x, top + 36))
        words.append((x + inset, top + 13, name, LABELS))
        words.append((x + inset, top + 27, value, STRONG))
        wide = max(width(name, LABEL, LABELS.size), width(value, BOLD, STRONG.size))
        x += inset + wide + 11
    writer.lines([(flow.left, top, flow.right, top)], width=TOP_LINE)
    writer.lines(bars, width=HAIR)
    low = top + 36
    writer.lines([(flow.left, y, flow.right, y) for y in (low, low + 2.2)], width=0.75)
    writer.texts(words)
    flow.used(38.2)


def _decisions_that_fit(flow: Flow, snapshot: Snapshot) -> int:
    """Return how many decisions the cover has room for above its figures."""
    columns, rows = _decision_table(snapshot["decide"], first=1)
    figures = height(flow, *_figure_table(snapshot), heading=True)
    below = figures + _foot_height(flow, snapshot)
    room = flow.room - below - SMALL.size - 10
    return next(
        (
            count
            for count in range(len(rows), 0, -1)
            if height(flow, columns, rows[:count], heading=True) <= room
        ),
        1,
    )


def _decide(flow: Flow, snapshot: Snapshot) -> int:
    """Draw as many decisions as fit and return how many those are."""
    title, decide = _("You are asked to decide"), snapshot["decide"]
    if not decide:
        flow.heading(title)
        flow.paragraph(_("Nothing waits for your decision."))
        return 0
    count = _decisions_that_fit(flow, snapshot)
    decisions(flow, decide[:count], first=1, title=title)
    if len(decide) > count:
        flow.skip(3)
        more = _("%(count)s more on page 2.") % {"count": len(decide) - count}
        flow.paragraph(more, SMALL)
    return count


def decisions(
    flow: Flow, decide: Sequence[Decision], *, first: int, title: str
) -> None:
    """Draw what waits for the owner, numbered from `first`."""
    columns, rows = _decision_table(decide, first=first)
    table(flow, columns, rows, heading=title)


def _decision_table(
    decide: Sequence[Decision], *, first: int
) -> tuple[list[Column], list[Row]]:
    columns = [
        Column("", right=True),
        Column(_("Record"), bold=True, most=0.2),
        Column(_("Where and why"), grow=1),
        Column(_("Standing"), right=True),
    ]
    rows: list[Row] = [
        (
            str(first + n),
            row["record"],
            Cell(row["where"], second=row["why"], bold=True),
            stamp(row["mark"]),
        )
        for n, row in enumerate(decide)
    ]
    return columns, rows


def _figure_table(snapshot: Snapshot) -> tuple[list[Column], list[Row]]:
    columns = [
        Column("", grow=1),
        Column(_("This week"), right=True, bold=True, least=0.17),
        Column(_("Brought forward"), right=True, least=0.17),
        Column(_("To date"), right=True, least=0.17),
    ]
    rows: list[Row] = [
        (
            "    " * row["indent"] + row["label"],
            row["week"],
            row["before"],
            row["to_date"],
        )
        for row in snapshot["figures"]
    ]
    return columns, rows


def _foot_height(flow: Flow, snapshot: Snapshot) -> float:
    """Return the height that the hands and the distribution take."""
    hands = signed_height(_names(snapshot), room=_hands_room(flow, snapshot))
    lines = sum(
        len(wrap(line, SMALL.face, SMALL.size, flow.width))
        for line in _ways(snapshot["recipients"])
    )
    code = _CODE + 6 if snapshot.get("address") else 0
    return HEADING_HEIGHT + max(hands, code) + 8 + lines * SMALL.size * LEADING


def _hands_room(flow: Flow, snapshot: Snapshot) -> float:
    return flow.width - (_CODE + 30 if snapshot.get("address") else 0)


def _names(snapshot: Snapshot) -> list[Name]:
    return [
        (
            hand["name"],
            f"{hand['firm']}: {hand['did']}, {when(hand['at']) or _('awaited')}",
        )
        for hand in snapshot["hands"]
    ]


def _hands(flow: Flow, snapshot: Snapshot) -> None:
    """Draw who passed the packet on, and a square code that opens its page."""
    flow.heading(_("Passed on by"), keep=80)
    top = flow.y
    if address := snapshot.get("address"):
        _code(flow, address, flow.right - _CODE, top - 16)
    signed(flow, _names(snapshot), room=_hands_room(flow, snapshot))
    if address:
        flow.used(max(0.0, top + _CODE + 6 - flow.y))


def _code(flow: Flow, address: str, x: float, y: float) -> None:
    modules, runs = dark_runs(address)
    step = _CODE / modules
    for m, n, length in runs:
        box = (x + m * step, y + n * step, length * step, step)
        flow.writer.rect(*box, fill=Ink.INK)
    caption = Style(TEXT, 7.5, Ink.SECOND)
    for n, line in enumerate(wrap(_("Opens this packet's page"), TEXT, 7.5, _CODE)):
        at = x + _CODE - width(line, TEXT, 7.5)
        flow.writer.text(at, y + _CODE + 10 + n * 9, line, caption)


def _recipients(flow: Flow, recipients: Sequence[Recipient]) -> None:
    flow.skip(8)
    for line in _ways(recipients):
        flow.paragraph(line, SMALL)


def _ways(recipients: Sequence[Recipient]) -> list[str]:
    """Return one sentence for each way the packet goes out: issued to, copied to."""
    by: dict[str, list[str]] = {}
    for one in recipients:
        by.setdefault(one["how"], []).append(f"{one['name']} ({one['role']})")
    return [
        f"{how[:1].upper()}{how[1:]} {', '.join(names)}." for how, names in by.items()
    ]
