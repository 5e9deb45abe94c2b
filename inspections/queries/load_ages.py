"""How old each load of a sheet was, judged by the limit that was in force."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from inspections.domain.load_age import load_age
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Reason, Verdict
from project.models import Job, MixRevision
from project.models.records import as_quantity


@dataclass(frozen=True, slots=True)
class LoadAge:
    """One load's age and its verdict; what it was worked out from opens its working."""

    batched_at: datetime
    last_shot_at: datetime
    mix_limit: Quantity | None
    verdict: Verdict

    @property
    def reason(self) -> Reason:
        return self.verdict.reasons[0]

    @property
    def minutes(self) -> Quantity | None:
        """The age as reported; nothing where the times contradict each other."""
        working = self.verdict.working
        return None if working is None else working().reported


def load_ages(
    job: Job,
    loads: Sequence[Mapping[str, Any]],
    *,
    terms: Terms | None,
    known_at: datetime,
) -> tuple[LoadAge | None, ...]:
    """Return the age of each load of a sheet's content, in its order. One query.

    Nothing where the batching or the last shot is not known. `terms` are those in force
    on the work date; the mix revision's own limit comes before theirs.
    """
    codes = {load["mix"] for load in loads if load["mix_revision"] is not None}
    limits = _mix_limits(job, codes, known_at=known_at) if codes else {}
    return tuple(
        _age(load, limits.get((load["mix"], load["mix_revision"])), terms)
        for load in loads
    )


def _mix_limits(
    job: Job, codes: set[str], *, known_at: datetime
) -> dict[tuple[str, int], Quantity | None]:
    rows = MixRevision.objects.known_at(known_at).filter(job=job, code__in=codes)
    found = rows.values_list(
        "code", "revision", "load_age_limit", "load_age_limit_unit"
    )
    return {
        (code, revision): as_quantity(value, unit)
        for code, revision, value, unit in found
    }


def _age(
    load: Mapping[str, Any], mix_limit: Quantity | None, terms: Terms | None
) -> LoadAge | None:
    if not load["batched"] or not load["last_shot"]:
        return None
    batched, last = (
        datetime.fromisoformat(load[name]["utc"]) for name in ("batched", "last_shot")
    )
    verdict = load_age(batched, last_shot_at=last, terms=terms, mix_limit=mix_limit)
    return LoadAge(batched, last, mix_limit, verdict)
