"""Photographs in: what is refused and why, what comes out, and how bytes are kept."""

import io
import os
import shutil
import stat
import struct
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from hashlib import sha256

import pytest
from PIL import Image, ImageChops, ImageStat

from project.actions.files import (
    DamagedFile,
    StorageFull,
    keep_bytes,
    kept_path,
    read_kept,
)
from project.actions.pictures import (
    MOST_BYTES,
    RefusedUpload,
    clean_name,
    keep_photograph,
    prepare_photograph,
)
from tests.support import hostile


def segments(raw):
    """The markers of a JPEG up to its pixels. Source: ITU-T T.81 (1992), annex B."""
    assert raw[:2] == b"\xff\xd8"
    at, found = 2, []
    while raw[at + 1] != 0xDA:
        marker, length = raw[at + 1], struct.unpack(">H", raw[at + 2 : at + 4])[0]
        found.append((marker, raw[at + 4 : at + 2 + length]))
        at += 2 + length
    return found


def prepared(upload):
    return prepare_photograph(upload.raw, name=upload.name)


def test_the_corpus_is_large_enough():
    assert len(hostile.REFUSED) + len(hostile.CLEANED) >= 40
    labels = [one.label for one in (*hostile.REFUSED, *hostile.CLEANED)]
    assert len(set(labels)) == len(labels)


@pytest.mark.parametrize("upload", hostile.REFUSED, ids=lambda one: one.label)
def test_what_is_no_photograph_is_refused_by_name(upload):
    with pytest.raises(RefusedUpload) as caught:
        prepare_photograph(upload.raw, name=upload.name, field="photo of the heart")
    said = str(caught.value)
    assert upload.says in said
    assert said.startswith(f"photo of the heart {upload.name}: ")
    assert "JPEG or PNG photograph, at most 40 MB and 50 megapixels" in said
    assert caught.value.field == "photo of the heart"
    assert caught.value.name == upload.name


# Pillow warns of metadata it cannot read; that is no reason to refuse a picture.
@pytest.mark.filterwarnings("ignore:Corrupt EXIF data:UserWarning")
@pytest.mark.parametrize("upload", hostile.CLEANED, ids=lambda one: one.label)
def test_only_pixels_come_out(upload):
    found = prepared(upload)
    assert found.sha256 == sha256(upload.raw).hexdigest()
    assert (found.width, found.height) == upload.size
    assert sorted(found.derivatives) == [320, 1280, 1600]
    for longest, copy in found.derivatives.items():
        for payload in upload.payload:
            assert payload not in copy.data
        markers = [marker for marker, _ in segments(copy.data)]
        # APP0 (JFIF), tables, one baseline frame; no APP1 to APP15, no comment
        assert set(markers) <= {0xE0, 0xDB, 0xC0, 0xC4}
        assert markers.count(0xC0) == 1
        with Image.open(io.BytesIO(copy.data)) as shown:
            shown.load()
            assert shown.mode == "RGB"
            assert shown.size == (copy.width, copy.height)
            assert max(shown.size) == min(longest, max(upload.size))
            assert not shown.getexif()
            assert set(shown.info) <= {
                "jfif",
                "jfif_version",
                "jfif_unit",
                "jfif_density",
            }


