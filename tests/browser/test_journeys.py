"""Four people do what they came for, in a real browser."""

from __future__ import annotations

import re
from hashlib import sha256
from pathlib import Path

from inspections.management.demo.pictures import draw_picture
from inspections.management.demo.world import PASSWORD
from tests.support.demo import SCENARIO

JOB = "/jobs/OV-2617"


def test_the_contractor_reads_why_an_operator_is_not_qualified(visit):
    qc = visit("bohumil")
    page = qc.open(f"{JOB}/")
    qc.look()
    page.get_by_role("link", name="Operators", exact=True).click()
    qc.look()
    page.locator("a.cell[href*='R6-soffit'][href*='OP-02']").first.click()
    reasons = page.locator(".verdict")
    assert "Oluwaseun Adebanke" in reasons.inner_text()
    assert "NOT QUALIFIED" in reasons.inner_text().upper()
    refused = [gate.inner_text() for gate in page.locator(".gate.refused").all()]
    assert len(refused) == 2, refused  # the card and the mock-up
    assert any("overhead" in text for text in refused)
    qc.look()


def test_the_laboratory_enters_a_core_set_that_fails(visit):
    lab = visit("otso")
    page = lab.open(f"{JOB}/laboratory/panels/TP-011/results/enter/")
    lab.look()
    page.fill("[name=number]", "LR-900")
    for row in range(3):
        page.fill(f"[name$='{row}-tested_at']", "2026-09-14T07:15")
        for side in ("d1", "d2"):
            page.fill(f"[name$='{row}-{side}_0']", "3.02")
        page.fill(f"[name$='{row}-length_tested_0']", "4.5")
        page.fill(f"[name$='{row}-breaking_load_0']", "20000")
    page.get_by_role("button", name=re.compile("Enter")).last.click()
    lab.open(f"{JOB}/panels/TP-011/")
    text = page.locator("main").inner_text()
    assert "FAIL" in text
    assert page.locator(".gate.refused").count() >= 2
    lab.look()


def test_the_owner_downloads_the_packet_and_its_hash_is_the_one_shown(visit, tmp_path):
    owner = visit("esperanza")
    page = owner.open(f"{JOB}/packets/")
    owner.look()
    page.get_by_role("link", name="PK-02", exact=True).click()
    owner.look()
    shown = page.locator("dd .hash").first.inner_text().replace("\n", "").strip()
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Download PK-02").click()
    file = Path(tmp_path) / "packet.pdf"
    waiting.value.save_as(file)
    assert sha256(file.read_bytes()).hexdigest() == shown
    assert file.read_bytes().startswith(b"%PDF-")


def test_an_inspector_files_and_signs_a_day(visit, tmp_path):
    inspector = visit("farrukh", tablet=True)
    page = inspector.open(f"{JOB}/shifts/open/")
    inspector.look()
    _choose(page, "contractor", "Brindlecrag")
    page.fill("[name=work_date]", "2026-09-14")
    page.fill("[name=starts_at]", "2026-09-14T06:45")
    _send(page)
    inspector.look()
    shift = page.url
    page.goto(shift + "placements/record/")
    inspector.look()
    _choose(page, "part", "R6-upstand")
    _choose(page, "crew", "A1")
    _choose(page, "rig", "RIG-A1")
    _send(page)
    placement = re.search(r"PL-\d+", page.locator("main").inner_text())
    assert placement is not None
    inspector.open(f"{JOB}/placements/{placement[0]}/take/")
    inspector.look()
    page.goto(shift)
    page.locator("form[action$='/sheet/'] button").first.click()
    page.wait_for_url("**/sheets/*/")
    sheet = page.url
    inspector.look()
    _weather(inspector, sheet)
    _photograph(inspector, sheet, tmp_path)
    _sign(inspector, sheet)


def _choose(page, field: str, label: str) -> None:
    option = page.locator(f"[name={field}] option", has_text=label).first
    page.select_option(f"[name={field}]", value=option.get_attribute("value"))


def _send(page) -> None:
    page.locator("main form button.button").first.click()
    page.wait_for_load_state()


def _weather(inspector, sheet: str) -> None:
    page = inspector.page
    page.goto(sheet + "weather/")
    inspector.look()
    page.fill("[name=air_0]", "71")
    page.fill("[name=humidity_0]", "140")
    _send(page)
    assert "140" in page.locator("main").inner_text()
    assert page.input_value("[name=air_0]") == "71"
    inspector.complaints.clear()  # the browser notes that the page answered 422
    page.fill("[name=humidity_0]", "55")
    _send(page)
    assert page.url.startswith(sheet)


def _photograph(inspector, sheet: str, folder: Path) -> None:
    page = inspector.page
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
    page.goto(sheet + "photographs/")
    inspector.look()
    page.set_input_files("[type=file]", str(picture))
    _send(page)
    assert page.url.startswith(sheet)


def _sign(inspector, sheet: str) -> None:
    page = inspector.page
    page.goto(sheet + "sign/")
    inspector.look()
    for name in ("meaning", "conforming"):
        radio = page.locator(f"[name={name}]")
        if radio.count() and radio.first.get_attribute("type") == "radio":
            radio.first.check()
    page.fill("[name=password]", "not my password")
    _send(page)
    assert "not your password" in page.locator("main").inner_text()
    inspector.complaints.clear()  # the browser notes that the page answered 422
    page.fill("[name=password]", PASSWORD)
    _send(page)
    inspector.open(sheet.removeprefix(inspector.site))
    assert "SIGNED" in page.locator("main").inner_text().upper()
    page.goto(sheet + "sign/")
    assert page.locator("[name=password]").count() == 0
    inspector.look()
