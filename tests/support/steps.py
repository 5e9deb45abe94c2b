"""The steps of tests/run, two at a time: each timed, all of them run, none forgotten."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from tests.support import cluster, programs

PY = sys.executable
BIN = Path(PY).parent
DOMAINS = [f"{app}/domain" for app in ("project", "crews", "inspections")]
QUICK_SECONDS = 90
LAST_START = 80  # seconds into --quick after which no further test is begun
NO_TESTS = 5  # pytest's exit code when it collected nothing
RUNNING: set[subprocess.Popen[str]] = set()
STARTING = threading.RLock()  # reentrant: a signal may come to whoever holds it
ENDING = threading.Event()


@dataclass
class Result:
    """How one step went. A failed step without failed tests counts as one failure."""

    name: str
    ok: bool
    seconds: float
    passed: int = 0
    failed: int = 0
    skipped: int = 0


@dataclass
class Run:
    """What has been run so far, and what has not."""

    folder: Path
    asked: str
    began: float = field(default_factory=time.time)
    results: list[Result] = field(default_factory=list)
    not_run: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


def production(folder: Path) -> dict[str, str]:
    """Return the environment of an installation that serves others."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith("NOZZLEBOOK_")}
    kept.pop("DATABASE_URL", None)
    return {
        **kept,
        "NOZZLEBOOK_DATA": str(folder / "production"),
        "NOZZLEBOOK_HOSTS": "records.example",
        "DJANGO_SETTINGS_MODULE": "project.settings",
    }


def static_steps() -> dict[str, list[list[str]]]:
    """Return the commands that read the code without running its tests."""
    manage = [PY, "-W", "error", "manage.py"]
    return {
        "format": [[f"{BIN}/ruff", "format", "--check", "."]],
        "lint": [[f"{BIN}/ruff", "check", "."]],
        "contracts": [[f"{BIN}/lint-imports", "--no-logo"]],
        "types": [[f"{BIN}/mypy"]],
        "templates": [[f"{BIN}/djlint", "--check", "--lint", "templates"]],
        "settings": [
            [*manage, "check", "--deploy", "--fail-level", "WARNING"],
            [*manage, "collectstatic", "--noinput", "--verbosity", "0"],
        ],
        "migrations": [[*manage, "makemigrations", "--check", "--dry-run"]],
    }


def call(command: list[str], env: dict[str, str] | None = None) -> tuple[int, str]:
    """Run a command; return its exit code and everything it said, in order."""
    with STARTING:
        if ENDING.is_set():
            return 143, "not begun: the run was ended\n"
        process = subprocess.Popen(
            command,
            env=env,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        RUNNING.add(process)
    with process:
        said, _ = process.communicate()
        RUNNING.discard(process)
    return process.returncode, said


def end_what_runs(*_: object) -> None:
    """Whoever ends this run ends its steps too; each then clears up behind itself."""
    with STARTING:
        ENDING.set()  # what ends now makes room for nothing
        for process in [*RUNNING]:
            process.terminate()
    raise SystemExit(143)


def read_code(run: Run, name: str) -> tuple[Result, str]:
    """Run the commands of one static step; its words matter only when it fails."""
    start = time.monotonic()
    answers = [call(cmd, production(run.folder)) for cmd in static_steps()[name]]
    ok = not any(code for code, _ in answers)
    said = "" if ok else "".join(words for _, words in answers)
    return Result(name, ok, time.monotonic() - start), said


Part = Callable[[], tuple[Result, str]]  # what a part does, and how it went


def parts_of(run: Run) -> dict[str, Part]:
    """Return what this run does, in the order in which it is reported."""
    # Slow tests are the full run's: --quick is for after each commit.
    unless_slow = " and not slow" if run.asked == "--quick" else ""
    domains = ["--doctest-modules", *(d for d in DOMAINS if Path(d).is_dir())]
    pure = ["-m", f"not database and not browser{unless_slow}", "tests"]
    rows = ["-m", f"database{unless_slow}", "tests"]

    def test(name: str, *arguments: str, vendor: str = "sqlite") -> Part:
        return partial(run_tests, run, name, arguments, vendor=vendor)

    parts: dict[str, Part] = {
        name: partial(read_code, run, name) for name in static_steps()
    }
    parts["sqlite"] = test("sqlite", *rows)
    if postgres_is_here(run):
        parts["postgresql"] = test("postgresql", "--pg", *rows, vendor="postgresql")
    if browser_is_here(run):
        parts["browser"] = test("browser", "tests/browser")
    parts["domain"] = test("domain", *domains, *pure)
    return parts


def run_two_at_a_time(run: Run) -> None:
    """Keep two cores busy to the end; report in order, whatever ended first.

    The long parts come early, and sqlite before all: the browser takes its demo.
    """
    parts = parts_of(run)
    with ThreadPoolExecutor(max_workers=2) as pool:
        begun = {
            name: pool.submit(parts[name])
            for name in sorted(parts, key=lambda name: name != "sqlite")
        }
        try:
            for name in parts:
                result, said = begun[name].result()
                if said:
                    print(f"\n--- {result.name}\n{said.strip()}\n")
                report(run, result)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)  # begin nothing more
            raise


