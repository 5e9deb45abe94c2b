"""A photograph: checked, encoded again, kept with its original, and numbered."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from crews.models import Placement
from inspections.actions.checks import (
    at_placement,
    next_number,
    not_ahead,
    own_entry,
    own_firm,
    writable,
)
from inspections.models import DailyReport, Deficiency, Photo, Round
from inspections.queries.catalogue import CURRENT, edition
from project import clock
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.actions.files import keep_bytes
from project.actions.pictures import (
    PreparedPhotograph,
    RefusedUpload,
    prepare_photograph,
)
from project.audit import act
from project.domain.identity import derived
from project.domain.roles import Ability, Role, may
from project.models import Attachment, ElementPart, Membership

# Who has something to show: the sheet's writer, the engineer who judged a mock-up,
# the laboratory that broke the cores.
_SHOW = (Ability.WRITE_SHEET, Ability.JUDGE_MOCK_UP, Ability.ENTER_RESULTS)
_SUFFIX = {"jpeg": ".jpg", "png": ".png"}


def add_photograph(
    *,
    id: UUID,
    by: Membership,
    raw: bytes,
    name: str,
    report: DailyReport | None = None,
    part: ElementPart | None = None,
    placement: Placement | None = None,
    round: Round | None = None,
    deficiency: Deficiency | None = None,
    item: str = "",
    shows: str = "",
    at: datetime | None = None,
    place: str = "",
    caption: str = "",
) -> Photo:
    """Keep a photograph with what it belongs to. The job numbers them without gaps.

    Without a time, the camera's counts, then now. The files are kept before the act:
    a picture that is refused leaves nothing, and bytes kept twice are kept once.
    """
    if not any(may(Role(by.role), ability) for ability in _SHOW):
        require(by, Ability.WRITE_SHEET)
    of_job(
        by.job,
        report=report,
        part=part,
        placement=placement,
        round=round,
        deficiency=deficiency,
    )
    _known_item(item)
    if deficiency is not None:
        own_firm(by, deficiency)
    if round is not None:
        own_entry(by, round)
    with act(on=by.job, by=by, verb="photograph.added") as deed:
        if there := sent_before(deed, Photo, id, job_id=by.job_id):
            return there
        # Before the work: what is refused leaves no files.
        sheet = None if report is None else writable(by, report)
        at_placement(by, placement, sheet=sheet)
    prepared = _prepared(raw, name)
    at = at or prepared.taken(zone=by.job.zone) or clock.now()
    not_ahead(by, at=at)
    copies = _keep(prepared, raw)
    with act(on=by.job, by=by, verb="photograph.added") as deed:
        if there := sent_before(deed, Photo, id, job_id=by.job_id):
            return there
        sheet = None if report is None else writable(by, report)
        photo = Photo(
            id=id,
            job=by.job,
            number=next_number(Photo, by),
            organization=by.organization,
            report_id=None if sheet is None else sheet.first,
            part=part or _part_of(placement, deficiency),
            placement_id=None if placement is None else placement.first,
            round_id=None if round is None else round.first,
            deficiency_id=None if deficiency is None else deficiency.first,
            item=item,
            shows=shows.strip(),
            at=at,
            place=place.strip(),
            caption=caption.strip(),
        )
        deed.subject = deed.subject or photo
        photo.attachment = deed.add(
            Attachment(
                id=derived(id, "attachment"),
                job=by.job,
                sha256=prepared.sha256,
                file_kind=prepared.file_kind,
                name=prepared.name,
                bytes=len(raw),
                width=prepared.width,
                height=prepared.height,
                taken_at=prepared.taken(zone=by.job.zone),
                taken_offset=prepared.taken_offset,
                latitude=prepared.latitude,
                longitude=prepared.longitude,
                derivatives=copies,
            )
        )
        return deed.add(photo)


def _known_item(item: str) -> None:
    if item and not edition(CURRENT).has(item):
        message = _("%(item)s is not in the catalogue, edition %(edition)s.")
        refuse("item", message, item=item, edition=CURRENT)


def _prepared(raw: bytes, name: str) -> PreparedPhotograph:
    try:
        return prepare_photograph(raw, name=name)
    except RefusedUpload as error:
        raise ValidationError({error.field: str(error)}) from error


def _keep(prepared: PreparedPhotograph, raw: bytes) -> dict[str, dict[str, object]]:
    """Keep original and copies; return the copies by their longest side."""
    root = Path(settings.MEDIA_ROOT)
    keep_bytes(root / "originals", raw, suffix=_SUFFIX[prepared.file_kind])
    return {
        str(longest): {
            "sha256": keep_bytes(root / "pictures", copy.data, suffix=".jpg"),
            "width": copy.width,
            "height": copy.height,
        }
        for longest, copy in prepared.derivatives.items()
    }


def _part_of(
    placement: Placement | None, deficiency: Deficiency | None
) -> ElementPart | None:
    if placement is not None:
        return placement.part
    return None if deficiency is None else deficiency.part
