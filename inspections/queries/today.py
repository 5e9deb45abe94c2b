"""What needs a member today: one reading for the home page of each role."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from crews.domain.trade_words import PanelKind
from crews.models import Shift
from crews.queries.endings import EndsNext, ends_next
from crews.queries.ledger import LedgerRow
from crews.queries.panels import PanelRow
from crews.queries.shooting import shifts
from crews.queries.strength import DueRow, due_rows
from inspections.domain.flags import Flag
from inspections.domain.week import Week, cut_of, week_of
from inspections.models import Move, Packet
from inspections.queries.findings import (
    DeficiencyRow,
    NonconformanceRow,
    deficiencies,
    nonconformances,
)
from inspections.queries.flags import clearings, flags_by_shift
from inspections.queries.proposals import Proposal, proposals
from inspections.queries.reports import VOID, Sheet, sheets
from inspections.queries.scope import reports_for
from inspections.queries.work import Work, work
from project.domain.roles import Ability, Role, may
from project.models import Job, Membership
from project.queries.reading import one_reading

# How far ahead a home page looks for results: project's choice.
DAYS_AHEAD = 7
# How far ahead it tells what ends: project's choice, as on the operators' page.
ENDS_AHEAD = 30


@dataclass(frozen=True, slots=True)
class FlaggedSheet:
    """A sheet of one's own firm with contradictions nobody has explained yet."""

    sheet: Sheet
    flags: tuple[Flag, ...]


@dataclass(frozen=True, slots=True)
class PacketWaiting:
    """A packet that waits for the member's move: to be reviewed, or issued."""

    packet: Packet
    move: str
    since: datetime


@dataclass(frozen=True, slots=True)
class Today:
    """What needs a member: each list is empty where nothing does, or may, be done."""

    at: datetime
    on: date
    shifts_without_sheet: tuple[Shift, ...] = ()
    to_sign: tuple[Sheet, ...] = ()
    to_review: tuple[Sheet, ...] = ()
    flagged: tuple[FlaggedSheet, ...] = ()
    deficiencies: tuple[DeficiencyRow, ...] = ()
    nonconformances: tuple[NonconformanceRow, ...] = ()
    proposals: tuple[Proposal, ...] = ()
    panels_missing: tuple[LedgerRow, ...] = ()
    results_due: tuple[DueRow, ...] = ()
    to_judge: tuple[PanelRow, ...] = ()
    packets: tuple[PacketWaiting, ...] = ()
    packet_week: Week | None = None
    ends: EndsNext | None = None
    # What is only read: no member's move.
    coming: tuple[DueRow, ...] = ()
    shifts_today: tuple[Shift, ...] = ()

    @property
    def is_clear(self) -> bool:
        """Whether nothing at all needs the member."""
        ends = self.ends
        return not any(
            (
                self.shifts_without_sheet,
                self.to_sign,
                self.to_review,
                self.flagged,
                self.deficiencies,
                self.nonconformances,
                self.proposals,
                self.panels_missing,
                self.results_due,
                self.to_judge,
                self.packets,
                self.packet_week,
                ends and (ends.within(ENDS_AHEAD) or ends.ended or ends.to_assign_anew),
            )
        )


@dataclass(slots=True)
class _Reading:
    """One member's reading of a job at one instant."""

    job: Job
    member: Membership
    known_at: datetime
    on: date
    role: Role = field(init=False)
    work: Work | None = None

    def __post_init__(self) -> None:
        self.role = Role(self.member.role)
        if self.may(Ability.READ_PANELS):
            self.work = work(
                self.job,
                known_at=self.known_at,
                on=self.on,
                for_member=self.member,
            )

    @property
    def panels(self) -> tuple[PanelRow, ...]:
        return () if self.work is None else self.work.panels

    def may(self, *abilities: Ability) -> bool:
        return any(may(self.role, ability) for ability in abilities)


