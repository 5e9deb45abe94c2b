"""tests/run adds up honestly: what failed, and what was not run at all."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from tests.support import cluster, programs, steps

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.delenv("CI", raising=False)
    done = steps.Run(tmp_path, "")
    done.results = [
        steps.Result("lint", True, 1.0),
        steps.Result("domain", True, 2.0, passed=7, skipped=1),
    ]
    return done


def _closed(run, capsys):
    code = steps.close(run, 3.0)
    return code, capsys.readouterr().out.strip().splitlines()


def test_all_well_is_zero_and_the_last_line_is_the_sum(run, capsys):
    run.results.append(steps.Result("sqlite", True, 2.0, passed=5))
    code, lines = _closed(run, capsys)
    assert code == 0
    assert lines[-1] == "12 passed, 0 failed, 1 skipped"


def test_a_failed_step_without_tests_counts_as_one(run, capsys):
    run.results.append(steps.Result("types", False, 9.0))
    run.results.append(steps.Result("sqlite", False, 9.0, passed=3, failed=2))
    code, lines = _closed(run, capsys)
    assert code == 1
    assert lines[-2:] == ["FAILED: types, sqlite", "10 passed, 3 failed, 1 skipped"]


def test_a_part_not_run_is_said_and_counted_as_skipped(run, capsys):
    run.not_run.append("browser tests: apt-get install chromium")
    code, lines = _closed(run, capsys)
    assert code == 0
    assert "!!! NOT RUN browser tests: apt-get install chromium" in lines
    assert lines[-1] == "7 passed, 0 failed, 2 skipped"


def test_with_ci_a_part_not_run_is_a_failure(run, capsys, monkeypatch):
    monkeypatch.setenv("CI", "true")
    run.not_run.append("browser tests: apt-get install chromium")
    code, lines = _closed(run, capsys)
    assert code == 1
    assert lines[-1] == "7 passed, 1 failed, 1 skipped"


def test_what_is_missing_is_named_with_how_to_get_it(run, monkeypatch):
    monkeypatch.setattr(programs.shutil, "which", lambda _: None)
    monkeypatch.setattr(cluster, "programs", lambda: None)
    parts = steps.parts_of(run)
    assert not {"postgresql", "browser"} & set(parts)
    steps.note_missing_programs(run)
    said = "\n".join(run.not_run)
    for package in (
        "postgresql",
        "chromium",
        "qpdf",
        "poppler-utils",
        "gettext",
        "zbar-tools",
    ):
        assert f"apt-get install {package}" in said


def test_quick_leaves_out_what_it_says(run):
    run.asked = "--quick"
    assert [*steps.parts_of(run)] == [*steps.static_steps(), "sqlite", "domain"]
    assert run.not_run == []
    assert run.left_out == ["database tests on PostgreSQL", "browser tests"]


@pytest.mark.slow
def test_a_run_on_another_engine_than_meant_is_not_green(run):
    one = ["tests/test_sockets.py", "-k", "this_machine_is_reached"]
    result, said = steps.run_tests(run, "invented", one, vendor="postgresql")
    assert result.passed == 1
    assert not result.ok
    assert "meant for postgresql, ran on sqlite" in said


@pytest.mark.slow
def test_a_run_that_found_no_test_is_not_green(run):
    none = ["tests/test_sockets.py", "-k", "no_test_of_this_name"]
    result, said = steps.run_tests(run, "invented", none)
    assert not result.ok
    assert "not one test was found" in said


@pytest.mark.slow
def test_quick_begins_no_test_too_late_and_says_how_many(run, capsys):
    run.asked, run.began = "--quick", run.began - steps.LAST_START
    result, said = steps.run_tests(run, "invented", ["tests/test_sockets.py"])
    assert result.passed == 0
    assert "6 tests left out for want of time" in said
    steps.close(run, 80.0)
    assert "6 invented tests for want of time" in capsys.readouterr().out


def test_two_parts_run_at_once_and_are_reported_in_order(run, monkeypatch, capsys):
    both = threading.Barrier(2)

    def part(name):
        both.wait(timeout=30)
        return steps.Result(name, True, 0.0), f"what {name} said"

    parts = {name: lambda name=name: part(name) for name in ("lint", "sqlite")}
    monkeypatch.setattr(steps, "parts_of", lambda _: parts)
    run.results.clear()
    steps.run_two_at_a_time(run)
    assert [result.name for result in run.results] == ["lint", "sqlite"]
    said = capsys.readouterr().out
    assert said.index("what lint said") < said.index("what sqlite said")


_TWO_AT_A_TIME = """
import sys
from functools import partial
from tests.support import steps

def part(name):
    begin_and_wait = "import sys, time; open(sys.argv[1], 'w').close(); time.sleep(60)"
    command = [sys.executable, "-c", begin_and_wait, f"{sys.argv[1]}/{name}"]
    code, said = steps.call(command)
    return steps.Result(name, code == 0, 0.0), said

names = ("domain", "sqlite", "postgresql", "browser")
steps.parts_of = lambda run: {name: partial(part, name) for name in names}
sys.exit(steps.main(""))
"""


def test_who_ends_a_run_ends_both_parts_and_nothing_more_is_begun(tmp_path):
    command = [sys.executable, "-c", _TWO_AT_A_TIME, str(tmp_path)]
    with subprocess.Popen(command, cwd=ROOT) as ended:
        until = time.monotonic() + 30
        while len(list(tmp_path.iterdir())) < 2 and time.monotonic() < until:
            time.sleep(0.02)
        ended.terminate()
        # It waits for what it began, so it is back only when both were ended.
        assert ended.wait(timeout=30) == 143
    assert {file.name for file in tmp_path.iterdir()} == {"domain", "sqlite"}


def test_an_unknown_word_is_refused_with_what_is_allowed():
    command = [sys.executable, str(ROOT / "tests" / "run"), "--fast"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "'--fast'; allowed: --quick, --long, or nothing" in done.stdout
