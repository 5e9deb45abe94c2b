"""Panels of five kinds, what was decided of them, and the cores drilled."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    after_shooting,
    code_or_next,
    for_firm,
    in_force,
    measured,
    not_later,
    on_job,
    positive,
    shown,
)
from crews.domain.trade_words import DecisionOutcome, Method, PanelKind
from crews.models import (
    Enrolment,
    NozzleTime,
    Operator,
    Panel,
    PanelJudgement,
    Placement,
    Rig,
    Shift,
)
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.actions.signatures import Proof, sign
from project.audit import Deed, act
from project.domain.canonical import sha256_of
from project.domain.identity import derived
from project.domain.reinforcement import Reinforcement
from project.domain.roles import Ability
from project.domain.shooting_words import Position
from project.domain.units import Quantity
from project.models import (
    ElementPart,
    Job,
    Membership,
    MixRevision,
    Organization,
)

# The letters of each kind's codes, and how many digits follow.
CODES = {
    PanelKind.PRODUCTION: ("TP", 3),
    PanelKind.MOCK_UP: ("MU", 2),
    PanelKind.IN_PLACE: ("IP", 2),
    PanelKind.FINISH_SAMPLE: ("FS", 2),
    PanelKind.PRECONSTRUCTION_MATERIAL: ("PM", 2),
}
# What no panel of the kind can be without.
_NEEDED = {
    PanelKind.PRODUCTION: ("operator", "shift", "rig"),
    PanelKind.MOCK_UP: ("operator", "thickness"),
    PanelKind.IN_PLACE: ("part",),
    PanelKind.FINISH_SAMPLE: (),
    PanelKind.PRECONSTRUCTION_MATERIAL: (),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelSize:
    """Length, width and depth of a panel."""

    length: Quantity
    width: Quantity
    depth: Quantity


def shoot_panel(
    *,
    id: UUID,
    by: Membership,
    kind: PanelKind,
    mix: MixRevision,
    position: Position,
    shot_from: datetime,
    shot_to: datetime | None = None,
    code: str = "",
    method: Method = Method.HAND,
    rig: Rig | None = None,
    operator: Operator | None = None,
    shared_with: Operator | None = None,
    supervisor: Operator | None = None,
    shift: Shift | None = None,
    placement: Placement | None = None,
    part: ElementPart | None = None,
    size: PanelSize | None = None,
    mockup_class: str = "",
    thickness: Quantity | None = None,
    reinforcement: Reinforcement | None = None,
    stands_for: NozzleTime | None = None,
    laboratory: Organization | None = None,
    witness: Membership | None = None,
    witness_words: str = "",
) -> Panel:
    """Record a panel as it was shot, or cores taken from the work as a panel.

    A placement brings its shift, part and rig where none is given. Nothing is asked
    of who shot it: whether it meets an obligation is computed.
    """
    require(by, Ability.RECORD_SHOOTING)
    job = by.job
    if placement is not None:
        for_firm(by, placement.shift.organization_id)
        shift = shift or placement.shift
        if placement.shift_id != shift.first:
            message = _("%(what)s is not of the shift %(shift)s.")
            refuse("placement", message, what=placement, shift=shift)
        part, rig = part or placement.part, rig or placement.rig
    of_job(
        job,
        mix=mix,
        shift=shift,
        placement=placement,
        part=part,
        stands_for=stands_for,
        witness=witness,
    )
    if stands_for is not None:
        for_firm(by, stands_for.placement.shift.organization_id)
    if shift is not None:
        for_firm(by, shift.organization_id)
    named_on_panel(
        by,
        rig=rig,
        laboratory=laboratory,
        operator=operator,
        shared_with=shared_with,
        supervisor=supervisor,
    )
    given: dict[str, object] = {
        "operator": operator,
        "shift": shift,
        "rig": rig,
        "part": part,
        "thickness": thickness,
    }
    for field in _NEEDED[kind]:
        if given[field] is None:
            refuse(field, _("A %(kind)s panel needs this."), kind=kind)
    if operator is not None and operator == shared_with:
        refuse("shared_with", _("%(who)s is the operator already."), who=shared_with)
    positive(thickness=thickness)
    with act(on=job, by=by, verb="panel.shot") as deed:
        before = sent_before(deed, Panel, id, job_id=job.pk)
        if before is not None:
            return before
        not_later("shot_from", shot_from, than=deed.at, job=job)
        if shot_to is not None and shot_to <= shot_from:
            message = _("%(to)s; allowed is later than %(from)s.")
            span = {"to": shown(shot_to, job), "from": shown(shot_from, job)}
            refuse("shot_to", message, **span)
        return deed.add(
            Panel(
                id=id,
                job=job,
                code=_panel_code(job, kind, code),
                panel_kind=kind,
                mix_revision_id=mix.first,
                method=method,
                rig=rig,
                position=position,
                operator=operator,
                shared_with=shared_with,
                supervisor=supervisor,
                shot_from=shot_from,
                shot_to=shot_to,
                work_date=shift.work_date if shift else job.local(shot_from).date(),
                shift_id=shift.first if shift else None,
                placement_id=placement.first if placement else None,
                part=part,
                mockup_class=mockup_class,
                reinforcement=reinforcement.to_json() if reinforcement else {},
                stands_for=_named(stands_for),
                laboratory=laboratory,
                witness=witness,
                witness_words=witness_words,
                **_size_columns(size),
                **measured("length", unit="thickness_unit", thickness=thickness),
            )
        )


def named_on_panel(
    by: Membership,
    *,
    rig: Rig | None = None,
    laboratory: Organization | None = None,
    **people: Operator | None,
) -> None:
    """Refuse operators who are not on the job, and what is not the member's to write."""
    named = {field: person for field, person in people.items() if person is not None}
    places = Enrolment.objects.filter(job=by.job, operator__in=list(named.values()))
    known = set(places.values_list("operator_id", flat=True))
    for field, person in named.items():
        if person.pk not in known:
            refuse(field, _("%(who)s is not on this job."), who=person)
        for_firm(by, person.organization_id)
    if rig is not None:
        on_job(by.job, rig=rig.organization)
    if laboratory is not None:
        on_job(by.job, laboratory=laboratory)


