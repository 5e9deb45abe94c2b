"""Sheets: of each day, and one with everything its page shows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from crews.models import Shift
from crews.queries.shooting import Placed, shifts, shooting
from inspections.domain.moves import REPORT
from inspections.domain.week import ReportTiming, report_deadline, report_timing
from inspections.models import DailyReport, Move, ReportVersion
from inspections.queries.content import content_now
from inspections.queries.flags import FlagLine, flag_lines, flags_of
from inspections.queries.known import grouped
from inspections.queries.scope import reports_for
from inspections.queries.shift_record import ShiftRecord, shift_record
from project.domain.canonical import sha256_of
from project.domain.roles import Ability, Role, may
from project.domain.terms import Terms, terms_on
from project.models import Job, Membership
from project.queries.jobs import terms_revisions

VOID = "void"


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet as known: its state, its signed versions, how it stands in time.

    `terms` are those in force on its work date.
    """

    row: DailyReport
    state: str
    versions: tuple[ReportVersion, ...]
    moves: tuple[Move, ...]
    timing: ReportTiming | None
    terms: Terms | None

    @property
    def code(self) -> str:
        return self.row.code

    @property
    def shift(self) -> Shift:
        return self.row.shift

    @property
    def first(self) -> ReportVersion | None:
        """The version that was signed first: it decides whether it was in time."""
        return self.versions[0] if self.versions else None

    @property
    def last(self) -> ReportVersion | None:
        return self.versions[-1] if self.versions else None

    @property
    def waits_for_review(self) -> bool:
        return self.state in ("signed", "amended")

    @property
    def reviewed(self) -> Move | None:
        """The review of the version in force, where there is one."""
        return self.moves[-1] if self.state == "reviewed" else None


@dataclass(frozen=True, slots=True)
class Day:
    """One shift with what was placed, and the sheets a member may open."""

    shift: Shift
    placements: tuple[Placed, ...]
    sheets: tuple[Sheet, ...]


def days(
    job: Job,
    member: Membership,
    *,
    known_at: datetime,
    first: date | None = None,
    last: date | None = None,
) -> tuple[Day, ...]:
    """Return the job's shifts with their sheets, the latest first. Twelve queries."""
    found = shifts(job, known_at=known_at, for_member=member, first=first, last=last)
    placed = grouped(
        shooting(job, known_at=known_at, of_shifts=found), lambda one: one.shift.first
    )
    ids = [shift.first for shift in found]
    rows = reports_for(member, known_at=known_at).filter(shift__in=ids)
    by_shift = grouped(
        sheets(job, rows, known_at=known_at), lambda one: one.row.shift_id
    )
    return tuple(
        Day(
            shift=shift,
            placements=tuple(placed.get(shift.first, ())),
            sheets=tuple(by_shift.get(shift.first, ())),
        )
        for shift in reversed(found)
    )


def all_sheets(
    job: Job,
    member: Membership,
    *,
    known_at: datetime,
    first: date | None = None,
    last: date | None = None,
) -> tuple[Sheet, ...]:
    """Return the sheets a member may open, by number. Four queries."""
    rows = reports_for(member, known_at=known_at)
    if first is not None:
        rows = rows.filter(shift__work_date__gte=first)
    if last is not None:
        rows = rows.filter(shift__work_date__lte=last)
    return sheets(job, rows, known_at=known_at)


def sheets(job: Job, rows: Any, *, known_at: datetime) -> tuple[Sheet, ...]:
    """Return sheets with their state, by number. Four queries."""
    found: list[DailyReport] = list(
        rows.select_related(
            "inspector__user", "organization", "shift__organization", "job"
        ).order_by("number")
    )
    ids = [row.first for row in found]
    versions = grouped(
        ReportVersion.objects.filter(report__in=ids, recorded_at__lte=known_at)
        .defer("content")
        .select_related("signature")
        .order_by("n"),
        lambda row: row.report_id,
    )
    moves = grouped(
        Move.objects.filter(report__in=ids, recorded_at__lte=known_at)
        .select_related("recorded_by__user", "signature")
        .order_by("n"),
        lambda row: row.report_id,
    )
    revisions = [row.facts() for row in terms_revisions(job, known_at=known_at)]
    return tuple(
        _sheet(
            row,
            versions.get(row.first, []),
            moves.get(row.first, []),
            terms_on(revisions, on=row.shift.work_date),
            known_at,
        )
        for row in found
    )