@one_reading()
def today(job: Job, member: Membership, *, known_at: datetime) -> Today:
    """Return what needs a member, read at one instant.

    The number of queries depends on the role, never on the rows: about thirty for
    an inspector.
    """
    reading = _Reading(job, member, known_at, job.local(known_at).date())
    own = _own_sheets(reading)
    return Today(
        at=known_at,
        on=reading.on,
        shifts_without_sheet=_without_sheet(reading, own),
        to_sign=tuple(one for one in own if _signs(reading, one)),
        to_review=tuple(one for one in own if _reviews(reading, one)),
        flagged=_flagged(reading, own),
        deficiencies=_deficiencies(reading),
        nonconformances=_nonconformances(reading),
        proposals=_proposed(reading),
        panels_missing=_missing(reading),
        results_due=_due(reading),
        to_judge=_to_judge(reading),
        packets=_packets(reading),
        packet_week=_packet_week(reading),
        ends=_ends(reading),
        coming=_coming(reading),
        shifts_today=_shifts_today(reading),
    )


def _own_sheets(reading: _Reading) -> tuple[Sheet, ...]:
    if not reading.may(Ability.READ_OWN_SHEETS):
        return ()
    rows = reports_for(reading.member, known_at=reading.known_at)
    rows = rows.filter(organization=reading.member.organization_id)
    found = sheets(reading.job, rows, known_at=reading.known_at)
    return tuple(one for one in found if one.state != VOID)


def _signs(reading: _Reading, sheet: Sheet) -> bool:
    mine = sheet.row.inspector_id == reading.member.pk
    return mine and sheet.state == "draft" and reading.may(Ability.SIGN_REPORT)


def _reviews(reading: _Reading, sheet: Sheet) -> bool:
    author = sheet.row.inspector
    if not sheet.waits_for_review or author.user_id == reading.member.user_id:
        return False
    levels = reading.member.may_sign_alone or author.may_sign_alone
    return levels and reading.may(Ability.REVIEW_REPORT)


def _without_sheet(reading: _Reading, own: Sequence[Sheet]) -> tuple[Shift, ...]:
    """Return the shifts for which the member's firm has opened no sheet.

    A contractor keeps sheets where it chooses to: nothing is missing there.
    """
    if reading.role is not Role.INSPECTOR:
        return ()
    opened = {one.row.shift_id for one in own}
    found = () if reading.work is None else reading.work.shifts
    return tuple(one for one in found if one.first not in opened)


def _flagged(reading: _Reading, own: Sequence[Sheet]) -> tuple[FlaggedSheet, ...]:
    if reading.work is None:
        return ()
    if not reading.may(Ability.WRITE_SHEET, Ability.REVIEW_REPORT):
        return ()
    waiting = [one for one in own if one.state != "reviewed"]
    found = flags_by_shift(reading.work)
    every = [flag for flags in found.values() for flag in flags]
    cleared = clearings(every, known_at=reading.known_at)
    lines = []
    for sheet in waiting:
        flags = found.get(sheet.row.shift_id, ())
        left = tuple(flag for flag in flags if flag.mark not in cleared)
        if left:
            lines.append(FlaggedSheet(sheet, left))
    return tuple(lines)


def _deficiencies(reading: _Reading) -> tuple[DeficiencyRow, ...]:
    """Return the open ones on which the member may make the next move."""
    if not reading.may(Ability.WRITE_SHEET):
        return ()
    rows = deficiencies(reading.job, reading.member, known_at=reading.known_at)
    return tuple(row for row in rows if row.is_open and row.next_moves)


def _nonconformances(reading: _Reading) -> tuple[NonconformanceRow, ...]:
    concerned = (Ability.RAISE_NONCONFORMANCE, Ability.CLOSE_NONCONFORMANCE)
    if not reading.may(*concerned):
        return ()
    rows = nonconformances(reading.job, reading.member, known_at=reading.known_at)
    return tuple(row for row in rows if row.is_open)


def _proposed(reading: _Reading) -> tuple[Proposal, ...]:
    if reading.work is None or not reading.may(Ability.RAISE_NONCONFORMANCE):
        return ()
    return proposals(reading.work)


