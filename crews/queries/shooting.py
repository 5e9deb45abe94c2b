"""What was shot: shifts, placements, nozzle times, and who stood beside them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from crews.domain.nozzle_volume import (
    NeatShare,
    TimeOnNozzle,
    neat_shares,
    neat_volume,
)
from crews.domain.trade_words import Moment, VolumeBasis
from crews.models import (
    Eligibility,
    Enrolment,
    NozzleTime,
    Operator,
    Placement,
    Presence,
    Shift,
)
from crews.queries.operator_files import own_firm
from project.domain.clocks import elapsed_minutes
from project.domain.frozen import thawed
from project.domain.units import Quantity
from project.domain.verdict import State, Verdict
from project.models import Job, Membership, MixRevision, PartRevision
from project.models.records import as_quantity
from project.queries.jobs import mixes, parts

UNIT_OF_VOLUME = {"US": "yd3", "SI": "m3"}


@dataclass(frozen=True, slots=True)
class Frozen:
    """A conclusion about an operator as it was frozen."""

    row: Eligibility
    verdict: Verdict

    @property
    def state(self) -> State:
        return self.verdict.state


@dataclass(frozen=True, slots=True)
class Held:
    """A nozzle time as known, with its volume and what was frozen of it."""

    row: NozzleTime
    operator: Operator
    code: str
    started_at: datetime
    stopped_at: datetime | None
    stated: Quantity | None
    basis: VolumeBasis | None
    neat: NeatShare
    take: Frozen | None
    whole: Frozen | None

    @property
    def id(self) -> UUID:
        """The identity that other records know this nozzle time by."""
        return self.row.first

    @property
    def minutes(self) -> int | None:
        if self.stopped_at is None:
            return None
        return elapsed_minutes(self.started_at, self.stopped_at)

    @property
    def frozen(self) -> Frozen | None:
        """The last conclusion: of the whole interval, else of the take."""
        return self.whole or self.take

    @property
    def loads(self) -> Quantity | None:
        """The delivered volume shared to it at hand-over, where somebody did."""
        return self.stated if self.basis is VolumeBasis.LOADS else None


@dataclass(frozen=True, slots=True)
class Placed:
    """A placement as known, with its shift, part, mix and nozzle times."""

    row: Placement
    shift: Shift
    part: PartRevision | None
    mix: MixRevision | None
    neat: Quantity | None
    times: tuple[Held, ...]

    @property
    def id(self) -> UUID:
        return self.row.first

    @property
    def code(self) -> str:
        return self.row.code

    @property
    def started_at(self) -> datetime | None:
        return min((held.started_at for held in self.times), default=None)

    @property
    def stopped_at(self) -> datetime | None:
        """The last leave; nothing while somebody holds the nozzle."""
        stops = [held.stopped_at for held in self.times]
        return None if None in stops else max(filter(None, stops), default=None)


def codes_on(job: Job) -> dict[UUID, str]:
    """Return the code by which each operator is known on a job."""
    rows = Enrolment.objects.filter(job=job).order_by("-recorded_at")
    return dict(rows.values_list("operator_id", "code"))


def shifts(
    job: Job,
    *,
    known_at: datetime,
    for_member: Membership | None = None,
    first: date | None = None,
    last: date | None = None,
) -> list[Shift]:
    """Return shifts by work date, narrowed to a member's own firm where that is so."""
    rows = Shift.objects.known_at(known_at).filter(job=job)
    firm = own_firm(for_member)
    if firm is not None:
        rows = rows.filter(organization=firm)
    if first is not None:
        rows = rows.filter(work_date__gte=first)
    if last is not None:
        rows = rows.filter(work_date__lte=last)
    rows = rows.select_related("organization")
    return list(rows.order_by("work_date", "starts_at", "organization__code"))


def shooting(
    job: Job,
    *,
    known_at: datetime,
    for_member: Membership | None = None,
    first: date | None = None,
    last: date | None = None,
    of_shifts: Iterable[Shift] | None = None,
) -> tuple[Placed, ...]:
    """Return placements with their nozzle times, by code. Seven queries or fewer."""
    if of_shifts is None:
        of_shifts = shifts(
            job, known_at=known_at, for_member=for_member, first=first, last=last
        )
    by_shift = {shift.first: shift for shift in of_shifts}
    rows = Placement.objects.known_at(known_at).filter(shift__in=list(by_shift))
    rows = rows.select_related("part__element", "rig", "crew").order_by("code")
    placements = list(rows)
    held = _nozzle_times(placements, known_at=known_at)
    frozen = _frozen(held, known_at=known_at)
    codes = codes_on(job)
    revisions = {row.part.pk: row.revision for row in parts(job, known_at=known_at)}
    by_mix = {mix.first: mix for mix in mixes(job, known_at=known_at)}
    unit = UNIT_OF_VOLUME[job.unit_system]
    placed = []
    for row in placements:
        part = revisions.get(row.part_id)
        neat = neat_of(row, part, unit)
        times = held.get(row.first, [])
        placed.append(
            Placed(
                row=row,
                shift=by_shift[row.shift_id],
                part=part,
                mix=by_mix.get(row.mix_revision_id),
                neat=neat,
                times=_held(times, neat, codes, frozen, known_at),
            )
        )
    return tuple(placed)


def _nozzle_times(
    placements: list[Placement], *, known_at: datetime
) -> dict[UUID, list[NozzleTime]]:
    rows = NozzleTime.objects.known_at(known_at).filter(
        placement__in=[placement.first for placement in placements]
    )
    found: dict[UUID, list[NozzleTime]] = defaultdict(list)
    for row in rows.select_related("operator").order_by("started_at", "id"):
        found[row.placement_id].append(row)
    return found


