"""The one clock. The demo and the tests set it; nothing else does."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, datetime, timedelta

_fixed: ContextVar[datetime | None] = ContextVar("fixed instant", default=None)
_offset = timedelta()


def now() -> datetime:
    """Return the present instant in UTC."""
    fixed = _fixed.get()
    return fixed if fixed is not None else datetime.now(UTC) + _offset


@contextmanager
def set_to(instant: datetime) -> Iterator[None]:
    """Hold the clock at an instant while acts are replayed."""
    if instant.tzinfo is None:
        raise ValueError(f"clock: {instant} needs a zone")
    token = _fixed.set(instant.astimezone(UTC))
    try:
        yield
    finally:
        _fixed.reset(token)


def run_on_from(instant: datetime) -> None:
    """Let the whole process's clock run on from an instant: the served demo."""
    global _offset
    _offset = instant.astimezone(UTC) - datetime.now(UTC)


def run_with_the_machine() -> None:
    """Let the process's clock be the machine's again."""
    global _offset
    _offset = timedelta()


def is_moved() -> bool:
    """Say whether this process runs on another clock than the machine's."""
    return _offset != timedelta()
