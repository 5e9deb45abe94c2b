"""Photographs on the record: files by hash, one number each, refusals that leave none."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from inspections.models import Photo
from project.actions.files import read_kept
from project.models import Attachment, new_id
from tests.inspections.hands import find, photograph, sign
from tests.inspections.wall import at
from tests.support.hostile import REFUSED, exif, jpeg

pytestmark = pytest.mark.usefixtures("files")


def kept_files(files) -> int:
    return sum(path.is_file() for path in files.rglob("*"))


@pytest.mark.usefixtures("sound")
def test_a_photograph_is_one_row_one_line_and_files_named_by_their_content(
    wall, lines, files
):
    before, id = lines(), new_id()
    photo = photograph(wall, id=id)
    assert photograph(wall, id=id) == photo
    assert (photo.code, photo.part, lines()) == ("PH-001", wall.part, before + 1)
    kept = photo.attachment
    assert read_kept(files / "originals", kept.sha256, suffix=".jpg") == jpeg()
    for copy in kept.derivatives.values():
        assert read_kept(files / "pictures", copy["sha256"], suffix=".jpg")
    assert photograph(wall).code == "PH-002"


# Every hostile file is tried on the preparation itself; here one of each kind.
_TRIED = {
    "nothing",
    "svg",
    "half a jpeg",
    "png bomb",
    "script",
    "heic",
    "double ending",
}
UPLOADS = [upload for upload in REFUSED if upload.label in _TRIED]


@pytest.mark.parametrize("upload", UPLOADS, ids=lambda upload: upload.label)
def test_what_is_no_photograph_leaves_no_row_no_number_no_file(
    wall, lines, files, upload
):
    before = lines()
    with pytest.raises(ValidationError) as refused:
        photograph(wall, raw=upload.raw, name=upload.name)
    assert "Allowed is" in refused.value.message_dict["photograph"][0]
    assert (Photo.objects.count(), Attachment.objects.count()) == (0, 0)
    assert (kept_files(files), lines()) == (0, before)
    assert photograph(wall).number == 1


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"item": "no-such"}, "item"), ({"at": at("15:01")}, "at")],
)
def test_a_photograph_of_nothing_known_is_refused(wall, files, changes, field):
    with pytest.raises(ValidationError) as refused:
        photograph(wall, **changes)
    assert field in refused.value.message_dict
    assert (Photo.objects.count(), kept_files(files)) == (0, 0)


def test_another_firms_sheet_takes_no_photograph(wall):
    with pytest.raises(PermissionDenied):
        photograph(wall, by=wall.qc)
    with pytest.raises(PermissionDenied):
        photograph(wall, by=wall.owner)
    assert photograph(wall, by=wall.engineer, report=None, item="").number == 1


def test_a_signed_sheet_takes_no_photograph_and_leaves_no_files(wall, files):
    sign(wall)
    with pytest.raises(ValidationError, match="DFR-001 was signed"):
        photograph(wall)
    assert (Photo.objects.count(), kept_files(files)) == (0, 0)


def test_a_findings_photograph_is_of_its_part_and_its_own_firms(wall):
    found = find(wall)
    photo = photograph(wall, deficiency=found, placement=None)
    assert (photo.deficiency_id, photo.part) == (found.first, wall.part)
    with pytest.raises(PermissionDenied):
        photograph(wall, by=wall.qc, report=None, deficiency=found)


def test_the_cameras_time_counts_where_nobody_typed_one(wall):
    raw = jpeg(exif=exif(taken="2026:08:11 08:15:00", offset="-06:00"))
    assert photograph(wall, raw=raw, at=None).at == at("08:15")
    assert photograph(wall, at=None).at == at("15:00")
