"""A sheet is signed, then reviewed by somebody else, and amended only with a reason."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from crews.actions.checks import (
    in_force,
    shown,
)
from inspections.actions.checks import (
    about,
    amending,
    first_version,
    needed,
    own_firm,
    writable,
)
from inspections.actions.moves import moved
from inspections.models import DailyReport, Move, ReportVersion
from inspections.queries.content import content_now
from inspections.queries.flags import uncleared_flags
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
from project.domain.roles import Ability
from project.models import Membership, Signature
from project.queries.jobs import terms_in_force

# A reason somebody can read years later: project's choice.
LEAST_REASON = 10


def sign_report(
    *,
    id: UUID,
    by: Membership,
    report: DailyReport,
    content_sha256: str,
    conforming: bool,
    printed_name: str,
    meaning: str,
    statement: str,
    proof: Proof,
    declared_at: datetime | None = None,
) -> ReportVersion:
    """Sign one's own sheet as it was shown; after that it is locked.

    `content_sha256` is the hash of the page that was read. A sheet that changed
    meanwhile is refused, and so is a second signature, which is told of the first.
    """
    require(by, Ability.SIGN_REPORT)
    of_job(by.job, report=report)
    with act(on=by.job, by=by, verb="report.signed") as deed:
        if there := sent_before(deed, ReportVersion, id, job_id=by.job_id):
            return there
        if before := first_version(report):
            message = _("%(sheet)s was signed by %(who)s on %(at)s; nothing is lost.")
            at = shown(before.recorded_at, by.job)
            who = before.signature.printed_name
            refuse("report", message, sheet=report, who=who, at=at)
        sheet = writable(by, report)
        _own_sheet(by, sheet)
        about(deed, sheet)
        content = content_now(sheet, known_at=deed.at)
        return _seal(
            deed,
            id=id,
            by=by,
            sheet=sheet,
            move="sign",
            content=content,
            shown_sha256=content_sha256,
            conforming=conforming,
            printed_name=printed_name,
            meaning=meaning,
            statement=statement,
            proof=proof,
            declared_at=declared_at,
        )


def amend_report(
    *,
    id: UUID,
    by: Membership,
    report: DailyReport,
    reason: str,
    changes: Callable[[], object],
    content_sha256: str,
    conforming: bool,
    printed_name: str,
    meaning: str,
    statement: str,
    proof: Proof,
) -> ReportVersion:
    """Change a signed sheet: the changes, the next version and its signature at once.

    `changes` calls the ordinary actions; inside this act they may write on the
    signed sheet. The version before stays as it was signed.
    """
    require(by, Ability.SIGN_REPORT)
    of_job(by.job, report=report)
    with act(on=by.job, by=by, verb="report.amended") as deed:
        if there := sent_before(deed, ReportVersion, id, job_id=by.job_id):
            return there
        sheet, content = _amended(deed, by, report, reason, changes)
        return _seal(
            deed,
            id=id,
            by=by,
            sheet=sheet,
            move="amend",
            content=content,
            shown_sha256=content_sha256,
            conforming=conforming,
            printed_name=printed_name,
            meaning=meaning,
            statement=statement,
            proof=proof,
            reason=reason.strip(),
        )


def preview_amendment(
    *,
    by: Membership,
    report: DailyReport,
    reason: str,
    changes: Callable[[], object],
) -> tuple[dict[str, Any], str]:
    """Return what the sheet would say, and its hash; nothing is kept.

    The act is broken off rather than put into a transaction of ours: that would lock
    the database before the act has its turn, and two hands would wait for each other.
    """
    require(by, Ability.SIGN_REPORT)
    of_job(by.job, report=report)
    content: dict[str, Any] = {}
    with (
        suppress(_NothingKept),
        act(on=by.job, by=by, verb="report.amended") as deed,
    ):
        _sheet, content = _amended(deed, by, report, reason, changes)
        raise _NothingKept
    return content, sha256_of(content)


class _NothingKept(Exception):  # noqa: N818 - it names what becomes of the act
    """Breaks an act off that was only to be looked at."""


def review_report(
    *,
    id: UUID,
    by: Membership,
    report: DailyReport,
    printed_name: str,
    meaning: str,
    proof: Proof,
    words: str = "",
) -> Move:
    """Review a signed sheet of one's own firm that somebody else wrote.

    Every flag on it is cleared first; who may not sign alone does not review
    another's who may not either.
    """
    require(by, Ability.REVIEW_REPORT)
    of_job(by.job, report=report)
    own_firm(by, report)
    with act(on=by.job, by=by, verb="report.reviewed") as deed:
        if there := sent_before(deed, Move, id, job_id=by.job_id):
            return there
        sheet = in_force(report)
        version = _last_version(sheet)
        if version is None:
            message = _("%(sheet)s is not signed yet; allowed is a signed sheet.")
            refuse("report", message, sheet=sheet)
        _certified(by, sheet)
        about(deed, sheet)
        open_flags = uncleared_flags(sheet, known_at=deed.at)
        if open_flags:
            message = _("Clear these flags first: %(flags)s.")
            refuse("flags", message, flags="; ".join(f.words for f in open_flags))
        signature = sign(
            id=derived(id, "signature"),
            by=by,
            proof=proof,
            printed_name=printed_name,
            meaning=needed("meaning", meaning),
            statement=words,
            content_sha256=version.sha256,
        )
        return moved(
            deed,
            id=id,
            by=by,
            subject=sheet,
            move="review",
            words=words,
            given={"author": str(sheet.inspector.user_id), "flags": len(open_flags)},
            evidence={"version": version.n, "sha256": version.sha256},
            signature=signature,
        )


def _amended(
    deed: Deed,
    by: Membership,
    report: DailyReport,
    reason: str,
    changes: Callable[[], object],
) -> tuple[DailyReport, dict[str, Any]]:
    if len(needed("reason", reason)) < LEAST_REASON:
        message = _("%(given)s; allowed is a sentence of %(least)s letters or more.")
        refuse("reason", message, given=reason.strip(), least=LEAST_REASON)
    if first_version(report) is None:
        refuse("report", _("%(sheet)s is not signed yet: write on it."), sheet=report)
    about(deed, report)
    written = len(deed.rows)
    with amending(report):
        sheet = writable(by, report)
        _own_sheet(by, sheet)
        changes()
    if len(deed.rows) == written:
        refuse("changes", _("Nothing was changed; an amendment changes something."))
    return sheet, content_now(sheet, known_at=deed.at)


def _seal(
    deed: Deed,
    *,
    id: UUID,
    by: Membership,
    sheet: DailyReport,
    move: str,
    content: dict[str, Any],
    shown_sha256: str,
    conforming: bool,
    printed_name: str,
    meaning: str,
    statement: str,
    proof: Proof,
    declared_at: datetime | None = None,
    reason: str = "",
) -> ReportVersion:
    """Put the signature under the content, freeze it, and move the sheet on."""
    sha256 = sha256_of(content)
    if shown_sha256 != sha256:
        message = _("%(sheet)s changed since you read it. Read it again, then sign.")
        refuse("content_sha256", message, sheet=sheet)
    signature: Signature = sign(
        id=derived(id, "signature"),
        by=by,
        proof=proof,
        printed_name=printed_name,
        meaning=needed("meaning", meaning),
        statement=statement,
        content_sha256=sha256,
        declared_at=declared_at,
    )
    last = _last_version(sheet)
    version = deed.add(
        ReportVersion(
            id=id,
            job=by.job,
            report_id=sheet.first,
            n=1 if last is None else last.n + 1,
            content=content,
            sha256=sha256,
            signature=signature,
            conforming=conforming,
            reason=reason,
        )
    )
    moved(
        deed,
        id=derived(id, "move"),
        by=by,
        subject=sheet,
        move=move,
        given={
            "meaning": meaning,
            "printed_name": printed_name,
            "shown_sha256": shown_sha256,
            "content_sha256": sha256,
            "may_sign": _may_sign(by, sheet, deed.at),
            "reason": reason,
        },
        evidence={"version": version.n, "sha256": sha256},
        signature=signature,
    )
    return version


def _own_sheet(by: Membership, sheet: DailyReport) -> None:
    if sheet.inspector_id != by.pk:
        message = _("%(sheet)s is the sheet of %(who)s; allowed is its own inspector.")
        refuse("report", message, sheet=sheet, who=sheet.inspector.user)


def _may_sign(by: Membership, sheet: DailyReport, known_at: datetime) -> bool:
    """Say whether the member signs alone: by its level, or as the contract lets it."""
    if by.may_sign_alone:
        return True
    terms = terms_in_force(by.job, on=sheet.shift.work_date, known_at=known_at)
    return terms is not None and terms.flag("associate_signs_alone") is True


def _certified(by: Membership, sheet: DailyReport) -> None:
    """Refuse one associate's review of another: the first needs a certified eye."""
    if not by.may_sign_alone and not sheet.inspector.may_sign_alone:
        message = _("%(who)s may not review %(sheet)s: both are of associate level.")
        refuse("report", message, who=by.user, sheet=sheet)


def _last_version(sheet: DailyReport) -> ReportVersion | None:
    return ReportVersion.objects.filter(report=sheet.first).order_by("-n").first()
