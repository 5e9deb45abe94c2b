"""The photographs, two or four on a page, each with what it is evidence of."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.packet.faces import BOLD, TEXT, Style, shorten, width, wrap
from inspections.packet.flow import SMALL, STRONG, Flow
from inspections.packet.pictures import PictureStore, UnusablePictureError, usable
from inspections.packet.shape import Photograph, Snapshot
from inspections.packet.sheets.common import Section, joined, open_section
from inspections.packet.words import when
from project.charts.drawing import Ink

_FEW = 6  # up to so many are shown two on a page
_GAP = 15.0
_CAPTION = 78.0


def draw(
    flow: Flow,
    snapshot: Snapshot,
    section: Section,
    *,
    pictures: PictureStore,
    exceptions: list[str],
) -> None:
    """Draw the photographs; what cannot be placed is named in the exceptions."""
    shown = snapshot["sections"]["photographs"]
    facts = [(_("Photographs"), str(len(shown)))]
    label = _("In the order of their numbers")
    open_section(
        flow, section, label=label, facts=facts, fresh=bool(shown), nothing=not shown
    )
    if not shown:
        flow.skip(8)
        flow.paragraph(_("No photograph was taken in this period."))
        return
    flow.skip(12)
    across = 1 if len(shown) <= _FEW else 2
    wide = (flow.width - _GAP * (across - 1)) / across
    high = (flow.bottom - 96) / 2 - _CAPTION - _GAP
    high = min(high, wide * 0.75)
    for start in range(0, len(shown), across):
        flow.need(high + _CAPTION)
        for n, photograph in enumerate(shown[start : start + across]):
            x = flow.left + n * (wide + _GAP)
            try:
                _picture(flow, photograph, pictures, x, wide, high)
            except UnusablePictureError as why:
                _placeholder(flow, photograph, str(why), x, wide, high)
                exceptions.append(f"{photograph['number']}: {why}")
            _caption(flow, photograph, x, wide, flow.y + high)
        flow.used(high + _CAPTION)
        flow.skip(_GAP)


def _picture(
    flow: Flow,
    photograph: Photograph,
    pictures: PictureStore,
    x: float,
    wide: float,
    high: float,
) -> None:
    """Place a picture in the upper left of its room, whole and in proportion."""
    picture = usable(pictures, photograph["sha256"])
    k = min(wide / picture.width, high / picture.height)
    long, tall = picture.width * k, picture.height * k
    y = flow.y + high - tall
    flow.writer.picture(picture, x=x, y=y, width=long, height=tall)


def _placeholder(
    flow: Flow, photograph: Photograph, why: str, x: float, wide: float, high: float
) -> None:
    y = flow.y
    flow.writer.rect(x, y, wide, high, stroke=Ink.RULE, line=0.75)
    flow.writer.lines(
        [(x, y, x + wide, y + high), (x, y + high, x + wide, y)],
        width=0.5,
        ink=Ink.GRID,
    )
    words = _("%(number)s cannot be shown: %(why)s.") % {
        "number": photograph["number"],
        "why": why,
    }
    lines = wrap(words, BOLD, 9.5, wide - 40)
    top = y + high / 2 - 6 * len(lines)
    for n, line in enumerate(lines):
        at = x + (wide - width(line, BOLD, 9.5)) / 2
        box = width(line, BOLD, 9.5) + 8
        flow.writer.rect(at - 4, top + n * 12 - 1, box, 13, fill=Ink.PAPER)
        flow.writer.text(at, top + 9.5 + n * 12, line, STRONG)


def _caption(
    flow: Flow, photograph: Photograph, x: float, wide: float, top: float
) -> None:
    """Write number and time, what it is, where and by whom, and what it proves."""
    number, at = photograph["number"], when(photograph["at"])
    after = x + width(number, BOLD, 9.5) + 7
    grid = (
        _("grid %(grid)s") % {"grid": photograph["grid"]} if photograph["grid"] else ""
    )
    words = [(x, top + 12, number, STRONG), (after, top + 12, at, SMALL)]
    y = top + 24.0
    for text, style, most in (
        (photograph["caption"], Style(TEXT, 9), 2),
        (joined([photograph["part"], grid, photograph["by"]]), SMALL, 1),
        (joined(photograph["of"]), SMALL, 2),
    ):
        for line in _at_most(text, style, wide, most):
            words.append((x, y, line, style))
            y += style.size * 1.22
    flow.writer.texts(words)


def _at_most(text: str, style: Style, wide: float, most: int) -> tuple[str, ...]:
    """Return a text on a few lines; what is left over is cut with an ellipsis."""
    if not text:
        return ()
    lines = wrap(text, style.face, style.size, wide)
    if len(lines) <= most:
        return lines
    rest = shorten(" ".join(lines[most - 1 :]), style.face, style.size, wide)
    return (*lines[: most - 1], rest)
