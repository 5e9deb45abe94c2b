"""The pytest plugin that decides the database before anything reads the settings.

An ordinary hook would come after pytest-django, which reads the settings first: tests
"on PostgreSQL" would then pass on SQLite. So this one wraps, comes first, and looks
again at session start what it is really connected to.
"""

from __future__ import annotations

import gc
import json
import os
import shutil
import signal
import tempfile
import time
from collections.abc import Generator
from pathlib import Path

import pytest

from tests.support.cluster import Cluster, NoClusterError


def _terminated(*_: object) -> None:
    # The server outlives a process that dies of this signal; an exit stops it first.
    pytest.exit("terminated", returncode=143)


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add what tests/run asks for."""
    group = parser.getgroup("nozzlebook")
    group.addoption("--pg", action="store_true", help="run on a throwaway PostgreSQL")
    group.addoption("--long", action="store_true", help="also run tests marked long")
    group.addoption(
        "--write-query-counts", action="store_true", help="write the baseline anew"
    )
    group.addoption("--tally", metavar="FILE", help="write the counts of this run")
    group.addoption(
        "--until", type=float, metavar="EPOCH", help="begin no test after this second"
    )


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_load_initial_conftests(
    early_config: pytest.Config, args: list[str]
) -> Generator[None, object, object]:
    """Give the session an environment of its own: data folder, engine, nothing else."""
    for name in [*os.environ]:
        if name.startswith("NOZZLEBOOK_") or name == "DATABASE_URL":
            del os.environ[name]
    folder = tempfile.mkdtemp(prefix="nozzlebook-tests-")
    early_config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))
    signal.signal(signal.SIGTERM, _terminated)
    # Thousands of tests and their modules, walked again and again by the collector,
    # cost a fifth of the run.
    gc.set_threshold(50_000, 20, 20)
    os.environ["NOZZLEBOOK_DATA"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "project.settings"
    if early_config.known_args_namespace.pg:
        try:
            cluster = Cluster()
            early_config.add_cleanup(cluster.stop)
            cluster.start()
        except NoClusterError as error:
            # Asked for and not possible is an error, never a quiet run elsewhere.
            raise pytest.UsageError(f"--pg: {error}") from error
        os.environ["DATABASE_URL"] = cluster.url
    return (yield)


def wanted_vendor(config: pytest.Config) -> str:
    """Return the engine this session was asked for, in Django's word."""
    return "postgresql" if config.getoption("pg") else "sqlite"


def run_folder(config: pytest.Config) -> Path | None:
    """Return where the parts of one tests/run leave what serves a later part."""
    tally = config.getoption("tally")
    return Path(tally).parent if tally else None


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Keep the SQLite test database in a file: a memory one cannot be copied or shared."""
    from django.conf import settings
    from django.db import connections

    config.addinivalue_line("markers", "django_db: see pytest-django")
    if wanted_vendor(config) == "sqlite":
        file = settings.NOZZLEBOOK_DATA / "test.sqlite3"
        connections.settings["default"]["TEST"]["NAME"] = str(file)


def pytest_sessionstart(session: pytest.Session) -> None:
    """Stop the whole session when it would run on another engine than asked for."""
    from django.db import connection

    wanted = wanted_vendor(session.config)
    if connection.vendor != wanted:
        raise pytest.UsageError(
            f"asked for {wanted}, but the settings give {connection.vendor}"
        )


@pytest.hookimpl(trylast=True)
def pytest_collection_finish() -> None:
    """Let the collector pass over what was imported and collected: it lives to the end."""
    gc.collect()
    gc.freeze()


def pytest_report_header(config: pytest.Config) -> str:
    """Say at the top which engine this is."""
    return f"database: {wanted_vendor(config)}"


_LEFT_OUT = pytest.StashKey[int]()


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> bool | None:
    """Begin no test after --until; how many that left out is counted, and said."""
    until = item.config.getoption("until")
    if until is None or time.time() < until:
        return None
    item.config.stash[_LEFT_OUT] = item.config.stash.get(_LEFT_OUT, 0) + 1
    return True


@pytest.hookimpl(trylast=True)
def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Write the counts for tests/run, which sums several runs into one line."""
    left_out = config.stash.get(_LEFT_OUT, 0)
    if left_out:
        terminalreporter.line(f"{left_out} tests left out for want of time")
    file = config.getoption("tally")
    if not file:
        return
    counts = {
        kind: len(terminalreporter.stats.get(kind, ()))
        for kind in ("passed", "failed", "error", "skipped", "xfailed", "xpassed")
    }
    from django.db import connection

    tally = {"vendor": connection.vendor, "left_out": left_out, **counts}
    Path(file).write_text(json.dumps(tally), encoding="utf-8")