def report(run: Run, result: Result) -> None:
    """Keep and print one step's outcome."""
    run.results.append(result)
    word = "ok" if result.ok else "FAILED"
    print(f"{result.name:<12} {result.seconds:6.1f} s  {word}", flush=True)


def run_tests(
    run: Run, name: str, arguments: Sequence[str], *, vendor: str = "sqlite"
) -> tuple[Result, str]:
    """Run pytest once; it must have run tests, and on the engine it was meant for."""
    tally = run.folder / f"{name}.json"
    measured = run.asked == "--long" and name in ("domain", "sqlite")
    program = [PY, "-m", "coverage", "run", "-m"] if measured else [PY, "-m"]
    options = ["--continue-on-collection-errors", f"--tally={tally}"]
    # A cache of its own: two parts at once would each write over what the other knew.
    options += ["-o", f"cache_dir=.pytest_cache/{name}"]
    if run.asked == "--quick":
        # What failed last and what was changed last comes first, while there is time.
        until = run.began + LAST_START
        options += ["--ff", "--nf", f"--until={until}", "--hypothesis-profile=quick"]
    elif run.asked == "--long":
        options.append("--long")
    start = time.monotonic()
    code, said = call([*program, "pytest", "-q", *options, *arguments])
    seconds = time.monotonic() - start
    counts = json.loads(tally.read_text()) if tally.exists() else {}
    result = Result(
        name,
        code == 0,
        seconds,
        passed=counts.get("passed", 0) + counts.get("xfailed", 0),
        failed=counts.get("failed", 0) + counts.get("error", 0),
        skipped=counts.get("skipped", 0),
    )
    if counts.get("left_out"):
        run.left_out.append(f"{counts['left_out']} {name} tests for want of time")
    if code == NO_TESTS:
        said += f"{name}: not one test was found, and nothing proves nothing.\n"
    if result.ok and counts.get("vendor") != vendor:
        said += f"{name}: meant for {vendor}, ran on {counts.get('vendor')}.\n"
        result.ok = False
    return result, said


def browser_is_here(run: Run) -> bool:
    """Whether the browser tests are run, in Debian's Chromium; if not, it is said."""
    if run.asked == "--quick":
        run.left_out.append("browser tests")
        return False
    if not shutil.which("chromium"):
        run.not_run.append("browser tests: no chromium here: apt-get install chromium")
        return False
    return True


def postgres_is_here(run: Run) -> bool:
    """Whether the database tests are run on PostgreSQL too; if not, it is said."""
    if run.asked == "--quick":
        run.left_out.append("database tests on PostgreSQL")
        return False
    try:
        cluster.Cluster()
    except cluster.NoClusterError as error:
        run.not_run.append(f"database tests on PostgreSQL: {error}")
        return False
    return True


def run_coverage(run: Run) -> None:
    """With --long: what the domain and database tests walked, against the floors."""
    start = time.monotonic()
    floors = [
        ["report", "--fail-under=90", "--format=total"],
        ["report", "--fail-under=100", "--include=*/domain/*,*/actions/*,*/actions.py"],
    ]
    subprocess.run([PY, "-m", "coverage", "combine", "--quiet"], check=False)
    codes = [
        subprocess.run([PY, "-m", "coverage", *floor], check=False).returncode
        for floor in floors
    ]
    report(run, Result("coverage", not any(codes), time.monotonic() - start))


def note_missing_programs(run: Run) -> None:
    """Name the second opinions that are not here; their tests skip by themselves."""
    for program, package in programs.missing().items():
        if program != "chromium":
            run.not_run.append(
                f"tests that ask {program}: not here: apt-get install {package}"
            )


def close(run: Run, seconds: float) -> int:
    """Say what failed and what was not run; the last line is pytest's, summed up."""
    strict = bool(os.environ.get("CI"))
    failed = [result for result in run.results if not result.ok]
    print()
    for result in run.results:
        word = "ok" if result.ok else "FAILED"
        print(f"{result.name:<12} {result.seconds:6.1f} s  {word}")
    print(f"{'all':<12} {seconds:6.1f} s")
    if run.asked == "--quick" and seconds > QUICK_SECONDS:
        print(f"--quick took more than {QUICK_SECONDS} s: mark what is slow as slow.")
    if run.left_out:
        print(f"Left out by --quick: {', '.join(run.left_out)}.")
    for part in run.not_run:
        print(f"!!! NOT RUN {'(a failure: CI is set) ' if strict else ''}{part}")
    if failed:
        print(f"FAILED: {', '.join(result.name for result in failed)}")
    missed = len(run.not_run)
    total_failed = sum(result.failed or 1 for result in failed) + missed * strict
    passed = sum(result.passed for result in run.results)
    skipped = sum(result.skipped for result in run.results) + missed * (not strict)
    print(f"{passed} passed, {total_failed} failed, {skipped} skipped", flush=True)
    return 1 if total_failed else 0


def main(asked: str) -> int:
    """Run every step; a failure stops none of the others."""
    signal.signal(signal.SIGTERM, end_what_runs)
    start = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="nozzlebook-run-") as folder:
        run = Run(Path(folder), asked)
        run_two_at_a_time(run)
        if asked == "--long":
            run_coverage(run)
        note_missing_programs(run)
        return close(run, time.monotonic() - start)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else ""))
