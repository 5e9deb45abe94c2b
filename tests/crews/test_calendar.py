"""What ends next in one's own calendar: the file by RFC 5545, and who reads it.

Each check of the file names the section of RFC 5545 (2009) or RFC 7986 (2016) it is
made by; both were cited from memory.
"""

from __future__ import annotations

import json
import logging
import re
from datetime import date, datetime, timedelta
from typing import Any

import icalendar
import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crews.actions.calendar import (
    MOST,
    make_calendar_address,
    revoke_calendar_address,
)
from crews.actions.people import edit_operator, record_certification
from crews.actions.plans import Asked, plan_placement
from crews.models import CalendarAddress, Certification
from project import clock
from project.actions.accounts import end_membership
from project.logs import LineFormatter
from project.models import AuditEvent, new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.crews.calendars import NOW, events, made, read
from tests.crews.pages import Visitor, words
from tests.factories import at, card, clock_at, make_card, make_operator
from tests.support.made_once import made_once

QUERIES = 21
LAST = date(2026, 10, 2)


@made_once
def ending(qualified):
    """The first operator's card ends within the window, the wall is planned before."""
    site = qualified
    old = Certification.objects.get(operator=site.operator)
    with clock_at("2026-08-24 10:20"):
        record_certification(
            id=new_id(),
            by=site.qc,
            operator=site.operator,
            card=card(number=old.number, expires_on=date(2028, 10, 2)),
            supersedes=old,
            reason="Misread.",
        )
    with clock_at("2026-09-14 08:00"):
        plan_placement(
            id=new_id(),
            by=site.qc,
            part=site.wall.part,
            mix=site.mix,
            starts_at=at("2026-10-05 07:00"),
            operators=[Asked(site.operator)],
        )
    with clock_at("2026-09-14 08:30"):
        record_certification(
            id=new_id(),
            by=site.qc,
            operator=site.operator,
            card=card(number=old.number, expires_on=LAST),
            supersedes=Certification.objects.latest("recorded_at"),
            reason="Misread again.",
        )
    site.extra["secret"] = made(site, when="2026-09-14 08:40")[1]
    return site


def _card(response) -> Any:
    (event,) = (e for e in events(response) if "card" in e["summary"])
    return event


# The file -----------------------------------------------------------------------------


def test_the_file_is_one_calendar_of_whole_days(ending):
    response = read(ending, ending.extra["secret"])
    assert response["Content-Type"] == "text/calendar; charset=utf-8"  # 8.1
    file = icalendar.Calendar.from_ical(response.content)
    assert file["version"] == "2.0"  # 3.7.4
    assert file["prodid"] == "-//Nozzlebook//What ends next//EN"  # 3.7.3
    assert "method" not in file  # 3.7.2: nobody is sent anything
    assert file["x-wr-timezone"] == ending.job.zone
    assert (
        b"\r\nREFRESH-INTERVAL;VALUE=DURATION:PT12H\r\n" in response.content
    )  # RFC 7986, 5.7
    event = _card(response)
    # 3.6.1: a date and no time is all day, and the end is not included.
    assert event["dtstart"].dt == LAST
    assert event["dtend"].dt == LAST + timedelta(days=1)
    assert not isinstance(event["dtstart"].dt, datetime)
    assert event["dtstart"].params["VALUE"] == "DATE"  # 3.2.20
    assert event["transp"] == "TRANSPARENT"  # 3.8.2.7
    assert not file.walk("VTIMEZONE")  # 3.6.5: only where a time names one


def test_what_an_event_says(ending):
    event = _card(read(ending, ending.extra["secret"]))
    assert event["summary"] == (
        "Last day: card of OP-01 Bartosz Ilunga; planned after it: PLAN-01, R1"
    )
    told = str(event["description"])
    assert "Holds until 3 Oct 2026, 00:00 MDT." in told
    assert "Planned after it: PLAN-01, R1, 5 Oct 2026, 07:00 MDT." in told
    assert "it permits nobody and forbids nobody" in told


def test_each_event_has_what_the_standard_requires_and_once(ending):
    content = read(ending, ending.extra["secret"]).content.decode()
    for event in re.findall(r"BEGIN:VEVENT.*?END:VEVENT", content, re.S):
        for name in ("UID", "DTSTAMP", "DTSTART", "SEQUENCE", "SUMMARY"):  # 3.6.1
            assert len(re.findall(rf"^{name}[;:]", event, re.M)) == 1, name
        # 3.8.7.2: the stamp is in UTC.
        assert re.search(r"^DTSTAMP:\d{8}T\d{6}Z\r$", event, re.M)
    uids = re.findall(r"^UID:(.*)\r$", content, re.M)
    assert len(set(uids)) == len(uids) > 0  # 3.8.4.7


