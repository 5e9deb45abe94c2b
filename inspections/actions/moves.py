"""Moves: what may happen next to a deficiency, a report, a packet, made by a person.

One row of `Move` for each, with the state the table answered. Two people may press
at once; the act's lock and the number's unique rule let one of them through, and
the other is told who it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.utils.translation import gettext as _

from crews.actions.checks import (
    in_force,
    shown,
)
from inspections.actions.checks import about, needed, not_ahead
from inspections.domain.moves import (
    DEFICIENCY,
    NONCONFORMANCE,
    PACKET,
    REPORT,
    MoveTable,
    next_state,
)
from inspections.models import DailyReport, Deficiency, Move, Nonconformance, Packet
from inspections.queries.scope import deficiencies_for, nonconformances_for
from project import clock
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import Deed, act
from project.domain.roles import Role
from project.domain.verdict import Reason
from project.models import Attachment, Membership, Signature, Version

Subject = Deficiency | Nonconformance | DailyReport | Packet

TABLES: Mapping[type[Any], tuple[str, MoveTable]] = {
    Deficiency: ("deficiency", DEFICIENCY),
    Nonconformance: ("nonconformance", NONCONFORMANCE),
    DailyReport: ("report", REPORT),
    Packet: ("packet", PACKET),
}


def make_move(
    *,
    id: UUID,
    by: Membership,
    subject: Deficiency | Nonconformance,
    move: str,
    at: datetime | None = None,
    words: str = "",
    evidence: Mapping[str, str] | None = None,
    attachment: Attachment | None = None,
    after: int | None = None,
) -> Move:
    """Make one move on a deficiency or a nonconformance report.

    `evidence` holds what the move asks for (who corrected, who was told and how);
    `after` is the number of moves the page showed, so that whoever comes second is
    told instead of moving what they have not seen. Sheets and packets have actions
    of their own.
    """
    of_job(by.job, subject=subject, attachment=attachment)
    not_ahead(by, at=at)
    with act(on=by.job, by=by, verb=f"{subject.kind}.moved") as deed:
        if there := sent_before(deed, Move, id, job_id=by.job_id):
            return there
        _in_sight(by, subject, known_at=deed.at)
        subject = in_force(subject)
        about(deed, subject)
        seen = getattr(subject, "seen_at", None) or getattr(
            subject, "observed_at", None
        )
        if at is not None and seen is not None and at < seen:
            message = _("%(at)s lies before it was seen; allowed is %(seen)s or later.")
            refuse("at", message, at=shown(at, by.job), seen=shown(seen, by.job))
        return moved(
            deed,
            id=id,
            by=by,
            subject=subject,
            move=move,
            at=at,
            words=words,
            evidence=evidence,
            attachment=attachment,
            after=after,
        )


def notify(
    *,
    id: UUID,
    by: Membership,
    subject: Deficiency | Nonconformance,
    person: str,
    means: str,
    at: datetime,
    words: str = "",
) -> Move:
    """Keep that a person was told, how and when."""
    return make_move(
        id=id,
        by=by,
        subject=subject,
        move="notify",
        at=at,
        words=words,
        evidence={
            "told": needed("person", person),
            "means": needed("means", means),
        },
    )


def moved(
    deed: Deed,
    *,
    id: UUID,
    by: Membership,
    subject: Subject,
    move: str,
    given: Mapping[str, object] | None = None,
    at: datetime | None = None,
    words: str = "",
    evidence: Mapping[str, Any] | None = None,
    attachment: Attachment | None = None,
    signature: Signature | None = None,
    after: int | None = None,
) -> Move:
    """Make a move inside a running act. `given` is what the table's needs look at."""
    column, table = TABLES[type(subject)]
    key = subject.first if isinstance(subject, Version) else subject.pk
    rows = Move.objects.filter(**{column: key}).select_related("recorded_by__user")
    before = list(rows.order_by("n"))
    last = before[-1] if before else None
    if after is not None and after != len(before) and last is not None:
        who = last.recorded_by.user.printed_name
        message = _(
            "%(what)s was moved meanwhile: %(who)s, %(move)s, %(at)s. Look again."
        )
        when = shown(last.recorded_at, by.job)
        refuse("move", message, what=subject, who=who, move=last.move, at=when)
    known = {
        **_known_of(by, subject, before),
        "words": words.strip(),
        **(evidence or {}),
        **(given or {}),
    }
    state = last.state if last is not None else table.initial
    answer = next_state(table, state, move, role=Role(by.role), given=known)
    if not isinstance(answer, str):
        raise _refused(answer, subject=subject, last=last, by=by)
    return deed.add(
        Move(
            id=id,
            job=by.job,
            **{f"{column}_id": key},
            n=len(before) + 1,
            move=move,
            state=answer,
            role=by.role,
            at=at or clock.now(),
            words=words.strip(),
            evidence=dict(evidence or {}),
            attachment=attachment,
            signature=signature,
        )
    )


def _known_of(
    by: Membership, subject: Subject, before: list[Move]
) -> dict[str, object]:
    """Return what the record itself says to the needs of its moves."""
    if not isinstance(subject, Deficiency):
        return {"by": str(by.user_id)}
    corrected = [one for one in before if one.move == "correct"]
    who = corrected[-1].evidence.get("corrected_by", "") if corrected else ""
    # Names are compared: who corrected is often one of the crew, who never signs in.
    return {
        "by": by.user.printed_name.casefold(),
        "corrected_by": str(who).strip().casefold(),
        "firm": str(by.organization_id),
        "opened_by_firm": str(subject.organization_id),
    }


def _refused(
    reasons: tuple[Reason, ...], *, subject: Subject, last: Move | None, by: Membership
) -> ValidationError:
    """Return every reason by its name; a move that came second names the first."""
    errors: dict[str, list[str]] = {}
    for reason in reasons:
        text = _("%(what)s: %(found)s; allowed: %(requirement)s.") % {
            "what": subject,
            "found": reason.found,
            "requirement": reason.requirement,
        }
        if reason.key == "move" and last is not None:
            text += " " + _("Last: %(who)s, %(move)s, %(at)s.") % {
                "who": last.recorded_by.user.printed_name,
                "move": last.move,
                "at": shown(last.recorded_at, by.job),
            }
        errors.setdefault(reason.key, []).append(text)
    return ValidationError(errors)


def _in_sight(
    by: Membership, subject: Deficiency | Nonconformance, *, known_at: datetime
) -> None:
    """Refuse a member who may not even read it: a posted identity opens no door."""
    rows: Any
    if isinstance(subject, Deficiency):
        rows = deficiencies_for(by, known_at=known_at)
    else:
        rows = nonconformances_for(by, known_at=known_at)
    if not rows.filter(first=subject.first).exists():
        raise PermissionDenied(f"{subject} is not for {by} to read")