def _panel_code(job: Job, kind: PanelKind, code: str) -> str:
    prefix, width = CODES[kind]
    taken = Panel.objects.filter(job=job).values_list("code", flat=True)
    return code_or_next(code, prefix=prefix, taken=taken, width=width)


def _size_columns(size: PanelSize | None) -> dict[str, Any]:
    sides = {
        "length": size.length if size else None,
        "width": size.width if size else None,
        "depth": size.depth if size else None,
    }
    positive(**sides)
    return measured("length", unit="size_unit", **sides)


def _named(stands_for: NozzleTime | None) -> dict[str, str] | None:
    return None if stands_for is None else {"nozzle_time": str(stands_for.first)}


def judge_panel(
    *,
    id: UUID,
    by: Membership,
    panel: Panel,
    decision: DecisionOutcome,
    decided_at: datetime,
    words: str,
    proof: Proof,
    printed_name: str,
    scope: dict[str, Any] | None = None,
    supersedes: PanelJudgement | None = None,
    reason: str = "",
) -> PanelJudgement:
    """Judge a mock-up or a material panel (engineer), or a finish sample (architect)."""
    kind = PanelKind(panel.panel_kind)
    if kind is PanelKind.FINISH_SAMPLE:
        require(by, Ability.JUDGE_FINISH_SAMPLE)
    elif kind in (PanelKind.MOCK_UP, PanelKind.PRECONSTRUCTION_MATERIAL):
        require(by, Ability.JUDGE_MOCK_UP)
    else:
        message = _(
            "%(panel)s is judged by its cores; allowed are mock-ups, material "
            "panels and finish samples."
        )
        refuse("panel", message, panel=panel)
    allowed = [
        d for d in DecisionOutcome if d is not DecisionOutcome.SUBSTITUTE_ACCEPTED
    ]
    if kind is not PanelKind.MOCK_UP:
        allowed.remove(DecisionOutcome.ACCEPTED_UNDER_SUPERVISION)
    if decision not in allowed:
        message = _("Decision %(given)s; allowed are %(allowed)s.")
        refuse("decision", message, given=decision, allowed=", ".join(allowed))
    row = PanelJudgement(decision=decision, decided_at=decided_at, words=words.strip())
    row.scope = scope or {}
    return _decide(
        id, by, panel, row, proof, printed_name, supersedes=supersedes, reason=reason
    )


def accept_substitute(
    *,
    id: UUID,
    by: Membership,
    panel: Panel,
    decided_at: datetime,
    words: str,
    proof: Proof,
    printed_name: str,
) -> PanelJudgement:
    """Accept cores from the work in place of a panel that was not shot."""
    require(by, Ability.ACCEPT_SUBSTITUTE)
    if panel.panel_kind != PanelKind.IN_PLACE or not panel.stands_for:
        message = _("%(panel)s stands for no missing panel; nothing is to accept.")
        refuse("panel", message, panel=panel)
    row = PanelJudgement(
        decision=DecisionOutcome.SUBSTITUTE_ACCEPTED,
        decided_at=decided_at,
        words=words.strip(),
    )
    return _decide(id, by, panel, row, proof, printed_name)


def _decide(
    id: UUID,
    by: Membership,
    panel: Panel,
    row: PanelJudgement,
    proof: Proof,
    printed_name: str,
    *,
    supersedes: PanelJudgement | None = None,
    reason: str = "",
) -> PanelJudgement:
    job = by.job
    of_job(job, panel=panel, supersedes=supersedes)
    if not row.words:
        refuse("words", _("Say what was seen and decided: words are needed."))
    with act(on=job, by=by, verb="panel.judged") as deed:
        before = sent_before(deed, PanelJudgement, id, job_id=job.pk)
        if before is not None:
            return before
        panel = in_force(panel)
        not_later("decided_at", row.decided_at, than=deed.at, job=job)
        after_shooting(panel, "decided_at", row.decided_at)
        row.id, row.job, row.panel_id = id, job, panel.first
        row.signature = sign(
            id=derived(id, "signature"),
            by=by,
            proof=proof,
            printed_name=printed_name,
            meaning=_meaning(row),
            statement=row.words,
            content_sha256=_content(panel, row),
        )
        _lead(deed, row, id)
        if supersedes is None:
            return deed.add(row)
        if supersedes.panel_id != panel.first:
            refuse("supersedes", _("That judgement is another panel's."))
        return deed.supersede(supersedes, row, reason=reason)


def _meaning(row: PanelJudgement) -> str:
    return f"I decided of this panel: {row.decision}"


def _content(panel: Panel, row: PanelJudgement) -> str:
    """Return the hash of what is signed: the panel's version and the decision."""
    return sha256_of(
        {
            "panel": [panel.code, panel.pk],
            "decision": row.decision,
            "decided_at": row.decided_at,
            "scope": row.scope,
            "words": row.words,
        }
    )


def _lead(deed: Deed, row: PanelJudgement, id: UUID) -> None:
    """Let the line be about the judgement, though its signature is written first."""
    if deed.subject is not None and deed.subject.pk == derived(id, "signature"):
        deed.subject = row
