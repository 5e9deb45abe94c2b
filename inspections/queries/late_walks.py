"""Walks that stand without a sheet: seen after it was signed, named by their part."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime

from inspections.domain.catalogue import AnswerState
from inspections.models import Round
from inspections.queries.scope import only_own_work, parts_of
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class LateWalk:
    """One walk without a sheet, with how its items were answered."""

    row: Round
    counts: Counter[str]

    @property
    def deficient(self) -> int:
        return self.counts[AnswerState.DEFICIENT]

    @property
    def not_looked_at(self) -> int:
        return self.counts[AnswerState.NOT_LOOKED_AT]


def late_walks(
    job: Job, member: Membership, *, known_at: datetime, first: date, last: date
) -> tuple[LateWalk, ...]:
    """Return the walks without a sheet of some local dates, the latest first.

    A contractor reads those on parts it has placed on. One query.
    """
    rows = Round.objects.known_at(known_at).filter(job=job, report=None)
    if only_own_work(member):
        rows = rows.filter(part__in=parts_of(member.organization_id))
    rows = rows.select_related("part", "recorded_by__user")
    return tuple(
        LateWalk(row, Counter(one["answer"] for one in row.answers))
        for row in rows.order_by("-at", "id")
        if first <= job.local(row.at).date() <= last
    )
