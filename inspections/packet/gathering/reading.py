"""Everything a packet tells of, read once, as known at its cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cached_property
from typing import cast
from uuid import UUID

from crews.queries.hindsight import Hindsight, hindsight
from crews.queries.panels import PanelRow, panels
from crews.queries.shooting import Held, ShiftRoster, codes_on, rosters
from inspections.domain.catalogue import Edition
from inspections.packet.shape import Moment, Verdict
from inspections.queries.catalogue import edition
from inspections.queries.evaporations import Mixes, mixes_on_record
from inspections.queries.findings import (
    DeficiencyRow,
    NonconformanceRow,
    deficiencies,
    nonconformances,
)
from inspections.queries.known import moment, within
from inspections.queries.photographs import PhotoRow, photographs
from inspections.queries.reports import Sheet, all_sheets
from inspections.queries.volumes import delivered
from inspections.queries.work import Work, work
from project.charts.text import brief, quantity_text
from project.domain import verdict as domain
from project.domain.clocks import day_ends
from project.domain.units import Quantity
from project.models import Job, Membership, TermsRevision
from project.queries.jobs import parts, terms_revisions


@dataclass(frozen=True)
class Reading:
    """One reading of a job for the days of a packet, and for all before them."""

    job: Job
    member: Membership
    first: date
    last: date
    cut: datetime
    week: Work
    panels: tuple[PanelRow, ...]
    sheets: tuple[Sheet, ...]
    deficiencies: tuple[DeficiencyRow, ...]
    nonconformances: tuple[NonconformanceRow, ...]
    photographs: tuple[PhotoRow, ...]
    terms: tuple[TermsRevision, ...]
    codes: dict[UUID, str]
    verdicts: dict[str, Verdict] = field(default_factory=dict)

    @property
    def cut_before(self) -> datetime:
        """The cut of the week before."""
        return day_ends(self.first - timedelta(days=1), zone=self.job.zone)

    @property
    def on(self) -> date:
        """The day everything is judged for: the last one of the packet."""
        return self.last

    @cached_property
    def to_date(self) -> Work:
        """The work of the job until the last day; to count changes nobody asks it."""
        return work(self.job, known_at=self.cut, on=self.last, last=self.last)

    @cached_property
    def hindsight(self) -> Hindsight:
        """The record at every instant, to judge nozzle times again."""
        return hindsight(self.job)

    @cached_property
    def rosters(self) -> tuple[ShiftRoster, ...]:
        return rosters(self.job, known_at=self.cut, first=self.first, last=self.last)

    @cached_property
    def mixes_in_weather(self) -> Mixes:
        return mixes_on_record(self.job, known_at=self.cut)

    @property
    def catalogue(self) -> Edition:
        return edition()

    def in_days(self, at: datetime | date) -> bool:
        """Say whether an instant or a date lies in the packet's days."""
        day = self.job.local(at).date() if isinstance(at, datetime) else at
        return within(day, self.first, self.last)

    def moment(self, at: datetime) -> Moment:
        return cast(Moment, moment(at, job=self.job))

    def maybe(self, at: datetime | None) -> Moment | None:
        return None if at is None else self.moment(at)

    @cached_property
    def part_names(self) -> dict[str, str]:
        rows = parts(self.job, known_at=self.cut)
        return {row.code: row.revision.name for row in rows}

    @cached_property
    def signed(self) -> tuple[Sheet, ...]:
        """The sheets this packet prints: signed by the cut, and not told before.

        A sheet of an earlier week that was signed only after that week's cut is
        carried into the packet of the week it was signed in.
        """
        return tuple(
            sheet
            for sheet in self.sheets
            if sheet.first is not None
            and (
                self.in_days(sheet.shift.work_date)
                or (
                    sheet.shift.work_date < self.first
                    and self.in_days(sheet.first.recorded_at)
                )
            )
        )

    def verdict(self, key: str, found: domain.Verdict) -> str:
        """Keep a verdict once, under a key that rows point at."""
        self.verdicts.setdefault(key, plain_verdict(found))
        return key


