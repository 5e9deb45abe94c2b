"""The contents: pages reserved before the sheets are drawn, numbered after.

How many lines there are is known from the snapshot, so the pages are reserved and their
links drawn at once; the page numbers are forms, drawn when they are known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inspections.packet.faces import BOLD, TEXT, Style, shorten, width
from inspections.packet.flow import HAIR, Flow
from inspections.packet.writer import Word
from project.charts.drawing import Ink

_ROW = 17.5


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the contents: a bookmark that will be drawn."""

    title: str
    key: str
    level: int
    number: str = ""


class Contents:
    """Reserves its pages when it is made; `number` fills them in."""

    def __init__(self, flow: Flow, entries: Sequence[Entry], *, box: str) -> None:
        self._flow = flow
        self._spots: list[
            list[tuple[float, str]]
        ] = []  # of each page: line and bookmark
        flow.start_page(_("Contents"))
        flow.sheet_head(
            label=_("This packet"),
            title=_("Contents"),
            facts=[],
            box=(_("Packet"), box),
            key="contents",
        )
        flow.outline(_("Contents"), "contents")
        flow.skip(8)
        self._begin()
        for entry in entries:
            if flow.room < _ROW:
                flow.turn()
                self._begin()
            self._entry(entry)

    def _begin(self) -> None:
        self._spots.append([])
        self._flow.writer.place_form(f"contents{len(self._spots)}")

    def _entry(self, entry: Entry) -> None:
        flow = self._flow
        style = Style(TEXT if entry.level else BOLD, 9.5, Ink.ACCENT)
        x = flow.left + 24 + entry.level * 14
        base = flow.y + 11.5
        room = flow.right - x - 40
        words: list[Word] = [
            (x, base, shorten(entry.title, style.face, 9.5, room), style)
        ]
        if entry.number:
            words.append((flow.left, base, entry.number, Style(BOLD, 9.5)))
        flow.writer.texts(words)
        flow.writer.link(
            entry.key, x=flow.left, y=flow.y, width=flow.width, height=_ROW
        )
        self._spots[-1].append((base, entry.key))
        flow.used(_ROW)
        line = (flow.left, flow.y, flow.right, flow.y)
        flow.writer.lines([line], width=HAIR, ink=Ink.RULE)

    def number(self) -> None:
        """Write the page number of every line, now that all are drawn."""
        flow, style = self._flow, Style(BOLD, 9.5)
        for n, spots in enumerate(self._spots):
            with flow.writer.form(f"contents{n + 1}"):
                flow.writer.texts(
                    (flow.right - width(page, BOLD, 9.5), base, page, style)
                    for base, key in spots
                    for page in (str(flow.pages[key]),)
                )
