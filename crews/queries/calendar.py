"""What a calendar reads under a secret address: what its owner may read, and no more."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from crews.domain.endings import Ending, EndingKind
from crews.models import (
    CalendarAddress,
    Certification,
    Enrolment,
    PlannedOperator,
    PlannedPlacement,
    Suspension,
    Waiver,
)
from crews.queries.endings import EndsNext, ends_next
from crews.queries.operator_files import own_firm
from project import clock
from project.domain.identity import derived
from project.domain.roles import Ability, Role, may
from project.models import Job, Membership, MixRevision, User
from project.queries.jobs import memberships_on, now_on

# How far a calendar looks ahead: as far as the page does.
DAYS = 90


def hashed(secret: str) -> str:
    """Return what is kept of a secret. It is drawn at random and long: one hash is enough."""
    return sha256(secret.encode()).hexdigest()


def addresses_of(job: Job, user: User) -> list[CalendarAddress]:
    """Return a person's own addresses on a job, the latest first."""
    rows = CalendarAddress.objects.filter(job=job, membership__user=user)
    return list(rows.select_related("membership").order_by("-made_at"))


def address_of(job: Job, user: User, id: UUID) -> CalendarAddress | None:
    """Return one of a person's own addresses."""
    return next((row for row in addresses_of(job, user) if row.pk == id), None)


def reader_of(job: str, secret: str) -> Membership | None:
    """Return the member for whom a secret reads, or nothing.

    Nothing for an unknown or revoked secret, one of another job, a membership that has
    ended, a person who was shut out, and a role that does not read operators. The hash
    is looked up, never the secret compared: how long that takes tells nothing of it.
    """
    rows = CalendarAddress.objects.filter(secret_sha256=hashed(secret))
    found = rows.select_related("job", "membership__user").first()
    if found is None or found.revoked_at is not None or found.job.code != job:
        return None
    in_force = memberships_on(found.membership.user, code=job)
    return next(
        (
            row
            for row in in_force
            if row.pk == found.membership_id
            and may(Role(row.role), Ability.READ_OPERATORS)
        ),
        None,
    )


@dataclass(frozen=True, slots=True)
class Entry:
    """One ending as a calendar keeps it: what it is known by, and when it last changed."""

    ending: Ending
    name: str
    uid: UUID
    # How often its own record was changed: it never goes down.
    sequence: int
    changed_at: datetime
    planned: tuple[tuple[str, str, datetime], ...]


@dataclass(frozen=True, slots=True)
class Calendar:
    """A job's endings as one member may read them."""

    job: Job
    entries: tuple[Entry, ...]


def calendar_of(member: Membership) -> Calendar:
    """Return the endings that a member's calendar shows now.

    Twenty queries at most, and one more for each kind of record that ends.
    """
    job = member.job
    known_at = now_on(job)
    found = ends_next(
        job, at=clock.now(), known_at=known_at, for_member=member, every_plan=True
    )
    shown = (*found.within(DAYS), *found.ended)
    chains = _chains(job, shown)
    touched = _plans_touched(member)
    return Calendar(
        job=job,
        entries=tuple(_entry(job, found, one, chains, touched) for one in shown),
    )


def _entry(
    job: Job,
    found: EndsNext,
    ending: Ending,
    chains: dict[str, tuple[UUID, int]],
    touched: dict[str, datetime],
) -> Entry:
    recorded = ending.recorded_at
    if ending.kind is EndingKind.IDLE:
        # A limit is no record: it is known by its operator and process, and begins
        # anew with whatever is recorded as shot, or taken back.
        file = found.people[ending.whose].file
        shots = [s for s in file.shots if ending.process in (None, s.process)]
        first, sequence = UUID(file.operator.id), len(shots) - 1
        recorded = max(shot.recorded_at for shot in shots)
    else:
        first, sequence = chains[ending.ref.id]
    # A waiver of everybody's is an ending of each of them.
    whose = ending.operator.id if ending.operator else ""
    name = f"{job.pk} {ending.kind} {ending.process or ''} {whose}"
    changed = touched.get(whose or str(first), recorded)
    return Entry(
        ending=ending,
        name=found.name(ending),
        uid=derived(first, name),
        sequence=sequence,
        changed_at=max(recorded, changed),
        planned=tuple(
            (plan.code, plan.part, plan.starts_at) for plan in found.reached(ending)
        ),
    )


_MODELS: dict[EndingKind, Any] = {
    EndingKind.CARD: Certification,
    EndingKind.PLACE: Enrolment,
    EndingKind.WAIVER: Waiver,
    EndingKind.SUSPENSION: Suspension,
    EndingKind.MIX: MixRevision,
}


def _chains(job: Job, shown: Iterable[Ending]) -> dict[str, tuple[UUID, int]]:
    """Return of each version the first of its chain, and how many came before it."""
    wanted: dict[EndingKind, set[str]] = defaultdict(set)
    for ending in shown:
        wanted[ending.kind].add(ending.ref.id)
    found: dict[str, tuple[UUID, int]] = {}
    for kind, model in _MODELS.items():
        rows: QuerySet[Any] = model.objects.filter(pk__in=wanted[kind])
        versions = model.objects.filter(first__in=rows.values("first"))
        seen: dict[UUID, int] = defaultdict(int)
        for pk, first in versions.order_by("recorded_at").values_list("pk", "first"):
            found[str(pk)] = (first, seen[first])
            seen[first] += 1
    return found


def _plans_touched(member: Membership) -> dict[str, datetime]:
    """Return when the planned work of each operator, or with each mix, last changed."""
    job, firm = member.job, own_firm(member)
    plans: dict[UUID, datetime] = {}
    found: dict[str, datetime] = {}

    def touch(key: UUID | None, at: datetime) -> None:
        if key is not None:
            found[str(key)] = max(at, found.get(str(key), at))

    rows = PlannedPlacement.objects.filter(job=job).order_by("recorded_at")
    if firm is not None:
        rows = rows.filter(organization=firm)
    for first, mix, at in rows.values_list("first", "mix_revision_id", "recorded_at"):
        plans[first] = at
        touch(mix, at)
    people = PlannedOperator.objects.filter(job=job).values_list(
        "planned_id", "operator_id", "supervisor_id", "recorded_at"
    )
    for planned, operator, supervisor, at in people:
        for key in (operator, supervisor):
            if planned in plans:
                touch(key, max(at, plans[planned]))
    return found
