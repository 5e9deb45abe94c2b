"""Delivered volumes: of a placement by its loads, and of each nozzle time's share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from uuid import UUID

from crews.queries.shooting import UNIT_OF_VOLUME, Placed
from inspections.domain.placing import NozzleVolume, Share, delivered_shares
from inspections.models import Load
from inspections.queries.known import grouped
from project.domain.units import Quantity, convert
from project.models import Job
from project.models.records import as_quantity


def delivered(job: Job, loads: Iterable[Load]) -> Quantity:
    """Return what was delivered and accepted, in the job's unit; nothing taken off.

    What went back and what a panel took is printed beside it, never hidden in it.
    """
    unit = UNIT_OF_VOLUME[job.unit_system]
    total = sum(
        (
            convert(Quantity(load.volume, load.volume_unit), to=unit).value
            for load in loads
            if load.accepted
        ),
        Decimal(0),
    )
    return Quantity(total, unit)


def returned(job: Job, loads: Iterable[Load]) -> Quantity:
    """Return what went back of the loads accepted, in the job's unit."""
    unit = UNIT_OF_VOLUME[job.unit_system]
    amounts = (
        as_quantity(load.returned, load.volume_unit) for load in loads if load.accepted
    )
    total = sum((convert(one, to=unit).value for one in amounts if one), Decimal(0))
    return Quantity(total, unit)


def shares_by_nozzle_time(
    job: Job, placed: Sequence[Placed], loads: Sequence[Load]
) -> dict[UUID, Share]:
    """Return the delivered volume of each nozzle time, and how it is known.

    Without any load on record nothing was delivered that could be shared.
    """
    by_placement = grouped(loads, lambda load: load.placement_id)
    shares: dict[UUID, Share] = {}
    for one in placed:
        came = by_placement.get(one.id, [])
        if not came or not one.times:
            continue
        times = [
            NozzleVolume(id=str(held.id), neat=held.neat.volume, loads=held.loads)
            for held in one.times
        ]
        for share in delivered_shares(times, delivered=delivered(job, came)):
            shares[UUID(share.id)] = share
    return shares


def counted_volumes(shares: dict[UUID, Share]) -> dict[UUID, Quantity]:
    """Return the volumes that the panel ledger counts, where they are known."""
    return {id: share.volume for id, share in shares.items() if share.volume}
