"""Packets: prepared, reviewed, issued, superseded; and their moves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from inspections.domain.moves import PACKET
from inspections.models import Move, Packet
from project.domain.roles import Ability, Role, may
from project.models import Job, Membership
from project.queries.jobs import now_on


@dataclass(frozen=True, slots=True)
class PacketRow:
    """One revision of a packet, and how it stands."""

    row: Packet
    state: str
    moves: tuple[Move, ...]

    @property
    def code(self) -> str:
        return self.row.code

    @property
    def issued(self) -> Move | None:
        return next((move for move in self.moves if move.move == "issue"), None)

    @property
    def reviewed(self) -> Move | None:
        return next((move for move in self.moves if move.move == "review"), None)

    @property
    def superseded(self) -> bool:
        return self.state == "superseded"


def packet_moves(
    packets: Iterable[Packet], *, known_at: datetime
) -> dict[UUID | None, list[Move]]:
    """Return the moves of packets, in order. One query."""
    rows = Move.objects.filter(
        packet__in=[packet.pk for packet in packets], recorded_at__lte=known_at
    ).select_related("recorded_by__user", "recorded_by__organization")
    moves: dict[UUID | None, list[Move]] = {}
    for move in rows.order_by("n"):
        moves.setdefault(move.packet_id, []).append(move)
    return moves


def packet_rows(
    job: Job, member: Membership, *, known_at: datetime
) -> tuple[PacketRow, ...]:
    """Return the packets a member may see, the latest first. Two queries.

    What is not issued yet is unseen outside the firm that prepares it.
    """
    rows = Packet.objects.filter(job=job, recorded_at__lte=known_at).select_related(
        "job", "recorded_by__user", "recorded_by__organization"
    )
    found = list(rows.order_by("-number", "-revision"))
    moves = packet_moves(found, known_at=known_at)
    lines = []
    for row in found:
        own = tuple(moves.get(row.pk, ()))
        state = own[-1].state if own else PACKET.initial
        line = PacketRow(row=row, state=state, moves=own)
        if line.issued is not None or _may_see_drafts(row, member):
            lines.append(line)
    return tuple(lines)


def _may_see_drafts(row: Packet, member: Membership) -> bool:
    same = row.recorded_by.organization_id == member.organization_id
    return same and may(Role(member.role), Ability.PREPARE_PACKET)


def packet_row(
    job: Job, member: Membership, *, number: int, revision: int, known_at: datetime
) -> PacketRow | None:
    """Return one packet, or nothing where it is not to be seen."""
    rows = packet_rows(job, member, known_at=known_at)
    return next(
        (r for r in rows if (r.row.number, r.row.revision) == (number, revision)), None
    )


def issued_packets(job: Job, *, known_at: datetime) -> tuple[PacketRow, ...]:
    """Return what was issued, the latest first. Two queries."""
    rows = Packet.objects.filter(job=job, recorded_at__lte=known_at)
    found = list(rows.order_by("-number", "-revision"))
    moves = packet_moves(found, known_at=known_at)
    lines = [
        PacketRow(row=row, state=own[-1].state, moves=tuple(own))
        for row in found
        if (own := moves.get(row.pk))
    ]
    return tuple(line for line in lines if line.issued is not None)


def week_packet(job: Job, day: date) -> PacketRow | None:
    """Return the latest revision of the packet that covers a day. Two queries."""
    rows = Packet.objects.filter(job=job, from_on__lte=day, to_on__gte=day)
    row = (
        rows.select_related("job", "recorded_by__user", "recorded_by__organization")
        .order_by("-revision")
        .first()
    )
    if row is None:
        return None
    moves = tuple(packet_moves([row], known_at=now_on(job)).get(row.pk, ()))
    state = moves[-1].state if moves else PACKET.initial
    return PacketRow(row=row, state=state, moves=moves)


def latest_issued(job: Job) -> Packet | None:
    """Return the last packet that was issued, for whoever asks where it lies."""
    rows = Packet.objects.filter(job=job).exclude(file_sha256="")
    return rows.order_by("-number", "-revision").first()
