"""Who takes the nozzle, and what the record then proposes to raise."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from crews.actions.nozzle import take_nozzle
from crews.models import Eligibility, NozzleTime, Operator, Placement
from inspections.queries.proposals import not_qualified
from project.audit import act
from project.models import Membership


def operator_takes_nozzle(
    *,
    id: UUID,
    by: Membership,
    placement: Placement,
    operator: Operator,
    at: datetime,
    known_at: datetime | None = None,
    device_at: datetime | None = None,
    shown_state: dict[str, Any] | None = None,
) -> tuple[NozzleTime, Eligibility]:
    """Record the take; the trail keeps what it proposed to raise at that instant.

    Nothing is raised by it: the page lists the proposal until a person does, or the
    record turns out otherwise.
    """
    firm = (operator.organization,)
    with act(on=by.job, by=by, verb="nozzle.taken", also=firm) as deed:
        taken, frozen = take_nozzle(
            id=id,
            by=by,
            placement=placement,
            operator=operator,
            at=at,
            known_at=known_at,
            device_at=device_at,
            shown_state=shown_state,
        )
        proposal = not_qualified(taken, frozen)
        if proposal is not None:
            deed.say(proposes=proposal.words)
        return taken, frozen
