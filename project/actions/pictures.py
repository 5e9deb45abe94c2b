"""Make an uploaded photograph safe to show, and read what it says of itself.

Nothing a stranger's file contains reaches a page or a packet: only its pixels do,
decoded in full and encoded again. Time and place are read into columns; the copies
carry neither. The original is kept elsewhere byte for byte, under its hash.
"""

from __future__ import annotations

import io
import math
import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from hashlib import sha256
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TypeVar
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from PIL import Image

from project.actions.files import keep_bytes

ORIGINALS, COPIES = "originals", "derivatives"

MOST_BYTES = 40 * 1024 * 1024
MOST_PIXELS = 50_000_000
# Neither a line of pixels nor a speck is a photograph; a longer side would also pass
# the pixel count and still be too long for a JPEG.
LEAST_SIDE, LONGEST_SIDE = 32, 20_000

# Longest side -> JPEG quality: the archive's copy, the packet's, the page's.
DERIVATIVES: Mapping[int, int] = {1600: 80, 1280: 75, 320: 70}

_SUFFIXES = {"JPEG": (".jpg", ".jpeg"), "PNG": (".png",)}
_SIGNATURES = {"JPEG": b"\xff\xd8\xff", "PNG": b"\x89PNG\r\n\x1a\n"}
_HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"heim", b"heis")

# What people send by mistake, so that the message can name it.
_OTHER_KINDS: tuple[tuple[Callable[[bytes], bool], str], ...] = (
    (lambda b: b[4:8] == b"ftyp" and b[8:12] in _HEIF_BRANDS, "HEIC"),
    (lambda b: b[4:8] == b"ftyp" and b[8:12] in (b"avif", b"avis"), "AVIF"),
    (lambda b: b[4:8] == b"ftyp", "video"),
    (lambda b: b[:4] == b"GIF8", "GIF"),
    (lambda b: b[:4] == b"%PDF", "PDF"),
    (lambda b: b[:4] == b"RIFF" and b[8:12] == b"WEBP", "WebP"),
    (lambda b: b[:4] in (b"II*\0", b"MM\0*"), "TIFF"),
    (lambda b: b[:2] == b"BM", "BMP"),
    (lambda b: b[:4] == b"PK\x03\x04", "ZIP"),
    (lambda b: b"<svg" in b[:1024].lower(), "SVG"),
    (lambda b: b"<html" in b[:1024].lower() or b"<!doctype" in b[:64].lower(), "HTML"),
)

_ORIENTATION, _EXIF, _GPS = 0x0112, 0x8769, 0x8825
_TAKEN_TAGS = ((0x9003, 0x9011), (0x9004, 0x9012))  # when taken, when digitised
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_SIDEWAYS = {_TURNS[number] for number in (5, 6, 7, 8)}
_OFFSET = re.compile(r"[+-]\d\d:\d\d")


class RefusedUpload(ValueError):  # noqa: N818 - it names what happened to the file
    """A file that is not taken, with the field, its name, why, and what is allowed."""

    def __init__(self, *, field: str, name: str, why: str) -> None:
        self.field = field
        self.name = name
        self.why = why
        self.allowed = _(
            "a JPEG or PNG photograph, at most %(mb)s MB and %(mpx)s megapixels, "
            "each side %(least)s to %(most)s pixels"
        ) % {
            "mb": MOST_BYTES // 1024 // 1024,
            "mpx": MOST_PIXELS // 1_000_000,
            "least": LEAST_SIDE,
            "most": LONGEST_SIDE,
        }
        super().__init__(str(self))

    def __str__(self) -> str:
        return _("%(field)s %(name)s: %(why)s. Allowed is %(allowed)s.") % {
            "field": self.field,
            "name": self.name,
            "why": self.why,
            "allowed": self.allowed,
        }


@dataclass(frozen=True, slots=True)
class Derivative:
    """One safe copy: baseline JPEG, upright, RGB, without metadata."""

    data: bytes
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class PreparedPhotograph:
    """A photograph that may be kept.

    `sha256` is the original's; `width` and `height` are its own, turned upright.
    `taken_at` is the camera's wall time, aware only where it wrote its offset;
    `latitude` and `longitude` are degrees to six places.
    """

    sha256: str
    name: str
    file_kind: str
    width: int
    height: int
    taken_at: datetime | None
    taken_offset: str
    latitude: Decimal | None
    longitude: Decimal | None
    derivatives: Mapping[int, Derivative]

    def taken(self, *, zone: str) -> datetime | None:
        """Return the instant it was taken; the job's zone where the camera gave none."""
        if self.taken_at is None or self.taken_at.tzinfo is not None:
            return self.taken_at
        return self.taken_at.replace(tzinfo=ZoneInfo(zone))


