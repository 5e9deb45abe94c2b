"""What a calendar is told of a change, and text that nobody would print, by RFC 5545.

The sections were cited from memory.
"""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest

from crews.actions.corrections import withdraw
from crews.actions.waivers import give_waiver
from crews.domain.trade_words import WaivedGate
from project.actions.jobs import revise_terms
from project.domain.editions import Departure
from project.models import new_id
from tests.crews.calendars import NOW, events, made, read
from tests.factories import TERMS, at, clock_at, make_placement, make_shift, shoot


def test_a_nozzle_time_taken_back_is_a_later_version_of_the_idle_limit(qualified):
    """3.8.7.4 and 3.8.7.2: what changes has a higher number and a later stamp."""
    site = qualified
    with clock_at("2026-07-30 08:00"):
        limit = {"idle_limit": Departure(Decimal(90), "d", "contract")}
        revise_terms(
            id=new_id(),
            by=site.admin,
            number=2,
            edition="ibc-2018-1908",
            effective_on=date(2026, 7, 30),
            departures=TERMS | limit,
        )
    with clock_at("2026-08-04 06:50"):
        placed = make_placement(site, make_shift(site.inspector, site.contractor))
    shoot(site, placed, site.operator, "2026-08-04 07:00", "2026-08-04 08:00")
    held = shoot(site, placed, site.operator, "2026-08-04 09:00", "2026-08-04 10:00")
    _row, secret = made(site)

    def idle(when):
        found = events(read(site, secret, when))
        (one,) = (e for e in found if "idle limit of OP-01" in e["summary"])
        return one["uid"], one["sequence"], one["dtstamp"].dt

    before = idle("2026-09-14 09:30")
    with clock_at("2026-09-14 10:00"):
        withdraw(id=new_id(), by=site.inspector, row=held, reason="Not shot.")
    after = idle("2026-09-14 11:00")
    assert after[0] == before[0]
    assert after[1] > before[1]
    assert after[2] == at("2026-09-14 10:00")


@pytest.mark.parametrize(
    "odd", ["a\rb", "a\x0bb", "a\x1fb", "Größe " * 30, "a\r\nb; c, d"]
)
def test_no_line_is_too_long_and_no_control_character_is_in_it(qualified, odd):
    """3.1: 75 octets a line without its break; 3.3.11: TEXT without CONTROL."""
    with clock_at(NOW):
        give_waiver(
            id=new_id(),
            by=qualified.engineer,
            gate=WaivedGate.IDLE,
            operator=qualified.operator,
            from_at=at("2026-09-14 08:00"),
            until_at=at("2026-09-20 08:00"),
            words=odd,
        )
    _row, secret = made(qualified)
    sent = read(qualified, secret, "2026-09-14 09:30")
    assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]|\r(?!\n)", sent.content)
    assert not re.search(rb"(?<!\r)\n", sent.content)
    assert max(map(len, sent.content.split(b"\r\n"))) <= 75
    (one,) = (e for e in events(sent) if "waiver of" in e["summary"])
    told = str(one["description"])
    assert re.sub(r"\s+", " ", odd).strip() in re.sub(r"\s+", " ", told)