def read(
    job: Job, member: Membership, *, first: date, last: date, cut: datetime
) -> Reading:
    """Read a job for the eyes of the agency's member who makes the packet.

    Known later than the end of its days, as a revision is, it still tells of those
    days only; the sheets it prints are the agency's own.
    """
    week = work(job, known_at=cut, on=last, first=first, last=last)
    return Reading(
        job=job,
        member=member,
        first=first,
        last=last,
        cut=cut,
        week=week,
        panels=tuple(
            row
            for row in panels(job, known_at=cut, on=last)
            if row.row.work_date <= last
        ),
        sheets=tuple(
            sheet
            for sheet in all_sheets(job, member, known_at=cut, last=last)
            if sheet.row.organization_id == member.organization_id
        ),
        deficiencies=deficiencies(job, member, known_at=cut, last=last),
        nonconformances=_about_these_days(
            job, week, nonconformances(job, member, known_at=cut), last
        ),
        photographs=photographs(job, member, known_at=cut, first=first, last=last),
        terms=tuple(terms_revisions(job, known_at=cut)),
        codes=codes_on(job),
    )


def _about_these_days(
    job: Job, week: Work, rows: Iterable[NonconformanceRow], last: date
) -> tuple[NonconformanceRow, ...]:
    """Leave out what was raised after the days and is about nothing in them."""
    own = {placed.id for placed in week.placed}
    own |= {held.id for placed in week.placed for held in placed.times}
    own |= {load.first for load in week.loads} | {panel.id for panel in week.panels}
    return tuple(
        row
        for row in rows
        if job.local(row.raised_at).date() <= last or row.row.about_id in own
    )


def plain_verdict(found: domain.Verdict) -> Verdict:
    """Return a verdict as a snapshot keeps it: every reason, met and unmet."""
    return {
        "rule": found.rule,
        "state": found.state.value,
        "reasons": [
            {
                "requirement": reason.requirement,
                "state": reason.state.value,
                "found": reason.found,
                "limit": compared(reason.limit),
                "margin": compared(reason.margin),
                "source": str(reason.source),
                "evidence": [ref.name for ref in reason.evidence],
            }
            for reason in found.reasons
        ],
    }


def text(quantity: Quantity | None) -> str:
    """Return a quantity as it is printed, or nothing."""
    return "" if quantity is None else quantity_text(quantity)


def compared(quantity: Quantity | None) -> str:
    """Return a computed figure as short as it can be told from its limit."""
    return text(None if quantity is None else brief(quantity))


def tenth(quantity: Quantity | None) -> str:
    """Return a volume to one decimal, as volumes are told."""
    if quantity is None:
        return ""
    return quantity_text(
        Quantity(quantity.value.quantize(Decimal("0.1")), quantity.unit)
    )


def hundredth(quantity: Quantity | None) -> str:
    """Return a delivered volume to two decimals, as tickets give it."""
    if quantity is None:
        return ""
    exact = quantity.value.quantize(Decimal("0.01"))
    return quantity_text(Quantity(exact, quantity.unit))


def neat(read_work: Work) -> Quantity | None:
    """Return the neat volume of what was placed, where the drawings give it."""
    return sum_of_tenths(one.neat for one in read_work.placed)


def sum_of_tenths(volumes: Iterable[Quantity | None]) -> Quantity | None:
    """Add volumes as they are printed, so that a reader can add the column again."""
    known = [q for q in volumes if q is not None]
    if not known:
        return None
    tenths = (q.value.quantize(Decimal("0.1")) for q in known)
    return Quantity(sum(tenths, Decimal(0)), known[0].unit)


def came(read_work: Work) -> Quantity:
    """Return what was delivered and accepted."""
    return delivered(read_work.job, read_work.loads)


def operator_line(held: Held) -> str:
    """Return an operator by code and name."""
    return f"{held.code} {held.operator.legal_name}".strip()
