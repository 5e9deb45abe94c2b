"""Hours on the nozzle: each operator's nozzle times, and who verified which days."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from crews.domain.certification import Card
from crews.domain.hours import (
    HeldTime,
    Hours,
    Period,
    Piece,
    ShotClass,
    count,
    level_at,
)
from crews.domain.hours_told import (
    Change,
    Stated,
    Tally,
    VerifiedClass,
    changes,
    from_plain,
    tallies,
)
from crews.domain.trade_words import Method, Moment, PresenceRole
from crews.models import (
    Certification,
    Eligibility,
    Enrolment,
    Experience,
    HoursStatement,
    NozzleTime,
    Operator,
    Placement,
    Shift,
)
from crews.queries.operator_files import own_firm
from crews.queries.shooting import presences, shifts
from project.domain.shooting_words import Position, Process
from project.domain.verdict import Ref
from project.models import Job, Membership
from project.queries.jobs import parts


@dataclass(frozen=True, slots=True)
class Worked:
    """Where a nozzle time belongs: placement, part, and who watched it."""

    placement: str
    part: str
    supervisors: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StatementRow:
    """Verified days as they were kept, and what the record says of them now."""

    row: HoursStatement
    classes: tuple[VerifiedClass, ...]
    now: Hours
    changed: tuple[Change, ...]

    @property
    def minutes(self) -> int:
        """As it was verified [min]."""
        return sum(one.minutes for one in self.classes)


@dataclass(frozen=True, slots=True)
class OperatorHours:
    """One operator's nozzle time on the job, in a period and to date."""

    operator: Operator
    code: str
    place: Enrolment | None
    hours: Hours
    tallies: tuple[Tally, ...]
    statements: tuple[StatementRow, ...]
    worked: dict[str, Worked]

    @property
    def log(self) -> list[tuple[Piece, Worked]]:
        """Each piece of the period with where it belongs, as it was shot."""
        return [(p, self.worked[p.time.ref.id]) for p in self.hours.pieces]

    @property
    def still_on(self) -> list[tuple[HeldTime, Worked]]:
        """Each nozzle time that nobody has left yet, with where it belongs."""
        return [(time, self.worked[time.ref.id]) for time in self.hours.still_on]


def hours_of_all(
    job: Job,
    *,
    period: Period,
    as_of: datetime,
    known_at: datetime,
    for_member: Membership | None = None,
) -> tuple[OperatorHours, ...]:
    """Return everybody's nozzle time that a member may see, by code. Nine queries.

    Who shot without a place on the job is there too, by badge: no hours are lost.
    """
    return _hours(
        job, None, period=period, as_of=as_of, known_at=known_at, for_member=for_member
    )


def operator_hours(
    job: Job,
    operator: Operator,
    *,
    period: Period,
    as_of: datetime,
    known_at: datetime,
    for_member: Membership | None = None,
) -> OperatorHours:
    """Return one operator's nozzle time, of shifts that a member may see. Ten queries.

    Who watched is read too. Whether the operator may be seen is asked before.
    """
    [found] = _hours(
        job,
        operator,
        period=period,
        as_of=as_of,
        known_at=known_at,
        for_member=for_member,
    )
    return found


def hours_statement(
    job: Job, operator: Operator, id: UUID, *, known_at: datetime
) -> HoursStatement | None:
    """Return the days verified that an address names, in the version in force."""
    rows = HoursStatement.objects.known_at(known_at).filter(job=job, operator=operator)
    found: HoursStatement | None = rows.filter(first=id).first()
    return found


def hours_statement_sent(operator: Operator, id: UUID | None) -> bool:
    """Say whether a form that is sent again made its version already."""
    rows = HoursStatement.objects.filter(operator=operator)
    return id is not None and rows.filter(pk=id).exists()


def _hours(
    job: Job,
    only: Operator | None,
    *,
    period: Period,
    as_of: datetime,
    known_at: datetime,
    for_member: Membership | None,
) -> tuple[OperatorHours, ...]:
    firm = own_firm(for_member)
    places = _places(job, only, firm, known_at)
    record = _record(job, only, for_member, known_at)
    people = {pk: place.operator for pk, place in places.items()}
    for person in [only] if only else [row.operator for row in record.rows]:
        people.setdefault(person.pk, person)
    told = _Told(job, list(people), firm, as_of=as_of, known_at=known_at)
    positions = {
        drawn.part.pk: Position(drawn.revision.position)
        for drawn in parts(job, known_at=known_at)
    }
    held: dict[UUID, list[HeldTime]] = defaultdict(list)
    for row in record.rows:
        at = record.placed[row.placement_id]
        position = positions.get(at.part_id, Position.UNCLASSIFIED)
        held[row.operator_id].append(told.held(row, at, position))
    worked = _worked(record, known_at=known_at, watched=only is not None)
    found = [
        OperatorHours(
            operator=person,
            code=places[pk].code if pk in places else person.badge_number,
            place=places.get(pk),
            hours=count(held[pk], period=period, as_of=as_of),
            tallies=tallies(
                count(
                    held[pk],
                    period=Period(None, period.last, job.zone),
                    as_of=as_of,
                ),
                stated=told.stated[pk],
            ),
            statements=tuple(
                _statement(row, held[pk], zone=job.zone, known_at=known_at)
                for row in told.statements[pk]
            ),
            worked=worked,
        )
        for pk, person in people.items()
    ]
    return tuple(sorted(found, key=lambda one: (one.place is None, one.code)))


