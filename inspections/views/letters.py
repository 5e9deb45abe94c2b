"""The employer's letter on an operator's hours, as a file to print."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from crews.queries import choices
from crews.queries.hours import operator_hours
from crews.views.common import found
from crews.views.hours import read_period
from inspections.packet.letter import Letter, letter_pdf
from inspections.views.common import pdf_file
from project.access import Door, SignedIn, job_view
from project.domain.roles import Ability
from project.queries.jobs import audit_head_at


@job_view(Ability.VERIFY_HOURS, tab="operators")
def hours_letter(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Give out an operator's hours as the employer's letter, to be signed on paper."""
    job = door.job
    place = found(
        choices.place(job, code, known_at=door.known_at, for_member=door.member),
        "no such operator",
    )
    seen, period = read_period(request, door)
    if period is None:
        # The log says which day or instant it could not read.
        log = reverse("operator_hours", args=[job.code, code])
        return redirect(f"{log}?{request.GET.urlencode()}")
    one = operator_hours(
        job,
        place.operator,
        period=period,
        as_of=seen.at,
        known_at=seen.known_at,
        for_member=door.member,
    )
    line, head = audit_head_at(job, known_at=seen.known_at)
    letter = Letter(
        firm=place.employer.name,
        operator=place.operator.legal_name,
        badge=place.operator.badge_number,
        code=code,
        job=job.name,
        contract=job.contract_number,
        paper=job.paper,
        language=job.language,
        zone=job.zone,
        hours=one.hours,
        tallies=one.tallies,
        statements=one.statements,
        as_of=seen.at,
        known_at=seen.known_at,
        line=line,
        head=head,
    )
    return pdf_file(letter_pdf(letter), f"{job.code}-{code}-hours.pdf")
