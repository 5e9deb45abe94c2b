"""The file being written: how far it is, and photographs copied into it as they are."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import IO


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG file that is ready to be placed as it is: its hash and its header."""

    sha256: str
    path: Path
    width: int
    height: int
    components: int


class Out:
    """A file that knows how far it has been written."""

    def __init__(self, handle: IO[bytes]) -> None:
        self._handle = handle
        self.at = 0

    def add(self, data: bytes) -> None:
        self._handle.write(data)
        self.at += len(data)


_SPACES = {1: b"/DeviceGray", 3: b"/DeviceRGB"}


def write_picture(out: Out, number: int, picture: Picture) -> None:
    data = picture.path.read_bytes()
    out.add(
        b"%d 0 obj\n<< /Type /XObject /Subtype /Image /Width %d /Height %d"
        b" /BitsPerComponent 8 /ColorSpace %b /Filter /DCTDecode /Length %d >>\nstream\n"
        % (
            number,
            picture.width,
            picture.height,
            _SPACES[picture.components],
            len(data),
        )
    )
    out.add(data)
    out.add(b"\nendstream\nendobj\n")
