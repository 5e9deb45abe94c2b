"""What every action asks before it writes, in each app."""

from __future__ import annotations

from typing import NoReturn, TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _

from project.audit import Deed
from project.models import Job

M = TypeVar("M", bound=models.Model)


def refuse(field: str, message: str, **params: object) -> NoReturn:
    """Refuse an input by field; `message` names the value and what is allowed."""
    raise ValidationError({field: ValidationError(message, params=params)})


def sent_before(deed: Deed, model: type[M], id: UUID, **owner: object) -> M | None:
    """Return the row that this request made when it was first sent.

    `owner` names whose it must be: an identity of somebody else's is refused.
    """
    row = deed.already(model, id)
    if row is not None and any(getattr(row, k) != v for k, v in owner.items()):
        refuse("id", _("Identity %(id)s is taken by another record."), id=id)
    return row


def of_job(job: Job, **rows: models.Model | None) -> None:
    """Refuse, by field, a row of another job: a posted identity proves nothing."""
    for field, row in rows.items():
        if row is not None and getattr(row, "job_id", None) != job.pk:
            refuse(field, _("%(row)s is not of this job."), row=row)
