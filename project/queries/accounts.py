"""People and firms, found for a form."""

from __future__ import annotations

from django.db.models import Q

from project.models import Job, Membership, Organization, User


def person_by_email(email: str) -> User | None:
    """Return the person who signs in with an address, whatever its capitals."""
    return User.objects.filter(email=email.lower()).first()


def firms_on(job: Job) -> list[Organization]:
    """Return the firms that have a member on a job, and its owner."""
    ids = Membership.objects.filter(job=job).values("organization")
    rows = Organization.objects.filter(Q(pk__in=ids) | Q(pk=job.owner_id))
    return list(rows.distinct())
