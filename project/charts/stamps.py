"""Stamps: a word, an icon, and a line that says what kind of conclusion it is.

Plain data, read by the pages (CSS draws the frame) and by the packet (`stamp_shapes`).
Ink comes last: every stamp can be told from every other in grey.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from project.charts.drawing import (
    Anchor,
    Dash,
    Ink,
    Polyline,
    Rect,
    Shape,
    Text,
    placed,
)
from project.charts.icons import BOX, icon_shapes
from project.domain.verdict import State


class Frame(StrEnum):
    """The line round a stamp."""

    SOLID = "solid"  # settled, in order
    DOUBLE = "double"  # in order, with a condition
    FILLED = "filled"  # settled, not in order
    BARS = "bars"  # stop, or owed and absent
    DASHES = "dashes"  # waiting for time or people
    DOTS = "dots"  # nothing known
    CORNERS = "corners"  # not in force
    SHEET = "sheet"  # not in force: another sheet lies under it


@dataclass(frozen=True, slots=True)
class Stamp:
    """One conclusion as it is stamped. The word is set in capitals when drawn."""

    name: str
    word: str
    icon: str
    frame: Frame

    @property
    def ink(self) -> Ink:
        """Oxide is spent on refusal and on what is owed and absent, on nothing else."""
        return Ink.OXIDE if self.frame in (Frame.FILLED, Frame.BARS) else Ink.INK

    @property
    def word_ink(self) -> Ink:
        return Ink.ON_OXIDE if self.frame is Frame.FILLED else self.ink


def gettext_noop(word: str) -> str:
    """Mark a word for the translators; the page translates it when it draws it."""
    return word


_ALL = (
    Stamp("qualified", gettext_noop("qualified"), "tick", Frame.SOLID),
    Stamp("qualified if", gettext_noop("qualified if"), "tick in brackets", Frame.DOUBLE),
    Stamp("not qualified", gettext_noop("not qualified"), "cross", Frame.FILLED),
    Stamp("undecided", gettext_noop("undecided"), "question mark", Frame.DOTS),
    Stamp("pass", gettext_noop("pass"), "dot above bar", Frame.SOLID),
    Stamp("pass if", gettext_noop("pass if"), "tick in brackets", Frame.DOUBLE),
    Stamp("fail", gettext_noop("fail"), "dot below bar", Frame.FILLED),
    Stamp("over", gettext_noop("over the limit"), "dot above bar", Frame.FILLED),
    Stamp("accepted", gettext_noop("accepted"), "tick", Frame.SOLID),
    Stamp("not accepted", gettext_noop("not accepted"), "cross", Frame.FILLED),
    Stamp("refused", gettext_noop("refused"), "cross", Frame.FILLED),
    Stamp("right", gettext_noop("right"), "tick", Frame.SOLID),
    Stamp("deficient", gettext_noop("deficient"), "cross", Frame.FILLED),
    Stamp("does not apply", gettext_noop("does not apply"), "dash", Frame.DOUBLE),
    Stamp("conforming", gettext_noop("conforming"), "tick", Frame.SOLID),
    Stamp("not conforming", gettext_noop("not conforming"), "ring not closed", Frame.DASHES),
    Stamp("all in order", gettext_noop("all in order"), "tick", Frame.SOLID),
    Stamp("not all in order", gettext_noop("not all in order"), "ring not closed", Frame.DASHES),
    Stamp("closed", gettext_noop("closed"), "disc", Frame.SOLID),
    Stamp("ended", gettext_noop("ended"), "disc", Frame.SOLID),
    Stamp("in force", gettext_noop("in force"), "tick", Frame.SOLID),
    Stamp("verified", gettext_noop("verified"), "tick", Frame.SOLID),
    Stamp("ends soon", gettext_noop("ends soon"), "tick in brackets", Frame.DOUBLE),
    Stamp("released", gettext_noop("released"), "arrow leaving a gate", Frame.SOLID),
    Stamp("signed", gettext_noop("signed"), "signature", Frame.SOLID),
    Stamp("reviewed", gettext_noop("reviewed"), "sheet read", Frame.SOLID),
    Stamp("issued", gettext_noop("issued"), "sheet leaving", Frame.SOLID),
    Stamp("not reviewed", gettext_noop("signed, not yet reviewed"), "signature", Frame.DASHES),
    Stamp("held", gettext_noop("held"), "two uprights", Frame.BARS),
    Stamp("suspended", gettext_noop("suspended"), "two uprights", Frame.BARS),
    Stamp("missing", gettext_noop("missing"), "four corners", Frame.BARS),
    Stamp("late", gettext_noop("late"), "clock with a mark", Frame.BARS),
    Stamp("flagged", gettext_noop("to be cleared"), "flag", Frame.BARS),
    Stamp("open", gettext_noop("open"), "ring not closed", Frame.DASHES),
    Stamp("owed", gettext_noop("owed"), "clock", Frame.DASHES),
    Stamp("not due", gettext_noop("not due"), "clock", Frame.DASHES),
    Stamp("not enough yet", gettext_noop("not enough yet"), "two dots of three", Frame.DASHES),
    Stamp("not testable", gettext_noop("not testable"), "circle struck through", Frame.DOTS),
    Stamp("not looked at", gettext_noop("not looked at"), "three dots", Frame.DOTS),
    Stamp("no data", gettext_noop("no result"), "three dots", Frame.DOTS),
    Stamp("no limit", gettext_noop("no limit given"), "circle struck through", Frame.DOTS),
    Stamp("not verified", gettext_noop("not verified"), "question mark", Frame.DOTS),
    Stamp("draft", gettext_noop("draft"), "pencil", Frame.CORNERS),
    Stamp("proposed", gettext_noop("proposed"), "pencil", Frame.CORNERS),
    Stamp("information", gettext_noop("for information"), "page", Frame.CORNERS),
    Stamp("superseded", gettext_noop("superseded"), "two sheets", Frame.SHEET),
    Stamp("withdrawn", gettext_noop("withdrawn"), "two sheets", Frame.SHEET),
)  # fmt: skip

STAMPS: dict[str, Stamp] = {stamp.name: stamp for stamp in _ALL}

_ELIGIBILITY = {
    State.PASS: "qualified",
    State.CONDITION: "qualified if",
    State.FAIL: "not qualified",
}  # every other state: undecided, for unknown is not pass

_STRENGTH = {
    State.PASS: "pass",
    State.CONDITION: "pass if",
    State.FAIL: "fail",
    State.UNDECIDED: "undecided",
    State.INCOMPLETE: "not enough yet",
    State.NOT_ENOUGH_YET: "not enough yet",
    State.NOT_DUE: "not due",
    State.NOT_TESTABLE: "not testable",
    State.NO_DATA: "no data",
    State.INFORMATION: "information",
}

_GATE_ICONS = {
    State.PASS: "tick",
    State.CONDITION: "tick in brackets",
    State.FAIL: "cross",
    State.INFORMATION: "dash",
    State.INCOMPLETE: "two dots of three",
    State.NOT_ENOUGH_YET: "two dots of three",
    State.NOT_DUE: "clock",
    State.NOT_TESTABLE: "circle struck through",
    State.NO_DATA: "three dots",
    State.UNDECIDED: "question mark",
}


def stamp_named(name: str) -> Stamp:
    """Return a stamp. Raises ValueError naming the stamps there are."""
    try:
        return STAMPS[name]
    except KeyError:
        raise ValueError(f"stamp {name!r}: allowed are {', '.join(STAMPS)}") from None


def eligibility_stamp(state: State) -> Stamp:
    """Return how an operator's standing for a part is stamped.

    >>> eligibility_stamp(State.NO_DATA).word
    'undecided'
    """
    return STAMPS[_ELIGIBILITY.get(state, "undecided")]


def strength_stamp(state: State) -> Stamp:
    """Return how a set of cores, a panel or a reading against its limit is stamped.

    >>> strength_stamp(State.NOT_DUE).word
    'not due'
    """
    return STAMPS[_STRENGTH[state]]


def gate_icon(state: State) -> str:
    """Return the icon that stands before one reason of a verdict."""
    return _GATE_ICONS[state]


def frame_shapes(frame: Frame, *, width: float, height: float) -> tuple[Shape, ...]:
    """Return the lines round a stamp whose outer edge is `width` x `height`."""
    w, h = width, height
    around = Rect(1, 1, w - 2, h - 2)
    if frame is Frame.FILLED:
        return (Rect(0, 0, w, h, ink=None, fill=Ink.OXIDE),)
    if frame is Frame.DOUBLE:
        return around, Rect(5, 5, w - 10, h - 10)
    if frame is Frame.DASHES:
        return (Rect(1, 1, w - 2, h - 2, dash=Dash.DASHES),)
    if frame is Frame.DOTS:
        return (Rect(1.5, 1.5, w - 3, h - 3, weight=3, dash=Dash.DOTS),)
    if frame is Frame.BARS:
        bars = tuple(Rect(x, 0, 7, h, ink=None, fill=Ink.OXIDE) for x in (0.0, w - 7))
        return Rect(0.5, 0.5, w - 1, h - 1, ink=Ink.OXIDE, weight=1), *bars
    if frame is Frame.CORNERS:
        return _corners(w, h)
    if frame is Frame.SHEET:
        under = ((w, 5), (w + 4.5, 5), (w + 4.5, h + 4.5), (5, h + 4.5), (5, h))
        top = Rect(0.5, 0.5, w - 1, h - 1, weight=1)
        return top, Polyline(tuple((x - 0.5, y - 0.5) for x, y in under), weight=1)
    return (around,)


def _corners(w: float, h: float) -> tuple[Shape, ...]:
    reach = 11.0
    ends = (
        (1.0, 1.0, 1, 1),
        (w - 1, 1.0, -1, 1),
        (1.0, h - 1, 1, -1),
        (w - 1, h - 1, -1, -1),
    )
    return tuple(
        Polyline(((x, y + dy * reach), (x, y), (x + dx * reach, y)))
        for x, y, dx, dy in ends
    )  # fmt: skip


def stamp_shapes(
    stamp: Stamp, *, word_width: float, words: str = "", size: float = 15
) -> tuple[tuple[Shape, ...], float, float]:
    """Return a stamp's shapes with its width and height, for the packet.

    `word_width` is the width of the words in capitals at `size` as the writer will
    set them; only it knows its faces.
    """
    k = size / 15
    icon, gap, pad, height = BOX * k, 6 * k, 10 * k, 32 * k
    width = pad + icon + gap + word_width + pad
    frame = frame_shapes(stamp.frame, width=width / k, height=32)
    shown = Text(
        pad + icon + gap,
        height / 2 + size * 0.36,
        (words or stamp.word).upper(),
        size=size,
        anchor=Anchor.START,
        label=True,
        bold=True,
        ink=stamp.word_ink,
    )
    mark = placed(icon_shapes(stamp.icon), pad, (height - icon) / 2, k, stamp.word_ink)
    return (*placed(frame, 0, 0, k), *mark, shown), width, height
