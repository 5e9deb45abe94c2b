"""Contradictions on a sheet, looked into and explained before its review."""

from __future__ import annotations

from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    in_force,
)
from inspections.actions.checks import own_firm
from inspections.models import DailyReport
from inspections.queries.flags import cleared_key, flags_of, record_of
from project.actions import signatures
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
)
from project.audit import act
from project.domain.roles import Ability, Role, may
from project.models import FlagCleared, Membership


def clear_flag(
    *, id: UUID, by: Membership, report: DailyReport, mark: str, words: str
) -> FlagCleared:
    """Say what was found behind a flag of a sheet. Twice is once.

    A flag that is not there any more, because an entry was put right, is refused:
    nothing is left to explain.
    """
    if not may(Role(by.role), Ability.WRITE_SHEET):
        require(by, Ability.REVIEW_REPORT)
    of_job(by.job, report=report)
    own_firm(by, report)
    with act(on=by.job, by=by, verb="flag.cleared") as deed:
        flags = flags_of(in_force(report), known_at=deed.at)
        flag = next((one for one in flags if one.mark == mark), None)
        if flag is None:
            message = _(
                "%(mark)s is no flag of %(sheet)s now; look at the sheet again."
            )
            refuse("mark", message, mark=mark, sheet=report)
        deed.say(flag=flag.words)
        return signatures.clear_flag(
            id=id, by=by, subject=record_of(flag), key=cleared_key(flag), words=words
        )
