"""One person in front of a page, and what can be asked of any page."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import Browser, BrowserContext, Page

from inspections.management.demo.world import PASSWORD
from project.models import User
from tests.support.addresses import signed_in

DESK = {"width": 1280, "height": 800}
TABLET = {"width": 800, "height": 1280}
JOB = "/jobs/OV-2617"
# A page that asks for another look answers 422, which the browser notes as an error.
_ASKED_AGAIN = "the server responded with a status of 422"
_AXE = Axe().axe_script
_RUN_AXE = """contrast => axe.run({
  resultTypes: ['violations'],
  rules: {'color-contrast': {enabled: contrast}},
}).then(found => found.violations)"""
# What can be touched, as large as it can be touched: a box with the words beside it.
_CONTROLS = """() => {
  const wanted = 'a[href], button, select, textarea, summary, input:not([type=hidden])';
  const size = box => [box.width, box.height];
  const found = [];
  for (const one of document.querySelectorAll(wanted)) {
    const boxes = [one, ...(/^(radio|checkbox)$/.test(one.type) ? one.labels : [])]
      .filter(part => part.checkVisibility({visibilityProperty: true}))
      .map(part => part.getBoundingClientRect())
      .filter(box => box.right > 0 && box.bottom > 0 && box.width > 1 && box.height > 1);
    if (!boxes.length) continue;
    const largest = boxes.reduce((a, b) => a.width * a.height < b.width * b.height ? b : a);
    const words = one.getAttribute('aria-label') || one.innerText || one.name;
    found.push([...size(largest), one.className, one.outerHTML.slice(0, 120), words]);
  }
  return found;
}"""


@dataclass
class Visit:
    """One person's page."""

    page: Page
    site: str

    def open(self, path: str) -> Page:
        """Go to a page of this site, which must be there."""
        answer = self.page.goto(self.site + path)
        assert answer is not None
        assert answer.status == 200, f"{path}: {answer.status}"
        return self.page

    @property
    def words(self) -> str:
        """What the page says, but for its frame."""
        return self.page.locator("main").inner_text()

    def barriers(self, *, contrast: bool = True) -> list[str]:
        """Return what axe finds on the page as it stands."""
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(_AXE)
        return [
            f"{one['id']}: {node['html'][:160]}"
            for one in self.page.evaluate(_RUN_AXE, contrast)
            for node in one["nodes"]
        ]

    def overflow(self) -> list[str]:
        """Return what stands further right than the page is wide."""
        wide, shown = self.page.evaluate(
            "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
        )
        return [] if wide <= shown else [f"{self.page.url}: {wide} px in {shown}"]

    def too_small(self, least: int) -> list[str]:
        """Return the controls that are lower than so many pixels, or narrower."""
        return [
            f"{width:.0f} x {height:.0f}: {html}"
            for width, height, _, html, _ in self.page.evaluate(_CONTROLS)
            if min(round(width), round(height)) < least
        ]

    def look(self, *, contrast: bool = True) -> None:
        """The page is free of barriers and fits in the window."""
        found = [*self.barriers(contrast=contrast), *self.overflow()]
        assert not found, "\n".join([self.page.url, *found])

    def send(self, name: str) -> None:
        """Press the button of that name and wait for the page it leads to."""
        self.page.get_by_role("button", name=name, exact=True).click()
        self.page.wait_for_load_state()

    def follow(self, name: str) -> None:
        """Follow the link of that name."""
        self.page.get_by_role("link", name=name, exact=True).first.click()
        self.page.wait_for_load_state()

    def tick(self, words: str) -> None:
        """Touch the row of a box or a choice that says so."""
        self.page.locator("label", has_text=words).first.click()

    def pick(self, name: str, words: str) -> None:
        """Choose the option that says so in a list."""
        option = self.page.locator(f"[name={name}] option", has_text=words).first
        self.page.select_option(f"[name={name}]", value=option.get_attribute("value"))


@dataclass
class Visits:
    """Everybody who came to a served site, and what their pages complained of."""

    browser: Browser
    site: str
    contexts: list[BrowserContext] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def arrive(self, *, tablet: bool = False, **options: Any) -> Visit:
        """Give somebody a browser in which nobody has signed in."""
        size = TABLET if tablet else DESK
        context = self.browser.new_context(viewport=size, has_touch=tablet, **options)
        context.set_default_timeout(10_000)
        self.contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: self._hear(said.type, said.text, page.url))
        page.on("pageerror", lambda error: self._hear("error", str(error), page.url))
        return Visit(page, self.site)

    def sign_in(self, who: str, *, tablet: bool = False) -> Visit:
        """Let somebody of the demo in by name and password, as they would."""
        visit = self.arrive(tablet=tablet)
        page = visit.open("/sign-in/")
        page.fill("[name=username]", f"{who}@tarnhollow.example")
        page.fill("[name=password]", PASSWORD)
        visit.send("Sign in")
        page.wait_for_url(f"{self.site}/jobs/**")
        return visit

    def let_in(self, user: User, **options: Any) -> Visit:
        """Let somebody in without asking, where signing in is not the matter."""
        visit = self.arrive(**options)
        name = settings.SESSION_COOKIE_NAME
        session = signed_in(user).cookies[name].value
        visit.page.context.add_cookies(
            [{"name": name, "value": session, "url": self.site}]
        )
        return visit

    def _hear(self, kind: str, words: str, where: str) -> None:
        if kind in ("error", "warning") and _ASKED_AGAIN not in words:
            self.complaints.append(f"{where}: {words}")

    def take_complaints(self) -> list[str]:
        """Return what was complained of since the last time."""
        taken, self.complaints = self.complaints, []
        return taken

    def close(self) -> None:
        for context in self.contexts:
            context.close()
