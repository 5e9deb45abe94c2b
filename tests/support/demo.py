"""The demo job, built once a run through the ordinary actions, on either engine."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from pytest_django import DjangoDbBlocker

from inspections.management.demo.build import build
from inspections.management.demo.scenario import Scenario
from project import clock
from project.models import Job
from project.queries.jobs import job_by_code
from tests.support.copies import Copies

SCENARIO = Scenario()


@pytest.fixture(scope="session")
def demo_template(
    copies: Copies,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[str]:
    """Build the demo and keep it as a template; its files lie in a folder of their own."""
    folder: Path = tmp_path_factory.mktemp("demo-data")
    with pytest.MonkeyPatch.context() as patch, django_db_blocker.unblock():
        patch.setattr(settings, "NOZZLEBOOK_DATA", folder)
        patch.setattr(settings, "MEDIA_ROOT", folder / "files")
        with copies.use("empty"):
            assert build() is not None
            copies.save("demo")
        yield "demo"


@pytest.fixture(scope="module")
def demo(
    demo_template: str, copies: Copies, django_db_blocker: DjangoDbBlocker
) -> Iterator[Job]:
    """Give the demo job on a copy of its own, the clock at its as-of instant."""
    with (
        django_db_blocker.unblock(),
        copies.use(demo_template),
        clock.set_to(SCENARIO.as_of),
    ):
        job = job_by_code(SCENARIO.code)
        assert job is not None
        yield job
