"""Reading and sending the crew's pages as a member does, at an instant of the job."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from project import clock
from project.models import Membership
from tests.factories import (
    Site,
    clock_at,
    make_panel,
    make_placement,
    make_shift,
    shoot,
)
from tests.factories import at as wall_time

TODAY = "2026-09-14 09:00"


class Visitor:
    """A member in front of a browser that runs no script."""

    def __init__(self, member: Membership, *, at: str = TODAY) -> None:
        self.member, self.at, self.requests = member, at, 0
        self.client = Client()
        self.client.force_login(member.user)

    def _clock(self) -> Any:
        """Let a second pass with each request, as it does for people."""
        self.requests += 1
        instant = wall_time(self.at) + timedelta(seconds=self.requests)
        return clock.set_to(instant)

    def url(self, name: str, *args: Any, **asked: Any) -> str:
        path = reverse(name, args=[self.member.job.code, *args])
        return f"{path}?{urlencode(asked)}" if asked else path

    def get(self, name: str, *args: Any, **asked: Any) -> Any:
        with self._clock():
            return self.client.get(self.url(name, *args, **asked))

    def post(self, name: str, *args: Any, data: dict[str, Any], **asked: Any) -> Any:
        sent = {key: value for key, value in data.items() if value is not None}
        with self._clock():
            return self.client.post(self.url(name, *args, **asked), sent)

    def queries(self, name: str, *args: Any, **asked: Any) -> int:
        """Count the queries of a page; it must be there to count."""
        with CaptureQueriesContext(connection) as counted:
            response = self.get(name, *args, **asked)
        assert response.status_code == 200, response.status_code
        return len(counted)


def words(response: Any) -> str:
    """Return what a page says, without its markup, in one line."""
    text = re.sub(
        r"<(script|style|svg)\b.*?</\1>", " ", response.content.decode(), flags=re.S
    )
    text = re.sub(r"<[^>]+>", " ", text)
    return re.sub(r"\s+", " ", text).replace("&#x27;", "'").replace("&amp;", "&")


def complaints(response: Any) -> dict[str, list[str]]:
    """Return what a refused form says of its fields; nothing must have been saved."""
    assert response.status_code == 422, response.status_code
    form = response.context["form"]
    return {name: list(messages) for name, messages in form.errors.items()}


def a_day_with_one_panel_missing(site: Site) -> Site:
    """Let two operators shoot on the first day, and only the first make a panel."""
    with clock_at("2026-08-04 06:50"):
        site.extra["shift"] = make_shift(site.inspector, site.contractor)
        site.extra["placed"] = make_placement(site, site.extra["shift"])
    placed = site.extra["placed"]
    shoot(site, placed, site.operator, "2026-08-04 07:10", "2026-08-04 10:10")
    site.extra["relief"] = shoot(
        site, placed, site.trainee, "2026-08-04 10:10", "2026-08-04 11:10"
    )
    site.extra["panel"] = make_panel(site, placement=placed, shot="2026-08-04 09:00")
    return site
