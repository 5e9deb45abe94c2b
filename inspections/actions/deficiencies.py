"""What was not right: opened on a walk, or by itself, and raised to a report."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from crews.actions.checks import (
    measured,
)
from inspections.actions.checks import (
    needed,
    next_number,
    not_ahead,
    not_below_zero,
    one_of,
    own_firm,
    writable,
)
from inspections.actions.moves import moved
from inspections.domain.catalogue import Severity
from inspections.models import DailyReport, Deficiency, Nonconformance
from inspections.queries.catalogue import CURRENT, edition
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import act
from project.domain.identity import derived
from project.domain.roles import Ability
from project.domain.units import Quantity
from project.models import ElementPart, Membership, Version
from project.models.records import Identified


def open_deficiency(
    *,
    id: UUID,
    by: Membership,
    item: str,
    seen_at: datetime,
    report: DailyReport | None = None,
    part: ElementPart | None = None,
    severity: Severity | None = None,
    place: str = "",
    words: str = "",
    cause: str = "",
    volume_removed: Quantity | None = None,
) -> Deficiency:
    """Open a deficiency seen outside a walk; late ones stand without a sheet."""
    require(by, Ability.WRITE_SHEET)
    of_job(by.job, part=part)
    not_ahead(by, seen_at=seen_at)
    try:
        known = edition(CURRENT).item(item)
    except KeyError as error:
        raise ValidationError({"item": str(error.args[0])}) from error
    if severity is not None:
        one_of("severity", severity, Severity)
    if report is None and part is None:
        refuse("part", _("No sheet and no part; allowed is one of them at least."))
    not_below_zero(volume_removed=volume_removed)
    removed = measured(
        "volume", unit="volume_removed_unit", volume_removed=volume_removed
    )
    with act(on=by.job, by=by, verb="deficiency.opened") as deed:
        if there := sent_before(deed, Deficiency, id, job_id=by.job_id):
            return there
        sheet = None if report is None else writable(by, report)
        return deed.add(
            Deficiency(
                id=id,
                job=by.job,
                number=next_number(Deficiency, by),
                organization=by.organization,
                report_id=None if sheet is None else sheet.first,
                part=part,
                item=item,
                seen_at=seen_at,
                severity=severity or known.severity,
                place=place.strip(),
                words=words.strip(),
                cause=cause.strip(),
                **removed,
            )
        )


def raise_nonconformance(
    *,
    id: UUID,
    by: Membership,
    about: Identified,
    requirement: str,
    words: str,
    observed_at: datetime,
    written_at: datetime | None = None,
    about_text: str = "",
    part: ElementPart | None = None,
    containment: str = "",
    deficiencies: Sequence[Deficiency] = (),
) -> Nonconformance:
    """Raise a nonconformance report about a record, with the job's next number.

    The deficiencies it grew out of move with it, in the same act.
    """
    require(by, Ability.RAISE_NONCONFORMANCE)
    of_job(by.job, about=about, part=part)
    for deficiency in deficiencies:
        of_job(by.job, deficiencies=deficiency)
        own_firm(by, deficiency)
    not_ahead(by, observed_at=observed_at, written_at=written_at)
    if written_at is not None and written_at < observed_at:
        refuse("written_at", _("Written before it was observed; allowed is later."))
    requirement, words = needed("requirement", requirement), needed("words", words)
    with act(on=by.job, by=by, verb="nonconformance.raised") as deed:
        if there := sent_before(deed, Nonconformance, id, job_id=by.job_id):
            return there
        row = deed.add(
            Nonconformance(
                id=id,
                job=by.job,
                number=next_number(Nonconformance, by),
                part=part,
                requirement=requirement,
                words=words,
                containment=containment.strip(),
                observed_at=observed_at,
                written_at=written_at or deed.at,
                **_about(about, about_text),
            )
        )
        for deficiency in deficiencies:
            moved(
                deed,
                id=derived(id, str(deficiency.first)),
                by=by,
                subject=deficiency,
                move="make a nonconformance",
                evidence={"nonconformance": row.code},
            )
        return row


def _about(about: Identified, text: str) -> dict[str, Any]:
    """Name the record: the chain, not the version, as every reference does."""
    return {
        "about_kind": about.kind,
        "about_id": about.first if isinstance(about, Version) else about.pk,
        "about_text": text.strip() or str(about)[:120],
    }
