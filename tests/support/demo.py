"""The demo job, built once a run through the ordinary actions, on either engine."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.test import override_settings
from pytest_django import DjangoDbBlocker

from inspections.management.demo.build import build
from inspections.management.demo.scenario import Scenario
from project import clock
from project.models import Job
from project.queries.jobs import job_by_code
from tests.support.copies import Copies, SqliteCopies
from tests.support.engine import run_folder

SCENARIO = Scenario()
_TEMPLATE = "demo"


@dataclass(frozen=True)
class DemoTemplate:
    """The demo's rows, as a template, and its files in a folder of their own."""

    copies: Copies
    folder: Path

    @contextmanager
    def used(self, template: str = _TEMPLATE) -> Iterator[None]:
        """Work on a fresh copy of the rows; the files are the demo's for so long."""
        files = self.folder / "files"
        with (
            override_settings(NOZZLEBOOK_DATA=self.folder, MEDIA_ROOT=files),
            self.copies.use(template),
        ):
            yield

    def build(self) -> None:
        """Replay the whole job on an empty database, and keep what stands then."""
        with self.used("empty"):
            assert build() is not None
            self.copies.save(_TEMPLATE)

    def leave(self, run: Path) -> None:
        """Leave a copy to the later parts of one tests/run, whole or not at all."""
        if isinstance(self.copies, SqliteCopies):
            draft = run / "demo-draft"
            shutil.copytree(self.folder, draft / "data")
            self.copies.lend(_TEMPLATE, draft / "rows.sqlite3")
            draft.rename(run / "demo")

    def take(self, run: Path) -> bool:
        """Take the copy that an earlier part left; whether there was one."""
        left = run / "demo"
        if not (isinstance(self.copies, SqliteCopies) and left.exists()):
            return False
        shutil.copytree(left / "data", self.folder, dirs_exist_ok=True)
        self.copies.borrow(_TEMPLATE, left / "rows.sqlite3")
        return True


@pytest.fixture(scope="session")
def demo_template(
    copies: Copies,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
    pytestconfig: pytest.Config,
) -> DemoTemplate:
    """Build the demo once, or take what the database tests of this run have built."""
    template = DemoTemplate(copies, tmp_path_factory.mktemp("demo-data"))
    run = run_folder(pytestconfig)
    if run is None or not template.take(run):
        with django_db_blocker.unblock():
            template.build()
        if run is not None:
            template.leave(run)
    return template


@pytest.fixture(scope="module")
def demo(
    demo_template: DemoTemplate, django_db_blocker: DjangoDbBlocker
) -> Iterator[Job]:
    """Give the demo job on a copy of its own, the clock at its as-of instant."""
    with (
        django_db_blocker.unblock(),
        demo_template.used(),
        clock.set_to(SCENARIO.as_of),
    ):
        job = job_by_code(SCENARIO.code)
        assert job is not None
        yield job
