"""Operators, their cards, their place on the job, and orders not to shoot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from crews.actions.checks import (
    a_member,
    code_or_next,
    for_firm,
    not_after_today,
    on_job,
    shown,
)
from crews.domain.certification import contradictions
from crews.domain.trade_words import Level, Method
from crews.models import Certification, Enrolment, Operator, Suspension
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.actions.papers import keep_paper
from project.audit import Deed, act
from project.domain.identity import derived
from project.domain.roles import Ability
from project.domain.shooting_words import Position, Process
from project.models import Attachment, Job, Membership, Organization, User


@dataclass(frozen=True, slots=True, kw_only=True)
class CardEntry:
    """A card as it is read from the card itself."""

    scheme: str
    number: str
    method: Method
    level: Level
    classes: Sequence[tuple[Process, Position]]
    issued_on: date
    expires_on: date
    verified_by: User | None = None
    verified_on: date | None = None
    verified_how: str = ""
    scan: Attachment | None = None


# What `contradictions` names first, and the field of the form it belongs to.
_CARD_FIELDS = {
    "method": "method",
    "classes": "classes",
    "process": "classes",
    "position": "classes",
    "level": "level",
    "expiry": "expires_on",
}


def enter_operator(
    *,
    id: UUID,
    by: Membership,
    organization: Organization,
    legal_name: str,
    badge_number: str,
    aliases: Sequence[str] = (),
) -> Operator:
    """Enter a nozzle operator of a firm, known from now on by the badge number."""
    require(by, Ability.KEEP_OPERATORS)
    for_firm(by, organization.pk)
    on_job(by.job, organization=organization)
    with act(on=organization, by=by, verb="operator.entered") as deed:
        before = sent_before(deed, Operator, id, organization_id=organization.pk)
        if before is not None:
            return before
        _badge_free(organization, badge_number)
        return deed.add(
            Operator(
                id=id,
                organization=organization,
                legal_name=legal_name.strip(),
                badge_number=badge_number.strip(),
                aliases=_names(aliases),
            )
        )


def edit_operator(
    *,
    by: Membership,
    operator: Operator,
    legal_name: str,
    badge_number: str,
    aliases: Sequence[str],
) -> Operator:
    """Correct an operator's names or badge; the trail keeps what stood before."""
    require(by, Ability.KEEP_OPERATORS)
    for_firm(by, operator.organization_id)
    on_job(by.job, operator=operator.organization)
    with act(on=operator.organization, by=by, verb="operator.edited") as deed:
        if badge_number.strip() != operator.badge_number:
            _badge_free(operator.organization, badge_number)
        return deed.change(
            operator,
            legal_name=legal_name.strip(),
            badge_number=badge_number.strip(),
            aliases=_names(aliases),
        )


def _badge_free(organization: Organization, badge: str) -> None:
    holder = Operator.objects.filter(
        organization=organization, badge_number=badge.strip()
    ).first()
    if holder is not None:
        message = _("Badge %(badge)s belongs to %(holder)s; allowed is one not in use.")
        refuse("badge_number", message, badge=badge, holder=holder)


def _names(aliases: Sequence[str]) -> list[str]:
    return [name.strip() for name in aliases if name.strip()]


def record_certification(
    *,
    id: UUID,
    by: Membership,
    operator: Operator,
    card: CardEntry,
    supersedes: Certification | None = None,
    reason: str = "",
    scan: tuple[bytes, str] | None = None,
) -> Certification:
    """Record a card as it was read; `scan` is a file of it, its bytes and its name.

    A renewed card is a new one beside the old, which still says what held on its
    own days. Only what was read wrongly, or verified since, supersedes. A card is
    looked at before its scan is kept, so that one that is refused leaves no file.
    """
    _may_keep(by, operator)
    firm, verb = operator.organization, "card.recorded"
    if scan is not None:
        with act(on=firm, by=by, verb=verb, also=(by.job,)) as deed:
            before = sent_before(deed, Certification, id, operator_id=operator.pk)
            if before is not None:
                return before
            _fitting(deed, card_row(id, operator, card), by, supersedes)
        card = replace(card, scan=_kept_scan(id, by, scan))
    with act(on=firm, by=by, verb=verb, also=(by.job,)) as deed:
        before = sent_before(deed, Certification, id, operator_id=operator.pk)
        if before is not None:
            return before
        row = _fitting(deed, card_row(id, operator, card), by, supersedes)
        if supersedes is None:
            return deed.add(row)
        return deed.supersede(supersedes, row, reason=reason)


