"""The audit trail, of the whole job or of one record."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import render

from project.access import Door, SignedIn, job_view
from project.domain.roles import Ability
from project.queries.jobs import audit_head, audit_lines


@job_view(Ability.READ_AUDIT, tab="job_settings")
def audit_trail(
    request: SignedIn, door: Door, record: UUID | None = None
) -> HttpResponse:
    """Show who did what, newest first, and the hash at the end of the chain."""
    before = request.GET.get("before", "")
    lines = audit_lines(
        door.member,
        subject_id=record,
        before=int(before) if before.isdecimal() else None,
    )
    if record is not None and not before and not lines:
        raise Http404  # no record of this job
    seq, digest = audit_head(door.job)
    context = {"lines": lines, "record": record, "seq": seq, "digest": digest}
    return render(request, "project/audit_trail.html", context)