def prepare_photograph(
    raw: bytes, *, name: str, field: str = "photograph"
) -> PreparedPhotograph:
    """Return a photograph's safe copies and its own data, or refuse the file.

    Raises RefusedUpload naming the field, the file, why, and what is allowed.
    """
    name = clean_name(name)

    def refuse(why: str) -> RefusedUpload:
        return RefusedUpload(field=field, name=name, why=why)

    kind = _kind(raw, name=name, refuse=refuse)
    try:
        with Image.open(io.BytesIO(raw), formats=[kind]) as picture:
            _check_size(picture, refuse=refuse)
            width, height = picture.size
            # Pixels first: reading metadata may load them too, and its failures are
            # forgiven while those of the pixels are not.
            largest = _reduced(picture, longest=max(DERIVATIVES))
            turn, taken_at, offset, place = _own_data(picture)
    except RefusedUpload:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise refuse(_("it claims far more pixels than a photograph has")) from None
    # A hostile file can make the decoder fail in any way; each of them is a refusal.
    except Exception as error:
        raise refuse(_("it is damaged or cut short and cannot be read")) from error
    if turn is not None:
        largest = largest.transpose(turn)
    if turn in _SIDEWAYS:
        width, height = height, width
    return PreparedPhotograph(
        sha256=sha256(raw).hexdigest(),
        name=name,
        file_kind=kind.lower(),
        width=width,
        height=height,
        taken_at=taken_at,
        taken_offset=offset,
        latitude=place[0],
        longitude=place[1],
        derivatives=_derivatives(largest),
    )


def keep_photograph(
    data: Path, raw: bytes, prepared: PreparedPhotograph
) -> dict[str, dict[str, str | int]]:
    """Keep the original and its copies, and return the copies as they are recorded.

    Under `data`, originals have no ending and copies end in `.jpg`. Files come before
    rows: a row that fails leaves content-named files that nothing names, no more.
    Raises StorageFull or OSError.
    """
    keep_bytes(data / ORIGINALS, raw)
    return {
        str(longest): {
            "sha256": keep_bytes(data / COPIES, copy.data, suffix=".jpg"),
            "width": copy.width,
            "height": copy.height,
        }
        for longest, copy in prepared.derivatives.items()
    }


def clean_name(name: str) -> str:
    """Return a file's own name without folders, controls or invisible marks."""
    last = PurePosixPath(PureWindowsPath(name).name).name
    shown = "".join(c for c in last if not unicodedata.category(c).startswith("C"))
    return shown.strip()[-160:] or _("a file without a name")


def _kind(raw: bytes, *, name: str, refuse: Callable[[str], RefusedUpload]) -> str:
    """Return the format by size, then first bytes, then the name's ending."""
    if not raw:
        raise refuse(_("it is empty"))
    if len(raw) > MOST_BYTES:
        size = len(raw) / 1024 / 1024
        raise refuse(_("it has %(size).1f MB") % {"size": size})
    found = [kind for kind, start in _SIGNATURES.items() if raw.startswith(start)]
    if not found:
        raise refuse(_unreadable(raw[:1024]))
    suffix = PurePosixPath(name).suffix.lower()
    if suffix not in _SUFFIXES[found[0]]:
        why = _("it is a %(kind)s, but its name ends in %(suffix)s")
        raise refuse(why % {"kind": found[0], "suffix": suffix or _("nothing")})
    return found[0]


def _unreadable(head: bytes) -> str:
    known = next((name for test, name in _OTHER_KINDS if test(head)), None)
    if known == "HEIC":
        return _(
            "it is a HEIC picture, which is not read here: set the camera to the most "
            "compatible format, or send it as JPEG"
        )
    if known is None:
        return _("it is not a picture")
    return _("it is a file of kind %(kind)s") % {"kind": known}


def _check_size(
    picture: Image.Image, *, refuse: Callable[[str], RefusedUpload]
) -> None:
    width, height = picture.size
    sides = {"width": width, "height": height}
    if width * height > MOST_PIXELS:
        raise refuse(_("it has %(width)s by %(height)s pixels") % sides)
    if min(width, height) < LEAST_SIDE or max(width, height) > LONGEST_SIDE:
        raise refuse(_("it measures %(width)s by %(height)s pixels") % sides)


