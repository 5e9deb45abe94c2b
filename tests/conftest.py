"""Fixtures of every test, and which tests need what."""

from __future__ import annotations

from collections.abc import Generator
from pathlib import Path

import hypothesis
import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.test import SimpleTestCase, override_settings
from pytest_django import DjangoDbBlocker

from tests.support.copies import Copies, database_copies
from tests.support.demo import demo, demo_template
from tests.support.made_once import (
    _histories,
    _standing,
    gathered,
    pytest_runtest_teardown,
)
from tests.support.site import served
from tests.support.sockets import close_sockets

# A shared machine has slow moments; and a run must find the same things twice.
hypothesis.settings.register_profile("run", deadline=None, derandomize=True)
hypothesis.settings.register_profile(
    "quick", deadline=None, derandomize=True, max_examples=20
)
hypothesis.settings.load_profile("run")

# Fixtures of every test that asks for them, and the hook of histories made once.
__all__ = [
    "_histories",
    "_standing",
    "demo",
    "demo_template",
    "pytest_runtest_teardown",
]

_DATABASE_FIXTURES = {"db", "transactional_db", "django_db_setup", "copies"}
_BROWSER = Path(__file__).parent / "browser"


def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Mark what needs a database or a browser, so that no author has to."""
    left_out = []
    for item in items:
        if item.path.is_relative_to(_BROWSER):
            item.add_marker("browser")
        elif _needs_database(item):
            item.add_marker("database")
        if "demo_template" in getattr(item, "fixturenames", ()):
            item.add_marker("slow")  # the whole demo is built first
        if item.get_closest_marker("long") and not config.getoption("long"):
            left_out.append(item)
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]
    items[:] = gathered(items)


def _needs_database(item: pytest.Item) -> bool:
    if item.get_closest_marker("django_db"):
        return True
    case = getattr(item, "cls", None)
    if case is not None and issubclass(case, SimpleTestCase):
        return bool(case.databases)
    return not _DATABASE_FIXTURES.isdisjoint(getattr(item, "fixturenames", ()))


@pytest.fixture(autouse=True, scope="session")
def _house_rules(django_test_environment: None) -> Generator[None]:
    """Close the sockets, hash fast, and serve the style sheet without collecting it."""
    test_settings = override_settings(
        PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"],
        STORAGES={
            **settings.STORAGES,
            "staticfiles": {
                "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
            },
        },
    )
    with pytest.MonkeyPatch.context() as patch, test_settings:
        close_sockets(patch)
        yield


@pytest.fixture(scope="session")
def copies(
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Copies:
    """Templates of whole databases; `empty` is migrated and holds nothing.

    Save one of your own once per session, then work on fresh copies of it:

        with django_db_blocker.unblock(), copies.use("empty"):
            build_something()
            copies.save("built")
        ...
        with django_db_blocker.unblock(), copies.use("built"):
            ...
    """
    kept = database_copies(tmp_path_factory.mktemp("databases"))
    with django_db_blocker.unblock():
        if not connection.introspection.table_names():
            # pytest-django makes no database where no test of the run asks for `db`.
            call_command("migrate", verbosity=0)
        kept.save("empty")
    return kept


@pytest.fixture
def fresh_db(
    copies: Copies,
    django_db_blocker: DjangoDbBlocker,
    request: pytest.FixtureRequest,
) -> Generator[None]:
    """An empty database of the test's own, where commits are real."""
    if {"db", "transactional_db"} & set(request.fixturenames):
        pytest.fail("fresh_db is a database of its own: do not ask for db beside it")
    with django_db_blocker.unblock(), copies.use("empty"):
        yield


@pytest.fixture
def live_site(fresh_db: None) -> Generator[str]:
    """Return the address of a real server on the test's own empty database."""
    with served() as address:
        yield address
