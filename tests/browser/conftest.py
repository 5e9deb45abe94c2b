"""A real server on the demo job, a real browser in front of it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

from project import clock
from tests.browser.visit import Visits
from tests.support.demo import SCENARIO
from tests.support.site import served

_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
]


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """Start Debian's Chromium once."""
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        # The browser's own loop runs in this thread for as long as it is open, and
        # Django would take every query of a test for one made inside that loop.
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=_FLAGS
        )
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def site(chromium, demo_template, django_db_blocker) -> Iterator[str]:
    """Serve a copy of the demo; the clock of every thread runs on from its instant."""
    clock.run_on_from(SCENARIO.as_of)
    try:
        with (
            django_db_blocker.unblock(),
            demo_template.used(),
            served() as address,
        ):
            yield address
    finally:
        clock.run_with_the_machine()


@pytest.fixture(scope="module")
def visits(chromium, site) -> Iterator[Visits]:
    """Let people in, each on a browser of their own."""
    let_in = Visits(chromium, site)
    yield let_in
    let_in.close()


@pytest.fixture(autouse=True)
def _nothing_complained(visits) -> Iterator[None]:
    """No page may write an error to the console, whatever the test looks at."""
    yield
    assert visits.take_complaints() == []
