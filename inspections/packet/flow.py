"""Pages in a row: their margins and feet, and a cursor that turns the page when full."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from inspections.packet.draw import Stamps
from inspections.packet.faces import BOLD, LABEL, TEXT, Style, shorten, width, wrap
from inspections.packet.writer import Writer
from project.charts.drawing import Ink

# Points. The text starts right of the margin line, on the side where sheets are bound.
PAPERS = {"Letter": (612.0, 792.0), "A4": (595.28, 841.89)}
LEFT, RIGHT, TOP, FOOT = 63.0, 36.0, 34.0, 46.0
_MARGIN_LINES = (48.0, 51.6)
_RUNNING = 26.0  # the height of the head of a page that continues another

BODY = Style(TEXT, 9.5)
STRONG = Style(BOLD, 9.5)
SMALL = Style(TEXT, 8.5, Ink.SECOND)
LABELS = Style(LABEL, 7.5, Ink.SECOND)
HEADING = Style(BOLD, 11)
TITLE = Style(BOLD, 16)
FIGURE = Style(BOLD, 19)
LEADING = 1.25

HEADING_HEIGHT = 28.0
HAIR, HEAVY, TOP_LINE = 0.5, 1.5, 2.25
TOTAL = "total"


@dataclass(frozen=True, slots=True)
class Footing:
    """What the foot of every page says."""

    words: str
    snapshot: str
    draft: bool
    digits: int  # of the number of pages, as expected


class Flow:
    """The pages being filled, from the top down."""

    def __init__(self, writer: Writer, footing: Footing) -> None:
        self.writer = writer
        self.stamps = Stamps(writer)
        self.left = LEFT
        self.width = writer.width - LEFT - RIGHT
        self.right = writer.width - RIGHT
        self.bottom = writer.height - FOOT
        self.y = TOP
        self.pages: dict[str, int] = {}  # where each bookmark of the outline stands
        self._footing = footing
        self._running = ""
        self._fresh = True  # nothing but the running head stands on this page
        self._open = False

    @property
    def room(self) -> float:
        """The height that is left on this page."""
        return self.bottom - self.y

    @property
    def whole_page(self) -> float:
        """The height of a page that continues another."""
        return self.bottom - TOP - _RUNNING

    @property
    def page(self) -> int:
        return self.writer.page

    def start_page(self, running: str = "") -> None:
        """Begin a new page; `running` heads the pages that continue it."""
        self._close()
        self._running = running
        self._furnish()

    def run_on_as(self, running: str) -> None:
        """Change what heads the pages that continue this one."""
        self._running = running

    def turn(self) -> None:
        """Continue on a new page, under the running head."""
        self._close()
        self._furnish()
        if self._running:
            words = _("%(sheet)s, continued") % {"sheet": self._running}
            self.writer.lines([(self.left, self.y, self.right, self.y)], width=TOP_LINE)
            self.writer.text(self.left, self.y + 13, words, LABELS)
            self.y += _RUNNING

    def need(self, height: float) -> None:
        """Turn the page unless a height fits, or the page is as empty as can be."""
        if height > self.room and not self._fresh:
            self.turn()

    def skip(self, height: float) -> None:
        """Leave white space, but never at the top of a page."""
        if not self._fresh:
            self.y += height

    def used(self, height: float) -> None:
        """Move the cursor below what was just drawn."""
        self.y += height
        self._fresh = False

    def finish(self) -> int:
        """Close the last page, draw the number of pages and return it."""
        total = self.writer.page
        self._close()
        with self.writer.form(TOTAL):
            x, y = self._total_at()
            self.writer.text(x, y, str(total), Style(BOLD, 8.5))
        return total

    def _close(self) -> None:
        if self._open:
            self._foot()  # last, so that the page's words are read before it
            self.writer.end_page()
            self._open = False

    def _furnish(self) -> None:
        writer = self.writer
        self.y, self._fresh, self._open = TOP, True, True
        high = writer.height
        writer.lines(
            [(x, 0, x, high) for x in _MARGIN_LINES], width=HAIR, ink=Ink.ACCENT
        )
        if self._footing.draft:
            wide, high = self.stamps.measure("draft", "", size=7)
            self.stamps.place(
                "draft", "", x=self.right - wide, y=TOP - high - 5, size=7
            )

    def _foot(self) -> None:
        """The number of pages is a form, drawn last; so it stands at a fixed place."""
        writer, small = self.writer, Style(TEXT, 8, Ink.SECOND)
        line, base = writer.height - 36, writer.height - 23.5
        writer.lines([(self.left, line, self.right, line)], width=HAIR)
        number = Style(BOLD, 8.5)
        before = self._page_words()
        x, _y = self._total_at()
        hash_at = (
            x - width(before, BOLD, 8.5) - 16 - width(self._footing.snapshot, TEXT, 8)
        )
        room = hash_at - self.left - 12
        words = self._footing.words
        writer.texts(
            [
                (self.left, base, shorten(words, TEXT, 8, room), small),
                (hash_at, base, self._footing.snapshot, small),
                (x - width(before, BOLD, 8.5), base, before, number),
            ]
        )
        writer.place_form(TOTAL)

    def _page_words(self) -> str:
        return _("page %(page)s of") % {"page": self.writer.page} + " "

    def _total_at(self) -> tuple[float, float]:
        """Where the number of pages stands, ending at the right edge as expected."""
        digits = "0" * self._footing.digits
        return self.right - width(digits, BOLD, 8.5), self.writer.height - 23.5

    def outline(self, title: str, key: str, *, level: int = 0) -> None:
        """Name what begins on this page in the outline and for the contents."""
        self.writer.outline(title, key, level=level)
        self.pages[key] = self.page

    # What most sheets are made of

    def sheet_head(
        self,
        *,
        label: str,
        title: str,
        facts: list[tuple[str, str]],
        box: tuple[str, str],
        key: str,
    ) -> None:
        """Draw the band that opens a sheet: label, title, ruled facts, number box."""
        writer, top = self.writer, self.y
        writer.bookmark(key, y=top - 8)
        cells = self._cells(facts, box)
        room = cells[0][0] - self.left - 14 if cells else self.width
        lines = wrap(title, BOLD, TITLE.size, room)
        high = max(44.0, 26 + TITLE.size * 1.15 * len(lines))
        words = [(self.left, top + 13, label, LABELS)]
        for n, line in enumerate(lines):
            words.append((self.left, top + 32 + n * TITLE.size * 1.15, line, TITLE))
        for x, name, value, style in cells:
            base = top + (31 if style is STRONG else 33)
            words.append(
                (x + 9, top + 16 if style is STRONG else top + 12, name, LABELS)
            )
            words.append((x + 9, base, value, style))
        writer.lines([(self.left, top, self.right, top)], width=TOP_LINE)
        writer.lines([(x, top, x, top + high) for x, *_rest in cells], width=HAIR)
        low = top + high
        writer.lines(
            [(self.left, y, self.right, y) for y in (low, low + 2.2)], width=0.75
        )
        writer.texts(words)
        self.used(high + 2.2)

    def _cells(
        self, facts: list[tuple[str, str]], box: tuple[str, str]
    ) -> list[tuple[float, str, str, Style]]:
        """Lay out the ruled cells from the right edge leftwards."""
        cells = [(name, value, STRONG) for name, value in facts]
        cells.append((*box, FIGURE))
        x, placed = self.right, []
        for name, value, style in reversed(cells):
            wide = max(width(name, LABEL, LABELS.size), width(value, BOLD, style.size))
            x -= wide + 18
            placed.append((x, name, value, style))
        return list(reversed(placed))

    def heading(self, words: str, *, keep: float = 40) -> None:
        """Write a heading, together with what must follow it on the same page."""
        self.need(HEADING_HEIGHT + keep)
        self.skip(13)
        self.writer.text(self.left, self.y + 10, words, HEADING)
        self.used(15)

    def subheading(self, words: str, *, keep: float = 40) -> None:
        """Write a small heading, together with what must follow it."""
        self.need(24 + keep)
        self.skip(10)
        self.writer.text(self.left, self.y + 9.5, words, STRONG)
        self.used(13)

    def paragraph(
        self, words: str, style: Style = BODY, *, indent: float = 0, room: float = 0
    ) -> None:
        """Write running text, from page to page if it must be."""
        step = style.size * LEADING
        wide = room or self.width - indent
        lines = wrap(words, style.face, style.size, wide)
        self.need(step * min(len(lines), 4))
        for line in lines:
            self.need(step)
            self.writer.text(self.left + indent, self.y + style.size, line, style)
            self.used(step)

    def stamped(
        self, mark: tuple[str, str], words: str, style: Style, *, size: float
    ) -> None:
        """Write a stamp with its sentence beside it."""
        wide, high = self.stamps.measure(*mark, size=size)
        lines = wrap(words, style.face, style.size, self.width - wide - 14)
        step = style.size * LEADING
        tall = max(high, step * len(lines))
        self.need(tall)
        self.stamps.place(*mark, x=self.left, y=self.y + (tall - high) / 2, size=size)
        first = self.y + (tall - step * len(lines)) / 2 + style.size
        at = self.left + wide + 14
        self.writer.texts(
            (at, first + n * step, line, style) for n, line in enumerate(lines)
        )
        self.used(tall)
