"""The pages of hours, and the employer's letter as a document."""

from __future__ import annotations

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from crews.actions.corrections import correct
from crews.actions.hours import verify_hours
from crews.models import HoursStatement, Operator
from project.models import AuditEvent, Job, new_id
from tests.crews.pages import Visitor, complaints, words
from tests.factories import at, clock_at, make_placement, make_shift, shoot
from tests.support.made_once import made_once

AUGUST = {"from_on": "2026-08-01", "to_on": "2026-08-31"}


@made_once
def shot(qualified):
    """The first operator shot 3:40 h on two days, the trainee an hour on the first."""
    site = qualified
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(site.inspector, site.contractor)
        placed = make_placement(site, shift)
    shoot(site, placed, site.operator, "2026-08-04 07:10", "2026-08-04 10:10")
    shoot(site, placed, site.trainee, "2026-08-04 10:10", "2026-08-04 11:10")
    with clock_at("2026-09-03 06:50"):
        shift = make_shift(site.inspector, site.contractor, date(2026, 9, 3))
        placed = make_placement(site, shift)
    site.extra["held"] = shoot(
        site, placed, site.operator, "2026-09-03 11:10", "2026-09-03 11:50"
    )
    return site


@pytest.fixture
def verified(shot):
    with clock_at("2026-09-04 09:00"):
        verify_hours(
            id=new_id(),
            by=shot.qc,
            operator=shot.operator,
            from_on=date(2026, 8, 1),
            to_on=date(2026, 9, 3),
            verified_by="Idris Halloran, QC manager",
            words="Compared with the shift book.",
        )
    return shot


def _sent(**more):
    return {
        "id": str(new_id()),
        **AUGUST,
        "verified_by": "Idris Halloran",
        "words": "",
    } | more


def test_everybodys_hours_are_told_class_by_class(shot):
    page = words(Visitor(shot.qc).get("hours"))
    assert "OP-01 wet vertical hand Bartosz Ilunga 3:40 2 3:40" in page
    assert "OP-02 wet vertical hand Noor Vasilenko 1:00 1 1:00" in page
    assert "Everybody 3:40 1:00 4:40" in page
    august = words(Visitor(shot.qc).get("hours", **AUGUST))
    assert "OP-01 wet vertical hand Bartosz Ilunga 3:00 1 3:00" in august
    assert "1 Aug 2026 to 31 Aug 2026" in august
    ahead = words(Visitor(shot.qc).get("hours", from_on="2026-09-04"))
    assert "No nozzle time on record for these days" in ahead


@pytest.mark.parametrize("page", ["hours", "operator_hours"])
@pytest.mark.parametrize(
    ("asked", "field", "told"),
    [
        ({"from_on": "26-08-01"}, "from_on", "26-08-01 is not a date; allowed is"),
        (
            {"from_on": "2026-08-31", "to_on": "2026-08-01"},
            "to_on",
            "To 2026-08-01; allowed is 2026-08-31 or later.",
        ),
        ({"at": "soon"}, "at", "soon is not a date and time"),
    ],
)
def test_wrong_days_are_named_and_nothing_is_counted(shot, page, asked, field, told):
    args = ["OP-01"] if page == "operator_hours" else []
    answer = Visitor(shot.qc).get(page, *args, **asked)
    assert answer.status_code == 422
    assert told in answer.context["look"].form.errors[field][0]
    assert "Nothing is counted until the days can be read" in words(answer)
    assert "3:40" not in words(answer)


def test_one_operators_log_opens_every_working(shot):
    page = words(Visitor(shot.qc).get("operator_hours", "OP-01"))
    assert "PL-001 R1 wet vertical hand 4 Aug 2026, 07:10 10:10 full card 180" in page
    assert "September 2026, 0:40: the working" in page
    assert "180 + 40" in page
    assert "2026-08-04, 2026-09-03" in page
    assert "500 hours of work experience in the process" in page
    assert "the body that certifies decides what counts" in page
    assert "nothing is stated" in page


def test_the_log_is_read_as_known_and_as_of(shot):
    visitor = Visitor(shot.qc)
    then = words(visitor.get("operator_hours", "OP-01", known="2026-08-05T09:00"))
    assert "All nozzle time 3:00" in then
    held = words(visitor.get("operator_hours", "OP-01", at="2026-08-04T09:00"))
    assert "Still on the nozzle since 4 Aug 2026, 07:10" in held
    none = words(visitor.get("operator_hours", "OP-01", known="2026-08-01T09:00"))
    assert "Never on the nozzle in these days as known then" in none


