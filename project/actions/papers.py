"""A paper kept beside a record: a picture made safe to show, or a PDF as it came.

A picture is shown by a copy that was encoded again. A PDF cannot be made safe so: it
is never shown in a page, only handed out as a file.
"""

from __future__ import annotations

from pathlib import Path
from typing import NoReturn
from uuid import UUID

from django.conf import settings
from django.utils.translation import gettext as _

from project.actions.checks import refuse, sent_before
from project.actions.files import StorageFull, keep_bytes
from project.actions.pictures import (
    ORIGINALS,
    RefusedUpload,
    clean_name,
    keep_photograph,
    prepare_photograph,
)
from project.audit import act
from project.models import Attachment, Membership

MOST_BYTES = 20 * 1024 * 1024
_PDF = b"%PDF-"
# A file that was cut short has no mark of its end near its end (PDF 2.0, 7.5.5; from
# memory); some programs write a little after it.
_PDF_END, _NEAR_END = b"%%EOF", 2048


def keep_paper(
    *, id: UUID, by: Membership, raw: bytes, name: str, field: str
) -> Attachment:
    """Keep a JPEG, PNG or PDF and its row; what it is of, another action says.

    The file comes before the row, so that no row names a file that is not there.
    Where the camera stood and when is not taken over: it says nothing of a paper.
    """
    with act(on=by.job, by=by, verb="paper.kept") as deed:
        if there := sent_before(deed, Attachment, id, job_id=by.job_id):
            return there
    facts = _kept(raw, clean_name(name), field)
    with act(on=by.job, by=by, verb="paper.kept") as deed:
        if there := sent_before(deed, Attachment, id, job_id=by.job_id):
            return there
        return deed.add(Attachment(id=id, job=by.job, bytes=len(raw), **facts))


def _kept(raw: bytes, name: str, field: str) -> dict[str, object]:
    """Keep the bytes, and a picture's copies; return the columns that name them."""
    root = Path(settings.MEDIA_ROOT)
    if not raw:
        _refused(field, name, _("it is empty"))
    if len(raw) > MOST_BYTES:
        _refused(field, name, _("it has %.1f MB") % (len(raw) / 1024 / 1024))
    try:
        if raw.startswith(_PDF):
            _check_pdf(raw, name, field)
            digest = keep_bytes(root / ORIGINALS, raw)
            return {"sha256": digest, "file_kind": "pdf", "name": name}
        prepared = prepare_photograph(raw, name=name, field=field)
        return {
            "sha256": prepared.sha256,
            "file_kind": prepared.file_kind,
            "name": prepared.name,
            "width": prepared.width,
            "height": prepared.height,
            "derivatives": keep_photograph(root, raw, prepared),
        }
    except RefusedUpload as error:
        _refused(field, error.name, error.why)
    except StorageFull as full:
        refuse(field, str(full))


def _check_pdf(raw: bytes, name: str, field: str) -> None:
    if not name.lower().endswith(".pdf"):
        _refused(field, name, _("it is a PDF, but its name does not end in .pdf"))
    if _PDF_END not in raw[-_NEAR_END:]:
        _refused(field, name, _("it is cut short"))


def _refused(field: str, name: str, why: str) -> NoReturn:
    message = _(
        "%(name)s: %(why)s; allowed is a JPEG, PNG or PDF file, %(mb)s MB at most."
    )
    refuse(field, message, name=name, why=why, mb=MOST_BYTES // 1024 // 1024)
