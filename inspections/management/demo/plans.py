"""What was planned, who was assigned to it, and who was refused."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from crews.actions.plans import Asked, assign_operator, plan_placement
from inspections.management.demo.scenario import Step, Steps
from inspections.management.demo.world import World


def plans(world: World) -> Steps:
    """Yield the plans that have a date, and whom somebody asked for afterwards."""
    s = world.scenario
    for row in s["plans"]:
        if row["wanted"] is None:
            continue
        yield Step(s.at(row["made_at"]), partial(_made, world, row))
        if row["decided_at"] is not None:
            asked = partial(_asked, world, row, row["operator"])
            yield Step(s.at(row["decided_at"]), asked)
        if row.get("replaced_by"):
            instead = partial(_asked, world, row, row["replaced_by"])
            yield Step(s.at(row["replaced_at"]), instead)


def _made(world: World, row: Mapping[str, Any]) -> None:
    """Plan it; its operator is asked for at once, unless the file says when."""
    s = world.scenario
    revision = s["mixes"][row["mix"]]["rev"]
    at_once = row["decided_at"] is None
    operator = world.get("operator", row["operator"])
    made = plan_placement(
        id=s.id("plan", row["id"]),
        by=world.member(row["made_by"]),
        part=world.get("part", row["part_code"]),
        mix=world.get("mix", f"{row['mix']} rev {revision}"),
        rig=world.get("rig", row["rig"]),
        starts_at=s.at(row["wanted"]),
        code=row["id"],
        operators=[Asked(operator)] if at_once else [],
    )
    world.keep("plan", row["id"], made.planned)


def _asked(world: World, row: Mapping[str, Any], operator: str) -> None:
    assign_operator(
        id=world.scenario.id("plan", row["id"], operator),
        by=world.member(row["made_by"]),
        planned=world.get("plan", row["id"]),
        operator=world.get("operator", operator),
    )