def test_lines_end_and_fold_as_the_standard_has_it(ending):
    with clock_at("2026-09-14 08:50"):
        edit_operator(
            by=ending.qc,
            operator=ending.operator,
            legal_name='Ünsal, "Bo"; Ilunga\\Żółć ' + "ß" * 60,
            badge_number="B-001",
            aliases=[],
        )
    response = read(ending, ending.extra["secret"])
    lines = response.content.split(b"\r\n")
    assert lines[-1] == b""  # 3.1: each line ends with CRLF
    assert b"\n" not in b"".join(lines)
    assert max(map(len, lines)) <= 75  # 3.1: octets, the break not counted
    for line in lines:
        line.decode("utf-8")  # 3.1: no character is split
    raw = response.content.replace(b"\r\n ", b"").decode()
    assert r'Ünsal\, "Bo"\; Ilunga\\Żółć' in raw  # 3.3.11
    assert 'Ünsal, "Bo"; Ilunga\\Żółć' in str(_card(response)["summary"])


def test_the_bytes_follow_the_record_and_not_the_clock(ending):
    secret = ending.extra["secret"]
    first = read(ending, secret)
    later = read(ending, secret, "2026-09-14 17:30")
    next_day = read(ending, secret, "2026-09-15 06:00")
    assert first.content == later.content == next_day.content
    stamp = _card(first)["dtstamp"].dt
    assert stamp == at("2026-09-14 08:30")


def test_a_correction_keeps_the_event_and_raises_its_number(ending):
    secret = ending.extra["secret"]
    before = _card(read(ending, secret))
    assert before["sequence"] == 2  # 3.8.7.4: two corrections before this
    with clock_at("2026-09-14 10:00"):
        record_certification(
            id=new_id(),
            by=ending.qc,
            operator=ending.operator,
            card=card(number="WV-B-001", expires_on=date(2026, 10, 1)),
            supersedes=Certification.objects.latest("recorded_at"),
            reason="The first, not the second.",
        )
    after = _card(read(ending, secret, "2026-09-14 11:00"))
    assert (after["uid"], after["sequence"]) == (before["uid"], 3)
    assert after["dtstart"].dt == date(2026, 10, 1)
    assert after["dtstamp"].dt > before["dtstamp"].dt
    with clock_at("2026-09-14 12:00"):
        renewed = card(
            number="WV-9", issued_on=date(2026, 9, 1), expires_on=date(2031, 9, 1)
        )
        make_card(ending.qc, ending.operator, renewed)
    told = [str(e["summary"]) for e in events(read(ending, secret, "2026-09-14 13:00"))]
    assert not any("card of OP-01" in one for one in told)