def test_days_are_verified_on_the_page_once(shot):
    visitor, sent = Visitor(shot.qc), _sent()
    assert visitor.post("verify_hours", "OP-01", data=sent).status_code == 302
    assert visitor.post("verify_hours", "OP-01", data=sent).status_code == 302
    [row] = HoursStatement.objects.all()
    assert row.minutes[0][4] == 180
    told = complaints(visitor.post("verify_hours", "OP-01", data=_sent()))
    assert "are verified already" in told["from_on"][0]
    page = words(visitor.get("operator_hours", "OP-01"))
    assert "1 Aug 2026 – 31 Aug 2026 Idris Halloran" in page
    assert "says the same" in page


@pytest.mark.parametrize(
    ("given", "field", "told"),
    [
        ({"verified_by": "Bartosz Ilunga"}, "verified_by", "nobody verifies their own"),
        ({"verified_by": ""}, "verified_by", "required"),
        ({"from_on": "01.08.26"}, "from_on", "01.08.26 is not a date"),
        ({"to_on": "2026-12-01"}, "to_on", "2026-12-01 lies ahead"),
        ({"to_on": "2026-07-01"}, "to_on", "allowed is 2026-08-01 or later"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(shot, given, field, told):
    before = AuditEvent.objects.count()
    answer = Visitor(shot.qc).post("verify_hours", "OP-01", data=_sent(**given))
    assert told in complaints(answer)[field][0]
    assert AuditEvent.objects.count() == before
    assert not HoursStatement.objects.exists()


def test_what_the_record_says_otherwise_since_stands_beside_what_was_said(verified):
    with clock_at("2026-09-05 09:00"):
        correct(
            id=new_id(),
            by=verified.inspector,
            row=verified.extra["held"],
            reason="misread",
            stopped_at=at("2026-09-03 11:35"),
        )
    visitor = Visitor(verified.qc)
    page = words(visitor.get("operator_hours", "OP-01"))
    assert "wet vertical hand: verified 3:40, the record now says 3:25" in page
    letter = _letter(visitor.get("hours_letter", "OP-01"))
    assert "the record now says 3:25" in letter
    row = HoursStatement.objects.get()
    sent = _sent(to_on="2026-09-03", reason="A leave was misread.")
    fixed = visitor.post("correct_hours", "OP-01", row.first, data=sent)
    assert fixed.status_code == 302
    assert visitor.post("correct_hours", "OP-01", row.first, data=sent).url == fixed.url
    assert "says the same" in words(visitor.get("operator_hours", "OP-01"))


def test_days_are_taken_back_with_a_reason(verified):
    visitor, first = Visitor(verified.qc), HoursStatement.objects.get().first
    empty = visitor.post("withdraw_hours", "OP-01", first, data={"reason": ""})
    assert "required" in complaints(empty)["reason"][0]
    sent = {"id": str(new_id()), "reason": "The book was another's."}
    for _ in range(2):
        gone = visitor.post("withdraw_hours", "OP-01", first, data=sent)
        assert gone.status_code == 302
    page = words(visitor.get("operator_hours", "OP-01"))
    assert "Nobody has verified any days by name." in page
    assert visitor.get("correct_hours", "OP-01", first).status_code == 404


# --- The letter -----------------------------------------------------------------------


def _letter(answer) -> str:
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    reader = PdfReader(BytesIO(answer.content))
    text = " ".join(page.extract_text() for page in reader.pages)
    return " ".join(text.split())


def test_the_letter_states_hours_days_and_who_verified_them(verified):
    answer = Visitor(verified.qc).get("hours_letter", "OP-01")
    letter = _letter(answer)
    job = verified.job
    for told in (
        "contractor",
        "Bartosz Ilunga, B-001",
        f"{job.name}, {job.contract_number}",
        "all on record up to 14 Sep 2026",
        "2 220 3:40 3.67",
        "All nozzle time: 3:40, 3.67",
        "Idris Halloran, QC manager",
        "Compared with the shift book.",
        "All days with nozzle time above are verified by name.",
        "The body that certifies decides what counts.",
    ):
        assert told in letter, told
    last = AuditEvent.objects.filter(stream=job.stream).latest("seq")
    assert f"ended with line {last.seq}, {last.hash}" in letter.replace("\n", "")
    box = PdfReader(BytesIO(answer.content)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == (612.0, 792.0)


def test_the_letter_is_cut_to_the_jobs_paper_and_names_what_it_cannot_print(verified):
    Job.objects.filter(pk=verified.job.pk).update(paper="A4")
    Operator.objects.filter(pk=verified.operator.pk).update(legal_name="Bo \u5b89")
    answer = Visitor(verified.qc).get("hours_letter", "OP-01")
    box = PdfReader(BytesIO(answer.content)).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (595, 842)
    assert "no letter for U+5B89, printed as the code" in _letter(answer)


def test_the_letter_counts_training_apart_and_says_what_nobody_verified(shot):
    letter = _letter(Visitor(shot.qc).get("hours_letter", "OP-02", **AUGUST))
    assert "On the nozzle in training" in letter
    assert "with a full card" not in letter
    assert "1 Aug 2026 to 31 Aug 2026, both counted in" in letter
    assert "Of the nozzle time above, 1:00 is verified by nobody." in letter


def test_the_letter_as_known_then_names_the_line_of_then(verified):
    visitor = Visitor(verified.qc)
    known = {"known": "2026-08-05T09:00", "at": "2026-08-05T09:00"}
    first = visitor.get("hours_letter", "OP-01", **known)
    letter = _letter(first)
    events = AuditEvent.objects.filter(stream=verified.job.stream)
    then = events.filter(at__lte=at("2026-08-05 09:00")).latest("seq")
    assert f"line {then.seq}, {then.hash[:12]}" in letter
    assert "3:00 is verified by nobody" in letter
    # The same letter gives the same bytes, whenever it is printed.
    assert visitor.get("hours_letter", "OP-01", **known).content == first.content


def test_a_letter_of_wrong_days_leads_to_the_page_that_says_so(shot):
    visitor = Visitor(shot.qc)
    answer = visitor.get("hours_letter", "OP-01", from_on="soon")
    assert answer.status_code == 302
    assert answer.url == visitor.url("operator_hours", "OP-01", from_on="soon")


def test_another_contractor_finds_nobody_here_and_the_owner_writes_no_letter(verified):
    first = HoursStatement.objects.get().first
    other = Visitor(verified.other_qc)
    for page, args in (
        ("operator_hours", ["OP-01"]),
        ("verify_hours", ["OP-01"]),
        ("correct_hours", ["OP-01", first]),
        ("withdraw_hours", ["OP-01", first]),
        ("hours_letter", ["OP-01"]),
    ):
        assert other.get(page, *args).status_code == 404, page
    assert "Bartosz" not in words(other.get("hours"))
    owner = Visitor(verified.members["owner"])
    page = words(owner.get("operator_hours", "OP-01"))
    assert "Idris Halloran, QC manager" in page
    assert "Verify hours" not in page
    assert "Employer's letter" not in page
    for page, args in (("verify_hours", ["OP-01"]), ("hours_letter", ["OP-01"])):
        assert owner.get(page, *args).status_code == 403, page


def test_the_same_queries_however_much_was_shot(shot):
    visitor = Visitor(shot.qc)
    counts = [visitor.queries("hours"), visitor.queries("operator_hours", "OP-01")]
    with clock_at("2026-09-08 06:50"):
        shift = make_shift(shot.inspector, shot.contractor, date(2026, 9, 8))
        placed = make_placement(shot, shift)
    for hour in range(7, 12):
        shoot(
            shot,
            placed,
            shot.operator if hour % 2 else shot.trainee,
            f"2026-09-08 {hour:02d}:00",
            f"2026-09-08 {hour:02d}:50",
        )
    again = [visitor.queries("hours"), visitor.queries("operator_hours", "OP-01")]
    assert again == counts


def test_the_form_offers_what_nobody_verified_and_says_what_it_comes_to(shot):
    visitor = Visitor(shot.qc)
    first = visitor.get("verify_hours", "OP-01")
    assert "4 Aug 2026 to 3 Sep 2026 3:40" in words(first)
    assert 'value="2026-08-04"' in first.content.decode()
    sent = _sent(from_on="2026-08-04", to_on="2026-08-31")
    assert visitor.post("verify_hours", "OP-01", data=sent).status_code == 302
    then = words(visitor.get("verify_hours", "OP-01"))
    assert "3 Sep 2026 to 3 Sep 2026 0:40" in then
    row = HoursStatement.objects.get()
    again = words(visitor.get("correct_hours", "OP-01", row.first))
    assert "As verified 3:00 As counted now 3:00" in again
