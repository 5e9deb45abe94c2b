"""The sample packet of the tests: the demo job's week of 10 August 2026.

`week-2026-08-10.json` is a snapshot as the builder wrote it, kept as text so that the
drawing can be tested without a database.
"""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path
from typing import cast

from PIL import Image, ImageDraw

from inspections.packet.shape import Snapshot
from project.actions.files import keep_bytes

_SAMPLE = Path(__file__).with_name("week-2026-08-10.json")


def sample() -> Snapshot:
    """Return the snapshot, fresh."""
    return cast("Snapshot", json.loads(_SAMPLE.read_text(encoding="utf-8")))


def sample_with_pictures(folder: Path) -> Snapshot:
    """Return the snapshot with small photographs of its own in a folder."""
    snapshot = sample()
    for n, photograph in enumerate(snapshot["sections"]["photographs"]):
        size = (120, 160) if n % 5 == 0 else (160, 120)
        data = photograph_bytes(n, size=size)
        photograph["sha256"] = keep_bytes(folder, data, suffix=".jpg")
    return snapshot


def photograph_bytes(seed: int, *, size: tuple[int, int], noise: bool = False) -> bytes:
    """Return a JPEG without camera notes: a mat of bars, or grain for honest bytes."""
    if noise:
        picture = Image.effect_noise(size, 9 + seed / 4).convert("RGB")
    else:
        picture = Image.new("RGB", size, (120 + seed % 100, 145, 135))
    pen = ImageDraw.Draw(picture)
    for at in range(0, max(size), 24):
        pen.line((at, 0, at, size[1]), fill=(90, 80, 70), width=4)
        pen.line((0, at, size[0], at), fill=(100, 90, 70), width=3)
    out = BytesIO()
    picture.save(out, "JPEG", quality=75)
    return out.getvalue()
