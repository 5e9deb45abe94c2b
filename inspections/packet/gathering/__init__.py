"""From the record to the snapshot: one reading, known at the cut, written out plainly.

What is gathered here is all the renderer ever sees. The same record and the same cut
give the same snapshot on every machine and on either database.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal, cast

from django.utils import translation
from django.utils.translation import gettext as _

from inspections.domain.week import cut_of, week_of
from inspections.models import PacketRecord
from inspections.packet.gathering import front
from inspections.packet.gathering.news import news, news_of_revision
from inspections.packet.gathering.reading import Reading, read
from inspections.packet.gathering.records import (
    Told,
    changed_since,
    changes,
    cut_line,
    terms_section,
    told,
)
from inspections.packet.gathering.sheets import report_section
from inspections.packet.gathering.shot import roster_section, work_section
from inspections.packet.gathering.summary import summary
from inspections.packet.gathering.tested import ledger_section, strength_section
from inspections.packet.gathering.turned import Turned, turned_in_days
from inspections.packet.gathering.wrong import (
    deficiency_section,
    nonconformance_section,
    photograph_section,
)
from inspections.packet.shape import LAYOUT, SNAPSHOT, Change, Hand, Snapshot
from project.models import Job, Membership

SOFTWARE = "Nozzlebook 0.1"


@dataclass(frozen=True, slots=True)
class Hands:
    """Who the packet passed through, and when."""

    prepared: tuple[Membership, datetime]
    reviewed: tuple[Membership, datetime] | None = None
    issued: tuple[Membership, datetime] | None = None


@dataclass(frozen=True, slots=True)
class Gathered:
    """A snapshot with the records it tells of."""

    snapshot: Snapshot
    records: tuple[Told, ...]


def days_of(job: Job, day: date) -> tuple[date, date, datetime]:
    """Return the first and last day of the job's week, and its cut."""
    week = week_of(day, first_weekday=job.week_starts_on)
    return week.first, week.last, cut_of(week, zone=job.zone)


def reading_of(
    job: Job, member: Membership, *, first: date, last: date, known_at: datetime
) -> Reading:
    """Read a week as known at an instant: its cut, or later to see what changed."""
    return read(job, member, first=first, last=last, cut=known_at)


def gather(
    reading: Reading,
    *,
    number: int,
    revision: int,
    hands: Hands,
    reason: str = "",
    before: Sequence[PacketRecord] = (),
    address: str = "",
) -> Gathered:
    """Return the snapshot of a week, and the records that it tells of."""
    job = reading.job
    records = told(reading)
    with translation.override(job.language):
        turned = turned_in_days(reading)
        stamp, sentence = front.verdict(reading, turned)
        changed = changes(reading, records, before) if revision else []
        state: Literal["draft", "issued"] = "issued" if hands.issued else "draft"
        snapshot: Snapshot = {
            "snapshot": SNAPSHOT,
            "layout": LAYOUT,
            "software": SOFTWARE,
            "language": job.language,
            "paper": cast(Literal["Letter", "A4"], job.paper),
            "job": {
                "code": job.code,
                "name": job.name,
                "contract": job.contract_number,
                "owner": job.owner.name,
                "zone": job.zone,
            },
            "packet": {
                "number": number,
                "revision": revision,
                "state": state,
                "kind": "week",
                "first": reading.first.isoformat(),
                "last": reading.last.isoformat(),
                "supersedes": _("revision %(n)s") % {"n": revision - 1}
                if revision
                else "",
                "reason": reason,
            },
            "cut": cut_line(reading),
            "verdict": stamp,
            "sentence": sentence,
            "decide": front.decisions(reading),
            "figures": front.figures(reading),
            "hands": _hands(reading, hands),
            "recipients": front.recipients(reading),
            "missing": front.missing(reading),
            "summary": summary(
                reading, news=_news(reading, number, revision, turned, changed)
            ),
            "sections": {
                "work": work_section(reading),
                "roster": roster_section(reading, turned),
                "ledger": ledger_section(reading),
                "strength": strength_section(reading),
                "deficiencies": deficiency_section(reading),
                "nonconformances": nonconformance_section(reading),
                "reports": report_section(reading),
                "photographs": photograph_section(reading),
            },
            "verdicts": reading.verdicts,
            "terms": terms_section(reading),
            "catalogue": _("daily observation, edition %(version)s")
            % {"version": reading.catalogue.version},
            "records": [one.plain() for one in records],
            "changes": changed,
        }
    if address:
        snapshot["address"] = address
    return Gathered(snapshot=snapshot, records=tuple(records))


def _news(
    reading: Reading,
    number: int,
    revision: int,
    turned: Sequence[Turned],
    changed: Sequence[Change],
) -> list[str]:
    """Return what an earlier packet said otherwise; the first has none before it."""
    if revision:
        return news_of_revision(turned, changed)
    return news(reading) if number > 1 else []


def _hands(reading: Reading, hands: Hands) -> list[Hand]:
    steps = (
        (hands.prepared, _("prepared for the inspection agency")),
        (hands.reviewed, _("reviewed by a second person of the agency")),
        (hands.issued, _("issued")),
    )
    return [
        {
            "name": step[0].user.printed_name,
            "firm": step[0].organization.name,
            "did": did,
            "at": reading.moment(step[1]),
        }
        for step, did in steps
        if step is not None
    ]


__all__ = [
    "Gathered",
    "Hands",
    "Reading",
    "changed_since",
    "days_of",
    "gather",
    "reading_of",
]
