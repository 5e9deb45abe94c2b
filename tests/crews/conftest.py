"""One small job for every test of the crew, with an accepted mock-up."""

from __future__ import annotations

import pytest

from tests.factories import Site, make_site, with_mock_up


@pytest.fixture
def site(db) -> Site:
    return make_site()


@pytest.fixture
def qualified(site: Site) -> Site:
    """The same, and the first operator's mock-up of the wall is accepted."""
    with_mock_up(site)
    return site
