"""What ends next as an iCalendar file (RFC 5545), drawn from the record alone.

The same record gives the same bytes, whatever the time of day: nothing here asks a clock.
"""

from __future__ import annotations

from datetime import timedelta
from unicodedata import category

import icalendar
from django.utils.translation import gettext as _

from crews.queries.calendar import Calendar, Entry
from project.charts.text import when_text

MEDIA_TYPE = "text/calendar; charset=utf-8"
PRODUCT = "-//Nozzlebook//What ends next//EN"
# How often a calendar should look again: twice a day.
REFRESH = timedelta(hours=12)


def calendar_file(calendar: Calendar, *, address: str) -> bytes:
    """Return the file. `address` is the page on which the same is read signed in.

    No METHOD: what is read at an address is a calendar, not a message to anybody
    (RFC 5545, 3.7.2), and DTSTAMP then says when the record last changed (3.8.7.2).
    """
    job = calendar.job
    file = icalendar.Calendar()
    file.add("prodid", PRODUCT)
    file.add("version", "2.0")
    file.add("calscale", "GREGORIAN")
    title = _("%(job)s: what ends next") % {"job": job.code}
    file.add("name", title)  # RFC 7986, 5.1; the two below are older, widely read names
    file.add("x-wr-calname", title)
    file.add("x-wr-timezone", job.zone)
    file.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    ordered = sorted(
        calendar.entries, key=lambda entry: (entry.ending.last_on, str(entry.uid))
    )
    for entry in ordered:
        file.add_component(_event(entry, zone=job.zone, address=address))
    content: bytes = file.to_ical()
    return content


def _event(entry: Entry, *, zone: str, address: str) -> icalendar.Event:
    """Return one all-day event on a local date of the job: it needs no zone (3.3.4)."""
    ending = entry.ending
    event = icalendar.Event()
    event.add("uid", str(entry.uid))
    event.add("dtstamp", entry.changed_at.replace(microsecond=0))
    event.add("last-modified", entry.changed_at.replace(microsecond=0))
    event.add("sequence", entry.sequence)
    event.add("dtstart", ending.last_on)
    event.add("dtend", ending.last_on + timedelta(days=1))  # not included (3.6.1)
    event.add("summary", _text(_summary(entry)))
    event.add("description", _text(_description(entry, zone)))
    event.add("url", address)
    event.add("class", "PRIVATE")
    event.add("transp", "TRANSPARENT")  # nobody is busy because a card ends
    return event


def _text(words: str) -> str:
    """Return words without the control characters that no text holds (3.1, CONTROL)."""
    return "".join(c if c in "\n\t" or category(c) != "Cc" else " " for c in words)


def _summary(entry: Entry) -> str:
    ending = entry.ending
    told = {"kind": ending.kind, "who": f"{ending.whose} {entry.name}".strip()}
    if ending.operator is None:
        return _("Last day: %(what)s") % {"what": ending.what}
    if not entry.planned:
        return _("Last day: %(kind)s of %(who)s") % told
    code, part, _starts = entry.planned[0]
    told |= {"plan": code, "part": part}
    return (
        _("Last day: %(kind)s of %(who)s; planned after it: %(plan)s, %(part)s") % told
    )


def _description(entry: Entry, zone: str) -> str:
    ending = entry.ending
    until = when_text(ending.until + timedelta(microseconds=1), zone=zone, form="zone")
    lines = [
        f"{ending.kind}: {ending.what}",
        _("Holds until %(until)s.") % {"until": until},
    ]
    for code, part, starts_at in entry.planned:
        told = {"plan": code, "part": part}
        told["at"] = when_text(starts_at, zone=zone, form="zone")
        lines.append(_("Planned after it: %(plan)s, %(part)s, %(at)s.") % told)
    lines.append(_("What is on record; it permits nobody and forbids nobody."))
    return "\n".join(lines)
