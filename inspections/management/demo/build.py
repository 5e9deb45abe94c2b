"""Build the demo job: every act through the ordinary actions, at its own time."""

from __future__ import annotations

from datetime import date

from django.db import transaction

from inspections.management.demo.contract import contract
from inspections.management.demo.hours import hours
from inspections.management.demo.packets import packets
from inspections.management.demo.panels import panels
from inspections.management.demo.people import people
from inspections.management.demo.photographs import photographs
from inspections.management.demo.plans import plans
from inspections.management.demo.scenario import Scenario, replay
from inspections.management.demo.seen import seen
from inspections.management.demo.shooting import shooting
from inspections.management.demo.world import World
from inspections.management.demo.wrong import wrong
from project.queries.jobs import job_by_code, now_on, terms_revisions


def weeks_to(as_of: date) -> int:
    """Return by how many whole weeks the job moves to end on or before a date."""
    own = Scenario().as_of.date()
    return (as_of - own).days // 7


def built_weeks() -> int | None:
    """Return by how many weeks the demo that stands here was moved, if one does."""
    scenario = Scenario()
    job = job_by_code(scenario.code)
    if job is None:
        return None
    revisions = terms_revisions(job, known_at=now_on(job))
    effective = scenario.on(scenario["terms"][0]["effective"])
    return (revisions[0].effective_on - effective).days // 7


def build(*, weeks: int = 0) -> World | None:
    """Replay the whole job, all of it or nothing; nothing where it stands already."""
    world = World(Scenario(weeks=weeks))
    if job_by_code(world.scenario.code) is not None:
        return None
    steps = [
        *contract(world),
        *people(world),
        *plans(world),
        *shooting(world),
        *panels(world),
        *hours(world),
        *seen(world),
        *wrong(world),
        *photographs(world),
        *packets(world),
    ]
    with transaction.atomic():
        replay(steps)
    return world
