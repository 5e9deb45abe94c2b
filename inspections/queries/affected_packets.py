"""Which issued packets told of what turned, and which revision told it anew."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from inspections.models import Packet, PacketRecord
from inspections.queries.affected_lines import PacketTold
from project.models import Job

_ASKED_AT_ONCE = 5000


@dataclass(frozen=True, slots=True)
class Telling:
    """The packets issued by an instant, and which of them told of which record."""

    packets: dict[UUID, Packet]
    of: dict[UUID, set[UUID]]

    def told(
        self, records: Iterable[UUID], *, found_at: datetime
    ) -> tuple[PacketTold, ...]:
        """Return the packets cut before something was found that told of it, by code.

        Of a packet's revisions the last one cut before; of those cut later the first
        one that was issued tells it anew.
        """
        named = {pk for record in records for pk in self.of.get(record, ())}
        told: dict[int, Packet] = {}
        for packet in self._in_order():
            if packet.pk in named and packet.cut_at < found_at:
                told[packet.number] = packet
        return tuple(
            PacketTold(told[number], self._revised(number, found_at))
            for number in sorted(told)
        )

    def _revised(self, number: int, found_at: datetime) -> Packet | None:
        later = (
            packet
            for packet in self._in_order()
            if packet.number == number and packet.cut_at >= found_at
        )
        return next(later, None)

    def _in_order(self) -> Iterator[Packet]:
        yield from sorted(
            self.packets.values(), key=lambda row: (row.number, row.revision)
        )


def telling(job: Job, records: Sequence[UUID], *, until: datetime) -> Telling:
    """Read the packets issued by an instant that told of records. Two queries.

    One more for each five thousand records that are asked for.
    """
    rows = Packet.objects.filter(job=job, issued_recorded_at__lte=until)
    packets = {row.pk: row for row in rows}
    of: dict[UUID, set[UUID]] = defaultdict(set)
    for n in range(0, max(len(records), 1), _ASKED_AT_ONCE):
        asked = records[n : n + _ASKED_AT_ONCE]
        told = PacketRecord.objects.filter(record_id__in=asked, packet__in=packets)
        for record, packet in told.values_list("record_id", "packet_id"):
            of[record].add(packet)
    return Telling(packets, of)
