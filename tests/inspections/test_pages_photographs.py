"""Photographs taken in and shown on the pages: what is no picture, who may not see."""

from __future__ import annotations

from hashlib import sha256

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from inspections.models import Photo
from project.actions import files as kept_files
from project.actions import pictures
from project.models import new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, complaints, words
from tests.inspections.hands import find, photograph, sign
from tests.inspections.wall import DAY, at
from tests.support.hostile import REFUSED, jpeg

AFTERNOON = f"{DAY} 15:00"


@pytest.fixture
def eye(wall, files):
    return Visitor(wall.inspector, at=AFTERNOON)


def _file(raw=None, name="IMG_0018.jpg"):
    return SimpleUploadedFile(name, jpeg() if raw is None else raw, "image/jpeg")


def _sent(wall, **changes):
    usual = {
        "id": new_id(),
        "picture": _file(),
        "caption": "Dowels, downwind side",
        "placement": wall.placement.first,
        "place": "grid 4",
        "at": f"{DAY}T09:00",
    }
    return usual | changes


@pytest.mark.usefixtures("sound")
def test_a_photograph_is_kept_once_and_shown_on_its_sheet(wall, eye, files):
    row = find(wall)
    id = new_id()
    for _ in range(2):  # pressed twice
        sent = _sent(wall, id=id, deficiency=row.first)
        answer = eye.post("add_photograph", 1, data=sent)
        assert answer.url == eye.url("report", 1) + "#photographs"
    photo = Photo.objects.get()
    assert (photo.caption, photo.place) == ("Dowels, downwind side", "grid 4")
    assert (photo.at, photo.part) == (at("09:00"), wall.part)
    assert photo.attachment.sha256 == sha256(jpeg()).hexdigest()
    page = eye.get("report", 1)
    assert f'src="{eye.url("photograph", 1, 320)}"' in page.content.decode()
    assert f'src="{eye.url("photograph", 1, 320)}"' in (
        eye.get("deficiency", 1).content.decode()
    )


def test_a_picture_is_sent_whole_named_by_its_record_and_kept_private(wall, eye):
    photograph(wall)
    answer = eye.get("photograph", 1, 320)
    copy = Photo.objects.get().attachment.derivatives["320"]
    assert sha256(answer.content).hexdigest() == copy["sha256"]
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "private, max-age=86400"
    assert answer["Content-Disposition"] == 'inline; filename="PH-001.jpg"'
    with eye._clock():
        again = eye.client.get(
            eye.url("photograph", 1, 320), headers={"if-none-match": answer["ETag"]}
        )
    assert (again.status_code, again.content) == (304, b"")
    assert eye.get("photograph", 1, 321).status_code == 404
    assert eye.get("photograph", 2, 320).status_code == 404


def test_a_drafts_picture_is_seen_by_its_firm_alone_until_it_is_signed(wall, eye):
    photograph(wall)
    others = [Visitor(m, at=f"{DAY} 16:00") for m in (wall.qc, wall.owner)]
    stranger = Visitor(wall.other_qc, at=f"{DAY} 16:00")
    for other in (*others, stranger):
        assert other.get("photograph", 1, 320).status_code == 404
    sign(wall)
    for other in others:
        assert other.get("photograph", 1, 320).status_code == 200
    assert stranger.get("photograph", 1, 320).status_code == 404


def test_a_picture_damaged_on_the_disk_is_not_shown(wall, eye, files):
    photograph(wall)
    copy = Photo.objects.get().attachment.derivatives["320"]["sha256"]
    path = kept_files.kept_path(files / "pictures", copy, suffix=".jpg")
    path.write_bytes(jpeg())
    assert eye.get("photograph", 1, 320).status_code == 404
    path.unlink()
    assert eye.get("photograph", 1, 320).status_code == 404


@pytest.mark.parametrize("upload", REFUSED, ids=lambda upload: upload.label)
def test_what_is_no_photograph_is_refused_by_its_name(wall, eye, files, upload):
    before = sorted(files.rglob("*"))
    with nothing_written(wall.job):
        answer = eye.post(
            "add_photograph", 1,
            data=_sent(wall, picture=_file(upload.raw, upload.name)),
        )  # fmt: skip
    said = " ".join(complaints(answer)["picture"])
    assert upload.says in said
    assert sorted(files.rglob("*")) == before  # nothing is left on the disk
    assert "Dowels, downwind side" in answer.content.decode()
    assert not Photo.objects.exists()


def test_no_file_and_a_heavy_one_are_refused_before_they_are_read(
    wall, eye, monkeypatch
):
    with nothing_written(wall.job):
        answer = eye.post("add_photograph", 1, data=_sent(wall, picture=None))
    assert "required" in " ".join(complaints(answer)["picture"])
    monkeypatch.setattr("inspections.views.photographs.MOST_BYTES", 1024 * 1024)
    heavy = _file(jpeg() + bytes(3 * 1024 * 1024))
    with nothing_written(wall.job):
        answer = eye.post("add_photograph", 1, data=_sent(wall, picture=heavy))
    said = " ".join(complaints(answer)["picture"])
    assert "IMG_0018.jpg has 3.0 MB; allowed is 1 MB at most" in said
    assert pictures.MOST_BYTES == 40 * 1024 * 1024


def test_a_full_disk_is_said_and_loses_nothing_typed(wall, eye, monkeypatch):
    monkeypatch.setattr(kept_files, "LEAST_FREE", 1.1)
    with nothing_written(wall.job):
        answer = eye.post("add_photograph", 1, data=_sent(wall))
    assert "reports and rounds can still be written" in " ".join(
        complaints(answer)["picture"]
    )


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"at": f"{DAY}T23:00"}, "at", "lies ahead"),
        ({"deficiency": str(new_id())}, "deficiency", "not on this list"),
        ({"placement": str(new_id())}, "placement", "not on this list"),
        ({"part": "R1"}, "part", "R1 is not on this list"),
        ({"caption": "x" * 241}, "caption", "at most 240"),
    ],
)
def test_a_photograph_of_nothing_known_is_refused(wall, eye, changes, field, said):
    with nothing_written(wall.job):
        answer = eye.post("add_photograph", 1, data=_sent(wall, **changes))
    assert said in " ".join(complaints(answer)[field])


def test_a_caption_is_put_right_with_its_reason(wall, eye):
    photo = photograph(wall)
    sent = {
        "caption": "Dowels, upwind side",
        "place": "",
        "part": str(wall.part.pk),
        "at": f"{DAY}T09:00",
        "reason": "the other side",
    }
    eye.post("correct_entry", 1, "photograph", photo.first, data=sent)
    assert "Dowels, upwind side" in words(eye.get("report", 1))
    assert Photo.objects.get(supersedes=photo.pk).reason == "the other side"
