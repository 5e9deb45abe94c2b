"""What asks operators to be accepted again: ratings of their own work, as known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from operator import attrgetter
from uuid import UUID

from crews.domain.requalification import Setback
from crews.domain.trade_words import Method, PanelKind, RatingDecision
from crews.models import Panel, VisualRating
from project.domain.shooting_words import Position, Process
from project.models import Job, MixRevision

# Panels shot with the work: a mock-up is judged by the engineer as such.
_WORK = (PanelKind.PRODUCTION, PanelKind.IN_PLACE)


# What is asked of each table, put together once; panels are wide.
_RATINGS = VisualRating.objects.for_facts().order_by()
_PANELS = Panel.objects.for_facts("panel_kind").order_by()


def setbacks(
    job: Job, *, known_at: datetime, mixes: Iterable[MixRevision]
) -> dict[UUID, tuple[Setback, ...]]:
    """Return the setbacks of each operator as known.

    One query, and one more where a panel was rated.
    """
    ratings = list(_RATINGS.known_at(known_at).filter(job=job))
    if not ratings:
        return {}
    said = VisualRating.objects.filter(job=job)
    panels = _PANELS.known_at(known_at).filter(job=job, first__in=said.values("panel"))
    return of_ratings(ratings, panels, {mix.first: mix for mix in mixes})


def of_ratings(
    ratings: Iterable[VisualRating],
    panels: Iterable[Panel],
    mixes: Mapping[UUID, MixRevision],
) -> dict[UUID, tuple[Setback, ...]]:
    """Return a setback for each rating that is not acceptable, until one that is.

    A panel that two operators shot has no one's name, and asks nobody.
    """
    said: dict[UUID, list[VisualRating]] = defaultdict(list)
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
    panel: Panel, said: Sequence[VisualRating], mix: MixRevision
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
