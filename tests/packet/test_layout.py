"""Where words stand on the pages, measured by poppler, which laid none of them out."""

from __future__ import annotations

import re
import subprocess
from copy import deepcopy
from pathlib import Path

from inspections.packet.flow import LEFT, RIGHT
from tests.packet.conftest import Drawn
from tests.support.tools import need_program


def _outside(path: Path) -> list[tuple[float, ...]]:
    """Return the boxes of words beyond the margins, as poppler measures them."""
    command = [need_program("pdftotext"), "-bbox", str(path), "-"]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    size = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', said)
    assert size is not None
    width, height = float(size[1]), float(size[2])
    box = re.compile(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)"')
    words = [tuple(map(float, found)) for found in box.findall(said)]
    assert len(words) > 5000
    return [
        (left, top, right, bottom)
        for left, top, right, bottom in words
        if left < LEFT - 0.5
        or right > width - RIGHT + 0.5
        or top < 8
        or bottom > height - 14
    ]


def test_nothing_is_written_outside_the_margins(drawn: Drawn) -> None:
    assert _outside(drawn.path) == []


def _clashes(path: Path) -> list[tuple[int, str, str]]:
    """Return the pairs of words that share ink, as poppler measures them."""
    command = [need_program("pdftotext"), "-bbox", str(path), "-"]
    said = subprocess.run(command, capture_output=True, text=True, check=True)
    number = r'"(-?[\d.]+)"'
    found = re.compile(
        rf"xMin={number} yMin={number} xMax={number} yMax={number}>([^<]*)<"
    )
    clashes = []
    for page, text in enumerate(said.stdout.split("<page ")[1:], 1):
        boxes = sorted(
            (float(top), float(left), float(right), float(bottom), word)
            for left, top, right, bottom, word in found.findall(text)
        )
        for n, (top, left, right, bottom, word) in enumerate(boxes):
            for top2, left2, right2, bottom2, word2 in boxes[n + 1 :]:
                if top2 > bottom:
                    break
                wide = min(right, right2) - max(left, left2)
                high = min(bottom, bottom2) - top2
                if wide > 0.6 and high > 0.55 * min(bottom - top, bottom2 - top2):
                    clashes.append((page, word, word2))
    return clashes


def test_words_never_overlap(drawn: Drawn) -> None:
    assert _clashes(drawn.path) == []


def test_long_names_and_codes_overlap_nothing(drawn: Drawn, build) -> None:
    """40 letters of code without a place to break, and a name no look's face can set."""
    snapshot = deepcopy(drawn.snapshot)
    code, name = (
        "R3-LOWER-LIFT-STATION-0120-0180-NORTH-WING",
        "Nguyễn Thị Phượng Đặng Trần",
    )
    sections = snapshot["sections"]
    for placed in sections["work"]["rows"]:
        placed["part"], placed["operators"] = code, [name, name]
    for shift in sections["roster"]["shifts"]:
        for row in shift["rows"]:
            row["part"], row["name"] = code, name
    for owed in sections["ledger"]["owed"]:
        owed["part"] = code
    for panel in sections["ledger"]["panels"]:
        panel["part"] = code
    for series in sections["strength"]:
        for one in series["early"]:
            one["place"] = code
    for deficiency in sections["deficiencies"]["rows"]:
        deficiency["part"] = deficiency["item"] = code
        deficiency["words"] *= 30
    for report in sections["reports"]:
        report["inspector"] = name
        report["lines"].append({"label": code, "words": "A long remark. " * 400})
        for load in report["loads"]:
            load["ticket"] = code
        for walked in report["rounds"]:
            walked["part"] = code
    snapshot["hands"][0]["name"] = name
    other = build(snapshot)
    assert _clashes(other.path) == []
    assert _outside(other.path) == []
    assert other.built.exceptions == ()


def test_a_chart_stands_with_its_sets_and_all_their_reasons(
    drawn: Drawn, build
) -> None:
    snapshot = drawn.short()
    series = snapshot["sections"]["strength"][1]
    cores = (
        ("5,570", "5,440", "5,110"),
        ("4,950", "5,410", "5,490"),
        ("3,920", "3,310", "3,790"),
    )
    for n, row in enumerate(deepcopy(series["early"])):
        failed = n == 2
        row |= {
            "cores": [f"{core}\N{NO-BREAK SPACE}psi" for core in cores[n]],
            "mean": "3,673.3\N{NO-BREAK SPACE}psi"
            if failed
            else "5,373.3\N{NO-BREAK SPACE}psi",
            "age": "28\N{NO-BREAK SPACE}d",
            "running": "4,776.7\N{NO-BREAK SPACE}psi" if failed else "",
            "mark": {"stamp": "fail" if failed else "pass", "words": ""},
            "verdict": f"set-{n}",
        }
        series["sets"].append(row)
        snapshot["verdicts"][f"set-{n}"] = {
            "rule": "acceptance of a set",
            "state": "fail" if failed else "pass",
            "reasons": [
                {
                    "requirement": f"requirement {m} of set {n}",
                    "state": "fail" if failed else "pass",
                    "found": "3,310\N{NO-BREAK SPACE}psi",
                    "limit": "3,375\N{NO-BREAK SPACE}psi",
                    "margin": "−65\N{NO-BREAK SPACE}psi",
                    "source": "contract",
                    "evidence": [f"LR-{n}"],
                }
                for m in range(3)
            ],
        }
    other = build(snapshot)
    text = " ".join(other.texts)
    for said in ("specified 4,500", "mean 3,825", "least 3,375", "TP-003, 3,673.3"):
        assert said in text
    for n in range(3):
        for m in range(3):
            assert f"requirement {m} of set {n}" in text
    assert _clashes(other.path) == []
