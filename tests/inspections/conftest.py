"""The wall of every test here, and the clock at the end of its day."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from inspections.models import DailyReport
from project import clock
from project.audit import verify_stream
from project.models import AuditEvent
from tests.inspections.wall import Wall, at, build_wall


@pytest.fixture
def wall(db) -> Iterator[Wall]:
    """A day's ground with an open sheet, looked at from 15:00 of the day."""
    built = build_wall()
    with clock.set_to(at("15:00")):
        yield built
    assert verify_stream(built.job.stream) is None


@pytest.fixture
def lines(wall):
    """How many lines the job's trail has, to be called before and after."""
    return lambda: AuditEvent.objects.filter(stream=wall.job.stream).count()


@pytest.fixture
def refetch():
    return lambda row: DailyReport.objects.get(pk=row.pk)
