"""The watch over a nozzle time, put together from what is on record around it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from crews.domain.supervision import Elsewhere, Stand, Watch, named_supervisor
from crews.domain.trade_words import PresenceRole
from crews.models import NozzleTime, Operator, Placement, Presence
from crews.queries.qualification import Record
from project.domain.clocks import Interval
from project.domain.verdict import Ref
from project.models import Job

# Supervisors as noted in each shift.
Stands = Mapping[UUID, Sequence[Stand]]


@dataclass(frozen=True, slots=True)
class Time:
    """A nozzle time as known, at its placement; an open stop is not left yet."""

    held: NozzleTime
    placement: Placement
    stop: datetime | None

    def meets(self, other: Time) -> bool:
        """Say whether the two share an instant; of an open one, its start."""
        theirs = other.stop or other.held.started_at
        begun = self.held.started_at < theirs
        if other.stop is None:
            begun = self.held.started_at <= theirs
        return begun and (self.stop is None or self.stop > other.held.started_at)


def stand_of(row: Presence, to: datetime | None) -> Stand:
    """Return a presence as a supervisor, with its end as known."""
    return Stand(
        operator=str(row.operator_id),
        start=row.from_at,
        stop=to,
        part="" if row.part is None else row.part.code,
        ref=Ref(row.kind, str(row.pk), "presence as supervisor"),
    )


def supervisor_of(job: Job, time: Time, stands: Stands) -> UUID | None:
    """Return who was noted to stand beside a nozzle time."""
    found = named_supervisor(
        stands.get(time.placement.shift_id, ()),
        part=time.placement.part.code,
        apart_from=str(time.held.operator_id),
        interval=Interval(time.held.started_at, time.stop, job.zone),
    )
    return UUID(found) if found else None


def watch_of(
    record: Record, time: Time, *, stands: Stands, others: Iterable[Time]
) -> Watch:
    """Return the watch over a nozzle time, as its record knows it.

    `others` are the nozzle times that may meet it; the record holds their operators
    and parts.
    """
    supervisor = supervisor_of(record.job, time, stands)
    if supervisor is None:
        return Watch(supervisor=None, noted=True)
    away = [
        one
        for one in others
        if one.held.first != time.held.first
        and one.meets(time)
        and _takes_away(record, supervisor, one, stands)
    ]
    return Watch(
        supervisor=record.file(supervisor),
        noted=True,
        stands=tuple(stands.get(time.placement.shift_id, ())),
        elsewhere=tuple(_elsewhere(record, one) for one in away),
    )


def _takes_away(record: Record, supervisor: UUID, one: Time, stands: Stands) -> bool:
    """Say whether a nozzle time is the supervisor's own, or one they watch as well."""
    if one.held.operator_id == supervisor:
        return True
    if supervisor_of(record.job, one, stands) != supervisor:
        return False
    return record.asks_for_watch(
        one.placement, operator=one.held.operator_id, start=one.held.started_at
    )


def _elsewhere(record: Record, one: Time) -> Elsewhere:
    return Elsewhere(
        operator=record.file(one.held.operator_id).operator,
        start=one.held.started_at,
        stop=one.stop,
        ref=Ref(one.held.kind, str(one.held.pk), one.placement.code),
    )


@dataclass(frozen=True, slots=True)
class Around:
    """What went on around a nozzle time, as known: supervisors, and who else shot."""

    stands: Stands
    others: tuple[Time, ...]

    def people(self, job: Job, time: Time) -> set[Operator]:
        """Return the operators whose files the watch is judged by."""
        named = supervisor_of(job, time, self.stands)
        shooting = {one.held.operator for one in self.others}
        if named is None:
            return shooting
        return shooting | set(Operator.objects.filter(pk=named))


def around(time: Time, *, known_at: datetime) -> Around:
    """Read what went on around a nozzle time. At most four queries.

    Where nobody is noted as supervisor nobody else's shooting is asked for.
    """
    job = time.held.job
    stands = stands_in([time.placement.shift_id], known_at=known_at)
    if supervisor_of(job, time, stands) is None:
        return Around(stands, ())
    others = meeting(job, time, known_at=known_at)
    shifts = {one.placement.shift_id for one in others}
    more = stands_in(shifts - stands.keys(), known_at=known_at)
    return Around(stands | more, others)


def meeting(job: Job, time: Time, *, known_at: datetime) -> tuple[Time, ...]:
    """Return a job's other nozzle times that meet one, as known. Two queries."""
    begun = NozzleTime.objects.known_at(known_at).filter(job=job)
    begun = begun.exclude(first=time.held.first).select_related("operator")
    last = time.stop or time.held.started_at
    late = Q(stopped_at=None) | Q(stopped_recorded_at__gt=known_at)
    still = late | Q(stopped_at__gt=time.held.started_at)
    rows = list(begun.filter(still, started_at__lte=last))
    places = Placement.objects.known_at(known_at).filter(
        first__in=[row.placement_id for row in rows]
    )
    by_first = {row.first: row for row in places.select_related("part")}
    times = (
        Time(row, by_first[row.placement_id], row.as_known("stopped_at", at=known_at))
        for row in rows
        if row.placement_id in by_first
    )
    return tuple(one for one in times if one.meets(time))


def stands_in(shifts: Iterable[UUID], *, known_at: datetime) -> dict[UUID, list[Stand]]:
    """Return the supervisors noted in some shifts, as known. One query."""
    found: dict[UUID, list[Stand]] = {shift: [] for shift in shifts}
    if not found:
        return found
    noted = Presence.objects.known_at(known_at).filter(
        shift__in=list(found), role=PresenceRole.SUPERVISOR, operator__isnull=False
    )
    for row in noted.select_related("part").order_by("from_at"):
        stand = stand_of(row, row.as_known("to_at", at=known_at))
        found[row.shift_id].append(stand)
    return found
