"""The engineer's word on the faces of a panel's cores, looked at as a group."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import after_shooting, in_force, not_later, shown
from crews.domain.trade_words import RatingDecision
from crews.domain.visual_rating import FEWEST_CORES
from crews.models import Core, Panel, VisualRating
from project.actions.abilities import require
from project.actions.checks import of_job, refuse, sent_before
from project.audit import act
from project.domain.roles import Ability
from project.models import Membership


def rate_cores(
    *,
    id: UUID,
    by: Membership,
    panel: Panel,
    rated_at: datetime,
    cores: Sequence[Core],
    decision: RatingDecision,
    words: str = "",
    supersedes: VisualRating | None = None,
    reason: str = "",
) -> VisualRating:
    """Rate the faces of three or more cores of one panel, seen as a group.

    `supersedes` is the rating that this one corrects, with the `reason`; without it
    this is a further rating beside the earlier ones.
    """
    require(by, Ability.RATE_CORES)
    job = by.job
    of_job(job, panel=panel, supersedes=supersedes)
    words = words.strip()
    if decision is not RatingDecision.ACCEPTABLE and not words:
        message = _("Say what was seen: words are needed where it is %(decision)s.")
        refuse("words", message, decision=decision)
    with act(on=job, by=by, verb="cores.rated") as deed:
        before = sent_before(deed, VisualRating, id, job_id=job.pk)
        if before is not None:
            return before
        panel = in_force(panel)
        not_later("rated_at", rated_at, than=deed.at, job=job)
        after_shooting(panel, "rated_at", rated_at)
        row = VisualRating(
            id=id,
            job=job,
            panel_id=panel.first,
            rated_at=rated_at,
            cores=_viewed(panel, cores, rated_at),
            decision=decision,
            words=words,
        )
        if supersedes is None:
            return deed.add(row)
        if supersedes.panel_id != panel.first:
            message = _("%(rating)s; allowed is a rating of %(panel)s.")
            refuse("supersedes", message, rating=supersedes, panel=panel)
        return deed.supersede(supersedes, row, reason=reason)


def _viewed(panel: Panel, cores: Sequence[Core], rated_at: datetime) -> list[int]:
    """Return the numbers of the cores that were looked at together."""
    standing = [in_force(core) for core in cores]
    for core in standing:
        if core.panel_id != panel.first:
            message = _("%(core)s; allowed are cores of %(panel)s.")
            refuse("cores", message, core=core, panel=panel)
        if core.drilled_at is not None and rated_at < core.drilled_at:
            message = _(
                "%(given)s; allowed is after %(core)s was drilled, %(drilled)s."
            )
            times = {
                "given": shown(rated_at, panel.job),
                "drilled": shown(core.drilled_at, panel.job),
            }
            refuse("rated_at", message, core=core, **times)
    numbers = sorted({core.number for core in standing})
    if len(numbers) < FEWEST_CORES:
        message = _(
            "%(given)s given; allowed is a group of %(fewest)s cores or more, never one."
        )
        refuse("cores", message, given=len(numbers), fewest=FEWEST_CORES)
    return numbers
