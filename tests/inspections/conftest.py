"""The wall of every test here, and the clock at the end of its day.

A module builds it once, in a transaction of its own; each test works inside that and leaves nothing behind. Building it anew for each test took five times as
long as the tests.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import deepcopy
from pathlib import Path

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from project import clock
from project.audit import verify_stream
from project.models import AuditEvent
from tests.inspections.desk import MONDAY, Desk
from tests.inspections.hands import load, remark, sign
from tests.inspections.wall import Wall, at, build_wall


@pytest.fixture(scope="module")
def built(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Wall]:
    """One wall for all the tests of a module."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield build_wall()
        transaction.set_rollback(True)


@pytest.fixture
def wall(built: Wall, db: None) -> Iterator[Wall]:
    """A day's ground with an open sheet, looked at from 15:00 of the day."""
    with clock.set_to(at("15:00")):
        yield deepcopy(built)


@pytest.fixture
def sound(wall: Wall) -> Iterator[None]:
    """Walk the whole trail after the test: asked for once for each kind of act."""
    yield
    assert verify_stream(wall.job.stream) is None


@pytest.fixture
def lines(wall: Wall) -> Callable[[], int]:
    """How many lines the job's trail has, to be called before and after."""
    return lambda: AuditEvent.objects.filter(stream=wall.job.stream).count()


@pytest.fixture
def files(settings, tmp_path) -> Path:
    """A folder for uploads, gone after the test."""
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def desk(wall: Wall, files: Path) -> Iterator[Desk]:
    """The day's sheet is signed; the desk is looked at on Monday morning."""
    truck = load(wall)
    remark(wall)
    sign(wall)
    with clock.set_to(at(MONDAY)):
        yield Desk(wall, truck)
