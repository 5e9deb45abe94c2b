"""Jobsite-like pictures for the demo job, drawn, not photographed.

Each is drawn from what the scenario says a photograph shows, with a chance seeded by
the photograph's own number, so that the same number gives the same bytes on any
machine. They are nobody's photographs and show no real place or person.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable, Mapping
from datetime import datetime
from random import Random

from PIL import Image

from inspections.management.demo.pictures import (
    checks,
    faults,
    shots,
    specimens,
    walls,
)
from inspections.management.demo.pictures.tools import Sheet

SCENES: Mapping[str, Callable[[Random, str, str], Sheet]] = {
    "air_meter": checks.air_meter,
    "bars_before": walls.bars_before,
    "blowpipe_idle": shots.blowpipe_idle,
    "broken_cores": specimens.broken_cores,
    "clean_bench": faults.clean_bench,
    "core_face": specimens.core_face,
    "cut_out": faults.cut_out,
    "dry_burlap": faults.dry_burlap,
    "empty_stand": specimens.empty_stand,
    "finished_face": walls.finished_face,
    "fresh_face": faults.fresh_face,
    "overspray": faults.overspray,
    "panel_cored": specimens.panel_cored,
    "rebound_pile": faults.rebound_pile,
    "sand_pocket": faults.sand_pocket,
    "shadow_void": faults.shadow_void,
    "shooting": shots.shooting,
    "shooting_overhead": shots.shooting_overhead,
    "slump_cone": checks.slump_cone,
    "sounding": faults.sounding,
    "test_panel": specimens.panel_on_its_stand,
    "ticket": checks.ticket,
}


def draw_picture(
    *, code: str, scene: str, details: str, caption: str, taken_at: datetime
) -> bytes:
    """Return one picture as a camera would have written it: a JPEG with its time.

    `taken_at` is aware and written as wall time with its offset. Raises ValueError
    for a scene there is no drawing of.
    """
    if scene not in SCENES:
        allowed = ", ".join(SCENES)
        raise ValueError(f"photo {code}: scene {scene!r}: allowed are {allowed}")
    seed = int.from_bytes(hashlib.sha256(code.encode()).digest()[:8], "big")
    lots = Random(seed)  # noqa: S311 - pictures, not keys
    picture = SCENES[scene](lots, details, caption).finished()
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=88, exif=_camera(taken_at))
    return out.getvalue()


def _camera(taken_at: datetime) -> bytes:
    wall, offset = f"{taken_at:%Y:%m:%d %H:%M:%S}", f"{taken_at:%z}"
    tags = Image.Exif()
    tags[0x010F] = "drawn for the demo job"
    inner = tags.get_ifd(0x8769)
    inner[0x9003] = wall
    inner[0x9011] = f"{offset[:3]}:{offset[3:5]}"
    return tags.tobytes()
