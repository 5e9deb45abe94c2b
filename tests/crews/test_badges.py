"""Badges: who they name, what scanning opens, and that a stranger finds nothing.

The square code is read back by zbar, an independent reader (ISO/IEC 18004).
"""

from __future__ import annotations

import re
import subprocess
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from project.charts.square import QUIET, dark_runs
from tests.crews.pages import Visitor, words
from tests.support.tools import need_program


def _decoded(text: str, folder: Path) -> str:
    modules, runs = dark_runs(text)
    side = modules + 2 * QUIET
    picture = Image.new("L", (side * 6, side * 6), 255)
    pen = ImageDraw.Draw(picture)
    for column, row, length in runs:
        x, y = (QUIET + column) * 6, (QUIET + row) * 6
        pen.rectangle((x, y, x + length * 6 - 1, y + 5), fill=0)
    where = folder / "code.png"
    kept = BytesIO()
    picture.save(kept, "PNG")
    where.write_bytes(kept.getvalue())
    read = subprocess.run(
        [need_program("zbarimg"), "--quiet", "--raw", str(where)],
        capture_output=True,
        check=True,
        text=True,
    )
    return read.stdout.strip()


@pytest.mark.parametrize(
    "text",
    [
        "http://127.0.0.1:8000/jobs/OV-2617/badges/35b21677-733d-5234-9d17-cf01bb14e253/",
        "https://record.example.org/jobs/A/badges/00000000-0000-0000-0000-000000000000/",
        "x",
    ],
)
def test_an_independent_reader_reads_the_code_back(text, tmp_path):
    assert _decoded(text, tmp_path) == text


def test_a_badge_names_its_holder_and_states_no_qualification(qualified):
    response = Visitor(qualified.qc).get("badges")
    page = words(response)
    assert "Bartosz Ilunga B-001" in page
    assert page.count("States no qualification.") == 2
    sheet = re.search(
        r'<ul class="badges">.*?</ul>', response.content.decode(), re.DOTALL
    )
    assert sheet is not None
    for word in ("qualified", "vertical", "overhead", "wet"):
        assert f" {word}" not in sheet[0].replace("no qualification", "")


def test_one_contractor_prints_no_badge_of_anothers_people(qualified):
    page = words(Visitor(qualified.other_qc).get("badges"))
    assert "Bartosz Ilunga" not in page


def test_only_those_named_are_printed_and_an_unknown_code_is_told(qualified):
    page = words(Visitor(qualified.qc).get("badges", operator="OP-01"))
    assert page.count("States no qualification.") == 1
    page = words(Visitor(qualified.qc).get("badges", operator="OP-99"))
    assert "No operator with a place on this job today: OP-99." in page


def test_scanning_opens_the_standing_now_for_a_member(qualified):
    page = words(Visitor(qualified.inspector).get("badge", qualified.operator.pk))
    assert "R1 qualified" in page
    assert "R6 not qualified" in page


def test_a_stranger_finds_nothing_behind_a_badge(qualified):
    site = qualified
    address = Visitor(site.qc).url("badge", site.operator.pk)
    stranger = Visitor(site.stranger)
    assert stranger.client.get(address).status_code == 404
    stranger.client.logout()
    answer = stranger.client.get(address)
    assert answer.status_code == 302
    assert b"Bartosz" not in answer.content
    assert Visitor(site.other_qc).client.get(address).status_code == 404