def _places(
    job: Job, only: Operator | None, firm: UUID | None, known_at: datetime
) -> dict[UUID, Enrolment]:
    rows = Enrolment.objects.known_at(known_at).filter(job=job)
    if firm is not None:
        rows = rows.filter(employer=firm)
    if only is not None:
        rows = rows.filter(operator=only)
    rows = rows.select_related("operator__organization", "employer")
    return {row.operator_id: row for row in rows.order_by("from_on", "code")}


@dataclass(frozen=True, slots=True)
class _Record:
    """Nozzle times as known, of a firm's own shifts, and their placements."""

    shifts: list[Shift]
    placed: dict[UUID, Placement]
    rows: list[NozzleTime]


def _record(
    job: Job, only: Operator | None, for_member: Membership | None, known_at: datetime
) -> _Record:
    own = shifts(job, known_at=known_at, for_member=for_member)
    ids = {shift.first for shift in own}
    placements = Placement.objects.known_at(known_at).filter(job=job).order_by()
    placed = {
        row.first: row
        for row in placements.select_related("part", "mix_revision")
        if row.shift_id in ids
    }
    rows = NozzleTime.objects.known_at(known_at).filter(job=job)
    if only is not None:
        rows = rows.filter(operator=only)
    rows = rows.select_related("operator__organization").order_by("started_at", "id")
    held = [row for row in rows if row.placement_id in placed]
    return _Record(own, placed, held)


class _Told:
    """What is on record beside nozzle times: cards, what is stated, what is verified."""

    def __init__(
        self,
        job: Job,
        people: list[UUID],
        firm: UUID | None,
        *,
        as_of: datetime,
        known_at: datetime,
    ) -> None:
        self._job, self._known_at = job, known_at
        self._cards: dict[UUID, list[Card]] = defaultdict(list)
        for card in Certification.objects.filter(operator__in=people):
            self._cards[card.operator_id].append(card.facts())
        takes = Eligibility.objects.filter(
            job=job,
            operator__in=people,
            moment=Moment.TAKE,
            recorded_at__lte=known_at,
        )
        # The first conclusion of a take had the knowledge of the take itself.
        self._takes = {
            (held, whose): then
            for held, whose, then in takes.order_by("-recorded_at").values_list(
                "nozzle_time", "operator", "known_at"
            )
        }
        self.stated = self._stated(people, job.local(as_of).date())
        self.statements = self._statements(people, firm)

    def held(self, row: NozzleTime, placed: Placement, position: Position) -> HeldTime:
        """Return a nozzle time as it is counted."""
        shot = ShotClass(
            Process(placed.mix_revision.process), position, Method(placed.method)
        )
        then = self._takes.get((row.first, row.operator_id), row.recorded_at)
        return HeldTime(
            shot=shot,
            start=row.started_at,
            stop=row.as_known("stopped_at", at=self._known_at),
            level=level_at(
                self._cards[row.operator_id],
                shot=shot,
                on=self._job.local(row.started_at).date(),
                known_at=then,
            ),
            ref=Ref("nozzletime", str(row.pk), placed.code),
        )

    def _stated(self, people: list[UUID], on: date) -> dict[UUID, list[Stated]]:
        rows = Experience.objects.known_at(self._known_at).filter(
            operator__in=people, stated_on__lte=on
        )
        found: dict[UUID, list[Stated]] = defaultdict(list)
        for row in rows.order_by("stated_on", "id"):
            found[row.operator_id].append(
                Stated(
                    process=Process(row.process),
                    method=Method(row.method),
                    hours=_as_typed(row.hours),
                    stated_by=row.stated_by,
                    stated_on=row.stated_on,
                    ref=Ref("experience", str(row.pk), f"{row.process} {row.method}"),
                )
            )
        return found

    def _statements(
        self, people: list[UUID], firm: UUID | None
    ) -> dict[UUID, list[HoursStatement]]:
        rows = HoursStatement.objects.known_at(self._known_at).filter(
            job=self._job, operator__in=people
        )
        if firm is not None:
            rows = rows.filter(recorded_by__organization=firm)
        rows = rows.select_related("recorded_by__user", "recorded_by__organization")
        found: dict[UUID, list[HoursStatement]] = defaultdict(list)
        for row in rows.order_by("from_on", "id"):
            found[row.operator_id].append(row)
        return found


def _as_typed(hours: Decimal) -> Decimal:
    """Return hours without the noughts that only the column's scale added."""
    short = hours.normalize()
    return short.quantize(Decimal(1)) if short == short.to_integral() else short


def _statement(
    row: HoursStatement, held: Iterable[HeldTime], *, zone: str, known_at: datetime
) -> StatementRow:
    days = Period(row.from_on, row.to_on, zone)
    now = count(held, period=days, as_of=known_at)
    classes = from_plain(row.minutes)
    return StatementRow(row, classes, now, changes(classes, now=now))


def _worked(record: _Record, *, known_at: datetime, watched: bool) -> dict[str, Worked]:
    """Return where each version of a nozzle time belongs."""
    beside = presences(record.shifts, known_at=known_at) if watched else {}
    found = {}
    for row in record.rows:
        at = record.placed[row.placement_id]
        stop = row.as_known("stopped_at", at=known_at) or known_at
        names = [
            stood.name
            for stood in beside.get(at.shift_id, ())
            if stood.role == PresenceRole.SUPERVISOR
            and stood.row.part_id in (None, at.part_id)
            and stood.from_at < stop
            and (stood.to_at or stop) > row.started_at
        ]
        found[str(row.pk)] = Worked(at.code, at.part.code, tuple(dict.fromkeys(names)))
    return found
