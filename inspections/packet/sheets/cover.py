"""Page 1: which packet this is, what it says in one line, and what is asked."""

from __future__ import annotations

from collections.abc import Sequence

import segno
from django.utils.translation import gettext as _

from inspections.packet.faces import BOLD, LABEL, TEXT, Style, width, wrap
from inspections.packet.flow import HAIR, LABELS, SMALL, STRONG, TOP_LINE, Flow
from inspections.packet.shape import Decision, Hand, Recipient, Snapshot
from inspections.packet.sheets.common import stamp
from inspections.packet.table import Cell, Column, table
from inspections.packet.words import day, when
from project.charts.drawing import Ink

# As many decisions as stay on the cover with all that stands below them.
DECISIONS = 4
_BOX = 92.0
_CODE = 72.0  # the square code's side


def draw(flow: Flow, snapshot: Snapshot) -> None:
    """Draw the cover."""
    flow.start_page()
    flow.writer.bookmark("cover", y=0)
    flow.outline(_("Cover"), "cover")
    flow.used(4)
    _title(flow, snapshot)
    _band(flow, snapshot)
    flow.skip(18)
    mark = snapshot["verdict"]
    sentence = Style(BOLD, 13)
    flow.stamped(
        (mark["stamp"], mark["words"]), snapshot["sentence"], sentence, size=13
    )
    flow.skip(4)
    _decide(flow, snapshot["decide"])
    _figures(flow, snapshot)
    _hands(flow, snapshot)
    _recipients(flow, snapshot["recipients"])


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
    flow.used(max(y - top, 88) + 20)


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


def _decide(flow: Flow, decide: Sequence[Decision]) -> None:
    title = _("You are asked to decide")
    if not decide:
        flow.heading(title)
        flow.paragraph(_("Nothing waits for your decision."))
        return
    decisions(flow, decide[:DECISIONS], first=1, title=title)
    left = len(decide) - DECISIONS
    if left > 0:
        flow.skip(3)
        more = _("%(count)s more on page 2.") % {"count": left}
        flow.paragraph(more, SMALL)


def decisions(
    flow: Flow, decide: Sequence[Decision], *, first: int, title: str
) -> None:
    """The table of what waits for the owner, numbered from `first`."""
    columns = [
        Column("", right=True),
        Column(_("Record"), bold=True, most=0.2),
        Column(_("Where and why"), grow=1),
        Column(_("Standing"), right=True),
    ]
    rows = [
        (
            str(first + n),
            row["record"],
            Cell(row["where"], second=row["why"], bold=True),
            stamp(row["mark"]),
        )
        for n, row in enumerate(decide)
    ]
    table(flow, columns, rows, heading=title)


def _figures(flow: Flow, snapshot: Snapshot) -> None:
    columns = [
        Column("", grow=1),
        Column(_("This week"), right=True, bold=True, least=0.17),
        Column(_("Brought forward"), right=True, least=0.17),
        Column(_("To date"), right=True, least=0.17),
    ]
    rows = [
        (
            "    " * row["indent"] + row["label"],
            row["week"],
            row["before"],
            row["to_date"],
        )
        for row in snapshot["figures"]
    ]
    table(flow, columns, rows, heading=_("The job in figures"))


def _hands(flow: Flow, snapshot: Snapshot) -> None:
    """Who passed the packet on, and a square code that opens its page."""
    flow.heading(_("Passed on by"), keep=80)
    top, address = flow.y, snapshot.get("address", "")
    wide = flow.width - (_CODE + 34 if address else 0)
    each = (wide - 18) / 2
    y, row = top, 0.0
    for n, hand in enumerate(snapshot["hands"]):
        row = max(row, _hand(flow, hand, flow.left + (n % 2) * (each + 18), y, each))
        if n % 2 or n == len(snapshot["hands"]) - 1:
            y, row = y + row + 7, 0.0
    if address:
        _code(flow, address, flow.right - _CODE, top - 16)
    flow.used(max(y - top, 74 if address else 0))


def _hand(flow: Flow, hand: Hand, x: float, y: float, wide: float) -> float:
    """Write one hand on its line and return the height taken."""
    at = when(hand["at"]) if hand["at"] else _("awaited")
    words = [(x, y + 11, hand["name"], STRONG)]
    base = y + 11
    for line in wrap(f"{hand['firm']}: {hand['did']}, {at}", TEXT, SMALL.size, wide):
        base += 10.6
        words.append((x, base, line, SMALL))
    flow.writer.texts(words)
    flow.writer.lines([(x, base + 5, x + wide, base + 5)], width=0.75)
    return base + 5 - y


def _code(flow: Flow, address: str, x: float, y: float) -> None:
    code = segno.make_qr(address, error="m", boost_error=False)
    rows = list(code.matrix)
    step = _CODE / len(rows)
    for n, row in enumerate(rows):
        start = None
        for m, dark in enumerate([*row, 0]):
            if dark and start is None:
                start = m
            elif not dark and start is not None:
                box = (x + start * step, y + n * step, (m - start) * step, step)
                flow.writer.rect(*box, fill=Ink.INK)
                start = None
    caption = Style(TEXT, 7.5, Ink.SECOND)
    for n, line in enumerate(wrap(_("Opens this packet's page"), TEXT, 7.5, _CODE)):
        at = x + _CODE - width(line, TEXT, 7.5)
        flow.writer.text(at, y + _CODE + 10 + n * 9, line, caption)


def _recipients(flow: Flow, recipients: Sequence[Recipient]) -> None:
    by: dict[str, list[str]] = {}
    for one in recipients:
        by.setdefault(one["how"], []).append(f"{one['name']} ({one['role']})")
    flow.skip(8)
    for how, names in by.items():
        line = how[:1].upper() + how[1:] + " " + ", ".join(names) + "."
        flow.paragraph(line, SMALL)
