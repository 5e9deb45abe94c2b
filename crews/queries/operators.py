"""An operator's page: one operator with everything on record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from crews.domain.mock_up import Decision, MockUp
from crews.domain.operator_file import OperatorFile
from crews.models import (
    Certification,
    Enrolment,
    Experience,
    Operator,
    Suspension,
    Waiver,
)
from crews.queries.matrix import MatrixRow, rows_of
from crews.queries.qualification import qualification_record
from crews.queries.shooting import Held, Placed, shooting
from crews.queries.waivers import waivers
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class MockUpRow:
    """A mock-up as known, with every decision taken of it, the failed ones too."""

    mock_up: MockUp
    decisions: tuple[Decision, ...]

    @property
    def code(self) -> str:
        return self.mock_up.code

    @property
    def latest(self) -> Decision | None:
        return self.decisions[-1] if self.decisions else None


@dataclass(frozen=True, slots=True)
class OperatorPage:
    """One operator with everything on record, and how they stand today."""

    operator: Operator
    code: str
    file: OperatorFile
    cards: tuple[Certification, ...]
    earlier_cards: tuple[Certification, ...]
    enrolments: tuple[Enrolment, ...]
    suspensions: tuple[Suspension, ...]
    waivers: tuple[Waiver, ...]
    experience: tuple[Experience, ...]
    mock_ups: tuple[MockUpRow, ...]
    rows: tuple[MatrixRow, ...]
    held: tuple[tuple[Placed, Held], ...]

    @property
    def minutes(self) -> int:
        """Minutes on the nozzle on this job, of the times that were left."""
        return sum(held.minutes or 0 for _, held in self.held)


def operator_page(
    job: Job,
    code: str,
    *,
    as_of: datetime,
    known_at: datetime,
    for_member: Membership | None = None,
) -> OperatorPage | None:
    """Return one operator by their code, or nothing where they are not to be seen.

    Twenty-seven queries at most: the file, the standings for each part, and every nozzle time.
    """
    places = Enrolment.objects.filter(job=job, code=code).select_related("operator")
    place = places.first()
    if place is None:
        return None
    record = qualification_record(
        job, known_at=known_at, for_member=for_member, operators=[place.operator]
    )
    if not record.people:
        return None
    person = record.people[0]
    operator = person.operator
    file = record.files[operator.pk]
    cards = _all_cards(operator, known_at)
    in_force = {card.id for card in file.cards}
    return OperatorPage(
        operator=operator,
        code=person.code,
        file=file,
        cards=tuple(card for card in cards if card.pk in in_force),
        earlier_cards=tuple(card for card in cards if card.pk not in in_force),
        enrolments=tuple(
            Enrolment.objects.known_at(known_at)
            .filter(job=job, operator=operator)
            .select_related("employer", "recorded_by__user")
            .order_by("from_on")
        ),
        experience=tuple(
            Experience.objects.known_at(known_at)
            .filter(operator=operator)
            .order_by("process", "stated_on")
        ),
        waivers=tuple(waivers(job, known_at=known_at, operator=operator.pk)),
        suspensions=tuple(
            Suspension.objects.known_at(known_at)
            .filter(job=job, operator=operator)
            .order_by("from_at")
        ),
        mock_ups=tuple(
            MockUpRow(one, tuple(sorted(one.decisions, key=lambda d: d.decided_at)))
            for one in sorted(file.mock_ups, key=lambda one: one.code)
        ),
        rows=rows_of(record, as_of),
        held=_times_of(job, operator, known_at=known_at, for_member=for_member),
    )


def _all_cards(operator: Operator, known_at: datetime) -> list[Certification]:
    """Return every version of the operator's cards, the latest first."""
    rows = Certification.objects.filter(operator=operator, recorded_at__lte=known_at)
    rows = rows.select_related("verified_by", "recorded_by", "scan")
    return list(rows.order_by("-recorded_at"))


def _times_of(
    job: Job,
    operator: Operator,
    *,
    known_at: datetime,
    for_member: Membership | None,
) -> tuple[tuple[Placed, Held], ...]:
    placed = shooting(job, known_at=known_at, for_member=for_member)
    return tuple(
        (one, held) for one in placed for held in one.times if held.operator == operator
    )
