"""Uploads that are not photographs, and photographs that carry more than pixels.

Every byte is made here. `REFUSED` must be turned away by name; `CLEANED` must come out
as pixels only, with `payload` nowhere in any copy.
"""

import io
import random
import struct
import zipfile
import zlib
from dataclasses import dataclass, field

from PIL import Image, ImageCms, PngImagePlugin

SCRIPT = b"<script>alert('shotcrete')</script>"
PHP = b"<?php system($_GET['c']); ?>"


@dataclass(frozen=True)
class Upload:
    label: str
    name: str
    raw: bytes
    says: str = ""
    payload: tuple[bytes, ...] = ()
    size: tuple[int, int] = field(default=(400, 300))


def picture(size=(400, 300), mode="RGB"):
    """A picture with some detail in it, the same on every run."""
    noise = random.Random(7).randbytes(40 * 30)
    small = Image.frombytes("L", (40, 30), noise)
    grey = small.resize(size, Image.Resampling.BICUBIC)
    return grey.convert("RGB").convert(mode)


def saved(image, kind="JPEG", **options):
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def jpeg(**options):
    return saved(picture(), "JPEG", **({"quality": 85} | options))


def segment(marker, body):
    return b"\xff" + bytes([marker]) + struct.pack(">H", len(body) + 2) + body


def with_segment(raw, marker, body):
    """Put a segment right after a JPEG's first two bytes."""
    return raw[:2] + segment(marker, body) + raw[2:]


def chunk(kind, body):
    crc = zlib.crc32(kind + body)
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", crc)


def png_claiming(width, height, depth=1):
    """A PNG of one colour: a few kilobytes that claim any number of pixels."""
    head = struct.pack(">IIBBBBB", width, height, depth, 0, 0, 0, 0)
    row = b"\0" * (1 + (width * depth + 7) // 8)
    packer = zlib.compressobj(9)
    body = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", body)
        + chunk(b"IEND", b"")
    )


def jpeg_claiming(width, height):
    """A small JPEG whose frame header lies about its size."""
    raw = bytearray(jpeg())
    at = raw.index(b"\xff\xc0")
    raw[at + 5 : at + 9] = struct.pack(">HH", height, width)
    return bytes(raw)


def exif(orientation=1, taken="2026:08:13 12:42:00", offset="-06:00", gps=True):
    tags = Image.Exif()
    tags[0x0112] = orientation
    tags[0x010E] = SCRIPT.decode()
    tags[0x010F] = "an invented camera"
    inner = tags.get_ifd(0x8769)
    inner[0x9003] = taken
    if offset:
        inner[0x9011] = offset
    if gps:
        place = tags.get_ifd(0x8825)
        place[1], place[2] = "N", (39.0, 44.0, 21.12)
        place[3], place[4] = "W", (104.0, 59.0, 3.12)
    return tags.tobytes()


def phone_mpo():
    """Two frames in one file, as phones write a picture with its depth or preview."""
    first, second = picture((1200, 900)), picture((300, 225))
    return saved(
        first, "MPO", save_all=True, append_images=[second], exif=exif(), quality=90
    )


def zipped():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("evil.txt", PHP)
    return out.getvalue()


def png_text(key, text):
    info = PngImagePlugin.PngInfo()
    info.add_text(key, text, zip=False)
    return saved(picture(), "PNG", pnginfo=info)


def spoiled(raw, start, stop):
    return raw[:start] + bytes(255 - b for b in raw[start:stop]) + raw[stop:]


SVG = b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg">%s</svg>' % SCRIPT
HTML = b"<!DOCTYPE html><html><body>%s</body></html>" % SCRIPT
HEIC = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0" * 200
PNG_MAGIC, JPEG_MAGIC = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0"
_JPEG, _PNG = jpeg(), saved(picture(), "PNG")

