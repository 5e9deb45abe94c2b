"""The packet as a document: its bytes, its pages, what can be found in it."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from copy import deepcopy
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from inspections.packet.build import build_pdf
from inspections.packet.pictures import folder
from inspections.packet.shape import LAYOUT
from project.actions.files import keep_bytes, kept_path
from project.domain.canonical import sha256_of
from tests.packet.conftest import Drawn
from tests.packet.sample import photograph_bytes, sample
from tests.support.tools import need_program

_BUILD = """
import json, sys
from pathlib import Path
import django
django.setup()
from inspections.packet.build import build_pdf
from inspections.packet.pictures import folder
snapshot = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
print(build_pdf(snapshot, pictures=folder(Path(sys.argv[2])), out=Path(sys.argv[3])).sha256)
"""


def test_the_same_snapshot_gives_the_same_bytes_in_other_processes(
    drawn: Drawn, tmp_path: Path
) -> None:
    snapshot = tmp_path / "snapshot.json"
    # Keys in another order: a snapshot read back from a database may come so.
    turned = dict(reversed(drawn.snapshot.items()))
    snapshot.write_text(json.dumps(turned), encoding="utf-8")
    hashes = set()
    for seed in ("1", "2024"):
        said = subprocess.run(
            [
                sys.executable,
                "-c",
                _BUILD,
                str(snapshot),
                str(drawn.pictures),
                str(tmp_path / f"{seed}.pdf"),
            ],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": "Asia/Tokyo"},
            check=True,
            capture_output=True,
            text=True,
        )
        hashes.add(said.stdout.strip())
    assert hashes == {drawn.built.sha256}


def test_the_hash_is_the_file_s(drawn: Drawn) -> None:
    assert sha256(drawn.path.read_bytes()).hexdigest() == drawn.built.sha256


def test_qpdf_finds_nothing_to_complain_of(drawn: Drawn) -> None:
    command = [need_program("qpdf"), "--check", str(drawn.path)]
    said = subprocess.run(command, capture_output=True, text=True, check=False)
    assert said.returncode == 0, said.stdout + said.stderr


def test_every_font_is_embedded(drawn: Drawn) -> None:
    fonts = {}
    pages: Any = drawn.reader.pages
    for page in pages:
        for font in page["/Resources"]["/Font"].values():
            described = font.get_object()
            fonts[described["/BaseFont"]] = described
    assert len(fonts) == 3
    for name, font in fonts.items():
        assert "/FontFile2" in font["/FontDescriptor"].get_object(), name
        assert "/ToUnicode" in font, name


def test_each_page_says_page_x_of_y(drawn: Drawn) -> None:
    texts = drawn.texts
    assert len(texts) == drawn.built.pages
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text


def test_each_foot_names_contract_packet_cut_and_snapshot(drawn: Drawn) -> None:
    digest = sha256_of(drawn.snapshot)
    short = " ".join(digest[at : at + 4] for at in range(0, 16, 4))
    for text in drawn.texts:
        foot = text
        assert "OV-2617, packet 2, revision 0" in foot
        assert "Cut Sun 16 Aug 2026, 23:59 America/Denver" in foot
        assert f"snapshot {short}" in foot


def _outline(reader: Any, entries: Any, level: int = 0) -> list[tuple[int, str, int]]:
    found = []
    for entry in entries:
        if isinstance(entry, list):
            found += _outline(reader, entry, level + 1)
        else:
            page = reader.get_destination_page_number(entry) + 1
            found.append((level, " ".join(entry.title.split()), page))
    return found


def test_bookmarks_lead_to_the_pages_that_the_contents_name(drawn: Drawn) -> None:
    reader = drawn.reader
    outline = _outline(reader, reader.outline)
    titles = [title for _level, title, _page in outline]
    assert titles[:3] == ["Cover", "The week on one page", "Contents"]
    assert titles[-1] == "Record page"
    texts = drawn.texts
    for _level, title, page in outline[3:]:
        assert title in texts[2]  # the contents
        assert title.split(",")[0] in texts[page - 1]


def test_the_contents_print_the_real_page_numbers_in_order(drawn: Drawn) -> None:
    reader: Any = drawn.reader
    page = reader.pages[2]
    form = page["/Resources"]["/XObject"]["/FormXob.contents1"].get_object()
    printed = re.findall(r"\((\d+)\) Tj", form.get_data().decode("latin-1"))
    outline = _outline(reader, reader.outline)
    wanted = [str(page) for _level, title, page in outline if title != "Contents"]
    assert printed == wanted
    assert len(page["/Annots"]) == len(wanted)


def test_every_record_can_be_found(drawn: Drawn) -> None:
    text = " ".join(drawn.texts)
    snapshot = drawn.snapshot
    for record in snapshot["records"]:
        assert record["code"] in text
        assert record["sha256"] in text
    for report in snapshot["sections"]["reports"]:
        assert report["sha256"] in text
        for load in report["loads"]:
            assert load["ticket"] in text
    for row in snapshot["sections"]["deficiencies"]["rows"]:
        assert " ".join(row["words"].split())[:40] in text or row["code"] in text


def test_what_was_placed_while_not_qualified_is_told_with_every_reason(
    drawn: Drawn,
) -> None:
    text = " ".join(drawn.texts)
    row = drawn.snapshot["sections"]["roster"]["not_qualified"][0]
    assert "Placed while not qualified on record" in text
    for reason in drawn.snapshot["verdicts"][row["verdict"]]["reasons"]:
        assert reason["requirement"][:30] in text
        assert reason["source"] in text
    assert text.count("not met") == 2


def test_the_cautions_are_on_the_second_page(drawn: Drawn) -> None:
    text = drawn.texts[1]
    assert "not a substitute for the contract documents, the adopted local code" in text
    assert "licensed practice" in text


def test_photographs_are_copied_byte_for_byte_without_notes(drawn: Drawn) -> None:
    placed = {}
    pages: Any = drawn.reader.pages
    for page in pages:
        for thing in page["/Resources"].get("/XObject", {}).values():
            thing = thing.get_object()
            if thing.get("/Subtype") == "/Image":
                assert thing["/Filter"] == "/DCTDecode"
                data = thing._data
                placed[sha256(data).hexdigest()] = data
    wanted = {one["sha256"] for one in drawn.snapshot["sections"]["photographs"]}
    assert set(placed) == wanted
    assert all(b"Exif" not in data for data in placed.values())


def test_a_broken_photograph_costs_a_placeholder_never_the_packet(
    drawn: Drawn, build, tmp_path: Path
) -> None:
    snapshot = deepcopy(drawn.snapshot)
    photographs = snapshot["sections"]["photographs"]
    with_notes = photograph_bytes(900, size=(160, 120))
    with_notes = with_notes[:2] + b"\xff\xe1\x00\x08Exif\x00\x00" + with_notes[2:]
    cut = photograph_bytes(901, size=(160, 120), noise=True)
    photographs[0]["sha256"] = "0" * 64
    photographs[1]["sha256"] = keep_bytes(drawn.pictures, b"<html>", suffix=".jpg")
    photographs[2]["sha256"] = keep_bytes(drawn.pictures, with_notes, suffix=".jpg")
    photographs[3]["sha256"] = keep_bytes(drawn.pictures, cut, suffix=".jpg")
    damaged = kept_path(drawn.pictures, photographs[3]["sha256"], suffix=".jpg")
    damaged.write_bytes(cut[: len(cut) // 2])
    photographs[4]["sha256"] = "../../etc/passwd"
    other = build(snapshot)
    assert other.built.exceptions == (
        "PH-032: the file is missing",
        "PH-033: it is not a JPEG",
        "PH-034: it still carries the camera's notes",
        "PH-035: the file is not the one that was recorded",
        "PH-036: the file is missing",
    )
    text = " ".join(other.texts)
    assert "PH-033 cannot be shown: it is not a JPEG" in text
    assert "PH-034: it still carries the camera's notes" in text  # the record page
    assert other.built.pages == drawn.built.pages


def test_a_letter_no_face_has_is_printed_as_its_code_and_named(
    drawn: Drawn, build
) -> None:
    snapshot = drawn.short()
    snapshot["hands"][0]["name"] = "山 Ellingsrud"
    snapshot["hands"][1]["name"] = "Nguyễn Thị Phượng"
    other = build(snapshot)
    text = other.texts[0]
    assert "[U+5C71] Ellingsrud" in text
    assert "Nguyễn Thị Phượng" in text
    assert other.built.exceptions == (
        "山 Ellingsrud: no letter for U+5C71, printed as the code",
    )


def test_a_week_without_reports_makes_a_packet_that_says_so(
    drawn: Drawn, build
) -> None:
    snapshot = deepcopy(drawn.snapshot)
    sections = snapshot["sections"]
    sections["work"]["rows"] = []
    sections["roster"] = {"shifts": [], "not_qualified": [], "later": []}
    sections["ledger"] |= {"owed": [], "totals": [], "results": [], "panels": []}
    sections["strength"] = []
    sections["deficiencies"] = {"rows": [], "counts": []}
    sections["nonconformances"] = []
    sections["reports"] = []
    sections["photographs"] = []
    snapshot["decide"] = []
    snapshot["missing"] = []
    snapshot["records"] = []
    text = " ".join(build(snapshot).texts)
    for said in (
        "Nothing waits for your decision.",
        "Nothing is missing: every report owed is signed and reviewed.",
        "Nothing was placed in this period.",
        "Nobody held a nozzle in this period.",
        "No panel was owed: nothing was placed.",
        "No panel has been shot yet, so there is no set.",
        "No deficiency was opened or closed, and none is open.",
        "No nonconformance report was raised or closed, and none is open.",
        "No daily field report was signed in this period.",
        "No photograph was taken in this period.",
    ):
        assert said in text


def test_what_was_learned_later_stands_beside_the_frozen_standing(
    drawn: Drawn, build
) -> None:
    snapshot = drawn.short()
    snapshot["sections"]["roster"]["later"] = ["The card had ended; see NCR-003."]
    text = " ".join(build(snapshot).texts)
    assert "Learned later The card had ended; see NCR-003." in text


def test_a_draft_says_so_on_every_page(drawn: Drawn, build) -> None:
    snapshot = drawn.short()
    snapshot["packet"]["state"] = "draft"
    assert all("DRAFT" in text for text in build(snapshot).texts)
    assert not any("DRAFT" in text for text in drawn.texts)


def test_the_paper_is_the_job_s(drawn: Drawn, build) -> None:
    snapshot = drawn.short()
    assert drawn.reader.pages[0].mediabox[2:] == [612, 792]
    snapshot["paper"] = "A4"
    wide, high = build(snapshot).reader.pages[0].mediabox[2:]
    # ISO 216: 210 x 297 mm, in points of 1/72 inch
    assert float(wide) == pytest.approx(210 / 25.4 * 72, abs=0.02)
    assert float(high) == pytest.approx(297 / 25.4 * 72, abs=0.02)


def test_what_the_cover_has_no_room_for_is_asked_on_page_2(drawn: Drawn, build) -> None:
    snapshot = drawn.short()
    first = snapshot["decide"][0]
    snapshot["decide"] = [{**first, "record": f"NCR-{n:03d}"} for n in range(1, 9)]
    texts = build(snapshot).texts
    shown = [n for n in range(1, 9) if f"{n} NCR-{n:03d}" in texts[0]]
    assert shown == list(range(1, len(shown) + 1))
    assert 1 <= len(shown) < 8
    assert f"{8 - len(shown)} more on page 2." in texts[0]
    assert all(f"{n} NCR-{n:03d}" in texts[1] for n in range(len(shown) + 1, 9))
    assert "page 1 of" in texts[0]
    assert "Passed on by" in texts[0]  # the cover stayed one page


def test_another_layout_s_snapshot_is_refused_by_name(
    drawn: Drawn, tmp_path: Path
) -> None:
    snapshot = deepcopy(drawn.snapshot)
    snapshot["layout"] = LAYOUT + 1
    with pytest.raises(ValueError, match=r"snapshot and layout \(1, 2\).* \(1, 1\)"):
        build_pdf(
            snapshot, pictures=folder(drawn.pictures), out=tmp_path / "packet.pdf"
        )


def test_a_failed_build_leaves_the_old_file_and_nothing_else(
    drawn: Drawn, tmp_path: Path
) -> None:
    out = tmp_path / "packet.pdf"
    out.write_bytes(b"the issued one")
    snapshot = sample()
    snapshot["sections"]["deficiencies"]["rows"][0]["mark"]["stamp"] = "no such stamp"
    with pytest.raises(ValueError, match="no such stamp"):
        build_pdf(snapshot, pictures=folder(drawn.pictures), out=out)
    assert out.read_bytes() == b"the issued one"
    assert list(tmp_path.iterdir()) == [out]


def test_a_float_in_a_snapshot_is_refused(drawn: Drawn, tmp_path: Path) -> None:
    snapshot: Any = deepcopy(drawn.snapshot)
    snapshot["packet"]["number"] = 2.0
    with pytest.raises(TypeError, match="float"):
        build_pdf(snapshot, pictures=folder(drawn.pictures), out=tmp_path / "p.pdf")
