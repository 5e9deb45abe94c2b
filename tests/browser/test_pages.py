"""Every page of the book, as a member sees it, at both sizes and in each theme."""

from __future__ import annotations

import pytest

from project.models import Job
from tests.browser.visit import DESK, JOB, TABLET, Visit
from tests.support.addresses import READ, Addresses, open_what_is_asked
from tests.support.demo import SCENARIO

# Files, which a browser shows without a page around them.
FILES = {
    *("card_scan", "experience_paper", "hours_letter", "import_template"),
    *("packet_file", "photograph"),
}


@pytest.fixture(scope="module")
def addresses(site) -> Addresses:
    return open_what_is_asked(Job.objects.get(code=SCENARIO.code))


@pytest.fixture(scope="module")
def people(visits) -> dict[str, Visit]:
    return {}


def test_the_way_in_has_no_barrier_and_fits(visits):
    visit = visits.arrive()
    for size in (DESK, TABLET):
        visit.page.set_viewport_size(size)
        visit.open("/sign-in/")
        visit.look()
    visit = visits.sign_in("farrukh", tablet=True)
    visit.open("/")
    visit.look()
    assert visit.page.get_by_role("link", name="Tarn Hollow").first.is_visible()


@pytest.mark.parametrize("name", [name for name in READ if name not in FILES])
def test_a_page_has_no_barrier_and_fits(visits, people, addresses, name):
    member = addresses.reader(name)
    visit = people.get(member.role) or visits.let_in(member.user)
    people[member.role] = visit
    visit.page.set_viewport_size(DESK)
    visit.open(addresses.of(name))
    visit.look()
    visit.page.set_viewport_size(TABLET)
    # Colours do not change with the width, but for the names inside a folded ledger,
    # which the inspector's day looks at; and they are most of what a look costs.
    visit.look(contrast=False)


@pytest.mark.parametrize("theme", ["dark", "sun"])
@pytest.mark.parametrize("page", ["operators", "panel", "walk"])
def test_a_theme_brings_no_barrier(visits, addresses, page, theme):
    member = addresses.reader(page)
    visit = visits.let_in(member.user, color_scheme="dark")
    visit.open(addresses.of(page))
    if theme == "sun":
        visit.send("Sun")
        paper = "rgb(255, 255, 255)"
    else:
        paper = "rgb(20, 19, 17)"
    body = visit.page.locator("body")
    shown = body.evaluate("one => getComputedStyle(one).backgroundColor")
    try:
        assert shown == paper
        visit.look()
    finally:
        if theme == "sun":
            visit.send("Sun off")


def test_a_planted_barrier_is_found(visits):
    """A check that cannot fail is none: what is put there must be found."""
    visit = visits.sign_in("farrukh")
    page = visit.open(f"{JOB}/days/")
    page.evaluate("document.querySelector('main').append(new Image())")
    page.evaluate(
        """() => {
          const button = document.createElement('button');
          button.style.cssText = 'width: 1500px; height: 20px';
          document.querySelector('main').append(button);
        }"""
    )
    rules = {found.split(":")[0] for found in visit.barriers()}
    assert {"image-alt", "button-name"} <= rules
    assert visit.overflow()
    assert any("1500 x 20" in found for found in visit.too_small(48))
    visits.take_complaints()


def test_a_script_of_no_file_is_refused_and_heard(visits):
    visit = visits.sign_in("farrukh")
    visit.page.evaluate(
        """() => {
          const script = document.createElement('script');
          script.textContent = 'document.title = "run"';
          document.body.append(script);
        }"""
    )
    assert visit.page.title() != "run"
    [complaint] = visits.take_complaints()
    assert "Content Security Policy" in complaint