def test_what_is_unchanged_is_not_sent_again(ending):
    secret = ending.extra["secret"]
    first = read(ending, secret)
    again = read(ending, secret, "2026-09-14 12:00", if_none_match=first["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    assert again["ETag"] == first["ETag"]
    assert read(ending, secret, if_none_match='"else"').status_code == 200
    # RFC 9110, 13.1.2: compared weakly, as whatever packs an answer leaves it.
    for tag in (f"W/{first['ETag']}", "*"):
        assert read(ending, secret, if_none_match=tag).status_code == 304
    assert "private" in read(ending, secret, if_none_match="*")["Cache-Control"]


def test_more_on_record_takes_no_more_queries(ending):
    secret = ending.extra["secret"]
    with CaptureQueriesContext(connection) as few:
        read(ending, secret)
    with clock_at("2026-09-14 09:30"):
        for n in range(3):
            make_operator(
                ending.qc,
                ending.contractor,
                f"Operator {n}",
                f"X-{n}",
                with_card=card(number=f"X-{n}", expires_on=LAST),
            )
            plan_placement(
                id=new_id(),
                by=ending.qc,
                part=ending.wall.part,
                mix=ending.mix,
                starts_at=at("2026-09-20 07:00"),
                operators=[Asked(ending.operator)],
            )
    with CaptureQueriesContext(connection) as many:
        assert len(events(read(ending, secret, "2026-09-14 10:00"))) == 4
    assert len(many) == len(few) == QUERIES


# Who reads it -------------------------------------------------------------------------


def _nothing(response, like) -> None:
    """Expect the one answer that tells nothing, to the last header."""
    assert response.status_code == 404
    assert response.content == like.content == b"Not found.\n"
    drop = {"X-Request-ID"}
    headers = {k: v for k, v in response.headers.items() if k not in drop}
    assert headers == {k: v for k, v in like.headers.items() if k not in drop}


def test_every_wrong_address_gets_the_same_answer(ending, elsewhere):
    unknown = read(ending, "A" * 43)
    assert unknown.status_code == 404
    secret = ending.extra["secret"]
    for response in (
        read(ending, secret, job=elsewhere.job.code),
        read(ending, secret, job="NONE"),
        read(ending, secret[:-1]),
        read(ending, secret + "x"),
        read(ending, "%00"),
    ):
        _nothing(response, unknown)
    row = CalendarAddress.objects.get()
    with clock_at("2026-09-14 09:10"):
        revoke_calendar_address(by=ending.qc, address=row)
    _nothing(read(ending, secret, "2026-09-14 09:11"), unknown)


def test_it_ends_with_the_membership(ending):
    secret = ending.extra["secret"]
    with clock_at("2026-09-14 10:00"):
        end_membership(
            by=ending.admin, membership=ending.qc, on=date(2026, 9, 14), reason="Left."
        )
    assert read(ending, secret, "2026-09-14 23:59").status_code == 200
    assert read(ending, secret, "2026-09-15 00:01").status_code == 404


def test_somebody_shut_out_reads_nothing(ending):
    user = ending.qc.user
    user.is_active = False
    user.save(update_fields=["is_active"])
    assert read(ending, ending.extra["secret"]).status_code == 404


def test_each_reads_what_they_may_and_no_more(ending):
    _row, theirs = made(ending, ending.other_qc)
    _row, engineers = made(ending, ending.engineer)
    told = read(ending, theirs).content.decode()
    assert "Ilunga" not in told
    assert "PLAN-01" not in told
    assert "Ilunga" in read(ending, engineers).content.decode()


def test_no_session_is_asked_opened_or_told_apart(ending):
    response = read(ending, ending.extra["secret"])
    assert not response.cookies
    assert response["Cache-Control"] == "private, no-cache"
    assert response["Referrer-Policy"] == "no-referrer"
    path = reverse("calendar_feed", args=[ending.job.code, "x"])
    for method in ("post", "put", "delete"):
        assert getattr(Client(), method)(path).status_code == 405


# Making and revoking ------------------------------------------------------------------


def test_the_record_keeps_the_hash_alone(site):
    id = new_id()
    with clock_at(NOW), one_line(site.job, "calendar.address_made"):
        row, secret = make_calendar_address(id=id, by=site.qc)
    with clock_at(NOW), nothing_written(site.job):
        again, nothing = make_calendar_address(id=id, by=site.qc)
    assert (again.pk, nothing) == (row.pk, "")
    assert len(secret) == 43  # 32 bytes
    kept = json.dumps(list(CalendarAddress.objects.values()), default=str)
    trail = json.dumps(list(AuditEvent.objects.values()), default=str)
    assert secret not in kept + trail
    with clock_at(NOW):
        assert make_calendar_address(id=new_id(), by=site.qc)[1] != secret


def test_so_many_stand_and_no_more(site):
    for _n in range(MOST):
        row, _secret = made(site)
    with clock_at(NOW):
        errors = refused(make_calendar_address, id=new_id(), by=site.qc)
    assert "4 addresses stand; allowed are 4" in errors["id"][0]
    with clock_at(NOW), one_line(site.job, "calendar.address_revoked"):
        revoke_calendar_address(by=site.qc, address=row)
    with clock_at(NOW), nothing_written(site.job):
        revoke_calendar_address(by=site.qc, address=row)
    made(site)


def test_nobody_revokes_anothers_nor_makes_one_to_read_what_they_may_not(site):
    row, _secret = made(site)
    with clock_at(NOW):
        assert "address" in refused(
            revoke_calendar_address, by=site.inspector, address=row
        )
    with nothing_written(), pytest.raises(PermissionDenied):
        make_calendar_address(id=new_id(), by=site.technician)
    theirs = Visitor(site.inspector).post("revoke_calendar_address", row.pk, data={})
    assert theirs.status_code == 404


def test_the_page_shows_the_address_once_and_revokes_it(site):
    visitor = Visitor(site.qc)
    made = visitor.post("make_calendar_address", data={"id": str(new_id())})
    assert made["Cache-Control"] == "no-store"
    found = re.search(r"http://testserver(\S+?/calendar/([\w-]{43})\.ics)", words(made))
    assert found is not None
    with clock.set_to(at(NOW)):
        assert Client().get(found[1]).status_code == 200
    page = visitor.get("calendar_addresses")
    assert found[2] not in page.content.decode()
    row = CalendarAddress.objects.get()
    gone = visitor.post("revoke_calendar_address", row.pk, data={})
    assert gone.status_code == 302
    assert "No address stands." in words(visitor.get("calendar_addresses"))
    with clock.set_to(at("2026-09-14 10:00")):
        assert Client().get(found[1]).status_code == 404


def test_no_line_of_the_log_keeps_the_secret(ending, caplog):
    secret = ending.extra["secret"]
    wrong = secret[::-1]
    with caplog.at_level(logging.DEBUG):
        read(ending, secret)
        read(ending, wrong)
        Client().get(f"/jobs/{ending.job.code}/calendar/{wrong}")
    lines = [LineFormatter().format(record) for record in caplog.records]
    assert any("/calendar/…" in json.loads(line)["message"] for line in lines)
    assert not any(secret in line or wrong in line for line in lines)
    try:
        raise ValueError(f"GET /jobs/X/calendar/{secret}.ics")
    except ValueError:
        record = logging.LogRecord(
            "x", 40, "", 1, "GET %s", (f"/calendar/{secret}.ics",), None
        )
        import sys

        record.exc_info = sys.exc_info()
    line = LineFormatter().format(record)
    assert secret not in line
    assert "ValueError" in line
