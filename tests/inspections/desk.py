"""The agency's desk on the Monday after the day at the wall."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from inspections.actions import packets as acts
from inspections.models import Load, Move, Packet
from project.actions.files import read_kept
from project.models import new_id
from tests.inspections.wall import DAY, Wall

MONDAY = "2026-08-17 08:15"
ON = date.fromisoformat(DAY)


@dataclass
class Desk:
    """The agency's desk on the Monday after."""

    wall: Wall
    load: Load | None = None

    def prepare(self, **changes: Any) -> Packet:
        facts = {"id": new_id(), "by": self.wall.inspector, "day": ON}
        return acts.prepare_packet(**(facts | changes))

    def review(self, packet: Packet, **changes: Any) -> Move:
        by = changes.get("by", self.wall.reviewer)
        facts = {
            "id": new_id(),
            "by": by,
            "packet": packet,
            "printed_name": by.user.printed_name,
            "proof": self.wall.proof(by),
        }
        return acts.review_packet(**(facts | changes))

    def issue(self, packet: Packet, **changes: Any) -> acts.Issued:
        facts = {"id": new_id(), "by": self.wall.reviewer, "packet": packet}
        return acts.issue_packet(**(facts | changes))

    def whole(self, reason: str = "") -> acts.Issued:
        hand = acts.Hand(self.wall.reviewer, self.wall.proof(self.wall.reviewer))
        return acts.issue_week(
            id=new_id(),
            job=self.wall.job,
            day=ON,
            preparer=self.wall.inspector,
            reviewer=hand,
            reason=reason,
        )

    def snapshot(self, packet: Packet) -> dict[str, Any]:
        kept = read_kept(acts.store(), packet.snapshot_sha256, suffix=".json")
        return json.loads(kept)