def _derivatives(current: Image.Image) -> dict[int, Derivative]:
    """Return the copies, largest first, each made from the one before."""
    found: dict[int, Derivative] = {}
    last: Derivative | None = None
    for longest, quality in DERIVATIVES.items():
        box = _box(current.size, longest=longest)
        if last is not None and box == current.size:
            found[longest] = last  # a small original: the same pixels, not twice
            continue
        if box != current.size:
            current = current.resize(box, Image.Resampling.LANCZOS)
        last = Derivative(_encoded(current, quality=quality), *current.size)
        found[longest] = last
    return found


def _reduced(picture: Image.Image, *, longest: int) -> Image.Image:
    """Return the first frame, decoded in full, as RGB, no longer than asked.

    The decoder reduces a JPEG by halves by itself when it is told the true box; a
    square box would leave that out (measured: twice the time).
    """
    picture.seek(0)
    box = _box(picture.size, longest=longest)
    if picture.format in ("JPEG", "MPO"):
        picture.draft("RGB", box)
    picture.load()
    plain = _rgb(picture)
    return plain if plain.size == box else plain.resize(box, Image.Resampling.LANCZOS)


def _rgb(picture: Image.Image) -> Image.Image:
    if picture.mode.startswith("I"):  # 16 bits a pixel: the upper eight are kept
        picture = picture.point(lambda value: value * (1 / 256)).convert("L")
    if picture.has_transparency_data:
        paper = Image.new("RGBA", picture.size, "white")
        paper.alpha_composite(picture.convert("RGBA"))
        picture = paper
    return picture if picture.mode == "RGB" else picture.convert("RGB")


def _box(size: tuple[int, int], *, longest: int) -> tuple[int, int]:
    scale = min(1.0, longest / max(size))
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))


def _encoded(picture: Image.Image, *, quality: int) -> bytes:
    out = io.BytesIO()
    bare = picture.copy()
    bare.info = {}  # the encoder would copy a comment from here
    bare.save(out, "JPEG", quality=quality, subsampling="4:2:0")
    return out.getvalue()


Place = tuple[Decimal | None, Decimal | None]
T = TypeVar("T")
_NO_TIME: tuple[datetime | None, str] = (None, "")
_NO_PLACE: Place = (None, None)


def _own_data(
    picture: Image.Image,
) -> tuple[Image.Transpose | None, datetime | None, str, Place]:
    """Return what the camera wrote: how it was held, when, in which zone, where."""
    exif = _readable(picture.getexif, otherwise=Image.Exif())
    turn = _readable(lambda: _TURNS.get(int(exif.get(_ORIENTATION, 1))), otherwise=None)
    taken_at, offset = _readable(
        lambda: _taken(exif.get_ifd(_EXIF)), otherwise=_NO_TIME
    )
    place = _readable(lambda: _place(exif.get_ifd(_GPS)), otherwise=_NO_PLACE)
    return turn, taken_at, offset, place


def _readable(read: Callable[[], T], *, otherwise: T) -> T:
    """Return what a tag says; a tag can hold anything, and nonsense says nothing."""
    try:
        return read()
    except Exception:
        return otherwise


def _taken(tags: Mapping[int, object]) -> tuple[datetime | None, str]:
    for when, zone in _TAKEN_TAGS:
        text = str(tags.get(when) or "").strip("\0 ")
        try:
            wall = datetime.strptime(text, "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007
        except ValueError:
            continue
        return _with_offset(wall, str(tags.get(zone) or "").strip("\0 "))
    return None, ""


def _with_offset(wall: datetime, text: str) -> tuple[datetime, str]:
    """Return a wall time with its offset, "+HH:MM", where that is one."""
    if not _OFFSET.fullmatch(text):
        return wall, ""
    try:
        return datetime.strptime(f"{wall:%Y%m%d%H%M%S}{text}", "%Y%m%d%H%M%S%z"), text
    except ValueError:
        return wall, ""


def _place(tags: Mapping[int, object]) -> Place:
    latitude = _degrees(tags.get(2), tags.get(1), positive="N", negative="S", most=90)
    longitude = _degrees(tags.get(4), tags.get(3), positive="E", negative="W", most=180)
    if latitude is None or longitude is None:
        return None, None
    return latitude, longitude


def _degrees(
    parts: object, side: object, *, positive: str, negative: str, most: int
) -> Decimal | None:
    """Return degrees from degrees, minutes, seconds and a side; nothing if not that."""
    letter = str(side or "").strip("\0 ").upper()
    if not isinstance(parts, tuple) or len(parts) != 3:
        return None
    if letter not in (positive, negative):
        return None
    whole, minutes, seconds = (float(part) for part in parts)
    value = whole + minutes / 60 + seconds / 3600
    if not math.isfinite(value) or not 0 <= value <= most:
        return None
    return round(Decimal(repr(value if letter == positive else -value)), 6)
