"""The page writer, and what it relies on in the PDF library."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from inspections.packet.faces import TEXT, Style
from inspections.packet.pictures import folder, usable
from inspections.packet.writer import About, Writer
from project.actions.files import keep_bytes
from project.charts.drawing import Ink
from tests.packet.sample import photograph_bytes

_STYLE = Style(TEXT, 10)
_MADE = datetime(2026, 8, 17, 5, 59, tzinfo=UTC)


def _about() -> About:
    return About("Packet 2", "An agency", "A job", "snapshot 5e0c", "en", _MADE)


def _reader(file: BytesIO) -> Any:
    return PdfReader(BytesIO(file.getvalue()), strict=True)


@pytest.fixture
def file() -> BytesIO:
    return BytesIO()


@pytest.fixture
def writer(file: BytesIO) -> Writer:
    return Writer(file, size=(612, 792), about=_about())


def test_what_the_file_says_of_itself(writer: Writer, file: BytesIO) -> None:
    writer.text(72, 72, "x", _STYLE)
    writer.end_page()
    writer.save()
    reader = _reader(file)
    assert reader.metadata.title == "Packet 2"
    assert reader.metadata.creation_date == _MADE
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert reader.trailer["/Root"]["/PageMode"] == "/UseOutlines"
    assert "/Trans" not in reader.pages[0]


def test_a_form_drawn_last_shows_on_pages_drawn_before(
    writer: Writer, file: BytesIO
) -> None:
    for _page in range(3):
        writer.text(72, 72, "of", _STYLE)
        writer.place_form("total")
        writer.end_page()
    with writer.form("total"):
        writer.text(90, 72, "3", _STYLE)
    writer.save()
    for page in _reader(file).pages:
        assert page.extract_text().split() == ["of", "3"]


def test_a_form_inside_a_page_leaves_the_page_s_pen_alone(
    writer: Writer, file: BytesIO
) -> None:
    writer.text(72, 72, "before", _STYLE)
    with writer.form("stamp"):
        writer.rect(0, 0, 30, 10, fill=Ink.OXIDE)
    writer.place_form("stamp", 100, 100)
    writer.text(72, 90, "after", _STYLE)
    writer.end_page()
    writer.save()
    page = _reader(file).pages[0]
    code = page.get_contents().get_data().decode("latin-1")
    assert "1 0 0 1 100.00 -100.00 cm" in code  # right and, from the top, down
    # The form set its own ink in its own code: black is said once for the page.
    assert code.count("0 g") == 1
    assert page.extract_text().split() == ["before", "after"]


def test_a_link_leads_to_a_bookmark_drawn_later(writer: Writer, file: BytesIO) -> None:
    writer.text(72, 72, "contents", _STYLE)
    writer.link("work", x=72, y=60, width=100, height=20)
    writer.end_page()
    writer.text(72, 72, "work", _STYLE)
    writer.bookmark("work", y=60)
    writer.outline("Work placed", "work", level=0)
    writer.end_page()
    writer.save()
    reader = _reader(file)
    link = reader.pages[0]["/Annots"][0].get_object()
    assert link["/Rect"] == [72, 712, 172, 732]
    assert link["/F"] == 4  # printed with the page, as an archive demands
    assert reader.get_destination_page_number(reader.outline[0]) == 1


def test_one_picture_shown_twice_is_kept_once(
    writer: Writer, file: BytesIO, tmp_path: Path
) -> None:
    digest = keep_bytes(tmp_path, photograph_bytes(1, size=(64, 48)), suffix=".jpg")
    picture = usable(folder(tmp_path), digest)
    assert (picture.width, picture.height, picture.components) == (64, 48, 3)
    for at in (0, 100):
        writer.picture(picture, x=at, y=0, width=64, height=48)
    writer.end_page()
    writer.save()
    images = [
        thing.get_object()
        for thing in _reader(file).pages[0]["/Resources"]["/XObject"].values()
    ]
    assert len(images) == 1
    assert images[0]["/Width"] == 64
    assert images[0]["/ColorSpace"] == "/DeviceRGB"


def test_text_of_a_face_without_subsets_left_is_still_read_back(
    writer: Writer, file: BytesIO
) -> None:
    """More than 256 letters of one font: the library opens a second subset."""
    codes = [*range(0x386, 0x3CF), *range(0x400, 0x4F0)]
    letters = "".join(chr(code) for code in codes if chr(code).isprintable())
    for n in range(0, len(letters), 40):
        writer.text(72, 72 + n, letters[n : n + 40], _STYLE)
    writer.end_page()
    writer.save()
    read = _reader(file).pages[0].extract_text().replace("\n", "")
    assert set(letters) <= set(read)
