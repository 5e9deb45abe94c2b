"""A real server on the demo job, a real browser in front of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Page,
    Playwright,
    sync_playwright,
)

from inspections.management.demo.world import PASSWORD
from project import clock
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
DESK = {"width": 1280, "height": 800}
TABLET = {"width": 800, "height": 1280}


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(playwright: Playwright) -> Iterator[Browser]:
    """Debian's Chromium, started once."""
    browser = playwright.chromium.launch(
        executable_path="/usr/bin/chromium", args=_FLAGS
    )
    yield browser
    browser.close()


@pytest.fixture(scope="module")
def site(demo_template, copies, django_db_blocker) -> Iterator[str]:
    """Serve a copy of the demo; its clock runs on from the as-of instant."""
    clock.run_on_from(SCENARIO.as_of)
    try:
        with (
            django_db_blocker.unblock(),
            copies.use(demo_template),
            served() as address,
        ):
            yield address
    finally:
        clock.run_with_the_machine()


@dataclass
class Visit:
    """One person's browser; what the pages complained of is kept."""

    page: Page
    site: str
    complaints: list[str] = field(default_factory=list)

    def open(self, path: str) -> Page:
        answer = self.page.goto(self.site + path)
        assert answer is not None
        assert answer.status == 200, f"{path}: {answer.status}"
        return self.page

    def barriers(self) -> list[str]:
        """Return what axe finds on the page as it stands."""
        found = Axe().run(self.page).response["violations"]
        return [
            f"{one['id']}: {node['html'][:160]}"
            for one in found
            for node in one["nodes"]
        ]

    def look(self) -> None:
        """The page must be free of barriers, complaints and sideways overflow."""
        assert self.barriers() == []
        assert self.complaints == []
        wide, shown = self.page.evaluate(
            "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
        )
        assert wide <= shown, f"{self.page.url} is {wide} wide in {shown}"


@pytest.fixture
def visit(chromium: Browser, site: str) -> Iterator[Callable[..., Visit]]:
    """Return a function that signs a person in on a browser of their own."""
    contexts: list[BrowserContext] = []

    def signed_in(who: str, *, tablet: bool = False, theme: str = "") -> Visit:
        size = TABLET if tablet else DESK
        context = chromium.new_context(viewport=size, has_touch=tablet)
        contexts.append(context)
        page = context.new_page()
        found = Visit(page, site)
        page.on(
            "console",
            lambda said: (
                found.complaints.append(said.text)
                if said.type in ("error", "warning")
                else None
            ),
        )
        page.on("pageerror", lambda error: found.complaints.append(str(error)))
        page.goto(f"{site}/sign-in/")
        page.fill("[name=username]", f"{who}@tarnhollow.example")
        page.fill("[name=password]", PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url(f"{site}/jobs/**")
        return found

    yield signed_in
    for context in contexts:
        context.close()
