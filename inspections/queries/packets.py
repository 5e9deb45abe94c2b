"""Packets as they were issued."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from inspections.domain.moves import PACKET
from inspections.models import Move, Packet
from project.models import Job


@dataclass(frozen=True, slots=True)
class PacketRow:
    """One revision of a packet, and how it stands."""

    row: Packet
    state: str
    issued: Move

    @property
    def superseded(self) -> bool:
        return self.state == "superseded"


def issued_packets(job: Job, *, known_at: datetime) -> tuple[PacketRow, ...]:
    """Return what was issued, the latest first. Two queries."""
    rows = Packet.objects.filter(job=job, recorded_at__lte=known_at)
    found = list(rows.order_by("-number", "-revision"))
    moves: dict[object, list[Move]] = {}
    made = Move.objects.filter(
        packet__in=[row.pk for row in found], recorded_at__lte=known_at
    )
    for move in made.select_related("recorded_by__user").order_by("n"):
        moves.setdefault(move.packet_id, []).append(move)
    lines = []
    for row in found:
        own = moves.get(row.pk, [])
        issued = next((move for move in own if move.move == "issue"), None)
        if issued is not None:
            state = own[-1].state if own else PACKET.initial
            lines.append(PacketRow(row=row, state=state, issued=issued))
    return tuple(lines)
