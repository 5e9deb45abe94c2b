"""Build the demo job: every act through the ordinary actions, at its own time."""

from __future__ import annotations

from datetime import date

from inspections.management.demo.contract import contract
from inspections.management.demo.panels import panels
from inspections.management.demo.people import people
from inspections.management.demo.scenario import Scenario, replay
from inspections.management.demo.shooting import shooting
from inspections.management.demo.world import World


def weeks_to(as_of: date) -> int:
    """Return by how many whole weeks the job moves to end on or before a date."""
    own = Scenario().as_of.date()
    return (as_of - own).days // 7


def build(*, weeks: int = 0) -> World:
    """Replay the whole job. Built before, nothing is made twice."""
    world = World(Scenario(weeks=weeks))
    steps = [
        *contract(world),
        *people(world),
        *shooting(world),
        *panels(world),
    ]
    replay(steps)
    return world
