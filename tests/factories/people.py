"""Operators with their cards and places on a job."""

from __future__ import annotations

from datetime import date
from typing import Any

from crews.actions.people import (
    CardEntry,
    enrol_operator,
    enter_operator,
    record_certification,
)
from crews.domain.trade_words import (
    Level,
    Method,
)
from crews.models import (
    Certification,
    Operator,
)
from project.domain.shooting_words import Position, Process
from project.models import (
    Membership,
    Organization,
    new_id,
)


def card(**facts: Any) -> CardEntry:
    """Return a full card for wet vertical by hand, last valid day 2028-03-14."""
    given: dict[str, Any] = {
        "scheme": "CP-60",
        "number": "WV-1001",
        "method": Method.HAND,
        "level": Level.FULL,
        "classes": [(Process.WET, Position.VERTICAL)],
        "issued_on": date(2023, 3, 14),
        "expires_on": date(2028, 3, 14),
    }
    return CardEntry(**given | facts)


def make_operator(
    by: Membership,
    organization: Organization,
    name: str = "Bartosz Ilunga",
    badge: str = "B-001",
    with_card: CardEntry | None = None,
    approved_on: date | None = date(2026, 7, 16),
) -> Operator:
    """Enter an operator with one card and a place on the job."""
    operator = enter_operator(
        id=new_id(),
        by=by,
        organization=organization,
        legal_name=name,
        badge_number=badge,
    )
    make_card(by, operator, with_card or card(number=f"WV-{badge}"))
    enrol_operator(
        id=new_id(),
        by=by,
        operator=operator,
        employer=organization,
        from_on=date(2026, 7, 1),
        submittal=f"SUB-{badge}",
        approved_on=approved_on,
        approved_by="the engineer",
    )
    return operator


def make_card(by: Membership, operator: Operator, entry: CardEntry) -> Certification:
    """Record a card."""
    return record_certification(id=new_id(), by=by, operator=operator, card=entry)
