"""What a move asks for: words, another person, the same value, a plain yes.

Unknown is none of them: what was not given meets no need.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from project.domain.verdict import Known, Source

PRACTICE = Source("common practice, no source", known=Known.PRACTICE)
CHOICE = Source("project's choice", known=Known.PROJECT)

Given = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Need:
    """Something a move asks for: its name, the requirement in words, the test of it."""

    key: str
    requirement: str
    met: Callable[[Given], bool]
    source: Source = CHOICE


def words(key: str, requirement: str, source: Source = CHOICE) -> Need:
    """Return a need for typed text that is not blank. Source: as given.

    >>> why = words("reason", "it says why")
    >>> why.met({"reason": "cold joint"}), why.met({"reason": " "}), why.met({})
    (True, False, False)
    """
    return Need(key, requirement, lambda given: bool(_text(given, key)), source)


def somebody_else(key: str, other: str, requirement: str) -> Need:
    """Return a need for two different, known people. Source: common practice, no source.

    >>> two = somebody_else("by", "author", "another person reviews")
    >>> two.met({"by": "A", "author": "B"}), two.met({"by": "A", "author": "A"})
    (True, False)
    >>> two.met({"by": "A"})  # unknown is not another person
    False
    """

    def met(given: Given) -> bool:
        one, two = _text(given, key), _text(given, other)
        return bool(one) and bool(two) and one != two

    return Need(key, requirement, met, PRACTICE)


def the_same(key: str, other: str, requirement: str) -> Need:
    """Return a need for two known values to be one and the same. Source: project's choice.

    >>> own = the_same("firm", "opened_by_firm", "the firm that wrote it down")
    >>> own.met({"firm": "A", "opened_by_firm": "A"}), own.met({})
    (True, False)
    """

    def met(given: Given) -> bool:
        return bool(_text(given, key)) and _text(given, key) == _text(given, other)

    return Need(key, requirement, met)


def none_left(key: str, requirement: str) -> Need:
    """Return a need for a count to be given and to be nought. Source: project's choice.

    >>> clear = none_left("flags", "every flag is cleared")
    >>> clear.met({"flags": 0}), clear.met({"flags": 1}), clear.met({})
    (True, False, False)
    """
    return Need(key, requirement, lambda given: given.get(key) == 0)


def stated(key: str, requirement: str, source: Source = CHOICE) -> Need:
    """Return a need for a plain yes. Source: as given.

    >>> may = stated("may_sign", "the terms let this member sign")
    >>> may.met({"may_sign": True}), may.met({"may_sign": None})  # not said is no yes
    (True, False)
    """
    return Need(key, requirement, lambda given: given.get(key) is True, source)


def _text(given: Given, key: str) -> str:
    value = given.get(key)
    return "" if value is None else str(value).strip()
