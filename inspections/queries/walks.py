"""What a walk asks: the catalogue's items for a part, its mix and its kinds."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime

from crews.models import NozzleTime, Placement
from inspections.domain.catalogue import (
    Edition,
    Item,
    Need,
    RoundKind,
    features_of,
    items_for,
)
from project.domain.shooting_words import Position, Process
from project.models import ElementPart, MixRevision, PartRevision


@dataclass(frozen=True, slots=True)
class Ground:
    """What is known of the place a walk looks at; what is not known is absent."""

    part: ElementPart | None = None
    process: Process | None = None
    position: Position | None = None
    features: Mapping[Need, bool] | None = None

    def asks(
        self, edition: Edition, *, kinds: Collection[RoundKind]
    ) -> tuple[Item, ...]:
        """Return the items of the walk, in the edition's order."""
        return items_for(
            edition,
            kinds=kinds,
            process=self.process,
            position=self.position,
            features=self.features or {},
        )


def ground_of(
    *, part: ElementPart | None, placement: Placement | None, known_at: datetime
) -> Ground:
    """Return what the drawings and the mix say of a walk's place, as known then."""
    where = placement.part if placement is not None else part
    if where is None:
        return Ground()
    revision = PartRevision.objects.known_at(known_at).filter(part=where).first()
    mix = _mix_of(placement, revision, known_at=known_at)
    return Ground(
        part=where,
        process=Process(mix.process) if mix is not None else None,
        position=Position(revision.position) if revision is not None else None,
        features=_features(revision, mix),
    )


def _mix_of(
    placement: Placement | None, revision: PartRevision | None, *, known_at: datetime
) -> MixRevision | None:
    known = MixRevision.objects.known_at(known_at)
    if placement is not None:
        return known.filter(first=placement.mix_revision_id).first()
    if revision is None or not revision.mix_code:
        return None
    same = known.filter(job=revision.job_id, code=revision.mix_code)
    return same.order_by("-revision").first()


def _features(
    revision: PartRevision | None, mix: MixRevision | None
) -> dict[Need, bool]:
    """Return the features stated; a part that states none hides nothing."""
    stated = list(revision.features) if revision is not None else []
    found = features_of(stated) if stated else {}
    if mix is not None:
        found[Need.FIBERS] = bool(mix.fibre)
        found[Need.ACCELERATOR] = mix.accelerator_high is not None
    return found


def nozzle_times_at(
    placement: Placement, *, at: datetime, known_at: datetime
) -> list[NozzleTime]:
    """Return who held a nozzle on a placement at an instant, the first taker first."""
    rows = NozzleTime.objects.known_at(known_at).filter(
        placement=placement.first, started_at__lte=at
    )
    known = [row for row in rows.select_related("operator") if _held(row, at, known_at)]
    return sorted(known, key=lambda row: row.started_at)


def _held(row: NozzleTime, at: datetime, known_at: datetime) -> bool:
    stop = row.as_known("stopped_at", at=known_at)
    return stop is None or at < stop
