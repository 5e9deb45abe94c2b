"""Signing: a printed name, a meaning, and the password again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from project import clock
from project.audit import act
from project.models import FlagCleared, Membership, Signature, User
from project.models.records import Identified

# How long a password given again stands for the person: project's choice.
PROOF_LASTS = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Proof:
    """That a person gave their password again, at an instant."""

    user_id: UUID
    at: datetime


def prove(user: User, password: str) -> Proof:
    """Return proof of a password given now. Raises ValidationError on a wrong one."""
    if not user.check_password(password):
        message = _(
            "This is not your password. Nothing was signed and nothing is lost."
        )
        raise ValidationError({"password": message})
    return Proof(user_id=user.pk, at=clock.now())


def sign(
    *,
    id: UUID,
    by: Membership,
    proof: Proof,
    printed_name: str,
    meaning: str,
    statement: str,
    content_sha256: str,
    declared_at: datetime | None = None,
) -> Signature:
    """Put a name to a content's hash. Joins the act of what is signed."""
    if proof.user_id != by.user_id or clock.now() - proof.at > PROOF_LASTS:
        raise ValidationError({"password": _("Give your password again to sign.")})
    if printed_name.strip() != by.user.printed_name:
        message = _("Printed name %(given)s; allowed is your own, %(own)s.")
        params = {"given": printed_name, "own": by.user.printed_name}
        raise ValidationError({"printed_name": ValidationError(message, params=params)})
    with act(on=by.job, by=by, verb="signature.given") as deed:
        return deed.already(Signature, id) or deed.add(
            Signature(
                id=id,
                job=by.job,
                printed_name=printed_name.strip(),
                role=by.role,
                meaning=meaning,
                statement=statement,
                content_sha256=content_sha256,
                declared_at=declared_at,
                signed_at=deed.at,
            )
        )


def clear_flag(
    *, id: UUID, by: Membership, subject: Identified, key: str, words: str
) -> FlagCleared:
    """Explain a contradiction on record. Raises if no words are given."""
    if not words.strip():
        raise ValidationError({"words": _("Say what was found: words are needed.")})
    with act(on=by.job, by=by, verb="flag.cleared") as deed:
        before = FlagCleared.objects.filter(subject_id=subject.pk, key=key).first()
        return before or deed.add(
            FlagCleared(
                id=id,
                job=by.job,
                subject_kind=subject.kind,
                subject_id=subject.pk,
                key=key,
                words=words.strip(),
            )
        )
