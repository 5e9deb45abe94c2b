"""The laboratory's desk, a set on one page, the ask-back, and the next letter."""

from __future__ import annotations

import pytest

from crews.models import LabReport, LabResult
from project.models import new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, words
from tests.factories import clock_at, make_cores, make_panel, make_placement, make_shift
from tests.support.made_once import made_once


@made_once
def cored(qualified):
    """A panel of the fourth of August with three cores for 28 days."""
    site = qualified
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(site.inspector, site.contractor)
        placed = make_placement(site, shift)
    panel = make_panel(site, placement=placed, shot="2026-08-04 09:00")
    site.extra["cores"] = make_cores(site, panel, ages=(28, 28, 28))
    return site


def _set(site, *rows, **head):
    """Return a sent set: sound cores of 3 in at about 5000 psi, but for what is given."""
    sent = {
        "number": "LR-77",
        "tested_at": "2026-09-01T10:00",
        "diameter_unit": "in",
        "length_unit": "in",
        "load_unit": "lbf",
        "strength_unit": "psi",
        "density_unit": "pcf",
    }
    sound = {
        "d1": "3.00", "d2": "3.00", "length_tested": "4.80",
        "breaking_load": "36,500", "conditioning": "soaked", "reinforcement": "none",
    }  # fmt: skip
    for n, core in enumerate(site.extra["cores"]):
        row = sound | (rows[n] if n < len(rows) else {})
        sent |= {f"{core.first.hex}-{name}": value for name, value in row.items()}
    return sent | head


def test_the_desk_says_what_is_due_and_leads_there(cored):
    eye = Visitor(cored.technician, at="2026-09-02 09:00")
    page = words(eye.get("laboratory"))
    assert "TP-001" in page
    assert "3 cores wait" in page
    assert "1 day past due" in page
    assert "Enter results" in page
    assert "No report is on record" in page
    other = Visitor(cored.members["other_laboratory"], at="2026-09-02 09:00")
    assert "TP-001" not in words(other.get("laboratory"))


def test_a_set_is_entered_on_one_page_in_the_units_typed(cored):
    eye = Visitor(cored.technician)
    shown = eye.get("enter_results", "TP-001", age=28).content.decode()
    assert shown.count("<fieldset") == 3
    identity = new_id()
    for _ in range(2):  # pressed twice
        response = eye.post("enter_results", "TP-001", data=_set(cored, id=identity))
        assert response.url == eye.url("panel", "TP-001")
    results = LabResult.objects.filter(report=LabReport.objects.get(number="LR-77"))
    assert results.count() == 3
    one = results.first()
    assert (one.breaking_load, one.breaking_load_unit) == (36500, "lbf")
    assert (one.length_tested, one.length_unit) == (one.length_tested, "in")
    assert "pass" in words(eye.get("panel", "TP-001")).lower()
    assert eye.get("enter_results", "TP-001").status_code == 404  # nothing waits


def test_metric_columns_are_kept_metric(cored):
    metric = {"d1": "76", "d2": "76", "length_tested": "120", "breaking_load": "160"}
    sent = _set(
        cored, metric, metric, metric,
        diameter_unit="mm", length_unit="mm", load_unit="kN",
    )  # fmt: skip
    assert Visitor(cored.technician).post(
        "enter_results", "TP-001", data=sent
    ).status_code == 302  # fmt: skip
    one = LabResult.objects.first()
    assert (one.diameter_unit, one.breaking_load_unit) == ("mm", "kN")


def test_rows_left_empty_are_not_reported(cored):
    empty = {"d1": "", "d2": "", "length_tested": "", "breaking_load": ""}
    sent = _set(cored, {}, empty, empty)
    eye = Visitor(cored.technician)
    assert eye.post("enter_results", "TP-001", data=sent).status_code == 302
    assert LabResult.objects.count() == 1
    assert "2 cores wait" in words(eye.get("laboratory"))


def test_a_strength_where_a_load_was_meant_is_asked_back_and_may_be_confirmed(cored):
    """5,160 lbf on a 3 in core is 5.0 MPa: below 10 MPa it is asked back."""
    eye = Visitor(cored.technician)
    slip = {"breaking_load": "5160"}
    with nothing_written():
        response = eye.post("enter_results", "TP-001", data=_set(cored, {}, slip))
    assert response.status_code == 422
    page = words(response)
    assert "core 2, Breaking load: 5160 lbf on this core would be 5.0 MPa." in page
    assert "Is it a strength?" in page
    body = response.content.decode()
    assert 'value="5160"' in body
    assert body.count("The figure is meant as it stands") == 1
    assert body.count("is-invalid") == 1
    confirmed = _set(cored, {}, slip | {"confirmed": "on"})
    assert eye.post("enter_results", "TP-001", data=confirmed).status_code == 302
    assert LabResult.objects.filter(breaking_load=5160).count() == 1


def test_a_load_where_a_strength_was_meant_is_asked_back_too(cored):
    stated = {"breaking_load": "", "strength": "36500"}
    with nothing_written():
        response = Visitor(cored.technician).post(
            "enter_results", "TP-001", data=_set(cored, stated)
        )
    assert "Is it a breaking load?" in words(response)


