"""A walk at the wall, and what its deficient answers open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from crews.actions.checks import (
    in_force,
)
from crews.models import Placement
from inspections.actions.checks import (
    about,
    at_placement,
    next_number,
    not_ahead,
    one_of,
    own_entry,
    own_firm,
    writable,
)
from inspections.domain.catalogue import (
    AnswerState,
    Edition,
    RoundKind,
    Severity,
)
from inspections.domain.moves import STILL_OPEN
from inspections.domain.rounds import RoundAnswer, in_full, round_faults, the_rest
from inspections.models import DailyReport, Deficiency, Move, Round
from inspections.queries.catalogue import edition as edition_of
from inspections.queries.walks import ground_of, nozzle_times_at
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import Deed, act
from project.domain.identity import derived
from project.domain.roles import Ability
from project.models import ElementPart, Membership


@dataclass(frozen=True, slots=True)
class Finding:
    """What is said beside a deficient answer: where, in what words, how grave.

    Without a severity the catalogue's stands, the higher one for a repeat.
    """

    place: str = ""
    words: str = ""
    severity: Severity | None = None
    # Seen again while still open: the deficiency that is on record for it.
    already: Deficiency | None = None


@dataclass(frozen=True, slots=True)
class Walk:
    """What a round is made of, as it came from the page or the tablet."""

    kinds: Sequence[RoundKind]
    at: datetime
    edition: str
    answers: Sequence[RoundAnswer]
    part: ElementPart | None = None
    placement: Placement | None = None
    rest: AnswerState | None = None
    language: str = "en"
    findings: Mapping[str, Finding] = field(default_factory=dict)


def record_round(
    *, id: UUID, by: Membership, report: DailyReport | None, walk: Walk
) -> Round:
    """Keep one walk. Each deficient answer opens a deficiency of its own.

    A walk after the sheet was signed stands without a sheet, by its part.
    """
    require(by, Ability.WRITE_SHEET)
    of_job(by.job, part=walk.part, placement=walk.placement)
    not_ahead(by, at=walk.at)
    if report is None and walk.part is None and walk.placement is None:
        message = _("No sheet and no part; allowed is one of them at least.")
        refuse("part", message)
    with act(on=by.job, by=by, verb="round.recorded") as deed:
        if there := sent_before(deed, Round, id, job_id=by.job_id):
            return there
        sheet = None if report is None else writable(by, report)
        row = _round(id, by, sheet, walk, deed)
        deed.add(row)
        _open_deficiencies(row, walk, deed, by)
        return row


def correct_round(
    *, id: UUID, by: Membership, round: Round, walk: Walk, reason: str
) -> Round:
    """Put another version of a walk over the one in force, with a reason.

    A newly deficient item opens its deficiency; one that was opened stays until it
    is withdrawn or closed by name.
    """
    require(by, Ability.WRITE_SHEET)
    of_job(by.job, round=round, part=walk.part, placement=walk.placement)
    not_ahead(by, at=walk.at)
    with act(on=by.job, by=by, verb="round.corrected") as deed:
        if there := sent_before(deed, Round, id, job_id=by.job_id):
            return there
        old = in_force(round)
        about(deed, old)
        own_entry(by, old)
        sheet = None if old.report is None else writable(by, old.report)
        row = deed.supersede(old, _round(id, by, sheet, walk, deed), reason=reason)
        _open_deficiencies(row, walk, deed, by)
        return row


def _round(
    id: UUID, by: Membership, sheet: DailyReport | None, walk: Walk, deed: Deed
) -> Round:
    placement = walk.placement
    at_placement(by, placement, sheet=sheet)
    ground = ground_of(part=walk.part, placement=placement, known_at=deed.at)
    edition = _edition(walk.edition)
    kinds = [RoundKind(one_of("kinds", kind, RoundKind)) for kind in walk.kinds]
    if not kinds:
        allowed = ", ".join(RoundKind)
        refuse("kinds", _("None given; allowed are %(allowed)s."), allowed=allowed)
    asked = ground.asks(edition, kinds=kinds)
    answers = list(walk.answers)
    if walk.rest is not None:
        one_of("rest", walk.rest, AnswerState)
        try:
            answers += the_rest(answers, asked=asked, answer=walk.rest)
        except ValueError as error:
            raise ValidationError({"rest": str(error)}) from error
    faults = round_faults(
        answers, edition=edition, asked=asked, features=ground.features or {}
    )
    if faults:
        raise ValidationError({"answers": [str(fault) for fault in faults]})
    return Round(
        id=id,
        job=by.job,
        report_id=None if sheet is None else sheet.first,
        placement_id=None if placement is None else placement.first,
        part=ground.part,
        round_kinds=[str(kind) for kind in kinds],
        at=walk.at,
        edition=edition.version,
        language=walk.language,
        answers=[as_kept(one) for one in in_full(answers, asked=asked)],
    )


def _edition(version: str) -> Edition:
    try:
        return edition_of(version)
    except ValueError as error:
        raise ValidationError({"edition": str(error)}) from error


def as_kept(answer: RoundAnswer) -> dict[str, Any]:
    """Return an answer as the round's row keeps it."""
    value = answer.value
    return {
        "item": answer.item,
        "answer": str(answer.answer),
        "grouped": answer.grouped,
        "value": None if value is None else [f"{value.value:f}", value.unit],
        "cause": answer.cause,
        "correction": answer.correction,
        "note": answer.note,
        "photographs": list(answer.photographs),
    }


