"""Photographs as known, with what each belongs to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from inspections.models import Photo
from inspections.queries.known import within
from inspections.queries.scope import photographs_for
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class PhotoRow:
    """One photograph: its picture by size, and the records it belongs to by code."""

    row: Photo
    of: tuple[str, ...]

    @property
    def code(self) -> str:
        return self.row.code

    def picture(self, longest: int) -> Mapping[str, Any]:
        """Return a copy's hash, width and height by its longest side."""
        found: Mapping[str, Any] = self.row.attachment.derivatives[str(longest)]
        return found


def photographs(
    job: Job,
    member: Membership,
    *,
    known_at: datetime,
    first: date | None = None,
    last: date | None = None,
    number: int | None = None,
) -> tuple[PhotoRow, ...]:
    """Return the photographs a member may see, by number. One query.

    `first` and `last` are local dates on which they were taken.
    """
    rows = photographs_for(member, known_at=known_at).select_related(
        "attachment",
        "part",
        "placement",
        "report",
        "deficiency",
        "organization",
        "recorded_by__user",
    )
    if number is not None:
        rows = rows.filter(number=number)
    return tuple(
        PhotoRow(row=row, of=_of(row))
        for row in rows.order_by("number")
        if within(job.local(row.at).date(), first, last)
    )


def _of(row: Photo) -> tuple[str, ...]:
    codes = (
        "" if row.deficiency is None else row.deficiency.code,
        "" if row.placement is None else row.placement.code,
        "" if row.report is None else row.report.code,
        row.shows,
        row.item,
    )
    return tuple(code for code in codes if code)
