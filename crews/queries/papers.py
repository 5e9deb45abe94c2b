"""What was kept of a card or a statement, and a statement that may be corrected."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from crews.models import Certification, Experience, Operator
from project.models import Attachment


def card_scan(operator: Operator, id: UUID, *, known_at: datetime) -> Attachment | None:
    """Return the scan of a version of an operator's card, superseded or not."""
    rows = Certification.objects.filter(operator=operator, recorded_at__lte=known_at)
    card = rows.filter(pk=id).select_related("scan").first()
    return None if card is None else card.scan


def experience_paper(
    operator: Operator, id: UUID, *, known_at: datetime
) -> Attachment | None:
    """Return the paper of a version of a statement, superseded or not."""
    rows = Experience.objects.filter(operator=operator, recorded_at__lte=known_at)
    stated = rows.filter(pk=id).select_related("attachment").first()
    return None if stated is None else stated.attachment


def experience(
    operator: Operator, id: UUID, *, known_at: datetime
) -> Experience | None:
    """Return a statement about an operator, in the version that stands."""
    rows = Experience.objects.known_at(known_at).filter(operator=operator, pk=id)
    found: Experience | None = rows.first()
    return found


def experience_sent(operator: Operator, id: UUID | None) -> bool:
    """Say whether the same request made a version of a statement before."""
    rows = Experience.objects.filter(operator=operator)
    return id is not None and rows.filter(pk=id).exists()
