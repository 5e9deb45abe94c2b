"""Jobs, members, terms, parts and mixes, each as known at an instant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from operator import attrgetter
from uuid import UUID

from project import clock
from project.domain.roles import OWN_FIRM_ONLY, Role
from project.domain.terms import Terms, terms_on
from project.models import (
    AuditEvent,
    AuditHead,
    Element,
    ElementPart,
    Job,
    Membership,
    MixRevision,
    Organization,
    PartRevision,
    TermsRevision,
    User,
)
from project.queries.chains import Chains
from project.queries.reading import read_once


def memberships_of(user: User, *, on: date | None = None) -> list[Membership]:
    """Return what a person is now, on every job, a job's own date deciding."""
    rows = (
        Membership.objects.filter(user=user)
        .select_related("job", "job__owner", "organization", "user")
        .order_by("job__code", "from_on", "role")
    )
    now = clock.now()
    return [row for row in rows if _in_force(row, on or row.job.local(now).date())]


def memberships_on(user: User, *, code: str) -> list[Membership]:
    """Return what a person is now on one job; nothing for a stranger."""
    rows = Membership.objects.filter(user=user, job__code=code)
    rows = rows.select_related("job", "job__owner", "organization", "user").order_by()
    now = clock.now()
    found = [row for row in rows if _in_force(row, row.job.local(now).date())]
    # Put in order here: each page asks, and Django takes as long for an ORDER BY
    # over rows as wide as these as for the rest of its query.
    return sorted(found, key=lambda row: row.from_on)


def members_of(job: Job, *, role: Role | None = None) -> list[Membership]:
    """Return everybody ever let in to a job, by name."""
    rows = Membership.objects.filter(job=job).select_related("user", "organization")
    return list(rows if role is None else rows.filter(role=role))


def members_in_force(job: Job, *, on: date) -> list[Membership]:
    """Return who is a member on a date, by name."""
    return [row for row in members_of(job) if _in_force(row, on)]


def _in_force(row: Membership, on: date) -> bool:
    return (
        row.user.is_active
        and row.from_on <= on
        and (row.to_on is None or row.to_on >= on)
    )


def now_on(job: Job) -> datetime:
    """Return the instant a page of the job is read at: never before its last act."""
    head = AuditHead.objects.filter(stream=job.stream).values_list("at", flat=True)
    last = head.first()
    return max(clock.now(), last) if last else clock.now()


@read_once
def terms_revisions(job: Job, *, known_at: datetime) -> list[TermsRevision]:
    """Return every revision of the terms, by number."""
    rows = TermsRevision.objects.known_at(known_at).filter(job=job)
    return sorted(rows.order_by(), key=attrgetter("number"))


def terms_in_force(job: Job, *, on: date, known_at: datetime) -> Terms | None:
    """Return the terms in force on a date, or nothing before the first revision."""
    revisions = terms_revisions(job, known_at=known_at)
    return terms_on([row.facts() for row in revisions], on=on)


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part with what the drawings ask of it, as known."""

    part: ElementPart
    revision: PartRevision

    @property
    def code(self) -> str:
        return self.part.code

    @property
    def element(self) -> Element:
        return self.part.element


@read_once
def parts(job: Job, *, known_at: datetime) -> list[PartRow]:
    """Return the job's parts in the order of its elements."""
    rows = (
        PartRevision.objects.known_at(known_at)
        .filter(job=job)
        .select_related("part__element")
        .order_by("part__element__order", "part__element__code", "part__order")
    )
    return [PartRow(part=row.part, revision=row) for row in rows]


def part_by_code(job: Job, code: str, *, known_at: datetime) -> PartRow | None:
    """Return one part by its code."""
    rows = PartRevision.objects.known_at(known_at).select_related("part__element")
    row = rows.filter(job=job, part__code=code).first()
    return None if row is None else PartRow(part=row.part, revision=row)


def elements(job: Job) -> list[Element]:
    """Return the elements of the drawings in their order."""
    return list(Element.objects.filter(job=job))


@read_once
def mixes(job: Job, *, known_at: datetime) -> list[MixRevision]:
    """Return every mix revision as known, by code and revision."""
    rows = MixRevision.objects.known_at(known_at).filter(job=job)
    return sorted(rows.order_by(), key=attrgetter("code", "revision"))


# Put together once: every answer of who may shoot asks it.
_MIXES = MixRevision.objects.for_facts().order_by()


def mix_chains(job: Job) -> Chains[MixRevision]:
    """Return every version of every mix revision, with what the gates ask of it."""
    return Chains(_MIXES.filter(job=job))


def plants(of: Iterable[MixRevision]) -> list[Organization]:
    """Return the suppliers of some mixes, by name."""
    ids = {mix.supplier_id for mix in of} - {None}
    return list(Organization.objects.filter(pk__in=ids).order_by("name", "code"))


def approved_mix(
    all_mixes: list[MixRevision], code: str, *, on: date
) -> MixRevision | None:
    """Return the revision of a mix in use on a date: the last one approved by then."""
    usable = [
        mix
        for mix in all_mixes
        if mix.code == code
        and mix.approved_on is not None
        and mix.approved_on <= on
        and (mix.withdrawn_on is None or mix.withdrawn_on > on)
    ]
    return max(usable, key=lambda mix: mix.revision, default=None)


def planned_mix(
    all_mixes: Iterable[MixRevision], code: str, *, on: date
) -> MixRevision | None:
    """Return the mix a part is planned with: in use on a date, else the latest."""
    rows = [mix for mix in all_mixes if mix.code == code]
    latest = max(rows, key=lambda mix: mix.revision, default=None)
    return approved_mix(rows, code, on=on) or latest


@dataclass(frozen=True, slots=True)
class TrailLine:
    """One line of the trail; its words only for the firm whose act it was."""

    event: AuditEvent
    own: bool


def audit_lines(
    member: Membership,
    *,
    subject_id: UUID | None = None,
    before: int | None = None,
    most: int = 50,
) -> list[TrailLine]:
    """Return lines of the job's trail, newest first, of one record or of all.

    Who reads only their own firm's records sees only its acts; everybody else sees
    that something was done and by whom, and what was said where the firm is theirs.
    """
    rows = AuditEvent.objects.filter(stream=member.job.stream).order_by("-seq")
    firm = Membership.objects.filter(
        job=member.job, organization=member.organization_id
    )
    own = set(firm.values_list("pk", flat=True))
    if Role(member.role) in OWN_FIRM_ONLY:
        rows = rows.filter(actor_id__in=own)
    if subject_id is not None:
        rows = rows.filter(subject_id=subject_id)
    if before is not None:
        rows = rows.filter(seq__lt=before)
    return [TrailLine(event=row, own=row.actor_id in own) for row in rows[:most]]


def audit_head(job: Job) -> tuple[int, str]:
    """Return the sequence number and hash at the end of the job's trail."""
    head = AuditHead.objects.filter(stream=job.stream).first()
    return (0, "") if head is None else (head.seq, head.hash)


def audit_head_at(job: Job, *, known_at: datetime) -> tuple[int, str]:
    """Return the number and hash of the last line of the job's trail as known then."""
    events = AuditEvent.objects.filter(stream=job.stream, at__lte=known_at)
    last = events.order_by("-seq").first()
    return (0, "") if last is None else (last.seq, last.hash)


def job_by_code(code: str) -> Job | None:
    """Return a job by its code, for commands; pages go through the door."""
    return Job.objects.filter(code=code).first()
