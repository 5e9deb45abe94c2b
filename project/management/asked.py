"""What commands are asked with: a job by its code, an instant on its clock."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.management.base import CommandError

from project.forms.fields import LocalDateTimeField
from project.models import Job
from project.queries.jobs import job_by_code

FORMATS = ("%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%d")


def job_named(code: str) -> Job:
    """Return a job. Raises CommandError where there is none of this code."""
    job = job_by_code(code)
    if job is None:
        raise CommandError(f"job {code!r}: there is none of this code")
    return job


def instant_of(option: str, text: str, *, job: Job, future: bool = False) -> datetime:
    """Return an instant on the job's clock, or with its own offset.

    Raises CommandError naming the option, the value and what is allowed.
    """
    field = LocalDateTimeField(input_formats=FORMATS, future=future)
    field.zone = job.zone
    try:
        found = field.to_python(text)
    except ValidationError as error:
        raise CommandError(f"{option} {text!r}: {' '.join(error.messages)}") from None
    if found is None:
        raise CommandError(f"{option} {text!r}: allowed is 2026-08-24 07:00")
    return found
