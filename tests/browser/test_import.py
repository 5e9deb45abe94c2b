"""Operators and cards from a file, with one row to correct; a scan beside the card."""

from __future__ import annotations

from tests.browser.visit import JOB
from tests.crews.files import csv_file, dated, row, workbook
from tests.support.hostile import jpeg


def test_the_contractor_sends_a_file_corrects_a_row_and_saves_it(visits):
    visit = visits.sign_in("bohumil", tablet=True)
    page = visit.open(f"{JOB}/operators/")
    visit.follow("From a file")
    visit.look()
    wrong = csv_file([row(), row(badge="B-105", number="W-3", expires="29-05-01")])
    picked = {"name": "cards.csv", "mimeType": "text/csv", "buffer": wrong}
    page.set_input_files("[name=file]", picked)
    visit.send("Show what it changes")
    visit.look()
    assert "29-05-01 is not a date" in visit.words
    assert page.get_by_role("button", name="Save").count() == 0
    visit.follow("Send the file again")
    right = workbook([dated(row()), dated(row(badge="B-105", number="W-3"))])
    picked = {"name": "cards.xlsx", "mimeType": "", "buffer": right}
    page.set_input_files("[name=file]", picked)
    visit.send("Show what it changes")
    visit.look()
    assert "The same name as badge B-104: is it one person?" in visit.words
    visit.send("Save 2 rows")
    visit.look()
    assert "operators entered 2, cards recorded 2, cards corrected 0" in visit.words


def test_a_scan_stands_beside_its_card_and_opens(visits):
    visit = visits.sign_in("bohumil")
    page = visit.open(f"{JOB}/operators/OP-01/")
    page.locator("a[href*='/correct/']").first.click()
    visit.look()
    picked = {"name": "card.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
    page.set_input_files("[name=scan]", picked)
    page.get_by_label("Why it is corrected").fill("Now with a scan.")
    visit.send("Keep the new version")
    visit.look()
    shown = page.locator("img[alt^='Scan of card']").first
    shown.scroll_into_view_if_needed()
    page.wait_for_function(
        "one => one.complete && one.naturalWidth > 0", arg=shown.element_handle()
    )
    # A browser's own page round a picture styles itself, which our policy forbids.
    address = shown.locator("xpath=..").get_attribute("href")
    opened = page.request.get(page.url.partition("/jobs/")[0] + str(address))
    assert (opened.status, opened.headers["content-type"]) == (200, "image/jpeg")
