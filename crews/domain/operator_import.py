"""One row of a file of operators and cards: its cells as typed, or all its faults.

As strict as the forms: a year has four digits, a word is one of the trade's, a card
says only what its scheme knows. Where a row stands beside the record is
`import_outcomes`.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TypeVar

from crews.domain.certification import CardFace, contradictions
from crews.domain.schemes import SCHEMES
from crews.domain.trade_words import Level, Method
from project.domain.calculation_reading import FIRST_YEAR, LAST_YEAR
from project.domain.shooting_words import Position, Process

W = TypeVar("W", bound=StrEnum)


class Column(StrEnum):
    """The heads of a file, in the order in which a new one has them."""

    BADGE = "badge number"
    NAME = "legal name"
    SCHEME = "scheme"
    NUMBER = "card number"
    METHOD = "method"
    LEVEL = "level"
    CLASSES = "process and position"
    ISSUED = "issued"
    EXPIRES = "last valid day"


# A row without any of these is an operator alone.
CARD_COLUMNS = tuple(list(Column)[2:])
DATE_COLUMNS = frozenset({Column.ISSUED, Column.EXPIRES})
# As many characters as the record has room for.
_LONGEST = {Column.BADGE: 40, Column.NAME: 120, Column.NUMBER: 60}
LONGEST_CELL = 400

_POSITIONS = tuple(p for p in Position if p is not Position.UNCLASSIFIED)
_ALLOWED: Mapping[Column, str] = {
    Column.SCHEME: ", ".join(SCHEMES),
    Column.METHOD: ", ".join(Method),
    Column.LEVEL: ", ".join(Level),
    Column.CLASSES: (
        f"pairs such as wet vertical, with commas between; a process is one of"
        f" {', '.join(Process)}, a position one of {', '.join(_POSITIONS)}"
    ),
}
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_A_DATE = "year-month-day with a four-digit year, such as 2026-08-19"

# What `contradictions` names first, and the column it belongs to.
_CONTRADICTED = {
    "method": Column.METHOD,
    "classes": Column.CLASSES,
    "process": Column.CLASSES,
    "position": Column.CLASSES,
    "level": Column.LEVEL,
    "expiry": Column.EXPIRES,
}


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a row: the column, and in words the value and what is allowed."""

    column: str
    words: str

    def __str__(self) -> str:
        return f"{self.column}: {self.words}"


@dataclass(frozen=True, slots=True)
class Cells:
    """A row as it was read: its number in the file, its cells as text, what was not read."""

    number: int
    cells: Mapping[str, str]
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class TypedRow:
    """A row that says one thing: who by badge and name, and what one card prints."""

    number: int
    badge: str
    name: str
    card: CardFace | None = None


def plain_text(cell: str) -> str:
    """Return a cell's text in one form: composed, its blanks single.

    Raises ValueError for a mark that nobody sees and two badges would differ by.
    Source: Unicode Standard Annex 15, form C; the rest is this project's choice.

    >>> plain_text("  B\u00a0001 ")
    'B 001'
    >>> plain_text("B-0\u200b01")
    Traceback (most recent call last):
    ValueError: holds a mark that does not print (U+200B)
    """
    text = " ".join(unicodedata.normalize("NFC", cell).split())
    hidden = next((mark for mark in text if not mark.isprintable()), "")
    if hidden:
        raise ValueError(f"holds a mark that does not print (U+{ord(hidden):04X})")
    return text


def read_row(row: Cells, *, today: date) -> TypedRow | tuple[Fault, ...]:
    """Return a row as it is meant, or every fault it has. Raises nothing.

    `today` is the date on the job's calendar: a card is issued by then. Source: the
    schemes' own rules for what a card may say; project's choice for the rest.

    >>> cells = dict(zip(Column, ("B-7", "Ana Ruiz", "CP-60", "W-1", "hand", "full",
    ...     "wet vertical, wet overhead", "2024-05-01", "29-05-01"), strict=True))
    >>> for fault in read_row(Cells(2, cells), today=date(2026, 9, 14)):
    ...     print(fault)
    last valid day: 29-05-01 is not a date; allowed is year-month-day with a
    four-digit year, such as 2026-08-19
    >>> row = read_row(Cells(2, cells | {"last valid day": "2029-05-01"}),
    ...     today=date(2026, 9, 14))
    >>> row.badge, row.card.expires_on
    ('B-7', datetime.date(2029, 5, 1))
    """
    reading = _Reading(row, today)
    badge = reading.needed(Column.BADGE)
    name = reading.needed(Column.NAME)
    card = reading.card()
    if reading.faults:
        return tuple(reading.faults)
    return TypedRow(row.number, badge, name, card)


