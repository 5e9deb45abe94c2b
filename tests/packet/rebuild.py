"""The hashes of a job's issued packets, from a process of its own.

Run as `python -m tests.packet.rebuild JOB [NUMBER …]` with the environment of an
installation: prints the hashes of the packets as they were registered, by their code;
those whose numbers are given are gathered and drawn again instead.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

import django


def hashes(job: str, numbers: list[int]) -> dict[str, list[str]]:
    """Return snapshot and file hash of each issued packet of a job."""
    from inspections.models import Packet

    rows = Packet.objects.filter(job__code=job).exclude(file_sha256="")
    return {
        row.code: _drawn(row)
        if row.number in numbers
        else [row.snapshot_sha256, row.file_sha256]
        for row in rows.order_by("number", "revision")
    }


def _drawn(packet) -> list[str]:
    from django.conf import settings

    from inspections.models import Move
    from inspections.packet.build import build_pdf
    from inspections.packet.gathering import Hands, gather, reading_of
    from inspections.packet.pictures import folder
    from project.domain.canonical import sha256_of

    moves = {
        move.move: (move.recorded_by, move.at)
        for move in Move.objects.filter(packet=packet)
    }
    reading = reading_of(
        packet.job,
        packet.recorded_by,
        first=packet.from_on,
        last=packet.to_on,
        known_at=packet.cut_at,
    )
    snapshot = gather(
        reading,
        number=packet.number,
        revision=packet.revision,
        hands=Hands(
            prepared=(packet.recorded_by, packet.recorded_at),
            reviewed=moves["review"],
            issued=moves["issue"],
        ),
    ).snapshot
    pictures = folder(Path(settings.MEDIA_ROOT) / "pictures")
    with tempfile.TemporaryDirectory() as work:
        built = build_pdf(snapshot, pictures=pictures, out=Path(work) / "again.pdf")
    return [sha256_of(snapshot), built.sha256]


if __name__ == "__main__":
    django.setup()
    print(json.dumps(hashes(sys.argv[1], [int(n) for n in sys.argv[2:]])))
