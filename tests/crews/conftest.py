"""One small job for every test of the crew, made once."""

from __future__ import annotations

import pytest

from tests.factories import Site, make_site, with_mock_up
from tests.support.made_once import made_once


@made_once
def site() -> Site:
    site = make_site()
    site.extra["elsewhere"] = make_site("TW-2")
    return site


@pytest.fixture
def elsewhere(site: Site) -> Site:
    """Another whole job, of other firms."""
    return site.extra["elsewhere"]


@made_once
def qualified(site: Site) -> Site:
    """The first job, where the first operator's mock-up of the wall is accepted."""
    with_mock_up(site)
    return site
