"""Turn the catalogue's plain data into an edition, refusing anything half right.

The files are reviewed text, so a slip in them must stop the program when it starts
and say where it is, never become a default.

Source: the project's own layout of the edition files (project's choice).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from typing import TypeVar

from inspections.domain.catalogue import (
    HEARTS,
    AnsweredBy,
    AnswerState,
    Edition,
    Item,
    Need,
    Phase,
    RoundKind,
    Severity,
    Words,
)
from project.domain.canonical import sha256_of
from project.domain.shooting_words import Position, Process
from project.domain.units import UNITS

E = TypeVar("E", bound=StrEnum)

_LANGUAGES = ("en", "es")
_ANY = "any"
_TOOLS = (
    *("eye", "hand", "tape", "probe", "hammer", "gauge"),
    *("thermometer", "clock", "paper", "test"),
)
_HEAD = {
    *("key", "version", "languages", "answers", "severities"),
    *("kinds", "phases", "needs"),
}
_TEXTS = ("title", "prompt", "look", "good", "bad", "why")
_CHIPS = ("causes", "fixes")
_BLOCKS: dict[str, set[str]] = {
    "asked": {"kind", "process", "position", "needs"},
    "answer": {"by", "unit", "limited", "tool", "groupable", "photograph"},
    "weight": {"severity", "again", "heart", "safety"},
}
_ITEM = {"key", *_BLOCKS, *_TEXTS, *_CHIPS} | {f"{n}_es" for n in (*_TEXTS, *_CHIPS)}
_KEY = re.compile(r"[a-z]+(-[a-z]+)+")


class CatalogueError(ValueError):
    """The edition files are not as they must be; the message says where and why."""


def parse_edition(head: object, *, pages: Sequence[object]) -> Edition:
    """Return an edition from its head and its pages of items, as plain data.

    Raises CatalogueError for anything missing, unknown, doubled or contradictory.
    Source: project's choice of form.

    >>> parse_edition({"key": "own"}, pages=[])
    Traceback (most recent call last):
    inspections.domain.catalogue_reading.CatalogueError: edition: answers, kinds,
        languages, needs, phases, severities, version missing
    """
    top = _mapping("edition", head, keys=_HEAD)
    languages = _strings("edition: languages", top["languages"])
    if languages != _LANGUAGES:
        raise CatalogueError(f"languages {languages}: allowed are {_LANGUAGES}")
    items = tuple(item for page in pages for item in _page(page))
    _whole(items)
    return Edition(
        key=_text("edition: key", top["key"]),
        version=_text("edition: version", top["version"]),
        languages=languages,
        answers=_glosses("answers", top["answers"], AnswerState),
        severities=_glosses("severities", top["severities"], Severity),
        kinds=_glosses("kinds", top["kinds"], RoundKind),
        phases=_glosses("phases", top["phases"], Phase),
        needs=_glosses("needs", top["needs"], Need),
        items=items,
    )


def digest(head: object, *, pages: Sequence[object]) -> str:
    """Return the SHA-256 of an edition's whole content as canonical JSON.

    The content is hashed, not the files, so that a comment or a line break may
    change and a word may not. Source: project's choice.

    >>> digest({"key": "a"}, pages=[])[:12]
    '329df807d0e6'
    """
    return sha256_of([head, *pages])


def _page(page: object) -> Iterable[Item]:
    where = _mapping("page", page, keys={"phase", "items"})
    phase = _one_of("page: phase", where["phase"], Phase)
    listed = where["items"]
    if not isinstance(listed, list) or not listed:
        raise CatalogueError(f"page {phase}: items must be a list with something in it")
    return [_item(entry, phase=phase) for entry in listed]


def _item(entry: object, *, phase: Phase) -> Item:
    raw = _mapping("item", entry, keys=_ITEM, optional={"records"})
    key = _text("item: key", raw["key"])
    if not _KEY.fullmatch(key) or not key.startswith(f"{phase}-"):
        raise CatalogueError(
            f"item key {key!r}: small letters, beginning with {phase}-"
        )
    asked, answer, weight = (
        _mapping(f"{key}: {name}", raw[name], keys=keys)
        for name, keys in _BLOCKS.items()
    )
    item = Item(
        key=key,
        phase=phase,
        kind=_one_of(f"{key}: kind", asked["kind"], RoundKind),
        process=_unless_any(f"{key}: process", asked["process"], Process),
        position=_unless_any(f"{key}: position", asked["position"], Position),
        needs=_one_of(f"{key}: needs", asked["needs"], Need),
        answered_by=_one_of(f"{key}: by", answer["by"], AnsweredBy),
        unit=_word(f"{key}: unit", answer["unit"], ("", *UNITS)),
        limited=_flag(f"{key}: limited", answer["limited"]),
        tool=_word(f"{key}: tool", answer["tool"], _TOOLS),
        groupable=_flag(f"{key}: groupable", answer["groupable"]),
        photograph=_flag(f"{key}: photograph", answer["photograph"]),
        severity=_one_of(f"{key}: severity", weight["severity"], Severity),
        severity_again=_one_of(f"{key}: again", weight["again"], Severity),
        heart=_flag(f"{key}: heart", weight["heart"]),
        safety=_flag(f"{key}: safety", weight["safety"]),
        records=_text(f"{key}: records", raw["records"]) if "records" in raw else "",
        title=_both(key, "title", raw),
        prompt=_both(key, "prompt", raw),
        look=_both(key, "look", raw),
        good=_both(key, "good", raw),
        bad=_both(key, "bad", raw),
        why=_both(key, "why", raw),
        causes=_chips(key, "causes", raw),
        fixes=_chips(key, "fixes", raw),
    )
    _sensible(item)
    return item


def _sensible(item: Item) -> None:
    """Refuse an item whose parts contradict each other."""
    by_itself = item.heart or item.safety or item.severity is Severity.STOP_WORK
    if item.groupable and (by_itself or item.answered_by is not AnsweredBy.CHOICE):
        raise CatalogueError(
            f"{item.key}: a heart, a reading, a safety or a stop-work item is answered "
            "by itself, so groupable must be false"
        )
    if item.answered_by is not AnsweredBy.CHOICE and not item.unit:
        raise CatalogueError(f"{item.key}: a reading needs a unit")
    if item.answered_by is AnsweredBy.COMPUTED and not item.records:
        raise CatalogueError(f"{item.key}: a computed line must name its records")
    if item.position is Position.UNCLASSIFIED:
        raise CatalogueError(f"{item.key}: position: say any, or a position")
    for name in ("prompt", "good", "bad"):
        words: Words = getattr(item, name)
        if re.search(r"\d", words.en + words.es):
            raise CatalogueError(
                f"{item.key}: {name} carries a number; limits never do"
            )


def _whole(items: Sequence[Item]) -> None:
    """Refuse a catalogue with doubled keys or other hearts than the four."""
    keys = [item.key for item in items]
    doubled = sorted({key for key in keys if keys.count(key) > 1})
    if doubled:
        raise CatalogueError(f"items given twice: {', '.join(doubled)}")
    hearts = {item.key for item in items if item.heart}
    if hearts != set(HEARTS):
        raise CatalogueError(
            f"hearts {', '.join(sorted(hearts))}: they must be {', '.join(HEARTS)}"
        )


def _mapping(
    where: str, value: object, *, keys: set[str], optional: set[str] | None = None
) -> Mapping[str, object]:
    if not isinstance(value, dict):
        raise CatalogueError(f"{where}: must be a set of names and values")
    found = {str(name) for name in value}
    missing, unknown = keys - found, found - keys - (optional or set())
    if missing:
        raise CatalogueError(f"{where}: {', '.join(sorted(missing))} missing")
    if unknown:
        raise CatalogueError(f"{where}: {', '.join(sorted(unknown))} not known here")
    return value


def _text(where: str, value: object) -> str:
    if not isinstance(value, str) or not value.strip() or value != value.strip():
        raise CatalogueError(f"{where}: {value!r} must be text, with no loose spaces")
    return value


def _strings(where: str, value: object) -> tuple[str, ...]:
    if not isinstance(value, list) or not value:
        raise CatalogueError(f"{where}: must be a list with something in it")
    return tuple(_text(where, entry) for entry in value)


def _flag(where: str, value: object) -> bool:
    if not isinstance(value, bool):
        raise CatalogueError(f"{where}: {value!r}: allowed are true, false")
    return value


def _word(where: str, value: object, allowed: Sequence[str]) -> str:
    if not isinstance(value, str) or value not in allowed:
        choices = ", ".join(word or '""' for word in allowed)
        raise CatalogueError(f"{where}: {value!r}: allowed are {choices}")
    return value


def _one_of(where: str, value: object, kind: type[E]) -> E:
    return kind(_word(where, value, [member.value for member in kind]))


def _unless_any(where: str, value: object, kind: type[E]) -> E | None:
    word = _word(where, value, [_ANY, *(member.value for member in kind)])
    return None if word == _ANY else kind(word)


def _both(key: str, name: str, raw: Mapping[str, object]) -> Words:
    return Words(
        en=_text(f"{key}: {name}", raw[name]),
        es=_text(f"{key}: {name}_es", raw[f"{name}_es"]),
    )


def _chips(key: str, name: str, raw: Mapping[str, object]) -> tuple[Words, ...]:
    english = _strings(f"{key}: {name}", raw[name])
    spanish = _strings(f"{key}: {name}_es", raw[f"{name}_es"])
    if len(english) != len(spanish):
        raise CatalogueError(
            f"{key}: {name} has {len(english)} in English, {len(spanish)} in Spanish"
        )
    return tuple(Words(en, es) for en, es in zip(english, spanish, strict=True))


def _glosses(name: str, value: object, kind: type[E]) -> dict[E, Words]:
    members = {member.value for member in kind}
    entries = _mapping(name, value, keys=members)
    return {
        member: _gloss(f"{name}: {member.value}", entries[member.value])
        for member in kind
    }


def _gloss(where: str, value: object) -> Words:
    pair = _mapping(where, value, keys=set(_LANGUAGES))
    return Words(en=_text(where, pair["en"]), es=_text(where, pair["es"]))
