"""Take the README's pictures: build the demo, serve it, and visit it as each role.

    .venv/bin/python -m tests.pictures

Everything is done as a person would: the address, the sign-ins and the password are
read off the terminal, and what a picture needs is typed into the pages.
"""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

FOLDER = Path(__file__).parent
ROOT = FOLDER.parent.parent
AS_OF = "2026-09-14"
DESK = {"width": 1280, "height": 800}
TABLET = {"width": 800, "height": 1280}
MOST_BYTES = 60_000
COLOURS = (64, 48, 32, 24, 16)  # the most that stay within the bytes are kept
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu"]


@dataclass
class Site:
    """What the demo printed: where it is, and how each role signs in."""

    address: str = ""
    password: str = ""
    job: str = ""
    sign_ins: dict[str, str] = field(default_factory=dict)

    def read(self, line: str) -> None:
        """Take from one printed line what a person would."""
        if said := re.search(r", contract (\S+)$", line):
            self.job = said[1]
        elif said := re.fullmatch(r"  Open +(\S+)/", line):
            self.address = said[1]
        elif said := re.fullmatch(r"  Password +(\S+)", line):
            self.password = said[1]
        elif said := re.fullmatch(r"  (\S+@\S+) +([^,]+), .+", line):
            self.sign_ins.setdefault(said[2], said[1])


@dataclass(frozen=True)
class Picture:
    """One page as one role sees it, and what is typed there before it is taken."""

    name: str
    role: str
    path: str = "/"
    prepare: Callable[[Page], None] | None = None
    tablet: bool = False


def fill_a_set(page: Page) -> None:
    """Type a set of cores as a laboratory would; nothing is sent."""
    page.fill("[name=number]", "LR-031")
    page.fill("[name=authorised_by]", "Ilze Brandavska")
    cores = (("4.51", "35120"), ("4.48", "36900"), ("4.53", "34480"))
    for row, (tested, load) in enumerate(cores):
        figures = {
            "d1": "3.01",
            "d2": "3.02",
            "length_drilled": "6.1",
            "length_tested": tested,
            "breaking_load": load,
        }
        for name, figure in figures.items():
            page.locator(f"[name$='-{name}']").nth(row).fill(figure)


def walk_a_round(page: Page) -> None:
    """Open a shift, place a part, give the nozzle, open a sheet, begin a walk."""
    page.get_by_role("link", name="Days", exact=True).click()
    page.get_by_role("link", name="Open a shift").click()
    choose(page, "Contractor", "Brindlecrag")
    page.get_by_label("Starts").fill(f"{AS_OF}T06:45")
    page.get_by_role("button", name="Open shift").click()
    page.wait_for_url("**/shifts/*-*/")
    shift = page.url
    page.goto(f"{shift}placements/record/")
    choose(page, "Part", "R6-soffit")
    choose(page, "Crew", "A1")
    choose(page, "Rig", "RIG-A1")
    page.get_by_role("button", name="Record placement").click()
    page.get_by_role("link", name="Mateo Arrizubieta").click()
    page.get_by_role("button", name="OP-01 takes the nozzle").click()
    page.goto(shift)
    page.get_by_role("button", name="Open my sheet").click()
    page.wait_for_url("**/sheets/*/")
    page.goto(f"{page.url}walk/")
    if not page.get_by_label("While shooting").is_checked():
        page.locator("label", has_text="While shooting").click()
    choose(page, "On", "R6-soffit")
    page.get_by_role("button", name="Start the walk").click()
    page.wait_for_url("**/walk/?*")
    page.locator("label.answer", has_text="Right").first.click()
    page.locator("label.answer", has_text="Deficient").nth(1).click()
    found = {"Cause": "sandy seam", "Place": "C4"}
    for label, words in found.items():
        page.get_by_label(label, exact=True).filter(visible=True).first.fill(words)
    page.evaluate("scrollTo(0, 0)")


def choose(page: Page, label: str, words: str) -> None:
    """Choose what begins with, or holds, some words."""
    chosen = page.get_by_label(label, exact=label == "On").first
    option = chosen.locator("option", has_text=words).first
    chosen.select_option(option.get_attribute("value"))


# The inspector comes last: what is written on the walk would show on later pictures.
PICTURES = (
    Picture("agency-reviewer", "inspection-agency reviewer", "/sheets/8/"),
    Picture(
        "contractor-qc", "contractor QC", "/operators/?part=R6-soffit&operator=OP-02"
    ),
    Picture(
        "laboratory",
        "laboratory",
        "/laboratory/panels/TP-011/results/enter/",
        fill_a_set,
    ),
    Picture("engineer", "engineer", "/panels/TP-008/"),
    Picture("architect", "architect", "/panels/"),
    Picture("owner", "owner", "/packets/2/0/"),
    Picture("building-official", "building official", "/packets/"),
    Picture("job-administrator", "job administrator", "/book/terms/2/"),
    Picture("inspector", "inspector", "/", walk_a_round, tablet=True),
)


@contextmanager
def served() -> Iterator[Site]:
    """Run the README's own command in a folder of its own, until it says it serves."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "manage.py", "demo", "--as-of", AS_OF, "--port", port]
    with tempfile.TemporaryDirectory(prefix="nozzlebook-pictures-") as folder:
        env = {**os.environ, "NOZZLEBOOK_DATA": folder}
        env.pop("DATABASE_URL", None)
        demo = subprocess.Popen(
            [*map(str, command)], cwd=ROOT, env=env, stdout=subprocess.PIPE, text=True
        )
        try:
            yield _told(demo)
        finally:
            demo.terminate()
            demo.wait()


def _told(demo: subprocess.Popen[str]) -> Site:
    assert demo.stdout is not None
    site = Site()
    for line in demo.stdout:
        site.read(line.rstrip("\n"))
        if "Ctrl-C" in line:
            return site
    sys.exit("The demo ended before it served; what it said stands above.")


def take(browser: Browser, site: Site, picture: Picture) -> bytes:
    """Sign in as a role on a browser of its own, and take its page."""
    size = TABLET if picture.tablet else DESK
    context = browser.new_context(viewport=size, has_touch=picture.tablet)
    context.set_default_timeout(15_000)
    page = context.new_page()
    page.goto(f"{site.address}/sign-in/")
    page.fill("[name=username]", site.sign_ins[picture.role])
    page.fill("[name=password]", site.password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/jobs/**")
    answer = page.goto(f"{site.address}/jobs/{site.job}{picture.path}")
    assert answer is not None
    assert answer.ok, f"{picture.name}: {picture.path} answers {answer.status}"
    if picture.prepare is not None:
        picture.prepare(page)
    page.evaluate("document.fonts.ready.then(() => true)")
    shot = page.screenshot()
    context.close()
    return shot


def small(shot: bytes) -> bytes:
    """Return a screenshot as a small PNG: few colours are enough for ink on paper."""
    drawn = Image.open(BytesIO(shot)).convert("RGB")
    for colours in COLOURS:
        out = BytesIO()
        fewer = drawn.quantize(colours, dither=Image.Dither.NONE)
        fewer.save(out, "PNG", optimize=True)
        if out.tell() <= MOST_BYTES:
            return out.getvalue()
    raise ValueError(f"more than {MOST_BYTES} bytes even in {COLOURS[-1]} colours")


def main() -> None:
    with served() as site, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=FLAGS
        )
        for picture in PICTURES:
            kept = small(take(browser, site, picture))
            (FOLDER / f"{picture.name}.png").write_bytes(kept)
            print(f"{picture.name:<20} {len(kept):>6} bytes", flush=True)
        browser.close()


if __name__ == "__main__":
    main()
