"""Histories made once, and kept for as long as the next test begins with the same.

Making one through the actions takes longer than most tests that need it:

    @made_once
    def site():
        return make_site()

    @made_once
    def worked(site):
        shoot(site, …)
        return site

A test asks for them as for any fixture. Each is made in a savepoint within those it
grows from, never committed; a test's own transaction is one within the last, and works
on copies of what was returned. So a history may ask for other histories only.
"""

from __future__ import annotations

import inspect
import pickle
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import wraps
from itertools import groupby
from typing import Any

import pytest
from django.db import connection, transaction
from pytest_django import DjangoDbBlocker

_MAKER = "_makes_once"
_STAND = pytest.StashKey["Standing"]()

Maker = Callable[..., Any]


@dataclass(frozen=True)
class _Layer:
    name: str
    maker: Maker
    undone: AbstractContextManager[Any]
    values: bytes  # of this layer and those under it, by name: they share their rows


class Standing:
    """What stands in the database now, one history upon another."""

    def __init__(self, blocker: DjangoDbBlocker) -> None:
        self._blocker = blocker
        self._layers: list[_Layer] = []

    def keep(self, wanted: list[tuple[str, Maker]]) -> None:
        """Take back what does not begin that list of histories."""
        same = 0
        for layer, pair in zip(self._layers, wanted, strict=False):
            if (layer.name, layer.maker) != pair:
                break
            same += 1
        with self._blocker.unblock():
            while len(self._layers) > same:
                transaction.set_rollback(True)
                self._layers.pop().undone.__exit__(None, None, None)

    def stand(self, wanted: list[tuple[str, Maker]]) -> dict[str, Any]:
        """Make what is missing of a list of histories; return copies by name."""
        self.keep(wanted)
        with self._blocker.unblock():
            depth = len(connection.savepoint_ids) + connection.in_atomic_block
            assert depth == len(self._layers), "a history is made before a test's own"
            for name, maker in wanted[len(self._layers) :]:
                self._make(name, maker)
        return self._values()

    def _make(self, name: str, maker: Maker) -> None:
        values = self._values()
        asked = {key: values[key] for key in inspect.signature(maker).parameters}
        undone = transaction.atomic()
        undone.__enter__()
        try:
            values[name] = maker(**asked)
            kept = pickle.dumps(values)
        except BaseException:
            transaction.set_rollback(True)
            undone.__exit__(None, None, None)
            raise
        self._layers.append(_Layer(name, maker, undone, kept))

    def _values(self) -> dict[str, Any]:
        return pickle.loads(self._layers[-1].values) if self._layers else {}


def made_once(maker: Maker) -> Any:
    """Make a fixture of a function whose rows and result many tests begin with."""

    @wraps(maker)
    def made(_histories: dict[str, Any], **_: Any) -> Any:
        return _histories[maker.__name__]

    # As if it asked for what it grows from, so that pytest finds those too.
    asked = inspect.signature(maker).parameters
    names = ["_histories", "db", *asked]
    kind = inspect.Parameter.KEYWORD_ONLY
    made.__signature__ = inspect.Signature(  # type: ignore[attr-defined]
        [inspect.Parameter(name, kind) for name in names]
    )
    setattr(made, _MAKER, maker)
    return pytest.fixture(made)


def _wanted(item: pytest.Item) -> list[tuple[str, Maker]]:
    """Return the histories a test asks for, each after those it grows from."""
    info = getattr(item, "_fixtureinfo", None)
    found: dict[str, Maker] = {}

    def ask(name: str) -> None:
        definitions = info.name2fixturedefs.get(name) if info else None
        maker = getattr(definitions[-1].func, _MAKER, None) if definitions else None
        if maker is not None and name not in found:
            for one in inspect.signature(maker).parameters:
                ask(one)
            found[name] = maker

    for name in sorted(getattr(item, "fixturenames", ())):
        ask(name)
    return [*found.items()]


def gathered(items: list[pytest.Item]) -> list[pytest.Item]:
    """Put the tests of a module that begin with the same history side by side."""
    return [
        item
        for _, ours in groupby(items, key=lambda item: item.path)
        for item in sorted(ours, key=lambda item: [name for name, _ in _wanted(item)])
    ]


@pytest.fixture(scope="session")
def _standing(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, pytestconfig: Any
) -> Iterator[Standing]:
    standing = Standing(django_db_blocker)
    pytestconfig.stash[_STAND] = standing
    yield standing
    standing.keep([])


@pytest.fixture(autouse=True)
def _histories(request: pytest.FixtureRequest) -> dict[str, Any]:
    """Let the test's histories stand before its own transaction begins."""
    wanted = _wanted(request.node)
    if not wanted:
        return {}
    standing: Standing = request.getfixturevalue("_standing")
    return standing.stand(wanted)


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(item: pytest.Item, nextitem: pytest.Item | None) -> None:
    """Take back what the next test does not begin with, before it sees anything."""
    standing = item.config.stash.get(_STAND, None)
    if standing is not None and nextitem is not None:
        standing.keep(_wanted(nextitem))
