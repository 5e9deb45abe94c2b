"""Nonconformance reports the record proposes: computed lines, no number, no row."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from crews.models import Eligibility, NozzleTime
from project.domain.frozen import thawed
from project.domain.verdict import State


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a person might raise: why, about which record, and since when it is so."""

    why: str
    about_kind: str
    about_id: UUID
    about_text: str
    part_code: str
    words: str
    since: datetime


def not_qualified(taken: NozzleTime, frozen: Eligibility) -> Proposal | None:
    """Return the proposal of one take, or nothing where the operator was qualified.

    A condition kept is no nonconformance; undecided is one, for unknown is no pass.
    """
    if frozen.state in (State.PASS, State.CONDITION):
        return None
    unmet = thawed(frozen.verdict).unmet
    reasons = "; ".join(f"{reason.key}: {reason.found}" for reason in unmet)
    return Proposal(
        why="operator not qualified on record took the nozzle",
        about_kind=taken.kind,
        about_id=taken.first,
        about_text=f"{taken.placement.code}, {taken.operator}",
        part_code=frozen.part.code,
        words=f"{taken.operator} on {frozen.part.code}: {reasons}",
        since=frozen.as_of,
    )