def _kept_scan(id: UUID, by: Membership, scan: tuple[bytes, str]) -> Attachment:
    raw, name = scan
    return keep_paper(id=derived(id, "scan"), by=by, raw=raw, name=name, field="scan")


def _fitting(
    deed: Deed,
    row: Certification,
    by: Membership,
    supersedes: Certification | None,
) -> Certification:
    """Return a card that may be recorded; refuse, by field, what cannot be."""
    _check_card(row, by, deed.at)
    if supersedes is not None and supersedes.operator_id != row.operator_id:
        refuse("supersedes", _("That card is another operator's."))
    # A card is the firm's: its scan may have been kept on another of the firm's jobs.
    if supersedes is None or supersedes.scan_id != row.scan_id:
        of_job(by.job, scan=row.scan)
    return row


def withdraw_certification(
    *, id: UUID, by: Membership, card: Certification, reason: str
) -> Certification:
    """Take a card back that should never have been on record, or no longer stands."""
    operator = card.operator
    _may_keep(by, operator)
    with act(
        on=operator.organization, by=by, verb="card.withdrawn", also=(by.job,)
    ) as deed:
        before = sent_before(deed, Certification, id, operator_id=operator.pk)
        if before is not None:
            return before
        gone = card.revised(id=id, withdrawn=True)
        return deed.supersede(card, gone, reason=reason)


def _may_keep(by: Membership, operator: Operator) -> None:
    require(by, Ability.KEEP_OPERATORS)
    for_firm(by, operator.organization_id)
    on_job(by.job, operator=operator.organization)


def card_row(id: UUID, operator: Operator, card: CardEntry) -> Certification:
    """Return a card as it is kept, unsaved."""
    return Certification(
        id=id,
        organization_id=operator.organization_id,
        operator=operator,
        scheme=card.scheme,
        number=card.number.strip(),
        method=card.method,
        level=card.level,
        classes=sorted([p.value, q.value] for p, q in card.classes),
        issued_on=card.issued_on,
        expires_on=card.expires_on,
        verified_by=card.verified_by,
        verified_on=card.verified_on,
        verified_how=card.verified_how,
        scan=card.scan,
    )


def _check_card(row: Certification, by: Membership, at: datetime) -> None:
    """Refuse what the card's scheme does not know, and dates that cannot be."""
    row.recorded_at = at
    errors: dict[str, list[str]] = {}
    try:
        for line in contradictions(row.facts()):
            field = _CARD_FIELDS[line.split(maxsplit=1)[0].rstrip(":")]
            errors.setdefault(field, []).append(line)
    except ValueError as fault:
        errors["scheme"] = [str(fault)]
    if errors:
        raise ValidationError(errors)
    for field in ("issued_on", "verified_on"):
        day = getattr(row, field)
        if day is not None:
            not_after_today(field, day, at=at, job=by.job)
    if (row.verified_on is None) != (row.verified_by is None):
        missing = "verified_on" if row.verified_on is None else "verified_by"
        refuse(missing, _("Say both who verified the card and when, or neither."))
    if row.verified_by is not None:
        a_member(by.job, verified_by=row.verified_by)


