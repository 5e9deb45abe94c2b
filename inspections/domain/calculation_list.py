"""In which order calculations are listed: those asked most first, then by subject."""

from __future__ import annotations

from collections.abc import Iterable

from project.domain.calculation import Calculation

ASKED_MOST = "Asked most often"
# What people ask at the wall and at the desk, day by day.
FIRST = (
    "core-strength",
    "core-set",
    "evaporation",
    "order-volume",
    "panels-owed",
    "bar-gap",
)


def by_subject(
    calculations: Iterable[Calculation],
) -> list[tuple[str, list[Calculation]]]:
    """Return calculations under their headings, each of them once.

    Source: project's choice.

    >>> from project.domain.calculation import Answer
    >>> made = [Calculation(name, name, group, "", (), lambda g, t: Answer({}), (), {})
    ...         for name, group in (("loss", "Placing"), ("bar-gap", "Bars"))]
    >>> [(head, [one.name for one in under]) for head, under in by_subject(made)]
    [('Asked most often', ['bar-gap']), ('Placing', ['loss'])]
    """
    named = {each.name: each for each in calculations}
    first = [named.pop(name) for name in FIRST if name in named]
    groups: dict[str, list[Calculation]] = {ASKED_MOST: first}
    for calculation in named.values():
        groups.setdefault(calculation.group, []).append(calculation)
    return [(head, under) for head, under in groups.items() if under]
