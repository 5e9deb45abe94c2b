"""Cards of enrolled operators that end soon, or ended with no other in their place."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from crews.models import Certification, Enrolment
from crews.queries.operator_files import own_firm
from project.models import Job, Membership

# How far ahead a card's last day is told: project's choice, as on the operators' page.
DAYS_AHEAD = 30


@dataclass(frozen=True, slots=True)
class EndingCard:
    """The last card an operator has for the same classes, and its last day."""

    code: str
    name: str
    card: Certification

    @property
    def last_day(self) -> date:
        return self.card.expires_on


def ending_cards(
    job: Job, member: Membership, *, known_at: datetime, on: date
) -> tuple[EndingCard, ...]:
    """Return the cards that end within thirty days or have ended, the first first.

    A card that another one of the same classes outlasts is not told. A contractor
    reads its own operators' only. Two queries.
    """
    places = Enrolment.objects.known_at(known_at).filter(job=job)
    firm = own_firm(member)
    if firm is not None:
        places = places.filter(employer=firm)
    by_operator: dict[UUID, Enrolment] = {
        place.operator_id: place
        for place in places.select_related("operator")
        if place.to_on is None or place.to_on >= on
    }
    cards = Certification.objects.known_at(known_at).filter(
        operator__in=list(by_operator)
    )
    last: dict[object, Certification] = {}
    for card in cards.order_by("expires_on", "id"):
        classes = tuple(sorted(tuple(one) for one in card.classes))
        last[(card.operator_id, card.method, classes)] = card
    found = [
        EndingCard(place.code, place.operator.legal_name, card)
        for card in last.values()
        if card.expires_on <= on + timedelta(days=DAYS_AHEAD)
        for place in [by_operator[card.operator_id]]
    ]
    return tuple(sorted(found, key=lambda one: (one.last_day, one.code)))
