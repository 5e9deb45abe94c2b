"""Scans of cards and papers of statements: kept safely, shown to who may read them."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from crews.actions.people import record_certification
from crews.forms.fields import PaperField
from crews.models import Certification, Experience
from project.actions import papers
from project.audit import verify_stream
from project.domain.roles import Role
from project.models import Attachment, new_id
from tests.crews.acts import lines, nothing_written, refused
from tests.crews.pages import Visitor, complaints, words
from tests.factories import card, clock_at, make_member
from tests.support.hostile import PHP, REFUSED, SCRIPT, jpeg, saved, with_segment

PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"


@pytest.fixture(autouse=True)
def files(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def _picture(comment=b""):
    raw = saved(Image.effect_noise((900, 600), 40).convert("RGB"), "JPEG")
    return with_segment(raw, 0xFE, comment) if comment else raw


def _sent(raw=None, name="card.jpg", **changes):
    sent = {
        "id": new_id(),
        "scheme": "CP-60",
        "number": "WO-77",
        "method": "hand",
        "level": "full",
        "classes": ["wet/overhead", "wet/vertical"],
        "issued_on": "2024-05-01",
        "expires_on": "2029-05-01",
        "verified_how": "",
    }
    if raw is not None:
        sent["scan"] = SimpleUploadedFile(name, raw)
    return sent | changes


def _stated(raw=None, name="letter.pdf", **changes):
    sent = {
        "id": new_id(),
        "process": "wet",
        "method": "hand",
        "hours": "640",
        "last_shot_on": "2026-07-10",
        "stated_by": "Idris Halloran",
        "stated_on": "2026-07-18",
    }
    if raw is not None:
        sent["attachment"] = SimpleUploadedFile(name, raw)
    return sent | changes


def _card(number="WO-77"):
    return Certification.objects.filter(number=number).latest("recorded_at")


def _content(response):
    assert response.status_code == 200, response.status_code
    return response.content


def test_a_scan_is_kept_with_its_card_and_shown_as_a_clean_copy(site, files):
    eye = Visitor(site.qc)
    raw = _picture(SCRIPT)
    sent = _sent(raw)
    assert eye.post("record_card", "OP-01", data=sent).status_code == 302
    kept = _card().scan
    assert (kept.file_kind, kept.name, kept.bytes) == ("jpeg", "card.jpg", len(raw))
    assert (kept.latitude, kept.taken_at) == (None, None)
    assert [line.verb for line in lines(site.job.stream)][-1] == "paper.kept"
    assert [line.verb for line in lines(site.contractor.stream)][-1] == "card.recorded"
    for stream in (site.job.stream, site.contractor.stream):
        assert verify_stream(stream) is None
    page = eye.get("operator", "OP-01").content.decode()
    address = eye.url("card_scan", "OP-01", _card().pk)
    assert f'src="{address}?small"' in page
    assert f'href="{address}"' in page
    for asked, width in (({}, 900), ({"small": ""}, 320)):
        response = eye.get("card_scan", "OP-01", _card().pk, **asked)
        shown = _content(response)
        assert SCRIPT not in shown
        assert Image.open(io.BytesIO(shown)).width == width
        assert response["Content-Type"] == "image/jpeg"
        assert response["Content-Disposition"] == 'inline; filename="card.jpg"'
        assert response["X-Content-Type-Options"] == "nosniff"
    again = eye.client.get(address, headers={"If-None-Match": response["ETag"]})
    assert again.status_code == 200  # that was the small copy's mark
    large = eye.client.get(address)["ETag"]
    assert eye.client.get(address, headers={"If-None-Match": large}).status_code == 304


def test_the_same_request_twice_keeps_one_card_and_one_scan(site):
    eye = Visitor(site.qc)
    raw = _picture()
    id = new_id()
    for _ in range(2):
        eye.post("record_card", "OP-01", data=_sent(raw, id=id))
    assert Certification.objects.filter(number="WO-77").count() == 1
    assert Attachment.objects.count() == 1


def test_a_pdf_is_handed_out_as_a_file_and_never_inside_a_page(site):
    eye = Visitor(site.qc)
    name = 'card "7".pdf'
    eye.post("record_card", "OP-01", data=_sent(PDF, name))
    response = eye.get("card_scan", "OP-01", _card().pk)
    assert _content(response) == PDF
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"].startswith("attachment; ")
    page = eye.get("operator", "OP-01")
    assert "Scan of the card, a PDF" in words(page)
    assert "<img" not in page.content.decode()


_OTHERS = [u for u in REFUSED if u.label != "PDF" and not u.raw.startswith(b"%PDF")]


@pytest.mark.parametrize(
    ("raw", "name", "said"),
    [
        (b"", "card.jpg", "card.jpg: it is empty; allowed is a JPEG, PNG or PDF file"),
        (PHP, "card.php", "card.php: it is not a picture"),
        (PDF, "card.jpg", "it is a PDF, but its name does not end in .pdf"),
        (PDF[:-8], "card.pdf", "card.pdf: it is cut short"),
        (jpeg(), "card.pdf", "its name ends in .pdf"),
        (jpeg()[:500], "card.jpg", "it is damaged or cut short"),
        (b"%PDF-" + b"0" * papers.MOST_BYTES, "card.pdf", "it has 20.0 MB"),
    ],
    ids=["empty", "script", "misnamed", "cut", "misnamed picture", "damaged", "big"],
)
def test_a_file_that_is_no_scan_is_refused_with_its_card(site, files, raw, name, said):
    with nothing_written():
        errors = complaints(
            Visitor(site.qc).post("record_card", "OP-01", data=_sent(raw, name))
        )
    assert said in errors["scan"][0]
    assert list(files.rglob("*")) == []


def test_whatever_else_people_send_is_refused_too(site, files):
    assert len(_OTHERS) > 10
    for upload in _OTHERS:
        errors = refused(
            papers.keep_paper,
            id=new_id(), by=site.qc, raw=upload.raw, name=upload.name, field="scan",
        )  # fmt: skip
        assert "allowed is a JPEG, PNG or PDF file" in errors["scan"][0], upload.label
    assert list(files.rglob("*")) == []


def test_a_card_that_is_refused_leaves_no_scan(site, files):
    sent = _sent(_picture(), expires_on="2024-04-30")
    with nothing_written():
        errors = complaints(Visitor(site.qc).post("record_card", "OP-01", data=sent))
    assert list(errors) == ["expires_on"]
    assert list(files.rglob("*")) == []


def test_a_correction_keeps_the_scan_or_takes_another(site):
    eye = Visitor(site.qc)
    eye.post("record_card", "OP-01", data=_sent(_picture()))
    first = _card()
    again = _sent(expires_on="2029-05-02", reason="Read again.")
    eye.post("correct_card", "OP-01", first.pk, data=again)
    second = _card()
    assert (second.supersedes, second.scan) == (first, first.scan)
    other = _sent(PDF, "card.pdf", reason="A better scan.")
    eye.post("correct_card", "OP-01", second.pk, data=other)
    third = _card()
    assert third.scan.file_kind == "pdf"
    # The version before still shows what it was read from.
    assert eye.get("card_scan", "OP-01", first.pk).status_code == 200
    assert "The scan kept with it" in words(eye.get("operator", "OP-01"))


def test_a_scan_of_another_job_is_not_taken_but_stays_with_its_own_card(
    site, elsewhere
):
    eye = Visitor(site.qc)
    eye.post("record_card", "OP-01", data=_sent(PDF, "card.pdf"))
    first = _card()
    with clock_at("2026-09-14 10:00"):
        there = make_member(
            elsewhere.job,
            elsewhere.admin.user,
            Role.CONTRACTOR_QC,
            site.contractor,
            "Tobiah Renn",
        )
        errors = refused(
            record_certification,
            id=new_id(), by=there, operator=site.operator,
            card=card(number="W-1", scan=first.scan),
        )  # fmt: skip
        assert "is not of this job" in errors["scan"][0]
        read_again = card(number="WO-78", scan=first.scan)
        second = record_certification(
            id=new_id(), by=there, operator=site.operator, card=read_again,
            supersedes=first, reason="Read again on the other job.",
        )  # fmt: skip
    assert second.scan == first.scan


def test_who_may_not_read_the_operator_finds_no_scan(site, elsewhere):
    eye = Visitor(site.qc)
    eye.post("record_card", "OP-01", data=_sent(_picture()))
    eye.post("state_experience", "OP-01", data=_stated(PDF))
    stated = Experience.objects.get()
    asked = [("card_scan", _card().pk), ("experience_paper", stated.pk)]
    for name, pk in asked:
        for who, status in (
            (site.engineer, 200),
            (site.members["owner"], 200),
            (site.other_qc, 404),
            (site.members["laboratory"], 403),
        ):
            assert Visitor(who).get(name, "OP-01", pk).status_code == status, who
        # Not under another operator, and nothing to a stranger or without signing in.
        assert eye.get(name, "OP-02", pk).status_code == 404
        address = eye.url(name, "OP-01", pk)
        assert Visitor(elsewhere.qc).client.get(address).status_code == 404
        eye.client.logout()
        assert eye.client.get(address).status_code == 302
        eye.client.force_login(site.qc.user)


def test_a_card_without_a_scan_has_none_to_send(site):
    bare = Certification.objects.get(operator=site.operator)
    assert Visitor(site.qc).get("card_scan", "OP-01", bare.pk).status_code == 404


def test_a_scan_that_is_gone_from_the_disk_is_not_found(site, files):
    eye = Visitor(site.qc)
    eye.post("record_card", "OP-01", data=_sent(PDF, "card.pdf"))
    for file in files.rglob("*"):
        if file.is_file():
            file.write_bytes(b"changed")
    assert eye.get("card_scan", "OP-01", _card().pk).status_code == 404


def test_a_statement_is_corrected_with_a_reason_and_keeps_its_paper(site):
    eye = Visitor(site.qc)
    eye.post("state_experience", "OP-01", data=_stated(PDF))
    first = Experience.objects.get()
    page = words(eye.get("operator", "OP-01"))
    assert "What states it" in page
    shown = eye.get("correct_experience", "OP-01", first.pk).content.decode()
    assert 'value="640' in shown
    with nothing_written():
        errors = complaints(
            eye.post("correct_experience", "OP-01", first.pk, data=_stated())
        )
    assert list(errors) == ["reason"]
    sent = _stated(hours="460", reason="Two figures were exchanged.")
    for _ in range(2):  # pressed twice
        response = eye.post("correct_experience", "OP-01", first.pk, data=sent)
        assert response.status_code == 302
    second = Experience.objects.get(supersedes=first)
    assert (second.hours, second.attachment) == (460, first.attachment)
    page = words(eye.get("operator", "OP-01"))
    assert "wet, hand 460" in page
    assert "Two figures were exchanged." in page
    assert "640" not in page
    assert eye.get("correct_experience", "OP-01", first.pk).status_code == 404
    assert eye.get("correct_experience", "OP-02", second.pk).status_code == 404
    assert Visitor(site.other_qc).get(
        "correct_experience", "OP-01", second.pk
    ).status_code == 404  # fmt: skip


def test_a_statement_that_is_refused_keeps_no_paper(site, files):
    sent = _stated(PDF, last_shot_on="2026-07-19")
    with nothing_written():
        errors = complaints(
            Visitor(site.qc).post("state_experience", "OP-01", data=sent)
        )
    assert list(errors) == ["last_shot_on"]
    assert list(files.rglob("*")) == []


def test_the_field_reads_as_much_as_is_kept():
    assert PaperField.MOST_BYTES == papers.MOST_BYTES