# Pillow warns of metadata it cannot read; that is no reason to refuse a picture.
@pytest.mark.filterwarnings("ignore:Corrupt EXIF data:UserWarning")
@pytest.mark.parametrize("upload", hostile.CLEANED, ids=lambda one: one.label)
def test_what_is_shown_is_what_was_photographed(upload):
    if "16-bit" in upload.label:
        expected = Image.new("RGB", (400, 300), (30000 // 256,) * 3)
    else:
        expected = hostile.picture()
    if upload.size == (300, 400):
        expected = expected.rotate(-90, expand=True)
    copy = prepared(upload).derivatives[320]
    with Image.open(io.BytesIO(copy.data)) as shown:
        want = expected.resize(shown.size, Image.Resampling.LANCZOS)
        difference = ImageStat.Stat(ImageChops.difference(shown, want)).mean
    rough = {"one-bit png": 40, "phone's two frames": 16, "palette png": 40}
    assert max(difference) < rough.get(upload.label, 8)


def turned(orientation):
    """A picture stored as a camera held so would store it, that must come out upright.

    Source: the orientation values of EXIF 2.32 (CIPA DC-008-2019), from memory.
    """
    upright = Image.new("RGB", (320, 200), "white")
    upright.paste("red", (0, 0, 160, 100))
    stored = {
        1: upright,
        2: upright.transpose(Image.Transpose.FLIP_LEFT_RIGHT),
        3: upright.transpose(Image.Transpose.ROTATE_180),
        4: upright.transpose(Image.Transpose.FLIP_TOP_BOTTOM),
        5: upright.transpose(Image.Transpose.TRANSPOSE),
        6: upright.transpose(Image.Transpose.ROTATE_90),
        7: upright.transpose(Image.Transpose.TRANSVERSE),
        8: upright.transpose(Image.Transpose.ROTATE_270),
    }[orientation]
    return hostile.saved(stored, exif=hostile.exif(orientation=orientation))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_way_of_holding_the_camera_comes_out_upright(orientation):
    found = prepare_photograph(turned(orientation), name="a.jpg")
    assert (found.width, found.height) == (320, 200)
    with Image.open(io.BytesIO(found.derivatives[1280].data)) as shown:
        assert shown.size == (320, 200)
        corner = shown.getpixel((20, 20))
        assert corner[0] > 200
        assert corner[1] < 80
        for place in ((300, 20), (20, 180), (300, 180)):
            assert min(shown.getpixel(place)) > 200


def test_time_and_place_become_values():
    found = prepare_photograph(hostile.jpeg(exif=hostile.exif()), name="a.jpg")
    assert found.taken_offset == "-06:00"
    assert found.taken_at.astimezone(UTC) == datetime(2026, 8, 13, 18, 42, tzinfo=UTC)
    assert found.taken(zone="Europe/Helsinki") == found.taken_at
    # 39 deg 44 min 21.12 s and 104 deg 59 min 3.12 s, sixtieths worked by hand
    assert found.latitude == Decimal("39.739200")
    assert found.longitude == Decimal("-104.984200")


def test_a_camera_without_an_offset_is_read_in_the_jobs_zone():
    raw = hostile.jpeg(exif=hostile.exif(offset=""))
    found = prepare_photograph(raw, name="a.jpg")
    assert found.taken_offset == ""
    assert found.taken_at.tzinfo is None
    local = found.taken(zone="America/Denver")
    assert local.utcoffset() == timedelta(hours=-6)
    assert local.astimezone(UTC) == datetime(2026, 8, 13, 18, 42, tzinfo=UTC)


@pytest.mark.parametrize(
    ("given", "offset"),
    [
        ({"taken": "0000:00:00 00:00:00"}, ""),
        ({"taken": "yesterday"}, ""),
        ({"taken": "2026:02:30 12:00:00"}, ""),
    ],
)
def test_a_time_that_is_none_is_none(given, offset):
    raw = hostile.jpeg(exif=hostile.exif(**given))
    found = prepare_photograph(raw, name="a.jpg")
    assert found.taken_at is None
    assert found.taken_offset == offset
    assert found.taken(zone="America/Denver") is None
    assert found.latitude == Decimal("39.739200")


@pytest.mark.parametrize("offset", ["+99:99", "somewhere", "-0600", "+24:00"])
def test_an_offset_that_is_none_leaves_the_wall_time(offset):
    raw = hostile.jpeg(exif=hostile.exif(offset=offset))
    found = prepare_photograph(raw, name="a.jpg")
    assert found.taken_offset == ""
    assert found.taken_at == datetime(2026, 8, 13, 12, 42)  # noqa: DTZ001


def placed(latitude, longitude, north="N", east="E"):
    tags = Image.Exif()
    place = tags.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = north, latitude, east, longitude
    raw = hostile.jpeg(exif=tags.tobytes())
    found = prepare_photograph(raw, name="a.jpg")
    return found.latitude, found.longitude


def test_a_place_that_is_none_is_none():
    assert placed((90.0, 0.0, 0.0), (180.0, 0.0, 0.0)) == (Decimal(90), Decimal(180))
    assert placed((91.0, 0.0, 0.0), (10.0, 0.0, 0.0)) == (None, None)
    assert placed((10.0, 0.0, 0.0), (181.0, 0.0, 0.0)) == (None, None)
    assert placed((10.0, 0.0, 0.0), (10.0, 0.0, 0.0), north="X") == (None, None)
    assert placed((10.0, 0.0), (10.0, 0.0, 0.0)) == (None, None)
    assert placed((10.0, 30.0, 0.0), (5.0, 0.0, 0.0), "S", "W") == (
        Decimal("-10.5"),
        Decimal("-5"),
    )


def test_a_tag_that_is_nonsense_says_nothing():
    """An orientation given as text, in a directory of one entry (TIFF 6.0, 1992)."""
    entry = struct.pack("<HHHII", 1, 0x0112, 2, 9, 26)
    tags = b"Exif\0\0II*\0\x08\0\0\0" + entry + b"\0\0\0\0" + b"sideways\0"
    raw = hostile.with_segment(hostile.jpeg(), 0xE1, tags)
    found = prepare_photograph(raw, name="a.jpg")
    assert (found.width, found.height) == (400, 300)
    assert found.taken_at is None


def test_no_place_survives_in_any_copy():
    found = prepare_photograph(hostile.phone_mpo(), name="a.jpg")
    assert found.latitude is not None
    for copy in found.derivatives.values():
        assert b"Exif" not in copy.data
        with Image.open(io.BytesIO(copy.data)) as shown:
            assert shown.getexif().get_ifd(0x8825) == {}
            assert getattr(shown, "n_frames", 1) == 1


def test_a_large_picture_has_three_sizes_and_a_small_one_is_never_enlarged():
    large = hostile.saved(hostile.picture((2400, 1800)), quality=90)
    found = prepare_photograph(large, name="a.jpg")
    sizes = {n: (c.width, c.height) for n, c in found.derivatives.items()}
    assert sizes == {1600: (1600, 1200), 1280: (1280, 960), 320: (320, 240)}
    small = prepare_photograph(hostile.jpeg(), name="a.jpg")
    sizes = {n: (c.width, c.height) for n, c in small.derivatives.items()}
    assert sizes == {1600: (400, 300), 1280: (400, 300), 320: (320, 240)}


def test_the_same_upload_gives_the_same_copies():
    one, two = (prepare_photograph(hostile.phone_mpo(), name="a.jpg") for _ in "12")
    assert one == two


def test_exactly_the_largest_upload_is_taken():
    raw = hostile.jpeg()
    whole = raw + b"\0" * (MOST_BYTES - len(raw))
    assert prepare_photograph(whole, name="a.jpg").width == 400
    with pytest.raises(RefusedUpload, match=r"it has 40\.0 MB"):
        prepare_photograph(whole + b"\0", name="a.jpg")


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("../../../etc/cron.d/a.jpg", "a.jpg"),
        ("C:\\Users\\x\\a.jpg", "a.jpg"),
        ("a\0b\u202egpj.exe\u2066.jpg", "abgpj.exe.jpg"),
        ("Foto de la pared número 3.JPG", "Foto de la pared número 3.JPG"),
        ("x" * 300 + ".jpg", "x" * 156 + ".jpg"),
        ("", "a file without a name"),
        ("\u202e", "a file without a name"),
    ],
)
def test_a_name_keeps_neither_folders_nor_invisible_marks(given, kept):
    assert clean_name(given) == kept