def _sheet(
    row: DailyReport,
    versions: list[ReportVersion],
    moves: list[Move],
    terms: Terms | None,
    known_at: datetime,
) -> Sheet:
    voided = row.as_known("voided_at", at=known_at) is not None
    state = moves[-1].state if moves else REPORT.initial
    signed_at = versions[0].signature.signed_at if versions else None
    return Sheet(
        row=row,
        state=VOID if voided else state,
        versions=tuple(versions),
        moves=tuple(moves),
        timing=None if voided else timing_of(row, terms, signed_at, known_at),
        terms=terms,
    )


def timing_of(
    row: DailyReport, terms: Terms | None, signed_at: datetime | None, now: datetime
) -> ReportTiming | None:
    """Return how a sheet stands against its deadline, where the terms give one."""
    within = terms.decimal("report_sign_within") if terms is not None else None
    if within is None:
        return None
    job, work_date = row.job, row.shift.work_date
    deadline = report_deadline(
        work_date, non_working=job.days_off(), zone=job.zone, within=int(within)
    )
    return report_timing(
        work_date=work_date,
        signed_at=signed_at,
        now=now,
        deadline=deadline,
        zone=job.zone,
    )


@dataclass(frozen=True, slots=True)
class SheetPage:
    """One sheet with what its page, its signing and its review show."""

    sheet: Sheet
    content: dict[str, Any]
    sha256: str
    record: ShiftRecord
    flags: tuple[FlagLine, ...]
    may_write: bool
    may_sign: bool
    may_review: bool
    may_amend: bool

    @property
    def uncleared(self) -> tuple[FlagLine, ...]:
        return tuple(line for line in self.flags if line.cleared is None)


def sheet_page(
    job: Job, member: Membership, number: int, *, known_at: datetime
) -> SheetPage | None:
    """Return one sheet by its number, or nothing where it is not to be seen.

    A signed sheet says what was signed; a draft what it would say if it were signed
    now, with the hash that signing asks for. Thirty queries at most, and one for the ages of its loads.
    """
    rows = reports_for(member, known_at=known_at).filter(number=number)
    found = sheets(job, rows, known_at=known_at)
    if not found:
        return None
    sheet = found[0]
    record = shift_record(sheet.shift, known_at=known_at)
    if sheet.last is None:
        content = content_now(sheet.row, known_at=known_at, record=record)
        digest = sha256_of(content)
    else:
        content, digest = sheet.last.content, sheet.last.sha256
    flags = flags_of(sheet.row, known_at=known_at, record=record)
    own = sheet.row.organization_id == member.organization_id
    mine = sheet.row.inspector_id == member.pk
    role = Role(member.role)
    return SheetPage(
        sheet=sheet,
        content=content,
        sha256=digest,
        record=record,
        flags=flag_lines(flags, known_at=known_at),
        may_write=own and sheet.state == "draft" and may(role, Ability.WRITE_SHEET),
        may_sign=mine and sheet.state == "draft" and may(role, Ability.SIGN_REPORT),
        may_review=own
        and not mine
        and sheet.waits_for_review
        and may(role, Ability.REVIEW_REPORT),
        may_amend=mine and bool(sheet.versions) and may(role, Ability.SIGN_REPORT),
    )


def signed_content(
    job: Job, member: Membership, number: int, n: int, *, known_at: datetime
) -> ReportVersion | None:
    """Return one signed version of a sheet, with its content, as it was signed."""
    rows = reports_for(member, known_at=known_at).filter(number=number)
    report = rows.first()
    if report is None:
        return None
    versions = ReportVersion.objects.filter(
        report=report.first, n=n, recorded_at__lte=known_at
    )
    return versions.select_related("signature", "report").first()


def missing_sheets(
    found: Iterable[Day], *, firm: UUID
) -> tuple[tuple[Shift, Sheet | None], ...]:
    """Return the shifts for which a firm has signed no sheet, with its draft if any."""
    missing = []
    for day in found:
        own = [
            one
            for one in day.sheets
            if one.row.organization_id == firm and one.state != VOID
        ]
        if not any(one.versions for one in own):
            missing.append((day.shift, own[0] if own else None))
    return tuple(missing)
