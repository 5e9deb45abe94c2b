"""Facts with every version of them: what was in force, asked at any instant."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any, Generic, TypeVar
from uuid import UUID

R = TypeVar("R", bound=Any)


class Chains(Generic[R]):
    """Every version of some facts; which of each chain was in force at an instant.

    A version is superseded once, by one that was recorded later: the last one
    recorded by an instant is in force then, unless it took the fact back.
    """

    def __init__(self, rows: Iterable[R]) -> None:
        self.by_first: dict[UUID, list[R]] = defaultdict(list)
        for row in sorted(rows, key=lambda row: row.recorded_at):
            self.by_first[row.first].append(row)

    def versions(self, first: UUID) -> list[R]:
        """Return every version of one chain, the first one first."""
        return self.by_first.get(first, [])

    def known(self, first: UUID, *, at: datetime) -> R | None:
        """Return the version in force, or nothing."""
        seen = [row for row in self.versions(first) if row.recorded_at <= at]
        return None if not seen or seen[-1].withdrawn else seen[-1]

    def all_known(self, *, at: datetime) -> Iterator[R]:
        """Yield the version in force of each chain that has one."""
        for first in self.by_first:
            row = self.known(first, at=at)
            if row is not None:
                yield row

    def __iter__(self) -> Iterator[R]:
        return (row for rows in self.by_first.values() for row in rows)
