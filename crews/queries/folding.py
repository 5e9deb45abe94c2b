"""Operators by parts as it is drawn: equal rows folded, many operators in bands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby
from uuid import UUID

from crews.queries.matrix import Matrix, MatrixRow, Standing
from crews.queries.operator_files import Person
from project.domain.verdict import State

# Where an answer ends this soon the cell says when.
SOON = timedelta(days=30)
# More columns than this are parted into bands, a table for each.
WIDEST = 12


@dataclass(frozen=True, slots=True)
class Fold:
    """Neighbouring rows that ask the same and get the same answers."""

    codes: tuple[str, ...]
    rows: tuple[MatrixRow, ...]

    @property
    def first(self) -> MatrixRow:
        return self.rows[0]

    @property
    def parts(self) -> tuple[str, ...]:
        """Every part that is folded in."""
        return tuple(row.code for row in self.rows)

    @property
    def count(self) -> int:
        """How many operators are qualified on record without a condition."""
        return len(self.first.qualified)


def folds(matrix: Matrix, *, every: bool = False) -> tuple[Fold, ...]:
    """Return the rows folded; with `every`, each part in a row of its own."""
    if every:
        return tuple(Fold((row.code,), (row,)) for row in matrix.rows)
    return folded(matrix.rows)


def folded(every: Sequence[MatrixRow]) -> tuple[Fold, ...]:
    """Return rows with equal neighbours folded."""
    sizes = Counter(row.part.part.element_id for row in every)
    found = []
    for _, group in groupby(every, key=_asked_and_answered):
        rows = tuple(group)
        found.append(Fold(_codes(rows, sizes), rows))
    return tuple(found)


def _asked_and_answered(row: MatrixRow) -> object:
    mix = row.mix.pk if row.mix else None
    return row.part.position, mix, row.standings


def _codes(rows: Sequence[MatrixRow], sizes: Counter[UUID]) -> tuple[str, ...]:
    """Name whole elements by their own codes, and pieces of one by their parts'."""
    elements = Counter(row.part.part.element_id for row in rows)
    whole = all(sizes[element] == count for element, count in elements.items())
    if whole:
        return tuple(dict.fromkeys(row.part.part.element.code for row in rows))
    return tuple(row.code for row in rows)


def bands(people: Sequence[Person]) -> tuple[tuple[Person, ...], ...]:
    """Part the operators into tables: all in one, or by firm and a dozen at most."""
    if len(people) <= WIDEST:
        return (tuple(people),)
    return tuple(_dozens(people))


def _dozens(people: Sequence[Person]) -> Iterator[tuple[Person, ...]]:
    by_firm = sorted(people, key=lambda p: (str(p.operator.organization_id), p.code))
    for _, group in groupby(by_firm, key=lambda p: p.operator.organization_id):
        firm = tuple(group)
        for start in range(0, len(firm), WIDEST):
            yield firm[start : start + WIDEST]


def ends_soon(standing: Standing, *, at: datetime) -> datetime | None:
    """Return when a clear answer ends, where that is soon."""
    until = standing.verdict.holds_until
    stands = standing.state in (State.PASS, State.CONDITION)
    return until if stands and until is not None and until - at <= SOON else None
