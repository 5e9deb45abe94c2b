"""The roll call of a date: who was on the nozzle and beside it, as known when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from crews.domain.clearance import mockup_needed
from crews.domain.roll_call import (
    Called,
    OnNozzle,
    Post,
    RosterLine,
    call_nozzle,
    once_a_shift,
)
from crews.domain.supervision import needs_watch
from crews.domain.trade_words import PresenceRole
from crews.models import Shift
from crews.queries.operator_files import own_firm
from crews.queries.shooting import Held, Placed, ShiftRoster, Stood, rosters
from project.domain.reinforcement import stored
from project.domain.shooting_words import Process
from project.domain.terms import Terms, terms_on
from project.domain.verdict import Ref, State
from project.models import Job, Membership
from project.models.records import as_quantity
from project.queries.jobs import terms_revisions


@dataclass(frozen=True, slots=True)
class ShiftCall:
    """One shift: each nozzle time with who stood beside it, and the rest once."""

    roster: ShiftRoster
    stops_at: datetime | None
    called: tuple[Called, ...]
    lines: tuple[RosterLine, ...]

    @property
    def shift(self) -> Shift:
        return self.roster.shift

    @property
    def parts(self) -> frozenset[str]:
        """The codes of the parts shot in the shift."""
        return frozenset(one.time.part for one in self.called)


@dataclass(frozen=True, slots=True)
class RollCall:
    """The shifts of a work date, and the nearest dates with shifts on either side."""

    on: date
    shifts: tuple[ShiftCall, ...]
    before: date | None
    after: date | None


def roll_call(
    job: Job,
    *,
    at: datetime,
    known_at: datetime,
    for_member: Membership | None = None,
) -> RollCall:
    """Return the roll call of an instant's work date, each shift whole. Twelve queries.

    A night shift of the date before that still ran at the instant is called too.
    """
    on = job.local(at).date()
    found = rosters(
        job,
        known_at=known_at,
        for_member=for_member,
        first=on - timedelta(days=1),
        last=on,
    )
    terms = [row.facts() for row in terms_revisions(job, known_at=known_at)]
    calls = [
        _shift_call(roster, terms, known_at=known_at)
        for roster in found
        if roster.shift.work_date == on or _runs(roster.shift, at, known_at)
    ]
    before, after = _neighbours(job, on, known_at=known_at, for_member=for_member)
    return RollCall(on, tuple(calls), before, after)


def _runs(shift: Shift, at: datetime, known_at: datetime) -> bool:
    stops = shift.as_known("stops_at", at=known_at)
    return stops is None or stops > at


def _neighbours(
    job: Job, on: date, *, known_at: datetime, for_member: Membership | None
) -> tuple[date | None, date | None]:
    rows = Shift.objects.known_at(known_at).filter(job=job)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(organization=firm)
    days = rows.values_list("work_date", flat=True)
    before = days.filter(work_date__lt=on).order_by("-work_date").first()
    after = days.filter(work_date__gt=on).order_by("work_date").first()
    return before, after


def _shift_call(
    roster: ShiftRoster, terms: list[Terms], *, known_at: datetime
) -> ShiftCall:
    """Ask of a shift up to its end; of one that still runs, up to what is known."""
    stops = roster.shift.as_known("stops_at", at=known_at)
    posts = [_post(stood, stops) for stood in roster.presences]
    in_force = terms_on(terms, on=roster.shift.work_date)
    called = [
        call_nozzle(_on_nozzle(placed, held, in_force), posts, until=stops or known_at)
        for placed in roster.placements
        for held in placed.times
    ]
    return ShiftCall(
        roster=roster,
        stops_at=stops,
        called=tuple(sorted(called, key=lambda one: one.time.start)),
        lines=once_a_shift(
            posts,
            processes={Process(p.mix.process) for p in roster.placements if p.mix},
        ),
    )


def _post(stood: Stood, stops: datetime | None) -> Post:
    part = stood.row.part
    return Post(
        role=PresenceRole(stood.role),
        name=stood.name,
        start=stood.from_at,
        stop=stood.to_at or stops,
        part="" if part is None else part.code,
        ref=Ref("presence", str(stood.row.pk), stood.name),
    )


def _on_nozzle(placed: Placed, held: Held, terms: Terms | None) -> OnNozzle:
    bars, because = _close_bars(placed, terms)
    return OnNozzle(
        operator=held.code,
        name=held.operator.legal_name,
        part=placed.row.part.code,
        placement=placed.code,
        start=held.started_at,
        stop=held.stopped_at,
        close_bars=bars,
        because=because,
        watched=_watched(held),
        ref=Ref("nozzletime", str(held.row.pk), placed.code),
    )


def _close_bars(placed: Placed, terms: Terms | None) -> tuple[State, str]:
    """Say whether the bars lie closer than the code lets stand, and which do."""
    part, mix = placed.part, placed.mix
    if part is None:
        return State.UNDECIDED, "part not on record as known then"
    verdict = mockup_needed(
        stored(part.reinforcement),
        terms=terms,
        aggregate=None
        if mix is None
        else as_quantity(mix.aggregate, mix.aggregate_unit),
    )
    told = verdict.failed or verdict.unmet
    return verdict.state, told[0].found if told else ""


def _watched(held: Held) -> bool:
    """Say whether the take was frozen as one that needs somebody beside it."""
    if held.take is None:
        return False
    return needs_watch(held.take.verdict.reasons)
