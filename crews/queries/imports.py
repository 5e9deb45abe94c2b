"""A file of operators and cards laid beside a firm's record, as known at an instant."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from crews.domain.certification import Card
from crews.domain.import_outcomes import (
    OnRecord,
    Outcome,
    RowState,
    outcome_digest,
    outcomes,
)
from crews.domain.operator_import import Cells
from crews.models import Certification, Operator
from project.models import AuditEvent, Organization

# The verb of the line that an import leaves; the request is found again by it.
VERB = "operators.imported"


@dataclass(frozen=True, slots=True)
class LaidBeside:
    """Every row with what becomes of it, and the hash of all that."""

    rows: tuple[Outcome, ...]
    digest: str

    @property
    def counts(self) -> Counter[RowState]:
        return Counter(row.state for row in self.rows)

    @property
    def refused(self) -> tuple[Outcome, ...]:
        return tuple(row for row in self.rows if row.state is RowState.REFUSED)

    @property
    def to_save(self) -> tuple[Outcome, ...]:
        """The rows that would write something, if none were refused."""
        still = (RowState.REFUSED, RowState.UNCHANGED)
        return tuple(row for row in self.rows if row.state not in still)


def laid_beside(
    rows: Sequence[Cells],
    *,
    file: str,
    organization: Organization,
    known_at: datetime,
    today: date,
) -> LaidBeside:
    """Return what becomes of a file's rows; `file` is its hash. Three queries."""
    record = firm_record(organization, known_at=known_at)
    found = outcomes(rows, record=record, today=today)
    return LaidBeside(found, outcome_digest(found, file=file))


def firm_record(
    organization: Organization, *, known_at: datetime
) -> tuple[OnRecord, ...]:
    """Return every operator of a firm with their cards. Three queries."""
    cards: dict[UUID, list[Card]] = defaultdict(list)
    versions = Certification.objects.known_at(known_at).filter(
        organization=organization
    )
    for row in versions.order_by("recorded_at"):
        cards[row.operator_id].append(row.facts())
    # Nothing follows a withdrawal: it is its chain's last version.
    back: dict[UUID, list[Card]] = defaultdict(list)
    for row in Certification.objects.filter(
        organization=organization, withdrawn=True, recorded_at__lte=known_at
    ):
        back[row.operator_id].append(row.facts())
    people = Operator.objects.filter(organization=organization)
    return tuple(
        OnRecord(
            id=one.pk,
            badge=one.badge_number,
            name=one.legal_name,
            aliases=tuple(one.aliases),
            cards=tuple(cards[one.pk]),
            taken_back=tuple(back[one.pk]),
        )
        for one in people.order_by("badge_number")
    )


def import_sent(organization: Organization, id: UUID) -> dict[str, str] | None:
    """Return what the line of an import says that the same request made before."""
    lines = AuditEvent.objects.filter(stream=organization.stream, verb=VERB)
    line = lines.filter(payload__words__request=str(id)).first()
    return None if line is None else line.payload["words"]
