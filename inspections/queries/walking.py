"""What stands over a walk: who holds the nozzle since when, and how old the load is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from crews.models import NozzleTime, Placement
from crews.queries.shooting import codes_on
from inspections.domain.load_age import AgeLimit, age_limit
from inspections.models import Load, Round
from inspections.queries.round_screen import RoundScreen
from inspections.queries.shift_record import as_known
from project.domain.clocks import elapsed_minutes
from project.models import Job
from project.models.records import as_quantity
from project.queries.jobs import terms_in_force


@dataclass(frozen=True, slots=True)
class NozzleNow:
    """Who holds the nozzle, by code, and the load being shot with its age [min].

    `limit` is what the load's age will be held to, where anybody gave one.
    """

    held: tuple[tuple[str, NozzleTime], ...]
    load: Load | None
    age: int | None
    limit: AgeLimit | None


def nozzle_now(
    job: Job, screen: RoundScreen, *, known_at: datetime, at: datetime
) -> NozzleNow | None:
    """Return what stands over a walk of a placement; nothing over any other walk.

    The load is the last one that came and is not shot out. Two queries, and one for the
    terms where its mix revision has no limit of its own.
    """
    placement = screen.placement
    if placement is None:
        return None
    codes = codes_on(job)
    held = tuple(
        (codes.get(time.operator_id, time.operator.badge_number), time)
        for time in screen.on_nozzle
    )
    rows = Load.objects.known_at(known_at).filter(
        placement=placement.first, accepted=True
    )
    rows = rows.select_related("mix_revision", "shift", "job").order_by("order")
    loads = as_known(rows, known_at)
    running = [load for load in loads if load.last_shot_at is None]
    load = running[-1] if running else None
    age = None
    if load is not None and load.batched_at is not None and load.batched_at <= at:
        age = elapsed_minutes(load.batched_at, at)
    limit = None if load is None else _limit(load, known_at=known_at)
    return NozzleNow(held=held, load=load, age=age, limit=limit)


def _limit(load: Load, *, known_at: datetime) -> AgeLimit | None:
    mix = load.mix_revision
    own = as_quantity(mix.load_age_limit, mix.load_age_limit_unit) if mix else None
    if own is not None:
        return age_limit(own, terms=None)
    on = load.shift.work_date
    return age_limit(None, terms=terms_in_force(load.job, on=on, known_at=known_at))


def walk_of(row: Round, *, known_at: datetime) -> Placement | None:
    """Return the placement that a walk looked at, as known, or nothing."""
    if row.placement_id is None:
        return None
    rows = Placement.objects.known_at(known_at).filter(first=row.placement_id)
    found: Placement | None = rows.select_related("part", "mix_revision").first()
    return found
