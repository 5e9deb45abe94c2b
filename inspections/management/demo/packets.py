"""The weekly packets that were issued before the as-of instant."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from functools import partial
from typing import Any

from inspections.actions.packets import issue_packet, prepare_packet, review_packet
from inspections.management.demo.scenario import Step, Steps
from inspections.management.demo.world import World

# The scenario tells when a packet was issued; it was prepared and read before that.
_PREPARED = timedelta(minutes=45)
_REVIEWED = timedelta(minutes=15)


def packets(world: World) -> Steps:
    """Yield the preparing, the review and the issuing of each issued packet."""
    s = world.scenario
    for row in s["packets"]:
        if row["state"] != "issued":
            continue
        issued = s.at(row["issued_at"])
        yield Step(issued - _PREPARED, partial(_prepare, world, row))
        yield Step(issued - _REVIEWED, partial(_review, world, row))
        yield Step(issued, partial(_issue, world, row))


def _prepare(world: World, row: Mapping[str, Any]) -> None:
    s = world.scenario
    packet = prepare_packet(
        id=s.id("packet", row["id"]),
        by=world.member(row["prepared_by"]),
        day=s.on(row["week_from"]),
    )
    world.keep("packet", row["id"], packet)


def _review(world: World, row: Mapping[str, Any]) -> None:
    by = world.member(row["reviewed_by"])
    review_packet(
        id=world.scenario.id("packet", row["id"], "review"),
        by=by,
        packet=world.get("packet", row["id"]),
        printed_name=by.user.printed_name,
        proof=world.proof(row["reviewed_by"]),
    )


def _issue(world: World, row: Mapping[str, Any]) -> None:
    issue_packet(
        id=world.scenario.id("packet", row["id"], "issue"),
        by=world.member(row["reviewed_by"]),
        packet=world.get("packet", row["id"]),
    )
