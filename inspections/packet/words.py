"""How a snapshot's dates, instants and numbers are printed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import lru_cache

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from inspections.packet.shape import Moment
from project.charts.text import NO_BREAK, when_text


def day(iso: str, form: str = "date") -> str:
    """Return a date in words; see `when_text` for the forms."""
    return _day(iso, form, get_language() or "")


@lru_cache(maxsize=5_000)
def _day(iso: str, form: str, language: str) -> str:
    return when_text(date.fromisoformat(iso), form=form).replace(" ", NO_BREAK)


def clock(at: Moment | None) -> str:
    """Return the wall clock of an instant: 13:24, or nothing."""
    return at["local"][11:16] if at else ""


def zone(at: Moment) -> str:
    """Return the abbreviation of an instant's zone: MDT."""
    return at["local"][17:]


def on(at: Moment) -> str:
    """Return the date of an instant in the job's zone: 2026-08-12."""
    return at["local"][:10]


def when(at: Moment | None, form: str = "date") -> str:
    """Return an instant with its date: 12 Aug 2026, 13:24, or nothing."""
    return f"{day(on(at), form)}, {clock(at)}" if at else ""


def span(start: Moment, stop: Moment | None) -> str:
    """Return two clock times; a stop on another date carries it."""
    if stop is None:
        return f"{clock(start)} –"
    same = on(start) == on(stop)
    end = clock(stop) if same else f"{clock(stop)} {day(on(stop), 'short')}"
    return f"{clock(start)} – {end}".replace(" ", NO_BREAK)


def unit_of(texts: Iterable[str]) -> str:
    """Return the unit of the first text that has one.

    >>> unit_of(["", "12.9\\N{NO-BREAK SPACE}yd³"])
    'yd³'
    """
    for text in texts:
        number, gap, unit = text.rpartition(NO_BREAK)
        if gap and number[-1:].isdigit():
            return unit
    return ""


def units(rows: Iterable[Mapping[str, object]], *names: str) -> dict[str, str]:
    """Return the unit of each named column of some rows."""
    listed = list(rows)
    return {name: unit_of(str(row[name]) for row in listed) for name in names}


def bare(text: str, unit: str) -> str:
    """Return a text without the unit its column names; with another unit, whole.

    >>> bare("12.9\\N{NO-BREAK SPACE}yd³", "yd³")
    '12.9'
    """
    return text.removesuffix(NO_BREAK + unit) if unit else text


def headed(label: str, unit: str) -> str:
    """Return a column's head with its unit behind it."""
    return f"{label}, {unit}" if unit else label


def counted(one: str, many: str, count: int) -> str:
    """Return a count with its noun."""
    return f"{count} {one if count == 1 else many}"


def missing_letters(missing: Mapping[str, frozenset[str]]) -> list[str]:
    """Name the texts whose letters no face has."""
    words = _("%(text)s: no letter for %(codes)s, printed as the code")
    return [
        words
        % {"text": text, "codes": " ".join(f"U+{ord(c):04X}" for c in sorted(gone))}
        for text, gone in missing.items()
    ]
