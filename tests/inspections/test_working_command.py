"""`manage.py working`: lists, writes an example, and makes one calculation."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from inspections.domain.calculation_list import ASKED_MOST, FIRST, by_subject
from inspections.domain.calculations import CALCULATIONS

ROOT = Path(__file__).resolve().parents[2]
EVERY = list(CALCULATIONS)
CORE = {
    "d1": ["3.00", "in"],
    "d2": ["3.00", "in"],
    "length": ["3.60", "in"],
    "load": ["30000", "lbf"],
    "edition": "ibc-2018-1908",
}


@pytest.fixture
def working(monkeypatch):
    """Run the command on an input; return what it wrote."""

    def _working(*args: str, given: object = None) -> str:
        text = given if isinstance(given, str | bytes) else json.dumps(given)
        data = text if isinstance(text, bytes) else text.encode()
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(data)))
        out = io.StringIO()
        call_command("working", *args, stdout=out)
        return out.getvalue()

    return _working


def refused(working, *args: str, given: object = None) -> str:
    with pytest.raises(CommandError) as error:
        working(*args, given=given)
    assert error.value.returncode == 1
    return str(error.value)


def test_the_list_names_every_calculation_in_eighty_columns(working):
    lines = working("--list").splitlines()
    for name, calculation in CALCULATIONS.items():
        assert f"{name}: {calculation.title}" in lines
    assert [line for line in lines if len(line) > 80 and " " in line.strip()] == []
    assert lines[0] == ASKED_MOST.upper()
    one = working("core-strength", "--list")
    assert re.search(r"^    d1 +First diameter: a number above 0 and", one, re.M)
    assert {"  Inputs", "  Settings", "  Sources"} <= set(one.splitlines())


def test_the_list_as_json_tells_each_input_with_units_and_sources(working):
    said = {each["name"]: each for each in json.loads(working("--list", "--json"))}
    assert set(said) == set(CALCULATIONS)
    load = next(i for i in said["core-strength"]["inputs"] if i["name"] == "load")
    assert load["unit"] == "lbf"
    assert "kN" in load["units"]
    assert load["allowed"].startswith("a number above 0 and at most 1,")


def test_those_asked_most_stand_first_and_each_once():
    groups = by_subject(CALCULATIONS.values())
    head, under = groups[0]
    assert head == ASKED_MOST
    first = [each.name for each in under]
    assert first == [name for name in FIRST if name in CALCULATIONS]
    names = [each.name for _, each_under in groups for each in each_under]
    assert sorted(names) == sorted(CALCULATIONS)


@pytest.mark.parametrize("name", EVERY)
def test_an_example_is_taken_as_it_is_written(working, name):
    said = json.loads(working(name, given=working(name, "--example")))
    assert said["calculation"] == name
    assert said["figures"] or said["words"] or said["verdict"]


def test_a_figure_is_written_with_its_steps_sources_and_settings(working):
    changed = CORE | {"settings": {"ld_limit": "under 1.94"}}
    said = json.loads(working("core-strength", given=changed))
    assert said["value"] == ["3900", "psi"]
    assert said["exact"][0].startswith("3896.11")
    assert said["figures"]["strength"]["steps"][0]["source"]
    (ld,) = [used for used in said["settings"] if used["name"] == "ld_limit"]
    assert (ld["value"], ld["source"]) == ("under 1.94", "typed for this calculation")


def test_numbers_are_read_exactly_as_they_are_written(working):
    # 3.060000000000000000001 has no binary double of its own.
    text = json.dumps(CORE).replace('"3.60"', "3.060000000000000000001")
    said = working("core-strength", given=text)
    assert "3.060000000000000000001" in said


def test_an_input_may_be_a_file(working, tmp_path):
    file = tmp_path / "core.json"
    file.write_text(json.dumps(CORE), encoding="utf-8")
    said = json.loads(working("core-strength", "--input", str(file)))
    assert said["value"] == ["3900", "psi"]
    missing = refused(working, "core-strength", "--input", str(tmp_path / "no"))
    assert missing.startswith("--input '")
    odd = refused(working, "core-strength", "--input", "a\0b")
    assert "null byte" in odd


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("", "input: Expecting value"),
        ("[1", "input: "),
        ("[]", "input: no object; allowed is one JSON object"),
        ('{"d1": 1, "d1": 2}', "input: d1 is given twice; allowed"),
        (b"\xff\xfe", "input: 'utf-8' codec"),
        ("[" * 100_000, "input: nested too deeply; allowed"),
        ("1" * 1_000_001, "input: allowed are 1,000,000 bytes"),
        ('{"d1": NaN}', "d1: NaN without a unit; allowed is a number above 0"),
        ('{"d1": [1e999, "in"]}', "d1: 1E+999 in; allowed is a number above 0"),
        ('{"d1": [1e999999999, "in"]}', "d1: 1E+999999999 in; allowed"),
        ('{"d1": ["40", "in"]}', "d1: 40 in; allowed is a number above 0 and at most 12"),
        ('{"d1": ["0", "in"]}', "d1: 0 in; allowed"),
        ('{"d1": {"a": 1}}', "d1: "),
        ("{}", "d1: not given; needed is a number above 0"),
        ("{}", "edition: not given; needed is one of ibc-2018-1908"),
        ('{"edition": "old"}', "edition: old; allowed are ibc-2018-1908"),
        ('{"edition": 4}', "edition: 4; allowed are"),
        ('{"settings": 4}', "settings: 4; allowed is a setting's name"),
        ('{"edition":"ibc-2018-1908","settings":{"ld_limit":"2"}}',
         "settings.ld_limit: 2; allowed is one of 1.75 or less, under 1.94"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_by_name(working, given, said):
    assert said in refused(working, "core-strength", given=given)


def test_an_unknown_name_is_answered_with_those_there_are(working):
    said = refused(working, "core-strenght", given=CORE)
    assert said.startswith("NAME 'core-strenght': allowed are ")
    assert "core-strength" in said


@pytest.mark.parametrize(
    "args",
    [
        (),
        ("--example",),
        ("core-strength", "--json"),
        ("core-strength", "--list", "--example"),
        ("core-strength", "--list", "--input", "x"),
    ],
)
def test_a_wrong_use_is_told_apart_from_wrong_inputs(args):
    ran = subprocess.run(
        [sys.executable, "manage.py", "working", *args],
        cwd=ROOT, capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert ran.returncode == 2
    assert "usage: " in ran.stderr
    assert "Traceback" not in ran.stderr


def test_from_the_shell_a_fault_goes_to_stderr_and_ends_with_one():
    ran = subprocess.run(
        [sys.executable, "manage.py", "working", "core-strength"],
        cwd=ROOT, capture_output=True, text=True, check=False, input='{"d1": ["40", "in"]}',
    )  # fmt: skip
    assert (ran.returncode, ran.stdout) == (1, "")
    assert "d1: 40 in; allowed is" in ran.stderr
    assert "Traceback" not in ran.stderr


def test_a_quantity_stands_on_one_line_and_is_still_json(working):
    said = working("core-strength", given=CORE)
    assert '"value": ["3900", "psi"],' in said
    assert json.loads(said, parse_float=Decimal)["value"] == ["3900", "psi"]
