"""Never green on the wrong engine, and nothing left behind."""

from __future__ import annotations

import os
from types import SimpleNamespace
from typing import Any, cast

import pytest
from django.conf import settings
from django.db import connection

from tests.support import cluster, engine


def _session(**options: bool) -> pytest.Session:
    config = SimpleNamespace(getoption=options.__getitem__)
    return cast(pytest.Session, SimpleNamespace(config=config))


def test_a_session_on_another_engine_than_asked_for_stops():
    asked_for_the_other = _session(pg=connection.vendor == "sqlite")
    with pytest.raises(pytest.UsageError, match=f"give {connection.vendor}"):
        engine.pytest_sessionstart(asked_for_the_other)


def test_a_session_on_the_engine_asked_for_goes_on():
    engine.pytest_sessionstart(_session(pg=connection.vendor == "postgresql"))


def test_without_a_server_to_start_the_answer_is_how_to_get_one(monkeypatch):
    monkeypatch.setattr(cluster, "programs", lambda: None)
    with pytest.raises(cluster.NoClusterError, match="apt-get install postgresql"):
        cluster.Cluster()


def test_a_server_that_does_not_start_leaves_nothing(monkeypatch, tmp_path):
    if cluster.programs() is None:
        pytest.skip("no PostgreSQL server here: apt-get install postgresql")
    monkeypatch.setattr(cluster.tempfile, "tempdir", str(tmp_path))
    tmp_path.chmod(0o755)
    server = cluster.Cluster()

    def fail(program: str, *_: Any) -> None:
        raise cluster.NoClusterError(f"{program} failed: invented")

    monkeypatch.setattr(server, "_run", fail)
    with pytest.raises(cluster.NoClusterError, match="initdb failed: invented"):
        server.start()
    assert list(tmp_path.iterdir()) == []


def test_the_session_keeps_its_data_apart():
    folder = os.environ["NOZZLEBOOK_DATA"]
    assert str(settings.NOZZLEBOOK_DATA) == folder
    assert "nozzlebook-tests-" in folder


def test_the_server_itself_says_which_engine_it_is(db, pytestconfig):
    on_postgres = pytestconfig.getoption("pg")
    query = "SELECT version()" if on_postgres else "SELECT sqlite_version()"
    with connection.cursor() as cursor:
        cursor.execute(query)
        (version,) = cursor.fetchone()
    assert version.startswith("PostgreSQL " if on_postgres else "3.")