# ---- keeping


def test_bytes_are_kept_once_under_their_hash(tmp_path):
    digest = keep_bytes(tmp_path / "originals", b"a photograph")
    assert digest == sha256(b"a photograph").hexdigest()
    path = tmp_path / "originals" / digest[:2] / digest
    assert path.read_bytes() == b"a photograph"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    before = path.stat().st_mtime_ns
    assert keep_bytes(tmp_path / "originals", b"a photograph") == digest
    assert path.stat().st_mtime_ns == before
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == [path]


def test_a_suffix_is_part_of_the_name_and_not_of_the_hash(tmp_path):
    digest = keep_bytes(tmp_path, b"copy", suffix=".jpg")
    assert kept_path(tmp_path, digest, suffix=".jpg").read_bytes() == b"copy"
    assert read_kept(tmp_path, digest, suffix=".jpg") == b"copy"


def test_a_photograph_is_kept_with_its_original_and_its_copies(tmp_path):
    raw = hostile.phone_mpo()
    found = prepare_photograph(raw, name="a.jpg")
    recorded = keep_photograph(tmp_path, raw, found)
    assert read_kept(tmp_path / "originals", found.sha256) == raw
    assert sorted(recorded) == ["1280", "1600", "320"]
    for longest, row in recorded.items():
        copy = found.derivatives[int(longest)]
        path = kept_path(tmp_path / "derivatives", row["sha256"], suffix=".jpg")
        assert path.read_bytes() == copy.data
        assert (row["width"], row["height"]) == (copy.width, copy.height)
    assert keep_photograph(tmp_path, raw, found) == recorded
    # 1600 and 1280 of a 1200 px original are one file, beside the thumbnail
    assert len([p for p in tmp_path.rglob("*") if p.is_file()]) == 3


