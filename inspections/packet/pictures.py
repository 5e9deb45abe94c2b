"""Photographs for the packet: only a file that is what its name says is placed.

The pictures were checked and stripped when they were uploaded and are named by their
content. Here a file is read once more before it is promised a place: one damaged, missing
or altered picture must cost a placeholder, never the packet, and a picture that still
carries a camera's notes (where it was taken) is not placed at all.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from hashlib import sha256
from pathlib import Path

from inspections.packet.output import Picture
from project.actions.files import kept_path

PictureStore = Callable[[str], Path]


class UnusablePictureError(Exception):
    """A picture that cannot be placed; the message says why."""


def folder(root: Path) -> PictureStore:
    """Return the store of a folder that `project.actions.files` keeps."""
    return partial(kept_path, root, suffix=".jpg")


def usable(store: PictureStore, digest: str) -> Picture:
    """Return a picture ready to be placed. Raises UnusablePictureError."""
    try:
        path = store(digest)
        data = path.read_bytes()
    except (OSError, ValueError):
        raise UnusablePictureError("the file is missing") from None
    if sha256(data).hexdigest() != digest:
        raise UnusablePictureError("the file is not the one that was recorded")
    width, height, components = _frame(data)
    return Picture(digest, path, width, height, components)


# Markers of JPEG (ITU-T T.81, 1992, table B.1): frames are C0 to CF without these three.
_NOT_FRAMES = (0xC4, 0xC8, 0xCC)
_START_OF_SCAN = 0xDA
_CAMERA_NOTES = 0xE1  # APP1, where cameras write time and place


def _frame(data: bytes) -> tuple[int, int, int]:
    """Return width, height and colour components from a JPEG's header."""
    if data[:2] != b"\xff\xd8":
        raise UnusablePictureError("it is not a JPEG")
    at, found = 2, None
    while at + 4 <= len(data) and data[at] == 0xFF:
        kind, size = data[at + 1], int.from_bytes(data[at + 2 : at + 4], "big")
        if kind == _CAMERA_NOTES:
            raise UnusablePictureError("it still carries the camera's notes")
        if 0xC0 <= kind <= 0xCF and kind not in _NOT_FRAMES:
            found = data[at + 4 : at + 10]
        if kind == _START_OF_SCAN:
            break
        at += 2 + size
    if found is None or len(found) < 6:
        raise UnusablePictureError("its header cannot be read")
    height, width = int.from_bytes(found[1:3], "big"), int.from_bytes(found[3:5], "big")
    if found[5] not in (1, 3) or not width or not height:
        raise UnusablePictureError("its kind cannot be placed")
    return width, height, found[5]
