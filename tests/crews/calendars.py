"""A member's own calendar, made and read as a calendar program reads it."""

from __future__ import annotations

from typing import Any

import icalendar
from django.test import Client
from django.urls import reverse

from crews.actions.calendar import make_calendar_address
from project.models import new_id
from tests.factories import clock_at

NOW = "2026-09-14 09:00"


def made(site, member=None, when=NOW):
    with clock_at(when):
        return make_calendar_address(id=new_id(), by=member or site.qc)


def read(site, secret, when=NOW, *, job=None, **headers: str) -> Any:
    path = reverse("calendar_feed", args=[job or site.job.code, secret])
    with clock_at(when):
        return Client().get(path, headers=headers)


def events(response) -> list[Any]:
    assert response.status_code == 200
    return list(icalendar.Calendar.from_ical(response.content).walk("VEVENT"))
