"""What was not right, whom it was told, how it was put right, what was raised."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from inspections.actions.deficiencies import open_deficiency, raise_nonconformance
from inspections.actions.moves import make_move, notify
from inspections.domain.catalogue import Severity
from inspections.management.demo.scenario import Step, Steps
from inspections.management.demo.world import World

# Which record each report is about; the scenario says it in words.
_ABOUT: Mapping[str, tuple[str, str]] = {
    "NCR-001": ("load", "PL-003/4"),
    "NCR-002": ("nozzle time", "PL-008/1"),
    "NCR-003": ("nozzle time", "PL-013/0"),
    "NCR-004": ("deficiency", "DEF-014"),
    "NCR-005": ("nozzle time", "PL-018/0"),
    "NCR-006": ("panel", "TP-008"),
    "NCR-007": ("panel", "TP-010"),
    "NCR-008": ("load", "PL-016/2"),
}


def wrong(world: World) -> Steps:
    """Yield deficiencies and nonconformance reports with their moves."""
    s = world.scenario
    for row in s["deficiencies"]:
        # A walk that found it comes at the same instant, before this.
        yield Step(s.at(row["opened_at"]), partial(_open, world, row))
        yield from _put_right(world, row)
    for row in s["ncrs"]:
        yield Step(s.at(row["raised_at"]), partial(_raise, world, row))
        for n, line in enumerate(row["notified"]):
            told = max(s.at(line["at"]), s.at(row["raised_at"]))
            yield Step(told, _told(world, "nonconformance", row, n, line))
        yield from _close(world, row)


def _open(world: World, row: Mapping[str, Any]) -> None:
    """Open what no walk found: it follows from a record, or was seen between rounds."""
    s = world.scenario
    if row["id"] in world.rows.get("deficiency", {}):
        return
    made = open_deficiency(
        id=s.id("deficiency", row["id"]),
        by=world.member(row["opened_by"]),
        item=row["item"],
        seen_at=s.at(row["opened_at"]),
        report=world.get("report", row["placement"]),
        part=world.get("part", row["part_code"]),
        severity=Severity(row["severity"]),
        place=row["place"],
        words=s.words(row["words"]),
    )
    world.keep("deficiency", row["id"], made)


def _name(world: World, person: str) -> str:
    """Return a person's printed name, whether member, crew or operator."""
    s = world.scenario
    everybody = {p["id"]: p["name"] for p in (*s["people"], *s["operators"])}
    return str(everybody[person])


def _told(
    world: World,
    kind: str,
    row: Mapping[str, Any],
    n: int,
    line: Mapping[str, Any],
) -> Callable[[], object]:
    s = world.scenario
    by = row.get("opened_by") or row["raised_by"]
    return lambda: notify(
        id=s.id(kind, row["id"], "told", n),
        by=world.member(by),
        subject=world.get(kind, row["id"]),
        person=_name(world, line["person"]),
        means=line["means"],
        at=s.at(line["at"]),
    )


def _put_right(world: World, row: Mapping[str, Any]) -> Steps:
    s = world.scenario
    raised = {ncr["id"]: s.at(ncr["raised_at"]) for ncr in s["ncrs"]}
    for n, line in enumerate(row["told"]):
        # Once it became a report, whoever is told is told of the report.
        if row["became"] is None or s.at(line["at"]) <= raised[row["became"]]:
            yield Step(s.at(line["at"]), _told(world, "deficiency", row, n, line))
    if row["corrected_at"] is not None:
        yield Step(
            s.at(row["corrected_at"]),
            lambda: make_move(
                id=s.id("deficiency", row["id"], "corrected"),
                by=world.member(row["opened_by"]),
                subject=world.get("deficiency", row["id"]),
                move="correct",
                at=s.at(row["corrected_at"]),
                words=s.words(row["correction"]),
                evidence={"corrected_by": _name(world, row["corrected_by"])},
            ),
        )
    if row["reinspected_at"] is not None:
        yield Step(
            s.at(row["closed_at"]),
            lambda: make_move(
                id=s.id("deficiency", row["id"], "closed"),
                by=world.member(row["reinspected_by"]),
                subject=world.get("deficiency", row["id"]),
                move="find right",
                at=s.at(row["reinspected_at"]),
                words=s.words(row["note"]),
            ),
        )


def _raise(world: World, row: Mapping[str, Any]) -> None:
    s = world.scenario
    table, code = _ABOUT[row["id"]]
    contained = [step for step in row["steps"] if step["step"] == "contain"]
    made = raise_nonconformance(
        id=s.id("nonconformance", row["id"]),
        by=world.member(row["raised_by"]),
        about=world.get(table, code),
        about_text=row["about"],
        part=world.get("part", row["part_codes"][0]),
        requirement=row["requirement"],
        words=s.words(row["words"]),
        observed_at=s.at(row["observed_at"]),
        written_at=s.at(row["written_at"]),
        containment=contained[0]["words"] if contained else "",
        deficiencies=[
            world.get("deficiency", line["id"])
            for line in s["deficiencies"]
            if line["became"] == row["id"]
        ],
    )
    world.keep("nonconformance", row["id"], made)


def _close(world: World, row: Mapping[str, Any]) -> Steps:
    s = world.scenario
    closing = [step for step in row["steps"] if step["step"] == "close"]
    done = [step for step in row["steps"] if step["step"] == "cause and action"]
    for step in closing:
        words = s.words(done[-1]["words"] if done else step["words"])
        yield Step(s.at(step["at"]), partial(_closed, world, row["id"], step, words))


def _closed(world: World, code: str, step: Mapping[str, Any], words: str) -> None:
    s = world.scenario
    make_move(
        id=s.id("nonconformance", code, "closed"),
        by=world.member(step["by"]),
        subject=world.get("nonconformance", code),
        move="close",
        at=s.at(step["at"]),
        words=words,
    )