@pytest.mark.parametrize(
    ("digest", "suffix"),
    [
        ("../../etc/passwd", ""),
        ("AB" * 32, ""),
        ("ab" * 31, ""),
        ("ab" * 32 + "\n", ""),
        ("ab" * 32, "/../../x"),
        ("ab" * 32, ".JPG"),
    ],
)
def test_no_name_leads_out_of_the_folder(tmp_path, digest, suffix):
    with pytest.raises(ValueError, match="needed"):
        kept_path(tmp_path, digest, suffix=suffix)


def test_a_file_cut_short_on_the_disk_is_written_again(tmp_path):
    digest = keep_bytes(tmp_path, b"whole")
    kept_path(tmp_path, digest).write_bytes(b"who")
    assert keep_bytes(tmp_path, b"whole") == digest
    assert read_kept(tmp_path, digest) == b"whole"


def test_a_changed_or_missing_file_is_said(tmp_path):
    digest = keep_bytes(tmp_path, b"whole")
    kept_path(tmp_path, digest).write_bytes(b"whale")
    with pytest.raises(DamagedFile, match="was changed on the disk"):
        read_kept(tmp_path, digest)
    kept_path(tmp_path, digest).unlink()
    with pytest.raises(DamagedFile, match="is missing"):
        read_kept(tmp_path, digest)


@pytest.mark.parametrize(("free", "kept"), [(4_999, False), (5_000, True)])
def test_no_upload_is_kept_below_a_twentieth_of_the_disk(
    tmp_path, monkeypatch, free, kept
):
    usage = type(shutil.disk_usage(tmp_path))
    monkeypatch.setattr(
        shutil, "disk_usage", lambda path: usage(100_000, 100_000 - free, free)
    )
    if kept:
        assert read_kept(tmp_path, keep_bytes(tmp_path, b"x")) == b"x"
        return
    with pytest.raises(StorageFull, match=r"5\.0 % free, at least 5 % is needed"):
        keep_bytes(tmp_path, b"x")
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == []


def test_what_is_already_kept_needs_no_room(tmp_path, monkeypatch):
    digest = keep_bytes(tmp_path, b"x")
    usage = type(shutil.disk_usage(tmp_path))
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage(100, 100, 0))
    assert keep_bytes(tmp_path, b"x") == digest


def test_a_flush_that_fails_leaves_nothing_behind(tmp_path, monkeypatch):
    def fail(handle):
        raise OSError(5, "input/output error")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OSError, match="input/output error"):
        keep_bytes(tmp_path, b"x")
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == []


WRITER = """
import resource, sys
from pathlib import Path
from project.actions.files import keep_bytes
resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))
try:
    keep_bytes(Path(sys.argv[1]), b"x" * 1_000_000)
except OSError as error:
    print("refused", error.errno)
"""


def test_a_disk_that_fails_while_writing_leaves_nothing_behind(tmp_path):
    """The kernel ends the write in the middle, as a full disk does."""
    done = subprocess.run(
        [sys.executable, "-c", WRITER, str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": os.getcwd()},
        timeout=60,
    )
    assert done.stdout.startswith("refused")
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == []
