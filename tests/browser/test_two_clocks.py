"""Who was qualified on record: read in three taps, frozen at the hand-over, read as known then."""

from __future__ import annotations

from tests.browser.visit import JOB, Visit

DAY = "2026-09-14"


def test_why_somebody_is_not_qualified_for_the_soffit_takes_three_taps(visits):
    """Counted from the first page after signing in, on a tablet."""
    visit = visits.sign_in("farrukh", tablet=True)
    page = visit.page
    visit.follow("Operators")
    page.locator("a.cell[href*='part=R6-soffit'][href*='OP-02']").click()
    page.wait_for_load_state()
    visit.look()
    refused = [gate.inner_text() for gate in page.locator(".gate.refused").all()]
    assert any("no overhead for wet" in words for words in refused)
    assert any("none accepted that covers the part" in words for words in refused)
    # The third leads to the evidence itself.
    page.locator(".gate.refused").get_by_role("link", name="MU-02").click()
    page.wait_for_load_state()
    assert "MU-02" in visit.words
    assert "vertical" in visit.words


def _looks_at(visit: Visit, at: str, known: str) -> str:
    """Ask for an instant and a knowledge, and return the answer of the square read."""
    page = visit.page
    page.fill("[name=at]", at)
    page.fill("[name=known]", known)
    visit.send("Look")
    visit.look()
    return page.locator(".verdict").inner_text()


def test_last_months_answer_is_read_as_it_was_known_then(visits):
    """The year of the card was typed wrongly and corrected on 24 August at 10:20."""
    visit = visits.sign_in("hana")
    page = visit.open(f"{JOB}/operators/?every=1")
    page.locator("a.cell[href*='part=R3-upper-right'][href*='OP-03']").click()
    page.wait_for_load_state()
    then = _looks_at(visit, "2026-08-20T07:00", "2026-08-24T10:19")
    assert "NOT QUALIFIED" not in then.upper()
    assert "QUALIFIED" in then.upper()
    assert page.input_value("[name=known]") == "2026-08-24T10:19"
    since = _looks_at(visit, "2026-08-20T07:00", "2026-08-24T10:21")
    assert "NOT QUALIFIED" in since.upper()
    assert "2026-08-19" in since


def test_what_was_frozen_at_the_hand_over_stays_when_the_card_goes(visits):
    inspector = visits.sign_in("farrukh", tablet=True)
    _hands_over_the_upstand(inspector)
    shift = inspector.page.url.removeprefix(inspector.site)
    _withdraws_the_card(visits.sign_in("bohumil"))
    page = inspector.open(f"{JOB}/operators/?part=R6-upstand&operator=OP-01")
    inspector.look()
    assert "NOT QUALIFIED" in page.locator(".verdict").inner_text().upper()
    page = inspector.open(shift)
    inspector.look()
    row = page.locator("tr", has_text="Mateo Arrizubieta").filter(has_text="07:01")
    stamped = row.first.locator(".stamp").first.inner_text().upper().strip()
    assert stamped == "QUALIFIED"
    # What is known since stands beside it, never instead of it.
    assert "NOT QUALIFIED ON RECORD" in row.first.inner_text().upper()


def _hands_over_the_upstand(visit: Visit) -> None:
    visit.follow("Days")
    visit.follow("Open a shift")
    visit.pick("organization", "Brindlecrag")
    visit.page.fill("[name=starts_at]", f"{DAY}T06:00")
    visit.send("Open shift")
    visit.follow("Record a placement")
    visit.pick("part", "R6-upstand")
    visit.pick("crew", "A1")
    visit.pick("rig", "RIG-A1")
    visit.send("Record placement")
    visit.page.locator(".tile", has_text="OP-01").click()
    visit.look()
    assert "QUALIFIED" in visit.page.locator(".answer-head").inner_text().split()
    visit.page.fill("[name=at]", f"{DAY}T07:01")
    visit.send("OP-01 takes the nozzle")


def _withdraws_the_card(visit: Visit) -> None:
    visit.open(f"{JOB}/operators/OP-01/")
    visit.follow("Withdraw")
    visit.look()
    visit.page.fill("[name=reason]", "Revoked by the body that issued it.")
    visit.send("Withdraw card")
    visit.look()
    assert "withdrawn" in visit.words
