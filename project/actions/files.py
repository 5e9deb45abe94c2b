"""Keep bytes under the name of their content, so that they are kept once and whole.

A file appears under its name only when all of it is on the disk: it is written aside,
flushed, then renamed. The same bytes again change nothing.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from hashlib import sha256
from pathlib import Path

from django.utils.translation import gettext as _

# Below this share of free disk no upload is taken, so that text still can be.
LEAST_FREE = 0.05

_SHA256 = re.compile(r"[0-9a-f]{64}")
_SUFFIX = re.compile(r"(\.[a-z0-9]{1,8})?")


class StorageFull(OSError):  # noqa: N818 - it names the state of the disk
    """Too little room is left to keep a file; reports and rounds still are kept."""


class DamagedFile(OSError):  # noqa: N818 - it names the state of the file
    """A kept file is missing or its content is not what its name says."""


def kept_path(folder: Path, digest: str, *, suffix: str = "") -> Path:
    """Return where bytes of a hash lie: `ab/abcdef….jpg` under the folder.

    Raises ValueError for what is no SHA-256 or no plain suffix, so that no name can
    lead out of the folder.
    """
    if not _SHA256.fullmatch(digest):
        raise ValueError(f"sha256 {digest!r}: 64 small hexadecimal digits are needed")
    if not _SUFFIX.fullmatch(suffix):
        raise ValueError(f"suffix {suffix!r}: a dot and small letters are needed")
    return folder / digest[:2] / f"{digest}{suffix}"


def keep_bytes(folder: Path, data: bytes, *, suffix: str = "") -> str:
    """Keep bytes under a folder and return their SHA-256.

    Raises StorageFull where less than a twentieth of the disk is free, and OSError
    where writing fails; neither leaves a part of the file behind.
    """
    digest = sha256(data).hexdigest()
    target = kept_path(folder, digest, suffix=suffix)
    if target.is_file() and target.stat().st_size == len(data):
        return digest
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    _check_room(target.parent)
    _write_whole(target, data)
    return digest


def read_kept(folder: Path, digest: str, *, suffix: str = "") -> bytes:
    """Return kept bytes, checked against their name. Raises DamagedFile."""
    path = kept_path(folder, digest, suffix=suffix)
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise DamagedFile(_("File %(name)s is missing.") % {"name": digest}) from None
    if sha256(data).hexdigest() != digest:
        message = _("File %(name)s was changed on the disk.") % {"name": digest}
        raise DamagedFile(message)
    return data


def _check_room(folder: Path) -> None:
    usage = shutil.disk_usage(folder)
    if usage.free < usage.total * LEAST_FREE:
        message = _(
            "The disk has %(free).1f %% free, at least %(least)s %% is needed to keep "
            "a file. The file was not kept; reports and rounds can still be written."
        )
        free = 100 * usage.free / usage.total
        raise StorageFull(message % {"free": free, "least": round(100 * LEAST_FREE)})


def _write_whole(target: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=".part-")
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        part.replace(target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    _flush_folder(target.parent)


def _flush_folder(folder: Path) -> None:
    """Make the rename itself survive a loss of power."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
