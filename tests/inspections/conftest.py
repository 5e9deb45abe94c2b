"""The wall of every test here, made once, and the clock at the end of its day."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from crews.models import Panel
from project import clock
from project.audit import verify_stream
from project.models import AuditEvent
from tests.factories import with_mock_up
from tests.inspections.desk import MONDAY, Desk
from tests.inspections.hands import load, remark, sign
from tests.inspections.wall import Wall, at, build_wall
from tests.support.made_once import made_once


@made_once
def built() -> Wall:
    """One wall for all the tests."""
    return build_wall()


@pytest.fixture
def wall(built: Wall) -> Iterator[Wall]:
    """A day's ground with an open sheet, looked at from 15:00 of the day."""
    with clock.set_to(at("15:00")):
        yield built


@made_once
def accepted(built: Wall) -> Panel:
    """The first operator's mock-up of the wall."""
    return with_mock_up(built.site)


@pytest.fixture
def qualified(accepted: Panel, wall: Wall) -> Wall:
    """The wall, where the first operator is qualified."""
    return wall


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


@made_once
def signed_off(built: Wall) -> Desk:
    """The day's sheet is signed, in the afternoon of the day."""
    with clock.set_to(at("15:00")):
        truck = load(built)
        remark(built)
        sign(built)
    return Desk(built, truck)


@pytest.fixture
def desk(signed_off: Desk, wall: Wall, files: Path) -> Iterator[Desk]:
    """The signed sheet's desk, looked at on Monday morning."""
    with clock.set_to(at(MONDAY)):
        yield signed_off