def enrol_operator(
    *,
    id: UUID,
    by: Membership,
    operator: Operator,
    employer: Organization,
    from_on: date,
    to_on: date | None = None,
    code: str = "",
    submittal: str = "",
    approved_on: date | None = None,
    approved_by: str = "",
    supersedes: Enrolment | None = None,
    reason: str = "",
) -> Enrolment:
    """Give an operator a place on the job, or a new version of the one they have."""
    require(by, Ability.KEEP_OPERATORS)
    job = by.job
    of_job(job, supersedes=supersedes)
    for firm in (employer.pk, operator.organization_id):
        for_firm(by, firm)
    if supersedes is not None:
        for_firm(by, supersedes.employer_id)
    on_job(job, employer=employer)
    with act(on=job, by=by, verb="operator.enrolled") as deed:
        before = sent_before(deed, Enrolment, id, job_id=job.pk)
        if before is not None:
            return before
        if approved_on is not None:
            not_after_today("approved_on", approved_on, at=deed.at, job=job)
        if to_on is not None and to_on < from_on:
            message = _("To %(to)s; allowed is %(from)s or later.")
            refuse("to_on", message, **{"to": to_on, "from": from_on})
        row = Enrolment(
            id=id,
            job=job,
            operator=operator,
            code=code,
            employer=employer,
            submittal=submittal,
            approved_on=approved_on,
            approved_by=approved_by,
            from_on=from_on,
            to_on=to_on,
        )
        if supersedes is not None:
            row.code, row.operator_id = supersedes.code, supersedes.operator_id
            return deed.supersede(supersedes, row, reason=reason)
        return _new_place(deed, row)


def _new_place(deed: Deed, row: Enrolment) -> Enrolment:
    places = Enrolment.objects.filter(job=row.job, supersedes=None)
    if places.filter(operator=row.operator, employer=row.employer).exists():
        message = _(
            "%(operator)s has a place on this job already; allowed is to correct it."
        )
        refuse("operator", message, operator=row.operator)
    taken = places.values_list("code", flat=True)
    row.code = code_or_next(row.code, prefix="OP", taken=taken, width=2)
    return deed.add(row)


def suspend_operator(
    *,
    id: UUID,
    by: Membership,
    operator: Operator,
    from_at: datetime,
    ordered_by: str,
    words: str,
    until_at: datetime | None = None,
    process: Process | None = None,
    position: Position | None = None,
) -> Suspension:
    """Record an order that an operator shall not shoot: all work, or some of it."""
    require(by, Ability.KEEP_OPERATORS)
    _enrolled(by.job, operator)
    for_firm(by, operator.organization_id)
    with act(on=by.job, by=by, verb="operator.suspended") as deed:
        before = sent_before(deed, Suspension, id, job_id=by.job_id)
        if before is not None:
            return before
        _after("until_at", until_at, from_at, by.job)
        scope = {"process": process, "position": position}
        return deed.add(
            Suspension(
                id=id,
                job=by.job,
                operator=operator,
                scope={key: value.value for key, value in scope.items() if value},
                from_at=from_at,
                until_at=until_at,
                ordered_by=ordered_by,
                words=words.strip(),
            )
        )


def end_suspension(
    *, id: UUID, by: Membership, suspension: Suspension, until_at: datetime, reason: str
) -> Suspension:
    """Say until when an order stands; the order itself stays on record."""
    require(by, Ability.KEEP_OPERATORS)
    of_job(by.job, suspension=suspension)
    for_firm(by, suspension.operator.organization_id)
    with act(on=by.job, by=by, verb="operator.suspension_ended") as deed:
        before = sent_before(deed, Suspension, id, job_id=by.job_id)
        if before is not None:
            return before
        _after("until_at", until_at, suspension.from_at, by.job)
        row = suspension.revised(id=id, until_at=until_at)
        return deed.supersede(suspension, row, reason=reason)


def _after(field: str, end: datetime | None, start: datetime, job: Job) -> None:
    if end is not None and end <= start:
        message = _("%(end)s; allowed is later than %(start)s.")
        refuse(field, message, end=shown(end, job), start=shown(start, job))


def _enrolled(job: Job, operator: Operator) -> None:
    if not Enrolment.objects.filter(job=job, operator=operator).exists():
        refuse("operator", _("%(operator)s is not on this job."), operator=operator)
