"""One reading of a page: what is known at an instant is fetched once.

Facts are written once, so what was known at an instant does not change while a page is
drawn. Inside `one_reading` a query marked `read_once` answers a second question about
the same job and instant from the first answer. Outside it, and so in every action,
each question goes to the database.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from functools import wraps
from typing import Any, Protocol, TypeVar, cast
from uuid import UUID

from project.models import Job

T = TypeVar("T")
_Key = tuple[str, UUID, datetime]
_read: ContextVar[dict[_Key, list[Any]] | None] = ContextVar("reading", default=None)


class KnownRows(Protocol[T]):
    """A query for a job's rows as known at an instant."""

    def __call__(self, job: Job, *, known_at: datetime) -> list[T]: ...


@contextmanager
def one_reading() -> Iterator[None]:
    """Fetch once, until the end of the block, what `read_once` marks."""
    kept = _read.get()
    token = _read.set({} if kept is None else kept)
    try:
        yield
    finally:
        _read.reset(token)


def read_once(query: Callable[..., list[T]]) -> KnownRows[T]:
    """Mark a query of a job's rows as one that a reading asks but once."""

    @wraps(query)
    def asked(job: Job, *, known_at: datetime) -> list[T]:
        kept = _read.get()
        if kept is None:
            return query(job, known_at=known_at)
        key = (query.__name__, job.pk, known_at)
        if key not in kept:
            kept[key] = query(job, known_at=known_at)
        return list(kept[key])

    return cast(KnownRows[T], asked)
