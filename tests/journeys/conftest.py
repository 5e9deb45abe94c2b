"""The demo job, built once through the ordinary actions and read by every journey."""

from __future__ import annotations

import json
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from inspections.management.demo.build import build
from inspections.management.demo.scenario import Scenario
from project.models import Job
from project.queries.jobs import job_by_code

WANTED: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "tables" / "expected.json").read_text("utf-8"),
    parse_float=Decimal,
)
SCENARIO = Scenario()


@pytest.fixture(scope="session")
def demo_template(copies, django_db_blocker, tmp_path_factory) -> str:
    """Build the demo once, on whichever engine runs, and keep it as a template."""
    with pytest.MonkeyPatch.context() as patch, django_db_blocker.unblock():
        from django.conf import settings

        folder = tmp_path_factory.mktemp("demo-data")
        patch.setattr(settings, "NOZZLEBOOK_DATA", folder)
        patch.setattr(settings, "MEDIA_ROOT", folder / "files")
        with copies.use("empty"):
            assert build() is not None
            copies.save("demo")
    return "demo"


@pytest.fixture(scope="module")
def demo(demo_template, copies, django_db_blocker):
    """The demo job, on a copy of its own; journeys only read it."""
    with django_db_blocker.unblock(), copies.use(demo_template):
        job = job_by_code(SCENARIO.code)
        assert job is not None
        yield job
        connection.close()


def at(text: str) -> datetime:
    """Return an instant that the expected answers give in local time."""
    return SCENARIO.at(text)


def as_known(job: Job) -> datetime:
    """Return the as-of instant: nothing that came later counts."""
    return SCENARIO.as_of
