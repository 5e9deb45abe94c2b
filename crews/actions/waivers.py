"""The engineer's written waivers, each for a scope and a time."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import in_force, on_job, shown
from crews.domain.mock_up import GOOD
from crews.domain.trade_words import DecisionOutcome, PanelKind, WaivedGate
from crews.models import Enrolment, Operator, Panel, PanelJudgement, Rig, Waiver
from project.actions.abilities import require
from project.actions.checks import of_job, refuse, sent_before
from project.audit import act
from project.domain.roles import Ability
from project.models import ElementPart, Job, Membership, MixRevision


def give_waiver(
    *,
    id: UUID,
    by: Membership,
    gate: WaivedGate,
    from_at: datetime,
    until_at: datetime,
    words: str,
    operator: Operator | None = None,
    part: ElementPart | None = None,
    mix: MixRevision | None = None,
    rig: Rig | None = None,
    mock_up: Panel | None = None,
) -> Waiver:
    """Waive one gate in writing, for a scope and until an instant.

    What is left out of the scope means all. An equivalence names an accepted mock-up of
    the operator's own. A card, a level, a place on the job and a suspension are no gates
    that anybody waives.
    """
    require(by, Ability.GIVE_WAIVER)
    job = by.job
    of_job(job, part=part, mix=mix, mock_up=mock_up)
    if rig is not None:
        on_job(job, rig=rig.organization)
    if operator is not None:
        _enrolled(job, operator)
    if not words.strip():
        refuse("words", _("Nothing is written; allowed is the engineer's own words."))
    _later(until_at, from_at, job)
    _fitting(gate, operator, rig, mock_up)
    with act(on=job, by=by, verb="waiver.given") as deed:
        before = sent_before(deed, Waiver, id, job_id=job.pk)
        if before is not None:
            return before
        if mock_up is not None:
            _accepted(mock_up, known_at=deed.at)
        return deed.add(
            Waiver(
                id=id,
                job=job,
                gate=gate,
                operator=operator,
                part=part,
                mix_revision_id=mix.first if mix else None,
                rig=rig,
                mock_up_id=mock_up.first if mock_up else None,
                from_at=from_at,
                until_at=until_at,
                words=words.strip(),
            )
        )


def end_waiver(
    *, id: UUID, by: Membership, waiver: Waiver, until_at: datetime, reason: str
) -> Waiver:
    """Say until when a waiver holds, no longer than was given.

    The version before stays readable. Who is to be let longer is given another waiver.
    """
    require(by, Ability.GIVE_WAIVER)
    of_job(by.job, waiver=waiver)
    with act(on=by.job, by=by, verb="waiver.ended") as deed:
        before = sent_before(deed, Waiver, id, job_id=by.job_id)
        if before is not None:
            return before
        old = in_force(waiver)
        _later(until_at, old.from_at, by.job)
        if until_at > old.until_at:
            message = _(
                "%(until)s; allowed is up to %(given)s, the end that was given."
            )
            told = {
                "until": shown(until_at, by.job),
                "given": shown(old.until_at, by.job),
            }
            refuse("until_at", message, **told)
        return deed.supersede(old, old.revised(id=id, until_at=until_at), reason=reason)


def withdraw_waiver(*, id: UUID, by: Membership, waiver: Waiver, reason: str) -> Waiver:
    """Take back a waiver as if it had not been given; what was known before stays."""
    require(by, Ability.GIVE_WAIVER)
    of_job(by.job, waiver=waiver)
    with act(on=by.job, by=by, verb="waiver.withdrawn") as deed:
        before = sent_before(deed, Waiver, id, job_id=by.job_id)
        if before is not None:
            return before
        old = in_force(waiver)
        return deed.supersede(old, old.revised(id=id, withdrawn=True), reason=reason)


def _later(until_at: datetime, from_at: datetime, job: Job) -> None:
    if until_at <= from_at:
        message = _("%(until)s; allowed is later than %(from)s.")
        told = {"until": shown(until_at, job), "from": shown(from_at, job)}
        refuse("until_at", message, **told)


def _enrolled(job: Job, operator: Operator) -> None:
    if not Enrolment.objects.filter(job=job, operator=operator).exists():
        refuse("operator", _("%(operator)s is not on this job."), operator=operator)


def _fitting(
    gate: WaivedGate, operator: Operator | None, rig: Rig | None, mock_up: Panel | None
) -> None:
    """Refuse a scope that says nothing about its gate."""
    if gate is WaivedGate.RIG and rig is None:
        refuse("rig", _("No rig is named; allowed is the one to be shot with."))
    if gate is not WaivedGate.MOCK_UP:
        if mock_up is not None:
            message = _("%(mock_up)s; only an equivalence names a mock-up.")
            refuse("mock_up", message, mock_up=mock_up)
        return
    if mock_up is None:
        refuse("mock_up", _("No mock-up is named; an equivalence names one."))
        return
    if mock_up.panel_kind != PanelKind.MOCK_UP:
        message = _("%(panel)s is a %(kind)s panel; allowed is a mock-up.")
        refuse("mock_up", message, panel=mock_up, kind=mock_up.panel_kind)
    if operator is None or mock_up.operator_id != operator.pk:
        message = _("%(panel)s; allowed is a mock-up of the operator's own.")
        refuse("mock_up", message, panel=mock_up)


def _accepted(mock_up: Panel, *, known_at: datetime) -> None:
    """Refuse an equivalence to a mock-up whose last judgement is no acceptance."""
    judged = PanelJudgement.objects.known_at(known_at).filter(panel=mock_up.first)
    last = judged.order_by("-decided_at", "-recorded_at").first()
    if last is None or DecisionOutcome(last.decision) not in GOOD:
        said = last.decision if last else _("not decided")
        message = _("%(panel)s is %(said)s; allowed is an accepted mock-up.")
        refuse("mock_up", message, panel=mock_up, said=said)