@pytest.mark.parametrize(
    ("row", "head", "said"),
    [
        ({"breaking_load": ""}, {}, "A breaking load or a strength is needed."),
        ({"d2": ""}, {}, "With a breaking load both diameters are needed."),
        ({"d1": "-3"}, {}, "core 1, Diameter 1: -3; allowed is a number above 0"),
        ({"d1": "three"}, {}, "three; allowed is a number above 0, such as 2.50."),
        ({"reinforcement": "rope"}, {}, "rope is not on this list"),
        ({"conditioning": "fried"}, {}, "fried"),
        ({"tested_at": "2026-08-01T10:00"}, {}, "allowed is after it was drilled"),
        ({}, {"tested_at": "2026-10-01T10:00"}, "lies ahead"),
        ({}, {"issued_on": "2026-10-01"}, "2026-10-01 lies ahead"),
        ({}, {"number": ""}, "required"),
        ({}, {"load_unit": "psi"}, "psi"),
        ({"d1": "300"}, {}, "300"),
    ],
)
def test_a_set_that_cannot_be_is_refused_whole(cored, row, head, said):
    with nothing_written():
        response = Visitor(cored.technician).post(
            "enter_results", "TP-001", data=_set(cored, row, **head)
        )
    assert response.status_code == 422
    assert said in words(response)
    assert "Nothing was saved; what you typed is still here." in words(response)
    assert not LabResult.objects.exists()


def test_nothing_typed_is_no_report(cored):
    empty = {"d1": "", "d2": "", "length_tested": "", "breaking_load": ""}
    with nothing_written():
        response = Visitor(cored.technician).post(
            "enter_results", "TP-001", data=_set(cored, empty, empty, empty)
        )
    assert "No result given; allowed is one or more." in words(response)


def test_a_core_too_short_to_test_is_kept_and_does_not_count(cored):
    """Under 1.00 diameters a core is not testable (ASTM C42, as quoted)."""
    short = {"length_tested": "2.90"}
    eye = Visitor(cored.technician)
    sent = _set(cored, short)
    assert eye.post("enter_results", "TP-001", data=sent).status_code == 302
    page = words(eye.get("panel", "TP-001"))
    assert "does not count" in page
    assert "too short" in words(eye.get("panel", "TP-001", core=1))


def test_the_next_letter_supersedes_the_one_before_with_a_reason(cored):
    eye = Visitor(cored.technician)
    eye.post("enter_results", "TP-001", data=_set(cored))
    first = LabReport.objects.get(number="LR-77")
    shown = eye.get("amend_results", first.pk).content.decode()
    assert 'value="36500"' in shown
    amended = _set(cored, {"breaking_load": "34000"})
    del amended["number"]
    with nothing_written():
        response = eye.post("amend_results", first.pk, data=amended)
    assert response.status_code == 422
    assert list(response.context["table"].head.errors) == ["reason"]
    amended |= {"reason": "load of core 1 read from the wrong line", "id": new_id()}
    for _ in range(2):  # pressed twice
        assert eye.post("amend_results", first.pk, data=amended).status_code == 302
    second = LabReport.objects.get(number="LR-77", letter="B")
    assert second.supersedes == first
    assert {r.breaking_load for r in second.results.all()} == {34000, 36500}
    page = words(eye.get("panel", "TP-001"))
    assert "LR-77 B" in page
    assert "superseded" in page
    assert "read from the wrong line" in page
    assert eye.get("amend_results", first.pk).status_code == 404  # no longer stands


def test_a_core_that_was_reported_meanwhile_is_said_and_not_dropped(cored):
    eye = Visitor(cored.technician)
    assert eye.post("enter_results", "TP-001", data=_set(cored)).status_code == 302
    with nothing_written():
        response = eye.post("enter_results", "TP-001", data=_set(cored, number="LR-78"))
    assert response.status_code == 422
    assert "is reported already, in LR-77 A" in words(response)


def test_a_report_number_is_used_once(cored):
    eye = Visitor(cored.technician)
    one_row = _set(
        cored, {}, *[{"breaking_load": "", "d1": "", "d2": "", "length_tested": ""}] * 2
    )
    eye.post("enter_results", "TP-001", data=one_row)
    with nothing_written():
        response = eye.post("enter_results", "TP-001", data=_set(cored))
    assert "Report LR-77 is on record" in words(response)


def test_no_other_laboratory_and_nobody_else_enters_or_amends(cored):
    Visitor(cored.technician).post("enter_results", "TP-001", data=_set(cored))
    row = LabReport.objects.get(number="LR-77")
    other = Visitor(cored.members["other_laboratory"])
    assert other.get("enter_results", "TP-001").status_code == 404
    assert other.get("amend_results", row.pk).status_code == 404
    assert other.post("amend_results", row.pk, data=_set(cored)).status_code == 404
    for key in ("inspector", "qc", "engineer", "owner"):
        eye = Visitor(cored.members[key])
        assert eye.get("laboratory").status_code == 403
        assert eye.post("enter_results", "TP-001", data={}).status_code == 403
        assert eye.post("amend_results", row.pk, data={}).status_code == 403
