"""What an operator had shot before this record began, as somebody states it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import for_firm, not_after_today, on_job
from crews.domain.trade_words import Method
from crews.models import Experience, Operator
from project.actions.abilities import require
from project.actions.checks import of_job, refuse, sent_before
from project.audit import act
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
    attachment: Attachment | None = None,
    supersedes: Experience | None = None,
    reason: str = "",
) -> Experience:
    """Write down hours and the last day of shooting as somebody stated them.

    They open no gate but idle time, and stand apart from the hours counted here. Only
    what was written down wrongly is superseded.
    """
    require(by, Ability.KEEP_OPERATORS)
    for_firm(by, operator.organization_id)
    on_job(by.job, operator=operator.organization)
    of_job(by.job, attachment=attachment)
    if not hours.is_finite() or not 0 <= hours <= MOST_HOURS:
        refuse(
            "hours",
            _("%(given)s h; allowed is 0 to %(most)s."),
            given=hours,
            most=MOST_HOURS,
        )
    if not stated_by.strip():
        refuse("stated_by", _("Nobody is named; allowed is who states it."))
    with act(
        on=operator.organization, by=by, verb="experience.stated", also=(by.job,)
    ) as deed:
        before = sent_before(deed, Experience, id, operator_id=operator.pk)
        if before is not None:
            return before
        not_after_today("stated_on", stated_on, at=deed.at, job=by.job)
        if last_shot_on is not None and last_shot_on > stated_on:
            message = _("%(given)s; allowed is up to the day it is stated, %(stated)s.")
            refuse("last_shot_on", message, given=last_shot_on, stated=stated_on)
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
            attachment=attachment,
        )
        if supersedes is None:
            return deed.add(row)
        if supersedes.operator_id != operator.pk:
            refuse("supersedes", _("That statement is of another operator."))
        return deed.supersede(supersedes, row, reason=reason)