def _frozen(
    held: dict[UUID, list[NozzleTime]], *, known_at: datetime
) -> dict[tuple[UUID, str], Eligibility]:
    """Return the latest conclusion frozen of each nozzle time, by moment."""
    ids = [row.first for rows in held.values() for row in rows]
    rows = Eligibility.objects.filter(nozzle_time__in=ids, recorded_at__lte=known_at)
    return {
        (row.nozzle_time_id, row.moment): row
        for row in rows.order_by("recorded_at")
        if row.nozzle_time_id is not None
    }


def neat_of(row: Placement, part: PartRevision | None, unit: str) -> Quantity | None:
    """Return the neat volume of what was shot: its own face, else the whole part's."""
    area = as_quantity(row.area, row.area_unit)
    thickness = as_quantity(row.thickness, row.thickness_unit)
    if part is not None:
        area = area or as_quantity(part.area, part.area_unit)
        thickness = thickness or as_quantity(part.thickness, part.thickness_unit)
    if area is None or thickness is None:
        return None
    return neat_volume(area, thickness=thickness, unit=unit)


def _held(
    rows: list[NozzleTime],
    neat: Quantity | None,
    codes: dict[UUID, str],
    frozen: dict[tuple[UUID, str], Eligibility],
    at: datetime,
) -> tuple[Held, ...]:
    on_nozzle = [_on_nozzle(row, at) for row in rows]
    shares = neat_shares(neat, on_nozzle)
    return tuple(
        Held(
            row=row,
            operator=row.operator,
            code=codes.get(row.operator_id, row.operator.badge_number),
            started_at=row.started_at,
            stopped_at=row.as_known("stopped_at", at=at),
            stated=time.stated,
            basis=time.basis,
            neat=share,
            take=_thawed(frozen.get((row.first, Moment.TAKE))),
            whole=_thawed(frozen.get((row.first, Moment.WHOLE_INTERVAL))),
        )
        for row, time, share in zip(rows, on_nozzle, shares, strict=True)
    )


def _on_nozzle(row: NozzleTime, at: datetime) -> TimeOnNozzle:
    stopped = row.as_known("stopped_at", at=at)
    volume = row.as_known("volume", at=at)
    return TimeOnNozzle(
        id=str(row.first),
        minutes=elapsed_minutes(row.started_at, stopped) if stopped else None,
        stated=as_quantity(volume, row.volume_unit),
        basis=VolumeBasis(row.volume_basis) if volume is not None else None,
    )


def _thawed(row: Eligibility | None) -> Frozen | None:
    return None if row is None else Frozen(row=row, verdict=thawed(row.verdict))


@dataclass(frozen=True, slots=True)
class Stood:
    """Somebody beside the nozzle, as known."""

    row: Presence
    name: str
    role: str
    from_at: datetime
    to_at: datetime | None


def presences(
    of_shifts: Iterable[Shift], *, known_at: datetime
) -> dict[UUID, tuple[Stood, ...]]:
    """Return who stood beside the nozzle in each shift, in the order they came."""
    rows = Presence.objects.known_at(known_at).filter(
        shift__in=[shift.first for shift in of_shifts]
    )
    rows = rows.select_related("operator", "crew_member", "membership__user", "part")
    found: dict[UUID, list[Stood]] = defaultdict(list)
    for row in rows.order_by("from_at", "role", "id"):
        found[row.shift_id].append(
            Stood(
                row=row,
                name=_name(row),
                role=row.role,
                from_at=row.from_at,
                to_at=row.as_known("to_at", at=known_at),
            )
        )
    return {shift: tuple(stood) for shift, stood in found.items()}


def _name(row: Presence) -> str:
    if row.operator is not None:
        return row.operator.legal_name
    if row.crew_member is not None:
        return row.crew_member.name
    return row.membership.user.printed_name if row.membership is not None else ""


@dataclass(frozen=True, slots=True)
class ShiftRoster:
    """A shift with everybody in it: who held the nozzle, who stood beside it."""

    shift: Shift
    placements: tuple[Placed, ...]
    presences: tuple[Stood, ...]

    @property
    def held(self) -> tuple[Held, ...]:
        """Every nozzle time of the shift, in the order they were taken."""
        times = [held for placed in self.placements for held in placed.times]
        return tuple(sorted(times, key=lambda held: (held.started_at, held.code)))


def rosters(
    job: Job,
    *,
    known_at: datetime,
    for_member: Membership | None = None,
    first: date | None = None,
    last: date | None = None,
) -> tuple[ShiftRoster, ...]:
    """Return the roster of each shift as of that shift, by work date. Nine queries."""
    found = shifts(
        job, known_at=known_at, for_member=for_member, first=first, last=last
    )
    return _rosters(job, found, known_at)


def shift_roster(
    job: Job,
    shift_id: UUID,
    *,
    known_at: datetime,
    for_member: Membership | None = None,
) -> ShiftRoster | None:
    """Return one shift with everything in it, or nothing where it is not to be seen."""
    rows = Shift.objects.known_at(known_at).filter(job=job, first=shift_id)
    shift = rows.select_related("organization").first()
    firm = own_firm(for_member)
    if shift is None or firm not in (None, shift.organization_id):
        return None
    return _rosters(job, [shift], known_at)[0]


def _rosters(
    job: Job, found: list[Shift], known_at: datetime
) -> tuple[ShiftRoster, ...]:
    placed = defaultdict(list)
    for placement in shooting(job, known_at=known_at, of_shifts=found):
        placed[placement.shift.first].append(placement)
    stood = presences(found, known_at=known_at)
    return tuple(
        ShiftRoster(
            shift=shift,
            placements=tuple(placed[shift.first]),
            presences=stood.get(shift.first, ()),
        )
        for shift in found
    )
