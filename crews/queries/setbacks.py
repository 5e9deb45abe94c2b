"""What asks operators to be accepted again: ratings of their own work, as known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from operator import attrgetter
from typing import Protocol
from uuid import UUID

from crews.domain.requalification import Setback
from crews.domain.trade_words import Method, PanelKind, RatingDecision
from crews.models import Panel, VisualRating
from project.domain.shooting_words import Position, Process
from project.models import Job, MixRevision

# Panels shot with the work: a mock-up is judged by the engineer as such.
_WORK = (PanelKind.PRODUCTION, PanelKind.IN_PLACE)


class Said(Protocol):
    """A rating as known, and the chain of the panel that it rates."""

    pk: UUID
    panel_id: UUID
    recorded_at: datetime
    rated_at: datetime
    decision: str


class Rated(Protocol):
    """A panel as known: whose it is, and how it was shot."""

    first: UUID
    code: str
    panel_kind: str
    mix_revision_id: UUID
    method: str
    position: str
    operator_id: UUID | None
    shared_with_id: UUID | None


# Panels are wide: what asks nothing of their other columns does not fetch them.
_SAID = ("pk", "panel_id", "recorded_at", "rated_at", "decision")
_RATED = (
    *("first", "code", "panel_kind", "mix_revision_id", "method", "position"),
    *("operator_id", "shared_with_id"),
)


def setbacks(
    job: Job, *, known_at: datetime, mixes: Iterable[MixRevision]
) -> dict[UUID, tuple[Setback, ...]]:
    """Return the setbacks of each operator as known.

    One query, and one more where a panel was rated.
    """
    said = VisualRating.objects.filter(job=job).order_by()
    ratings = list(said.known_at(known_at).values_list(*_SAID, named=True))
    if not ratings:
        return {}
    rated = Panel.objects.known_at(known_at).order_by()
    rated = rated.filter(job=job, first__in=said.values("panel"))
    panels = rated.values_list(*_RATED, named=True)
    return of_ratings(ratings, panels, {mix.first: mix for mix in mixes})


def of_ratings(
    ratings: Iterable[Said],
    panels: Iterable[Rated],
    mixes: Mapping[UUID, MixRevision],
) -> dict[UUID, tuple[Setback, ...]]:
    """Return a setback for each rating that is not acceptable, until one that is.

    A panel that two operators shot has no one's name, and asks nobody.
    """
    said: dict[UUID, list[Said]] = defaultdict(list)
    for one in sorted(ratings, key=lambda row: (row.rated_at, row.recorded_at)):
        said[one.panel_id].append(one)
    found: dict[UUID, list[Setback]] = defaultdict(list)
    for panel in sorted(panels, key=attrgetter("code")):
        mix = mixes.get(panel.mix_revision_id)
        operator = None if panel.shared_with_id else panel.operator_id
        if mix is None or operator is None or panel.panel_kind not in _WORK:
            continue
        found[operator].extend(_of_panel(panel, said[panel.first], mix))
    return {pk: tuple(rows) for pk, rows in found.items() if rows}


def _of_panel(
    panel: Rated, said: Sequence[Said], mix: MixRevision
) -> Iterator[Setback]:
    """Yield the setbacks of one panel: more cores wanted leaves the question open."""
    good = [one for one in said if one.decision == RatingDecision.ACCEPTABLE]
    for row in said:
        if row.decision == RatingDecision.NOT_ACCEPTABLE:
            later = next((one for one in good if one.rated_at > row.rated_at), None)
            yield Setback(
                id=row.pk,
                recorded_at=row.recorded_at,
                at=row.rated_at,
                until=later.rated_at if later else None,
                words=f"{panel.code} not acceptable",
                process=Process(mix.process),
                method=Method(panel.method),
                position=Position(panel.position),
            )
