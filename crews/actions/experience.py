"""What an operator had shot before this record began, as somebody states it."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import for_firm, not_after_today, on_job
from crews.domain.trade_words import Method
from crews.models import Experience, Operator
from project.actions.abilities import require
from project.actions.checks import refuse, sent_before
from project.actions.papers import keep_paper
from project.audit import act
from project.domain.identity import derived
from project.domain.roles import Ability
from project.domain.shooting_words import Process
from project.models import Attachment, Membership

# Nobody has shot more hours than this; a figure beyond it is a slip of the finger.
MOST_HOURS = Decimal(100_000)


def state_experience(
    *,
    id: UUID,
    by: Membership,
    operator: Operator,
    process: Process,
    hours: Decimal,
    stated_on: date,
    stated_by: str,
    method: Method = Method.HAND,
    last_shot_on: date | None = None,
    paper: tuple[bytes, str] | None = None,
    supersedes: Experience | None = None,
    reason: str = "",
) -> Experience:
    """Write down hours and the last day of shooting as somebody stated them.

    They open no gate but idle time, and stand apart from the hours counted here. Only
    what was written down wrongly is superseded. `paper` is a file of what states it,
    its bytes and its name; a correction without one keeps the paper it had. Nothing of
    a statement that is refused is kept.
    """
    require(by, Ability.KEEP_OPERATORS)
    for_firm(by, operator.organization_id)
    on_job(by.job, operator=operator.organization)
    row = Experience(
        id=id,
        organization_id=operator.organization_id,
        operator=operator,
        process=process,
        method=method,
        hours=hours,
        last_shot_on=last_shot_on,
        stated_on=stated_on,
        stated_by=stated_by.strip(),
        attachment_id=None if supersedes is None else supersedes.attachment_id,
    )
    firm, verb = operator.organization, "experience.stated"
    if paper is not None:
        with act(on=firm, by=by, verb=verb, also=(by.job,)) as deed:
            if there := sent_before(deed, Experience, id, operator_id=operator.pk):
                return there
            _check(row, by, deed.at, supersedes)
        row.attachment = _kept_paper(id, by, paper)
    with act(on=firm, by=by, verb=verb, also=(by.job,)) as deed:
        if there := sent_before(deed, Experience, id, operator_id=operator.pk):
            return there
        _check(row, by, deed.at, supersedes)
        if supersedes is None:
            return deed.add(row)
        return deed.supersede(supersedes, row, reason=reason)


def _kept_paper(id: UUID, by: Membership, paper: tuple[bytes, str]) -> Attachment:
    raw, name = paper
    id = derived(id, "paper")
    return keep_paper(id=id, by=by, raw=raw, name=name, field="attachment")


def _check(
    row: Experience, by: Membership, at: datetime, supersedes: Experience | None
) -> None:
    """Refuse, by field, what nobody can have shot or stated."""
    if not row.hours.is_finite() or not 0 <= row.hours <= MOST_HOURS:
        message = _("%(given)s h; allowed is 0 to %(most)s.")
        refuse("hours", message, given=row.hours, most=MOST_HOURS)
    if not row.stated_by:
        refuse("stated_by", _("Nobody is named; allowed is who states it."))
    not_after_today("stated_on", row.stated_on, at=at, job=by.job)
    if row.last_shot_on is not None and row.last_shot_on > row.stated_on:
        message = _("%(given)s; allowed is up to the day it is stated, %(stated)s.")
        told = {"given": row.last_shot_on, "stated": row.stated_on}
        refuse("last_shot_on", message, **told)
    if supersedes is not None and supersedes.operator_id != row.operator_id:
        refuse("supersedes", _("That statement is of another operator."))
