"""The packet's faces: which font can set a text, and how wide it comes out.

A text goes whole to one font: the look's face where it has every letter, else DejaVu
Sans Condensed; a name is never set in two faces. What neither can draw is printed as its
code point, and said so in the packet's exceptions.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from project.charts.drawing import Ink
from project.charts.text import HYPHEN, NO_BREAK

_FOLDER = Path(__file__).resolve().parent / "fonts"
_TEXT = "AtkinsonHyperlegibleNext-Regular"
_BOLD = "AtkinsonHyperlegibleNext-Bold"
_LABEL = "ArchivoNarrow-SemiBold"
_FALLBACK = "DejaVuSansCondensed"
_FALLBACK_BOLD = "DejaVuSansCondensed-Bold"


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """One voice of the packet: its fonts in order of preference and its habits.

    There are three, each itself and no other: so it is cheap as a key of the caches.
    """

    fonts: tuple[str, ...]
    capitals: bool = False
    tracking: float = 0.0  # extra space after each letter, in ems


TEXT = Face((_TEXT, _FALLBACK))
BOLD = Face((_BOLD, _FALLBACK_BOLD))
# A label the narrow capitals lack goes to the bold text face before the fallback.
LABEL = Face((_LABEL, _BOLD, _FALLBACK_BOLD), capitals=True, tracking=0.05)

# Measured on the text face: the height of a capital, for centring a line in its row.
CAPITAL = 0.668


@dataclass(frozen=True, slots=True)
class Style:
    """How a text is set: its face, its size in points and its ink."""

    face: Face
    size: float
    ink: Ink = Ink.INK


@dataclass(frozen=True, slots=True)
class Run:
    """A text ready to be set: one font, and only glyphs that it has."""

    font: str
    text: str
    em: float  # its width at a size of one point, tracking included
    missing: frozenset[str]


class _Widths(dict[str, float]):
    """Widths of one font's letters in ems, filled as letters are met."""

    def __init__(self, font: Any) -> None:
        super().__init__()
        self._font = font

    def __missing__(self, letter: str) -> float:
        em = float(self._font.stringWidth(letter, 1000)) / 1000
        self[letter] = em
        return em


@cache
def _font(name: str) -> tuple[frozenset[int], _Widths]:
    """Register one font of the folder with reportlab and keep its coverage."""
    font = TTFont(name, str(_FOLDER / f"{name}.ttf"))
    pdfmetrics.registerFont(font)
    return frozenset(font.face.charToGlyph), _Widths(font)


def first_font() -> str:
    """Return the font every page starts with, registered."""
    _font(_TEXT)
    return _TEXT


def _clean(text: str) -> str:
    """Return a text on one line: control characters and line ends become spaces.

    A hyphen that may not break is set as a plain one: no line is ever broken at one.
    """
    text = text.replace(HYPHEN, "-")
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c == NO_BREAK else " " for c in text)


@lru_cache(maxsize=50_000)
def fit(text: str, face: Face) -> Run:
    """Return how a text is set in a face: its font, its glyphs and its width."""
    text = _clean(text)
    if face.capitals:
        text = text.upper()
    codes = frozenset(map(ord, text))
    name = next((n for n in face.fonts if codes <= _font(n)[0]), face.fonts[-1])
    has, widths = _font(name)
    missing = frozenset(chr(code) for code in codes - has)
    if missing:
        text = "".join(f"[U+{ord(c):04X}]" if c in missing else c for c in text)
    em = sum(map(widths.__getitem__, text)) + face.tracking * len(text)
    return Run(name, text, em, missing)


def width(text: str, face: Face, size: float) -> float:
    """Return the width of a text in points."""
    return fit(text, face).em * size


@lru_cache(maxsize=20_000)
def wrap(text: str, face: Face, size: float, room: float) -> tuple[str, ...]:
    """Return a text broken into lines of a room's width, in points.

    Lines break at spaces only: a code never breaks at its hyphen. A word wider than the
    room is cut where it must be. Line ends of the text are kept.
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        lines.extend(_lines(paragraph, face, size, room))
    return tuple(lines)


def _lines(paragraph: str, face: Face, size: float, room: float) -> Iterable[str]:
    if fit(paragraph, face).em * size <= room:
        return [paragraph]
    space = fit(" ", face).em * size
    lines: list[str] = []
    words: list[str] = []
    used = 0.0
    for word in paragraph.split(" "):
        for piece in _pieces(word, face, size, room):
            wide = fit(piece, face).em * size
            if words and used + space + wide > room:
                lines.append(" ".join(words))
                words, used = [], 0.0
            used += wide + (space if words else 0.0)
            words.append(piece)
    lines.append(" ".join(words))
    return lines


def _pieces(word: str, face: Face, size: float, room: float) -> Iterable[str]:
    """Cut a word that is wider than the room; most words come back whole."""
    if fit(word, face).em * size <= room:
        return [word]
    pieces = []
    while word:
        take = len(word)
        while take > 1 and fit(word[:take], face).em * size > room:
            take -= 1
        pieces.append(word[:take])
        word = word[take:]
    return pieces


def shorten(text: str, face: Face, size: float, room: float) -> str:
    """Return a text cut to one line of a room's width, with an ellipsis if cut."""
    if width(text, face, size) <= room:
        return text
    while text and width(text + "…", face, size) > room:
        text = text[:-1]
    return text.rstrip() + "…"
