"""Hours on the nozzle that a named person verified."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from crews.actions.hours import verify_hours
from inspections.management.demo.scenario import Step, Steps
from inspections.management.demo.world import World


def hours(world: World) -> Steps:
    """Yield each stretch of days that somebody verified, at the time they did."""
    for row in world.scenario["hours_verified"]:
        yield Step(world.scenario.at(row["at"]), partial(_verified, world, row))


def _verified(world: World, row: Mapping[str, Any]) -> None:
    s = world.scenario
    names = {person["id"]: person["name"] for person in s["people"]}
    verify_hours(
        id=s.id("hours", row["operator"], row["from"]),
        by=world.member(row["by"]),
        operator=world.get("operator", row["operator"]),
        from_on=s.on(row["from"]),
        to_on=s.on(row["to"]),
        verified_by=f"{names[row['verified_by']]}, {row['post']}",
        words=row["words"],
    )
