"""An inspector's day, from the opened shift to the locked sheet, on a tablet."""

from __future__ import annotations

import re

import pytest

from inspections.management.demo.pictures import draw_picture
from inspections.management.demo.world import PASSWORD
from tests.browser.visit import Visit
from tests.support.demo import SCENARIO

DAY = "2026-09-14"
HEARTS = (
    "place-encasement",
    "place-sand-pockets",
    "place-rebound-trapped",
    "place-sloughing",
)


def look(visit: Visit) -> None:
    """Nothing at the wall is lower or narrower than a gloved finger asks for."""
    visit.look()
    small = visit.too_small(48)
    assert not small, "\n".join([visit.page.url, *small])


@pytest.fixture
def inspector(visits) -> Visit:
    return visits.sign_in("farrukh", tablet=True)


def test_an_inspector_files_and_signs_a_day(inspector, tmp_path):
    _opens_a_shift(inspector)
    _records_a_placement(inspector)
    _hands_the_nozzle_over(inspector)
    _opens_the_sheet(inspector)
    _reads_the_weather(inspector)
    _records_a_load_with_a_test(inspector)
    _walks_a_round(inspector)
    _adds_a_photograph(inspector, tmp_path)
    _signs(inspector)


def _opens_a_shift(visit: Visit) -> None:
    visit.follow("Days")
    look(visit)
    visit.follow("Open a shift")
    look(visit)
    visit.pick("organization", "Brindlecrag")
    visit.page.fill("[name=starts_at]", f"{DAY}T06:45")
    visit.send("Open shift")
    look(visit)
    assert "Monday 14 September 2026" in visit.words


def _records_a_placement(visit: Visit) -> None:
    visit.follow("Record a placement")
    look(visit)
    visit.pick("part", "R6-soffit")
    visit.pick("crew", "A1")
    visit.pick("rig", "RIG-A1")
    visit.send("Record placement")
    assert "Who takes the nozzle?" in visit.words


def _hands_the_nozzle_over(visit: Visit) -> None:
    page = visit.page
    look(visit)
    page.locator(".tile", has_text="OP-01").click()
    look(visit)
    assert "QUALIFIED" in page.locator(".answer-head").inner_text().split()
    page.fill("[name=at]", f"{DAY}T06:55")
    visit.send("OP-01 takes the nozzle")
    visit.follow("Leave the nozzle")
    look(visit)
    page.fill("[name=stopped_at]", f"{DAY}T07:10")
    visit.send("Record the leave")
    visit.follow("Hand over")
    page.locator(".tile", has_text="OP-02").click()
    look(visit)
    assert "NOT QUALIFIED" in page.locator(".answer-head").inner_text().upper()
    refused = [one.inner_text() for one in page.locator(".gate.refused").all()]
    assert len(refused) == 2, refused
    page.fill("[name=at]", f"{DAY}T07:12")
    visit.send("Record that it happened anyway")
    look(visit)
    assert "Oluwaseun Adebanke" in visit.words
    assert "NOT QUALIFIED" in visit.words.upper()


def _opens_the_sheet(visit: Visit) -> None:
    visit.send("Open my sheet")
    look(visit)
    assert "Not signed yet" in visit.words
    assert "OP-02" in visit.words


def _reads_the_weather(visit: Visit) -> None:
    page = visit.page
    page.locator("#weather").get_by_role("link").first.click()
    look(visit)
    page.fill("[name=air_0]", "71")
    page.fill("[name=humidity_0]", "140")
    visit.send("Save weather")
    look(visit)
    assert "140" in visit.words
    assert page.input_value("[name=air_0]") == "71"
    page.fill("[name=humidity_0]", "55")
    visit.send("Save weather")
    assert "71" in page.locator("#weather").inner_text()


def _records_a_load_with_a_test(visit: Visit) -> None:
    page = visit.page
    visit.follow("Record a load")
    look(visit)
    page.fill("[name=ticket]", "77310")
    page.fill("[name=volume_0]", "6.5")
    for name, at in (
        ("batched_at", "06:20"),
        ("arrived_at", "06:48"),
        ("first_shot_at", "06:55"),
    ):
        page.fill(f"[name={name}]", f"{DAY}T{at}")
    visit.send("Save load")
    look(visit)
    loads = page.locator("#loads")
    assert "77310" in loads.inner_text()
    loads.get_by_role("link", name="Test", exact=True).click()
    look(visit)
    page.fill("[name=at]", f"{DAY}T06:50")
    page.fill("[name=slump_0]", "2.5")
    page.fill("[name=temperature_0]", "74")
    visit.send("Save tests")
    assert "slump 2.5" in loads.inner_text()