def _missing(reading: _Reading) -> tuple[LedgerRow, ...]:
    """Return panels owed and neither made nor answered by accepted cores."""
    wanted = (Ability.RECORD_SHOOTING, Ability.ACCEPT_SUBSTITUTE)
    if reading.work is None or not reading.may(*wanted):
        return ()
    return tuple(row for row in reading.work.ledger.missing if not row.answered)


def _due(reading: _Reading) -> tuple[DueRow, ...]:
    if not reading.may(Ability.ENTER_RESULTS, Ability.RECORD_SHOOTING):
        return ()
    until = reading.on + timedelta(days=DAYS_AHEAD)
    return due_rows(reading.job, reading.panels, until=until)


def _coming(reading: _Reading) -> tuple[DueRow, ...]:
    """Return every result still to come, for whoever reads results."""
    if not reading.may(Ability.READ_STRENGTH):
        return ()
    return due_rows(reading.job, reading.panels)


def _ends(reading: _Reading) -> EndsNext | None:
    """Return what ends next, for the firm whose operators and plans they are."""
    if reading.role is not Role.CONTRACTOR_QC:
        return None
    known = reading.known_at
    return ends_next(reading.job, at=known, known_at=known, for_member=reading.member)


def _shifts_today(reading: _Reading) -> tuple[Shift, ...]:
    every = () if reading.work is None else reading.work.shifts
    return tuple(shift for shift in every if shift.work_date == reading.on)


def _to_judge(reading: _Reading) -> tuple[PanelRow, ...]:
    kinds = []
    if reading.may(Ability.JUDGE_MOCK_UP):
        kinds.append(PanelKind.MOCK_UP)
    if reading.may(Ability.JUDGE_FINISH_SAMPLE):
        kinds.append(PanelKind.FINISH_SAMPLE)
    return tuple(
        row for row in reading.panels if row.kind in kinds and row.judgement is None
    )


def _packets(reading: _Reading) -> tuple[PacketWaiting, ...]:
    """Return prepared packets to review, which somebody else prepared, and reviewed ones."""
    if not reading.may(Ability.REVIEW_PACKET, Ability.ISSUE_PACKET):
        return ()
    found = Packet.objects.filter(
        job=reading.job, recorded_at__lte=reading.known_at
    ).select_related("recorded_by")
    last: dict[object, Move] = {
        move.packet_id: move
        for move in Move.objects.filter(
            packet__in=[packet.pk for packet in found],
            recorded_at__lte=reading.known_at,
        ).order_by("n")
    }
    waiting = []
    for packet in found:
        move = last.get(packet.pk)
        if move is None and packet.recorded_by.user_id != reading.member.user_id:
            if reading.may(Ability.REVIEW_PACKET):
                waiting.append(PacketWaiting(packet, "review", packet.recorded_at))
        elif (
            move is not None
            and move.state == "reviewed"
            and reading.may(Ability.ISSUE_PACKET)
        ):
            waiting.append(PacketWaiting(packet, "issue", move.at))
    return tuple(waiting)


def _packet_week(reading: _Reading) -> Week | None:
    """Return the week that waits for whoever prepares packets."""
    if not reading.may(Ability.PREPARE_PACKET):
        return None
    return week_without_packet(reading.job, known_at=reading.known_at)


def week_without_packet(job: Job, *, known_at: datetime) -> Week | None:
    """Return the last week that ended without a packet, once anything was shot in it."""
    on = job.local(known_at).date()
    this = week_of(on, first_weekday=job.week_starts_on)
    last = week_of(this.first - timedelta(days=1), first_weekday=job.week_starts_on)
    if known_at <= cut_of(last, zone=job.zone):
        return None
    worked = shifts(job, known_at=known_at, first=last.first, last=last.last)
    prepared = Packet.objects.filter(
        job=job, from_on=last.first, recorded_at__lte=known_at
    )
    return last if worked and not prepared.exists() else None
