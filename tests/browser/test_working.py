"""A figure worked in a browser: from the menu, by keyboard, on a telephone, on paper."""

from __future__ import annotations

import pytest

from tests.browser.visit import DESK, JOB, TABLET, Visit

PHONE = {"width": 390, "height": 844}


@pytest.fixture
def person(visits) -> Visit:
    return visits.sign_in("adaeze")


@pytest.mark.parametrize("size", [DESK, TABLET, PHONE], ids=["desk", "tablet", "phone"])
@pytest.mark.parametrize("name", ["core-strength", "core-set"])
def test_a_figure_and_its_faults_have_no_barrier_and_fit(person, size, name):
    person.page.set_viewport_size(size)
    person.open(f"{JOB}/working/{name}/")
    person.follow("Fill in the example")
    assert "Unrounded" in person.page.content()
    person.look(contrast=size == DESK)
    for box in person.page.locator("main form input[type=text]").all()[:3]:
        box.fill("NaN")
    person.page.get_by_role("button", name="Work it out", exact=True).last.click()
    person.page.wait_for_load_state()
    assert "need another look" in person.words
    person.look(contrast=size == DESK)
    small = person.too_small(44)
    assert not small, "\n".join(small)


def test_from_the_menu_to_a_figure_by_keyboard_alone(person):
    page = person.open(f"{JOB}/")
    page.locator("details.head-menu summary").click()
    person.follow("Work a figure")
    person.follow("Strength of one core")
    for name, value in (
        ("d1", "3.00"),
        ("d2", "3.00"),
        ("length", "3.60"),
        ("load", "30000"),
    ):
        page.focus(f"[id={name}]")
        page.keyboard.type(value)
    page.keyboard.press("Enter")
    page.wait_for_url("**load=30000**")
    assert "3,900" in person.words
    assert page.url.endswith("#the-figure")


def test_enter_in_a_table_works_it_out_and_more_rows_keep_what_was_typed(person):
    page = person.open(f"{JOB}/working/core-set/")
    person.follow("Fill in the example")
    before = page.locator("table.typed tbody tr").count()
    first = page.locator("[id='cores.1.strength']")
    typed = first.input_value()
    first.press("Enter")
    page.wait_for_load_state()
    assert page.locator("table.typed tbody tr").count() == before
    assert "Answer" in person.words
    person.send("Add rows")
    assert page.locator("table.typed tbody tr").count() > before
    assert page.locator("[id='cores.1.strength']").input_value() == typed


def test_a_changed_setting_changes_the_figure_and_is_named(person):
    core = "d1=3&d1.unit=in&d2=3&d2.unit=in&length=5.4&length.unit=in&load=30000&load.unit=lbf"
    page = person.open(f"{JOB}/working/core-strength/?{core}")
    before = page.locator(".result").first.inner_text()
    person.page.select_option("[name='settings.ld_limit']", "under 1.94")
    page.get_by_role("button", name="Work it out", exact=True).last.click()
    page.wait_for_load_state()
    assert page.locator(".result").first.inner_text() != before
    assert "Changed for this figure" in person.words
    assert (
        "under 1.94"
        in page.locator("section[aria-labelledby='made-under']").inner_text()
    )


def test_on_paper_stand_the_inputs_and_no_form(person):
    page = person.open(f"{JOB}/working/core-set/")
    person.follow("Fill in the example")
    page.emulate_media(media="print")
    assert page.get_by_role("heading", name="As typed").first.is_visible()
    assert not page.get_by_role(
        "button", name="Work it out", exact=True
    ).last.is_visible()