def _walks_a_round(visit: Visit) -> None:
    page = visit.page
    visit.follow("Walk a round")
    look(visit)
    assert page.get_by_label("While shooting").is_checked()
    visit.send("Start the walk")
    look(visit)
    answers = page.locator("label.answer")
    assert answers.count() > 3 * len(HEARTS)
    heights = answers.evaluate_all("every => every.map(one => one.offsetHeight)")
    assert min(heights) >= 72
    for heart in HEARTS[:-1]:
        page.locator(f"label[for={heart}-right]").click()
    _finds_deficient(visit, HEARTS[-1])
    visit.tick("The rest as it should be")
    look(visit)
    visit.send("Save round")
    look(visit)
    assert "with 1 deficient item" in visit.words
    assert _counted(visit) == ["12", "1", "0", "3"]
    assert "above gridline 4" in page.locator("#deficient").inner_text()


def _counted(visit: Visit) -> list[str]:
    """Return right, deficient, does not apply, not looked at, of the first round.

    Nobody touched who is on the nozzle, where a piece may fall, and the dust: what stops
    the work, and safety, the rest never covers.
    """
    cells = visit.page.locator("#rounds tbody td.n")
    return [cell.strip() for cell in cells.all_inner_texts()]


def _finds_deficient(visit: Visit, key: str) -> None:
    page = visit.page
    page.locator(f"label[for={key}-deficient]").click()
    page.fill(f"[name=place-{key}]", "above gridline 4")
    page.fill(f"[name=note-{key}]", "hand-sized piece fell while shooting")


def _adds_a_photograph(visit: Visit, folder) -> None:
    page = visit.page
    picture = folder / "wall.jpg"
    picture.write_bytes(
        draw_picture(
            code="PH-900",
            scene="finished_face",
            details="rod and wood float",
            caption="finished face",
            taken_at=SCENARIO.as_of,
        )
    )
    page.locator("#photographs").get_by_role("link").first.click()
    look(visit)
    page.set_input_files("[type=file]", str(picture))
    page.fill("[name=caption]", "where it fell")
    visit.send("Save photograph")
    look(visit)
    assert "where it fell" in page.locator("#photographs").inner_text()


def _signs(visit: Visit) -> None:
    page = visit.page
    page.get_by_role("link", name=re.compile("^Sign sheet")).first.click()
    look(visit)
    address = page.url
    visit.tick("Not everything conforms")
    page.fill("[name=statement]", "One piece fell at the soffit.")
    visit.tick("I was present")
    page.fill("[name=password]", "not my password")
    sign = page.get_by_role("button", name=re.compile("^Sign sheet"))
    sign.click()
    look(visit)
    assert "not your password" in visit.words
    assert page.input_value("[name=statement]") == "One piece fell at the soffit."
    assert page.get_by_label("Not everything conforms").is_checked()
    late = Visit(page.context.new_page(), visit.site)
    late.open(address.removeprefix(visit.site))
    page.fill("[name=password]", PASSWORD)
    sign.click()
    page.wait_for_load_state()
    look(visit)
    assert "Farrukh Baigzada" in visit.words
    _cannot_sign_twice(visit, late)
    visit.follow("Back to the sheet")
    _cannot_write_any_more(visit)


def _cannot_sign_twice(visit: Visit, late: Visit) -> None:
    """Whoever had the form open before the signature is told, and signs nothing."""
    page = late.page
    late.tick("What was looked at conforms")
    late.tick("I was present")
    page.fill("[name=password]", PASSWORD)
    page.get_by_role("button", name=re.compile("^Sign sheet")).click()
    page.wait_for_load_state()
    look(late)
    assert "nothing is lost" in late.words
    assert page.locator("[name=password]").count() == 0
    assert late.words.count("I was present and recorded what I saw") == 1


def _cannot_write_any_more(visit: Visit) -> None:
    page = visit.page
    look(visit)
    assert "NOT CONFORMING" in visit.words.upper()
    assert "SIGNED, NOT YET REVIEWED" in visit.words.upper()
    for act in ("Record a load", "Walk a round", "Put right", "Take back"):
        assert page.get_by_role("link", name=act, exact=True).count() == 0
    sheet = page.url.removeprefix(visit.site).split("#")[0]
    visit.open(f"{sheet}weather/")
    assert "is signed and takes no entries" in visit.words
    assert page.url == visit.site + sheet