REFUSED = (
    Upload("nothing", "IMG_0001.jpg", b"", "it is empty"),
    Upload("svg", "drawing.svg", SVG, "of kind SVG"),
    Upload("svg as png", "drawing.png", SVG, "of kind SVG"),
    Upload("svg as jpeg", "drawing.jpg", SVG, "of kind SVG"),
    Upload("html as jpeg", "page.jpg", HTML, "of kind HTML"),
    Upload("png magic then html", "a.png", PNG_MAGIC + HTML, "damaged or cut short"),
    Upload("jpeg magic then html", "a.jpg", JPEG_MAGIC + HTML, "damaged or cut short"),
    Upload("pdf", "ticket.pdf", b"%PDF-1.7\n%%EOF", "of kind PDF"),
    Upload("pdf as jpeg", "ticket.jpg", b"%PDF-1.7\n%%EOF", "of kind PDF"),
    Upload("gif", "anim.gif", saved(picture(), "GIF"), "of kind GIF"),
    Upload("gif as jpeg", "anim.jpg", saved(picture(), "GIF"), "of kind GIF"),
    Upload("jpeg named png", "a.png", _JPEG, "a JPEG, but its name ends in .png"),
    Upload("png named jpeg", "a.jpg", _PNG, "a PNG, but its name ends in .jpg"),
    Upload("double ending", "photo.jpg.php", _JPEG, "its name ends in .php"),
    Upload("program ending", "photo.jpg.exe", _JPEG, "its name ends in .exe"),
    Upload("no ending", "photo", _JPEG, "its name ends in nothing"),
    Upload("half a jpeg", "a.jpg", _JPEG[: len(_JPEG) // 2], "damaged or cut short"),
    Upload("a jpeg's first kilobyte", "a.jpg", _JPEG[:1024], "damaged or cut short"),
    Upload("half a png", "a.png", _PNG[: len(_PNG) // 2], "damaged or cut short"),
    Upload("a spoiled png", "a.png", spoiled(_PNG, 41, 60), "damaged or cut short"),
    Upload("jpeg head only", "a.jpg", _JPEG[:20], "damaged or cut short"),
    Upload("jpeg then noise", "a.jpg", _JPEG[:4] + random.Random(3).randbytes(9000),
           "damaged or cut short"),
    Upload("jpeg that lies", "a.jpg", jpeg_claiming(65500, 65500), "far more pixels"),
    Upload("png bomb", "a.png", png_claiming(30000, 30000), "far more pixels"),
    Upload("png of 64 megapixels", "a.png", png_claiming(8000, 8000),
           "8000 by 8000 pixels"),
    Upload("png sliver", "a.png", png_claiming(40, 60000), "40 by 60000 pixels"),
    Upload("png of no height", "a.png", png_claiming(400, 0), "damaged or cut short"),
    Upload("speck", "a.jpg", saved(picture((16, 16))), "16 by 16 pixels"),
    Upload("too many bytes", "a.jpg", _JPEG + b"\0" * (40 * 1024 * 1024), "40.0 MB"),
    Upload("heic", "IMG_0002.HEIC", HEIC, "a HEIC picture"),
    Upload("heic as jpeg", "IMG_0002.jpg", HEIC, "most compatible format"),
    Upload("avif", "a.avif", b"\0\0\0\x20ftypavif" + b"\0" * 99, "of kind AVIF"),
    Upload("video", "a.jpg", b"\0\0\0\x20ftypisom" + b"\0" * 99, "of kind video"),
    Upload("webp", "a.webp", saved(picture(), "WEBP"), "of kind WebP"),
    Upload("bmp", "a.bmp", saved(picture(), "BMP"), "of kind BMP"),
    Upload("tiff", "a.tif", saved(picture(), "TIFF"), "of kind TIFF"),
    Upload("zip as jpeg", "a.jpg", zipped(), "of kind ZIP"),
    Upload("icon", "a.ico", b"\0\0\1\0\1\0" + b"\0" * 99, "it is not a picture"),
    Upload("program", "a.jpg", b"\x7fELF\2\1\1" + b"\0" * 99, "it is not a picture"),
    Upload("script", "a.jpg", b"#!/bin/sh\nrm -rf /\n", "it is not a picture"),
    Upload("postscript", "a.jpg", b"%!PS-Adobe-3.0 EPSF-3.0\n", "it is not a picture"),
)  # fmt: skip

_EXIF_BODY = b"Exif\0\0" + b"II*\0" + b"\xff" * 60
_XMP = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta>%s</x:xmpmeta>" % SCRIPT
_ICC = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()

CLEANED = (
    Upload("jpeg and zip", "a.jpg", _JPEG + zipped(), payload=(b"evil.txt", PHP)),
    Upload("jpeg and html", "a.jpeg", _JPEG + HTML, payload=(SCRIPT, b"<html>")),
    Upload("script in exif, with a place", "a.jpg", jpeg(exif=exif()),
           payload=(SCRIPT, b"invented camera", b"2026:08:13")),
    Upload("held upright", "a.jpg", jpeg(exif=exif(orientation=6)),
           payload=(SCRIPT,), size=(300, 400)),
    Upload("comment", "a.jpg", with_segment(_JPEG, 0xFE, PHP), payload=(PHP,)),
    Upload("broken exif", "a.jpg", with_segment(_JPEG, 0xE1, _EXIF_BODY)),
    Upload("xmp", "a.jpg", with_segment(_JPEG, 0xE1, _XMP), payload=(SCRIPT, b"xmpmeta")),
    Upload("editor's block", "a.jpg", with_segment(_JPEG, 0xED, b"Photoshop 3.0\0" + PHP),
           payload=(PHP, b"Photoshop")),
    Upload("colour profile", "a.jpg", jpeg(icc_profile=_ICC + PHP),
           payload=(b"ICC_PROFILE", PHP)),
    Upload("png text", "a.png", png_text("Comment", SCRIPT.decode()), payload=(SCRIPT,)),
    Upload("png with exif", "a.png", saved(picture(), "PNG", exif=exif()),
           payload=(SCRIPT,)),
    Upload("png and html", "a.png", _PNG + HTML, payload=(SCRIPT,)),
    Upload("moving png", "a.png",
           saved(picture(), "PNG", save_all=True, append_images=[picture((400, 300))]),
           payload=(b"acTL", b"fdAT")),
    Upload("see-through png", "a.png", saved(picture(mode="RGBA"), "PNG")),
    Upload("palette png", "a.png", saved(picture(mode="P"), "PNG", transparency=0)),
    Upload("16-bit png", "a.png", saved(Image.new("I;16", (400, 300), 30000), "PNG")),
    Upload("one-bit png", "a.png", saved(picture(mode="1"), "PNG")),
    Upload("printer's colours", "a.jpg", saved(picture(mode="CMYK"))),
    Upload("grey", "a.jpg", saved(picture(mode="L"))),
    Upload("progressive", "a.jpg", jpeg(progressive=True)),
    Upload("phone's two frames", "IMG_0003.JPG", phone_mpo(), size=(1200, 900),
           payload=(b"MPF\0", SCRIPT)),
    Upload("path in the name", "../../../etc/cron.d/a.jpg", _JPEG),
    Upload("folder of another system", "C:\\Users\\x\\a.jpg", _JPEG),
    Upload("invisible marks in the name", "a\0b\u202egpj.exe\u2066.jpg", _JPEG),
)  # fmt: skip
