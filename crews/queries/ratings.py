"""Visual ratings of cores as known, the corrected ones too."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from crews.domain.trade_words import RatingDecision
from crews.models import VisualRating


@dataclass(frozen=True, slots=True)
class RatingRow:
    """One version of a rating, and whether it stands as known."""

    row: VisualRating
    stands: bool

    @property
    def decision(self) -> RatingDecision:
        return RatingDecision(self.row.decision)

    @property
    def cores(self) -> str:
        """The numbers of the cores that were seen together."""
        return ", ".join(str(number) for number in self.row.cores)


def ratings(panels: Iterable[UUID], *, known_at: datetime) -> tuple[RatingRow, ...]:
    """Return every rating of some panels' cores in the order of seeing. One query."""
    rows = VisualRating.objects.filter(panel__in=list(panels))
    rows = rows.filter(recorded_at__lte=known_at)
    found = list(
        rows.select_related("recorded_by__user").order_by("rated_at", "recorded_at")
    )
    gone = {row.supersedes_id for row in found}
    return tuple(
        RatingRow(row, stands=row.pk not in gone and not row.withdrawn) for row in found
    )
