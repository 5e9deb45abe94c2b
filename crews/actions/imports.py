"""Operators and cards taken over from a file: all of its rows in one act, or none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from crews.actions.checks import for_firm, on_job
from crews.actions.people import CardEntry, card_row
from crews.domain.certification import CardFace
from crews.domain.import_outcomes import Outcome, RowState
from crews.domain.operator_import import Cells
from crews.models import Certification, Operator
from crews.queries.imports import VERB, LaidBeside, import_sent, laid_beside
from project.actions.abilities import require
from project.actions.checks import refuse
from project.audit import Deed, act
from project.domain.identity import derived
from project.domain.roles import Ability
from project.models import Membership, Organization


@dataclass(frozen=True, slots=True)
class ReadFile:
    """A file as it was read: the hash of its bytes, its name, and its rows."""

    sha256: str
    name: str
    rows: Sequence[Cells]


@dataclass(frozen=True, slots=True)
class Imported:
    """How many rows an import wrote, of each kind."""

    operators: int
    cards: int
    corrected: int


def import_operators(
    *,
    id: UUID,
    by: Membership,
    organization: Organization,
    file: ReadFile,
    digest: str,
    reason: str = "",
) -> Imported:
    """Write what a file says of a firm's operators and cards, as it was shown.

    `digest` is the hash of what the person was shown would become of each row: where
    the record has moved on since, or any row is refused, nothing is written. Cards that
    the file says otherwise are superseded, for one reason; nobody has verified them.
    """
    require(by, Ability.KEEP_OPERATORS)
    for_firm(by, organization.pk)
    on_job(by.job, organization=organization)
    with act(on=organization, by=by, verb=VERB, also=(by.job,)) as deed:
        before = import_sent(organization, id)
        if before is not None:
            return _counted(before)
        found = laid_beside(
            file.rows,
            file=file.sha256,
            organization=organization,
            known_at=deed.at,
            today=by.job.local(deed.at).date(),
        )
        _check(found, digest=digest, reason=reason)
        counts = _write(deed, found.to_save, organization, id, file, reason)
        deed.say(request=str(id), file=file.name, sha256=file.sha256, **counts)
        return _counted(counts)


def _check(found: LaidBeside, *, digest: str, reason: str) -> None:
    if found.refused:
        told = [
            _("Row %(n)s, %(fault)s") % {"n": row.number, "fault": fault}
            for row in found.refused
            for fault in row.faults
        ]
        raise ValidationError(told)
    if found.digest != digest:
        message = _("The record has changed since this was shown: look again.")
        raise ValidationError(message, code="stale")
    if not found.to_save:
        raise ValidationError(_("All of this file is on record already."))
    if found.counts[RowState.CHANGED] and not reason.strip():
        refuse("reason", _("Say why the cards are corrected: a reason is needed."))


def _counted(words: Mapping[str, str]) -> Imported:
    return Imported(*(int(words[k]) for k in ("operators", "cards", "corrected")))


def _write(
    deed: Deed,
    rows: Sequence[Outcome],
    organization: Organization,
    id: UUID,
    file: ReadFile,
    reason: str,
) -> dict[str, str]:
    """Write operators, then cards; each row's identity follows from file and number."""
    known = Operator.objects.filter(organization=organization)
    people = {one.badge_number: one for one in known}
    entered = [
        Operator(
            id=_identity(id, file, row, "operator"),
            organization=organization,
            legal_name=row.name,
            badge_number=row.badge,
        )
        for row in rows
        if row.state is RowState.NEW_OPERATOR
    ]
    people |= {one.badge_number: one for one in entered}
    cards = [
        (row, _card(row.card, people[row.badge], _identity(id, file, row, "card")))
        for row in rows
        if row.card is not None
    ]
    new = [card for row, card in cards if row.supersedes is None]
    corrected = list(_corrected(cards))
    deed.add_all([*entered, *new])
    deed.supersede_all(corrected, reason=reason.strip())
    return {
        "operators": str(len(entered)),
        "cards": str(len(new)),
        "corrected": str(len(corrected)),
    }


def _identity(id: UUID, file: ReadFile, row: Outcome, kind: str) -> UUID:
    return derived(id, f"{file.sha256} {row.number} {kind}")


def _card(face: CardFace, operator: Operator, id: UUID) -> Certification:
    entry = CardEntry(
        scheme=face.scheme,
        number=face.number,
        method=face.method,
        level=face.level,
        classes=sorted(face.classes),
        issued_on=face.issued_on,
        expires_on=face.expires_on,
    )
    return card_row(id, operator, entry)


def _corrected(
    cards: Sequence[tuple[Outcome, Certification]],
) -> Iterator[tuple[Certification, Certification]]:
    """Yield each card that the file says otherwise, with its next version."""
    ids = [row.supersedes for row, _card in cards if row.supersedes is not None]
    standing = Certification.objects.in_bulk(ids)
    for row, card in cards:
        if row.supersedes is not None:
            old = standing[row.supersedes]
            # What it looks like is on record; what was verified was another reading.
            card.scan_id = old.scan_id
            yield old, card
