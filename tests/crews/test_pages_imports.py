"""The pages of a file of operators and cards: sent, shown, saved; and files that lie."""

from __future__ import annotations

import io
import re
import zipfile
from hashlib import sha256

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import Workbook

from crews.actions.people import enter_operator
from crews.models import Certification, Operator
from project.forms import spreadsheets
from project.models import new_id
from tests.crews.acts import nothing_written, one_line
from tests.crews.files import (
    HEADS,
    alone,
    csv_file,
    dated,
    read,
    row,
    saved,
    with_part,
    workbook,
    zip_bomb,
)
from tests.crews.pages import Visitor, complaints, words
from tests.factories import clock_at


@pytest.fixture(autouse=True)
def files(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def _send(site, raw, name="cards.csv", *, eye=None, firm=None):
    sent = {
        "organization": (firm or site.contractor).pk,
        "file": SimpleUploadedFile(name, raw),
    }
    return (eye or Visitor(site.qc)).post("import_operators", data=sent)


def _shown(site, raw, name="cards.csv", **asked):
    eye = Visitor(site.qc)
    response = _send(site, raw, name, eye=eye)
    assert response.status_code == 302, complaints(response)
    digest = sha256(raw).hexdigest()
    return eye.get("preview_import", site.contractor.pk, digest, file=name, **asked)


def _hidden(response):
    text = response.content.decode()
    return {
        name: re.search(rf'name="{name}" value="([^"]+)"', text)[1]
        for name in ("id", "digest")
    }


def test_a_file_is_shown_and_then_saved_as_it_was_shown(site):
    raw = csv_file([row(), alone("B-001", "Bartosz Ilunga")])
    with nothing_written():
        shown = _shown(site, raw)
    said = words(shown)
    assert "B-104 Noor Castellane" in said
    assert "New operator 1" in said
    assert "Unchanged 1" in said
    assert "rows 3." in said
    eye = Visitor(site.qc, at="2026-09-14 09:05")
    address = [site.contractor.pk, sha256(raw).hexdigest()]
    sent = _hidden(shown)
    with one_line(site.contractor, "operators.imported"):
        for _ in range(2):  # pressed twice
            response = eye.post("preview_import", *address, data=sent)
            assert response.url == eye.url("operators")
    page = words(eye.get("operators"))
    assert "operators entered 1, cards recorded 1, cards corrected 0" in page
    assert "Enrol the one without a place" in page
    again = words(eye.get("preview_import", *address))
    assert "All of this file is on record already." in again
    assert "Save" not in again


def test_a_workbook_says_the_same_as_a_csv_file(site):
    book = workbook([dated(row()), dated(row(badge="B-105", number="W-2"))])
    plain = csv_file([row(), row(badge="B-105", number="W-2")], delimiter=";")
    assert [one.cells for one in read(book, "cards.xlsx").rows] == [
        one.cells for one in read(plain).rows
    ]
    assert "2 rows" in words(_shown(site, book, "cards.xlsx"))


def test_a_changed_card_asks_for_the_reason(site):
    card = Certification.objects.get(operator=site.operator)
    raw = csv_file(
        [
            row(
                badge="B-001",
                name="Bartosz Ilunga",
                number=card.number,
                classes="wet vertical",
                issued="2023-03-14",
                expires="2028-03-13",
            )
        ]
    )
    shown = _shown(site, raw)
    assert "last valid day : 2028-03-14 → 2028-03-13" in words(shown)
    eye = Visitor(site.qc, at="2026-09-14 09:05")
    address = [site.contractor.pk, sha256(raw).hexdigest()]
    with nothing_written():
        response = eye.post("preview_import", *address, data=_hidden(shown))
    assert complaints(response) == {"reason": ["Say why the cards are corrected."]}
    sent = _hidden(shown) | {"reason": "Read again."}
    assert eye.post("preview_import", *address, data=sent).status_code == 302
    assert Certification.objects.get(supersedes=card).reason == "Read again."


def test_a_record_that_moved_on_is_shown_anew_and_nothing_is_saved(site):
    raw = csv_file([row()])
    shown = _shown(site, raw)
    with clock_at("2026-09-14 09:04"):
        enter_operator(
            id=new_id(),
            by=site.qc,
            organization=site.contractor,
            legal_name="Noor Castellane",
            badge_number="B-104",
        )
    eye = Visitor(site.qc, at="2026-09-14 09:05")
    address = [site.contractor.pk, sha256(raw).hexdigest()]
    with nothing_written():
        response = eye.post("preview_import", *address, data=_hidden(shown))
    assert response.status_code == 422
    assert "The record has changed since this was shown: look again." in words(response)
    assert "New card 1" in words(response)
    sent = _hidden(response)
    assert eye.post("preview_import", *address, data=sent).status_code == 302


def test_a_refused_row_offers_nothing_to_save_and_a_posted_save_is_refused(site):
    raw = csv_file([row(), row(badge="", number="W-2")])
    shown = _shown(site, raw)
    said = words(shown)
    assert "One row is refused, so nothing of this file can be saved." in said
    assert "badge number : is empty; it is needed" in said
    assert 'name="digest"' not in shown.content.decode()
    eye = Visitor(site.qc)
    with nothing_written():
        response = eye.post(
            "preview_import",
            site.contractor.pk,
            sha256(raw).hexdigest(),
            data={"digest": "0" * 64},
        )
    assert "Row 3, badge number: is empty" in words(response)


def test_every_one_of_five_thousand_faults_is_told_page_by_page(site):
    raw = csv_file(
        [row(), *(row(badge=f"B-{i}", number=f"W-{i}", level="?") for i in range(4999))]
    )
    assert _send(site, raw).status_code == 302
    eye = Visitor(site.qc)
    address = [site.contractor.pk, sha256(raw).hexdigest()]
    first = eye.get("preview_import", *address)
    assert "1 to 200 of 5,000 rows" in words(first)
    told = {}
    for page in (1, 2, 25):
        shown = eye.get("preview_import", *address, page=page).content.decode()
        told[page] = shown.count("? is not known; allowed are full")
    # The one good row comes after those that are refused.
    assert told == {1: 200, 2: 200, 25: 199}
    for page in (26, 0, "x"):
        assert eye.get("preview_import", *address, page=page).status_code == 404


_ENTITIES = (
    '<!DOCTYPE a [<!ENTITY x "x"><!ENTITY y "&x;&x;&x;&x;&x;&x;&x;&x;">]>'
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    '<sheetData><row><c t="inlineStr"><is><t>&y;</t></is></c></row></sheetData>'
    "</worksheet>"
)


@pytest.mark.parametrize(
    ("raw", "name", "said"),
    [
        (b"", "a.csv", "a.csv is empty; allowed is a CSV file in UTF-8 or a workbook"),
        (b"\xef\xbb\xbf", "a.csv", "a.csv holds no rows; allowed is heads"),
        (b" ,,\n\n", "a.csv", "a.csv holds no rows"),
        (csv_file([]), "a.csv", "a.csv holds nothing below its heads"),
        (csv_file([], heads=["Name"]), "a.csv", "has a head that is not known: name"),
        (csv_file([], heads=HEADS[1:]), "a.csv", "has no head: badge number"),
        (
            csv_file([], heads=[*HEADS, "ISSUED"]),
            "a.csv",
            "has a head twice: issued; allowed is each head once",
        ),
        (
            csv_file([row(name="Zoë")]).decode("utf-8-sig").encode("latin-1"),
            "a.csv",
            "is not UTF-8: byte EB in line 2",
        ),
        (csv_file([row()]).decode().encode("utf-16"), "a.csv", "is not UTF-8"),
        (b"badge number,legal name\n\0,x", "a.csv", "is not text"),
        (b'badge number,legal name\n"B-1,x', "a.csv", "cannot be read at line 2"),
        (b"\xff\xd8\xff\xe0 picture", "a.jpg", "is not UTF-8: byte FF in line 1"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"0" * 99, "a.xls", "is an old or a"),
        (b"PK\x03\x04 no archive", "a.xlsx", "is damaged and cannot be read"),
        (with_part("xl/vbaProject.bin", b"1"), "a.xlsm", "is a workbook with macros"),
        (with_part("xl/workbook.xml", b"<x"), "a.xlsx", "is damaged and cannot"),
        (
            with_part("xl/worksheets/sheet1.xml", _ENTITIES),
            "a.xlsx",
            "is damaged and cannot be read",
        ),
        (zip_bomb(), "a.xlsx", "unpacks to 64 MB in 2 parts, of 40 MB at most"),
        (b"0" * (spreadsheets.MOST_BYTES + 1), "a.csv", "has more than 5 MB"),
    ],
    ids=lambda value: value[:40] if isinstance(value, str) else None,
)
def test_a_file_that_is_no_table_is_refused_by_its_field(site, files, raw, name, said):
    with nothing_written():
        errors = complaints(_send(site, raw, name))
    if not raw:
        assert "file" in errors
    assert said in errors["file"][0], errors
    assert list(files.rglob("*")) == [], "nothing refused is kept"


def test_a_zip_of_something_else_is_no_workbook(site):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("readme.txt", "hello")
    errors = complaints(_send(site, out.getvalue(), "a.xlsx"))
    assert "is a ZIP file and no workbook (.xlsx)" in errors["file"][0]


def test_a_part_that_lies_about_its_size_is_cut_there(site):
    raw = bytearray(zip_bomb())
    at = raw.index(b"PK\x01\x02", raw.index(b"PK\x01\x02") + 4)
    raw[at + 24 : at + 28] = (1000).to_bytes(4, "little")
    errors = complaints(_send(site, bytes(raw), "a.xlsx"))
    assert "is damaged and cannot be read" in errors["file"][0]


def test_one_row_more_than_is_taken_is_refused(site, monkeypatch):
    monkeypatch.setattr(spreadsheets, "MOST_ROWS", 3)
    three = [row(badge=f"B-{i}", number=f"W-{i}") for i in range(3)]
    four = [*three, row(badge="B-9", number="W-9")]
    for make, name in ((csv_file, "a.csv"), (workbook, "a.xlsx")):
        assert _send(site, make(three), name).status_code == 302
        errors = complaints(_send(site, make(four), name))
        assert "has more rows than 3 below its heads" in errors["file"][0]


def test_other_sheets_are_named_as_not_read(site):
    book = Workbook()
    hidden = book.active
    hidden.title, hidden.sheet_state = "Notes", "hidden"
    sheet = book.create_sheet("Cards")
    sheet.append(HEADS)
    sheet.append(dated(row()))
    said = words(_shown(site, saved(book), "cards.xlsx"))
    assert "Read is the sheet Cards; 1 other was not." in said


def test_a_kept_file_of_another_firm_is_not_found(site):
    raw = csv_file([row()])
    assert _send(site, raw).status_code == 302
    digest = sha256(raw).hexdigest()
    eye = Visitor(site.other_qc)
    for firm in (site.contractor, site.other_contractor):
        assert eye.get("preview_import", firm.pk, digest).status_code == 404
        sent = {"digest": digest}
        assert eye.post("preview_import", firm.pk, digest, data=sent).status_code == 404
    mine = Visitor(site.qc)
    for wrong in ("0" * 64, "../../etc", "ABC"):
        path = mine.url("preview_import", site.contractor.pk, digest)
        assert mine.client.get(path.replace(digest, wrong)).status_code == 404
    assert not Operator.objects.filter(badge_number="B-104").exists()


def test_another_firm_is_not_offered(site):
    errors = complaints(_send(site, csv_file([row()]), firm=site.other_contractor))
    assert "is not on this list" in errors["organization"][0]


def test_the_file_with_the_heads_alone_can_be_read_back(site):
    response = Visitor(site.qc).get("import_template")
    assert response["Content-Disposition"].endswith('"operators-and-cards.csv"')
    assert response.content == csv_file([])


@pytest.mark.parametrize("key", ["owner", "engineer", "reviewer", "laboratory"])
def test_who_may_not_keep_operators_may_not_send_a_file(site, key):
    eye = Visitor(site.members[key])
    for name, args in (
        ("import_operators", []),
        ("import_template", []),
        ("preview_import", [site.contractor.pk, "0" * 64]),
    ):
        assert eye.get(name, *args).status_code == 403
