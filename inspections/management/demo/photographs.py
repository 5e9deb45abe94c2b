"""The photographs of the demo: drawn, not taken, the same on every machine."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Future, ProcessPoolExecutor
from datetime import timedelta
from functools import partial
from multiprocessing import get_context
from typing import Any

from inspections.actions.photographs import add_photograph
from inspections.management.demo.pictures import draw_picture
from inspections.management.demo.scenario import Step, Steps
from inspections.management.demo.world import World


def photographs(world: World) -> Steps:
    """Yield each photograph at the minute it was taken, after what it shows.

    They are drawn by another process meanwhile: drawing takes no part in the record.
    """
    s = world.scenario
    artist = ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn"))
    for row in s["photos"]:
        drawn = artist.submit(draw_picture, **_order(world, row))
        at = s.at(row["at"]) + timedelta(seconds=30)
        yield Step(at, partial(_photograph, world, row, drawn))
    artist.shutdown(wait=False)


def _order(world: World, row: Mapping[str, Any]) -> dict[str, Any]:
    s = world.scenario
    return {
        "code": row["id"],
        "scene": row["depicts"]["scene"],
        "details": row["depicts"]["details"],
        "caption": s.words(row["caption"]),
        "taken_at": s.at(row["at"]).astimezone(s.zone),
    }


def _photograph(world: World, row: Mapping[str, Any], drawn: Future[bytes]) -> None:
    s = world.scenario
    links = row["links"]
    placement = links.get("placement")
    deficiency = world.rows.get("deficiency", {}).get(links.get("deficiency", ""))
    report = world.rows.get("report", {}).get(placement) if placement else None
    if deficiency is not None and report is None:
        report = deficiency.report
    add_photograph(
        id=s.id("photo", row["id"]),
        by=world.member(row["by"]),
        raw=drawn.result(),
        name=f"{row['id']}.jpg",
        report=report,
        part=world.get("part", row["part_code"]) if row["part_code"] else None,
        placement=world.rows.get("placement", {}).get(placement or ""),
        deficiency=deficiency,
        item=links.get("item", ""),
        shows=next(
            (links[k] for k in ("panel", "mockup", "core_set", "ncr") if k in links), ""
        ),
        at=s.at(row["at"]),
        place=row["grid"] or "",
        caption=s.words(row["caption"]),
    )
