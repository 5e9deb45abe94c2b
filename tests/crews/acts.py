"""What every test of an action asks of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from project.audit import verify_stream
from project.models import AuditEvent


def lines(stream: str) -> list[AuditEvent]:
    return list(AuditEvent.objects.filter(stream=stream).order_by("seq"))


@contextmanager
def one_line(on: Any, verb: str) -> Iterator[None]:
    """Expect exactly one line more on a stream, and the whole stream to hold."""
    before = len(lines(on.stream))
    yield
    after = lines(on.stream)
    assert [line.verb for line in after[before:]] == [verb]
    assert verify_stream(on.stream) is None


@contextmanager
def nothing_written(*streams: Any) -> Iterator[None]:
    """Expect that no line was left anywhere."""
    before = AuditEvent.objects.count()
    yield
    assert AuditEvent.objects.count() == before
    for on in streams:
        assert verify_stream(on.stream) is None


def refused(act: Callable[..., object], /, **given: Any) -> dict[str, list[str]]:
    """Return what an action refuses, by field; it must leave nothing behind."""
    with nothing_written(), pytest.raises(ValidationError) as fault:
        act(**given)
    if not hasattr(fault.value, "error_dict"):
        return {NON_FIELD_ERRORS: fault.value.messages}
    return dict(fault.value.message_dict)
