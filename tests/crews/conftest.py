"""One small job for every test of the crew, made once and rolled back to each time.

Making it takes longer than most tests. So it is made once, in a transaction that is
never committed; a test's own transaction is a savepoint of that, and it works on
copies of the rows.
"""

from __future__ import annotations

from collections.abc import Generator
from copy import deepcopy

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from tests.factories import Site, make_site, with_mock_up


@pytest.fixture(scope="package")
def _made_once(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Generator[Site]:
    with django_db_blocker.unblock(), transaction.atomic():
        site = make_site()
        site.extra["elsewhere"] = make_site("TW-2")
        yield site
        transaction.set_rollback(True)


@pytest.fixture
def site(_made_once: Site, db: None) -> Site:
    return deepcopy(_made_once)


@pytest.fixture
def elsewhere(site: Site) -> Site:
    """Another whole job, of other firms."""
    return site.extra["elsewhere"]


@pytest.fixture
def qualified(site: Site) -> Site:
    """The first job, where the first operator's mock-up of the wall is accepted."""
    with_mock_up(site)
    return site