class _Reading:
    """One row being read: what it gave so far, and its faults in their order."""

    def __init__(self, row: Cells, today: date) -> None:
        self.today = today
        self.faults = list(row.faults)
        self.unread = {fault.column for fault in row.faults}
        self.texts: dict[str, str] = {}
        for column in Column:
            self.texts[column] = self._text(column, row.cells.get(column, ""))

    def fault(self, column: str, words: str) -> None:
        self.faults.append(Fault(column, words))
        self.unread.add(column)

    def _text(self, column: Column, cell: str) -> str:
        try:
            text = plain_text(cell)
        except ValueError as fault:
            self.fault(column, f"{cell[:40]!r} {fault}; allowed is text that prints")
            return ""
        most = _LONGEST.get(column, LONGEST_CELL)
        if len(text) > most:
            words = f"{text[:40]}… has {len(text)} characters; allowed are {most}"
            self.fault(column, words)
            return ""
        return text

    def needed(self, column: Column) -> str:
        text = self.texts[column]
        if not text and column not in self.unread:
            allowed = _ALLOWED.get(column, "")
            told = f"; allowed is {allowed}" if allowed else "; it is needed"
            self.fault(column, f"is empty{told}")
        return text

    def card(self) -> CardFace | None:
        """Return the card, nothing where the row has none or one with a fault."""
        given = [c for c in CARD_COLUMNS if self.texts[c] or c in self.unread]
        if not given:
            return None
        scheme = self._scheme()
        number = self.needed(Column.NUMBER)
        method = self._word(Column.METHOD, Method)
        level = self._word(Column.LEVEL, Level)
        classes = self._classes()
        issued, expires = self._date(Column.ISSUED), self._date(Column.EXPIRES)
        if issued is not None and issued > self.today:
            allowed = f"today, {self.today}, or earlier"
            self.fault(Column.ISSUED, f"{issued} lies ahead; allowed is {allowed}")
        if not (scheme and number and method and level and classes):
            return None
        if issued is None or expires is None:
            return None
        face = CardFace(
            scheme=scheme,
            number=number,
            method=method,
            level=level,
            classes=classes,
            issued_on=issued,
            expires_on=expires,
        )
        for line in contradictions(face):
            self.fault(_CONTRADICTED[line.split(maxsplit=1)[0].rstrip(":")], line)
        return face

    def _scheme(self) -> str:
        text = self.needed(Column.SCHEME)
        found = {key.casefold(): key for key in SCHEMES}.get(text.casefold(), "")
        if text and not found:
            allowed = _ALLOWED[Column.SCHEME]
            self.fault(Column.SCHEME, f"{text} is not known; allowed are {allowed}")
        return found

    def _word(self, column: Column, words: type[W]) -> W | None:
        text = self.needed(column)
        try:
            return words(text.casefold())
        except ValueError:
            if text:
                allowed = _ALLOWED[column]
                self.fault(column, f"{text} is not known; allowed are {allowed}")
            return None

    def _classes(self) -> frozenset[tuple[Process, Position]]:
        text = self.needed(Column.CLASSES)
        pairs = [pair for part in re.split(r"[,;+]", text) if (pair := part.split())]
        found = list(_classes(pairs))
        if not text or len(found) == len(pairs) > 0:
            return frozenset(found)
        wrong = [" ".join(p) for p in pairs if not list(_classes([p]))] or [text]
        allowed = _ALLOWED[Column.CLASSES]
        words = f"{', '.join(wrong)} is not known; allowed are {allowed}"
        self.fault(Column.CLASSES, words)
        return frozenset()

    def _date(self, column: Column) -> date | None:
        text = self.needed(column)
        if not text:
            return None
        try:
            found = date.fromisoformat(text) if _DAY.fullmatch(text) else date.min
        except ValueError:
            found = date.min
        if not FIRST_YEAR <= found.year <= LAST_YEAR:
            self.fault(column, f"{text} is not a date; allowed is {_A_DATE}")
            return None
        return found


def _classes(pairs: Sequence[Sequence[str]]) -> Iterator[tuple[Process, Position]]:
    """Yield the pairs of a process and a position that somebody has classified."""
    processes, positions = (
        {p.value: p for p in Process},
        {p.value: p for p in _POSITIONS},
    )
    for pair in pairs:
        words = [word.casefold() for word in pair]
        if len(words) == 2 and words[0] in processes and words[1] in positions:
            yield processes[words[0]], positions[words[1]]