def _open_deficiencies(row: Round, walk: Walk, deed: Deed, by: Membership) -> None:
    """Open what the walk found, once for each item whatever is sent again."""
    edition = edition_of(row.edition)
    for answer in walk.answers:
        if answer.answer is not AnswerState.DEFICIENT:
            continue
        id = derived(row.first, answer.item)
        if deed.already(Deficiency, id) is not None:
            continue
        finding = walk.findings.get(answer.item, Finding())
        if finding.already is not None:
            _seen_again(by, finding.already, answer.item)
            continue
        severity = finding.severity or edition.item(answer.item).severity_now(
            again=_again(row, answer.item, deed)
        )
        deed.add(
            Deficiency(
                id=id,
                job=by.job,
                number=next_number(Deficiency, by),
                organization=by.organization,
                report_id=row.report_id,
                round_id=row.first,
                part=row.part,
                item=answer.item,
                seen_at=row.at,
                severity=severity,
                place=finding.place,
                words=finding.words or answer.note,
                cause=answer.cause,
            )
        )


def _seen_again(by: Membership, already: Deficiency, item: str) -> None:
    """Refuse a deficiency that is not this finding: of another item, or closed."""
    of_job(by.job, findings=already)
    own_firm(by, already)
    last = Move.objects.filter(deficiency=already.first).order_by("n").last()
    if already.item != item or (last is not None and last.state not in STILL_OPEN):
        message = _("%(what)s is no open deficiency of %(item)s.")
        refuse("findings", message, what=already, item=item)


def _again(row: Round, item: str, deed: Deed) -> bool:
    """Say whether the item was deficient before in this shift with the same operator."""
    placement = row.placement
    if placement is None:
        return False
    before = Deficiency.objects.known_at(deed.at).filter(
        round__placement__shift=placement.shift_id, item=item, seen_at__lt=row.at
    )
    now = _on_the_nozzle(placement, row.at, deed)
    return any(
        now & _on_the_nozzle(one.round.placement, one.seen_at, deed)
        for one in before.select_related("round__placement")
    )


def _on_the_nozzle(placement: Placement, at: datetime, deed: Deed) -> set[UUID]:
    held = nozzle_times_at(placement, at=at, known_at=deed.at)
    return {time.operator_id for time in held}
