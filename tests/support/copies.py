"""Copies of a whole database, for tests that an undone transaction cannot serve.

A live server commits, and write-once tables cannot be emptied afterwards: their
triggers refuse it. So such a test works on a copy of a template and throws it away.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Generator
from contextlib import closing, contextmanager
from itertools import count
from pathlib import Path
from typing import Any, Protocol

from django.db import connection, connections


class Copies(Protocol):
    """Templates by name, and fresh databases made from them."""

    def save(self, name: str) -> None:
        """Keep the database as it is now as the template `name`."""

    def use(self, name: str) -> Any:
        """Point Django at a fresh copy of template `name` for the length of a with."""


def database_copies(folder: Path) -> Copies:
    """Return the copier of the engine in use; SQLite's keeps its files in `folder`."""
    if connection.vendor == "postgresql":
        return PostgresCopies()
    return SqliteCopies(folder)


def _close_everything() -> None:
    """Let go of the database: every connection of this thread, and the shared pool."""
    connections.close_all()
    if connection.vendor == "postgresql":
        connection.close_pool()  # type: ignore[attr-defined]


@contextmanager
def _pointed_at(name: str) -> Generator[None]:
    """Point every thread at another database; the settings are shared by all of them."""
    settings = connections.settings["default"]
    before = settings["NAME"]
    _close_everything()
    settings["NAME"] = name
    try:
        yield
    finally:
        _close_everything()
        settings["NAME"] = before


class SqliteCopies:
    """Copies by SQLite's own backup, which is right even while the log is not empty."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._numbers = count(1)

    def save(self, name: str) -> None:
        """Keep the database as it is now as the template `name`."""
        connection.ensure_connection()
        with closing(sqlite3.connect(self._template(name))) as target:
            connection.connection.backup(target)

    @contextmanager
    def use(self, name: str) -> Generator[None]:
        """Point Django at a fresh copy of template `name` for the length of a with."""
        template = self._template(name)
        if not template.exists():
            raise LookupError(f"no database template {name!r}")
        file = self._folder / f"fresh-{next(self._numbers)}.sqlite3"
        with (
            closing(sqlite3.connect(template)) as source,
            closing(sqlite3.connect(file)) as target,
        ):
            source.backup(target)
        try:
            with _pointed_at(str(file)):
                yield
        finally:
            for left in self._folder.glob(f"{file.name}*"):
                left.unlink()

    def lend(self, name: str, file: Path) -> None:
        """Copy a template to a file, for another session to borrow."""
        shutil.copy(self._template(name), file)

    def borrow(self, name: str, file: Path) -> None:
        """Take a file that another session lent as the template `name`."""
        shutil.copy(file, self._template(name))

    def _template(self, name: str) -> Path:
        return self._folder / f"template-{name}.sqlite3"


class PostgresCopies:
    """Copies by CREATE DATABASE ... TEMPLATE, done from the server's own database."""

    def __init__(self) -> None:
        self._numbers = count(1)
        self._parameters = {
            key: value
            for key, value in connection.get_connection_params().items()
            if key in ("user", "password", "host", "port")
        }

    def save(self, name: str) -> None:
        """Keep the database as it is now as the template `name`."""
        source = connections.settings["default"]["NAME"]
        _close_everything()  # the server copies only what nobody is connected to
        self._run("DROP DATABASE IF EXISTS {} WITH (FORCE)", f"template_{name}")
        self._run("CREATE DATABASE {} TEMPLATE {}", f"template_{name}", source)

    @contextmanager
    def use(self, name: str) -> Generator[None]:
        """Point Django at a fresh copy of template `name` for the length of a with."""
        fresh = f"fresh_{next(self._numbers)}"
        self._run("CREATE DATABASE {} TEMPLATE {}", fresh, f"template_{name}")
        try:
            with _pointed_at(fresh):
                yield
        finally:
            self._run("DROP DATABASE IF EXISTS {} WITH (FORCE)", fresh)

    def _run(self, statement: str, *names: str) -> None:
        import psycopg
        from psycopg import sql

        with psycopg.connect(
            **self._parameters, dbname="postgres", autocommit=True
        ) as server:
            quoted = [sql.Identifier(name) for name in names]
            server.execute(sql.SQL(statement).format(*quoted))
