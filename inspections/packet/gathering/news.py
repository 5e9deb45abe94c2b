"""What earlier packets said and what reads otherwise since."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inspections.models import ReportVersion
from inspections.packet.gathering.reading import Reading
from inspections.packet.gathering.records import CORRECTED, KINDS
from inspections.packet.gathering.turned import Turned, turned_since
from inspections.packet.shape import Change


def news(reading: Reading) -> list[str]:
    """Return a line for each standing, record or report that changed, in that order."""
    turned = [one.words for one in turned_since(reading)]
    return [*turned, *_corrected(reading), *_amended(reading)]


def news_of_revision(turned: Sequence[Turned], changes: Sequence[Change]) -> list[str]:
    """Return what a revision tells otherwise than the revision before it."""
    lines = [f"{row['record']}: {row['why']}." for row in changes]
    return [*(one.words for one in turned), *(s[:1].upper() + s[1:] for s in lines)]


def _corrected(reading: Reading) -> list[str]:
    """Say which records were superseded since the packet before. One query a table."""
    lines = []
    for model, needed in CORRECTED.items():
        rows = model._base_manager.filter(
            job=reading.job,
            recorded_at__gt=reading.cut_before,
            recorded_at__lte=reading.cut,
            supersedes__recorded_at__lte=reading.cut_before,
        )
        for row in rows.select_related(*needed):
            kind = KINDS[row.kind]
            told = {"what": str(row), "why": row.reason}
            if not told["what"].startswith(kind):
                told["what"] = f"{kind} {row}"
            line = (
                _("%(what)s was withdrawn: %(why)s.")
                if row.withdrawn
                else _("%(what)s was corrected: %(why)s.")
            )
            said = line % told
            lines.append(said[:1].upper() + said[1:])
    return sorted(lines)


def _amended(reading: Reading) -> list[str]:
    rows = ReportVersion.objects.filter(
        job=reading.job,
        n__gt=1,
        recorded_at__gt=reading.cut_before,
        recorded_at__lte=reading.cut,
    ).select_related("report")
    return sorted(
        _("%(code)s was amended: %(why)s.")
        % {"code": row.report.code, "why": row.reason}
        for row in rows
    )
