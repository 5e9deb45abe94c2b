"""Shifts, placements, nozzle times and who stood beside them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import partial
from typing import Any

from crews.actions import shooting as acts
from crews.actions.nozzle import leave_nozzle
from crews.domain.trade_words import Method, PresenceRole, ShiftName, VolumeBasis
from inspections.actions.nozzle import operator_takes_nozzle
from inspections.management.demo.scenario import Step, Steps, quantity
from inspections.management.demo.world import World

# The one take that was written down later than it was seen: the inspector was away.
_SEEN_LATE = {("PL-008", "OP-02"): "2026-08-13T12:40"}
_ROLES = {"blowpipe": PresenceRole.BLOWPIPE, "hose tender": PresenceRole.HOSE}


def shooting(world: World) -> Steps:
    """Yield what happened at the wall, placement by placement."""
    for row in world.scenario["placements"]:
        yield from _shift(world, row)
        for n, segment in enumerate(row["segments"]):
            yield from _nozzle_time(world, row, n, segment)
        yield from _presences(world, row)


def contractor_of(world: World, row: Mapping[str, Any]) -> Any:
    """Return the firm whose crew shot a placement."""
    return world.get("crew", row["crew"]).organization


def _shift(world: World, row: Mapping[str, Any]) -> Steps:
    s = world.scenario
    begun = s.at(row["inspector_present"][0][0])
    yield Step(begun, lambda: _open(world, row))
    yield Step(begun, lambda: _place(world, row))
    ended = max(s.at(row["ended_at"]), s.at(row["finish"]["finished_at"]))
    yield Step(ended, lambda: _waste(world, row))
    yield Step(
        ended,
        lambda: acts.close_shift(
            by=world.member(row["inspector"]),
            shift=world.get("shift", row["id"]),
            stops_at=ended,
        ),
    )


def _waste(world: World, row: Mapping[str, Any]) -> None:
    """Tell what the pump, hose and bucket kept, and what was taken out while fresh."""
    volumes = row["volumes"]
    acts.record_waste(
        by=world.member(row["inspector"]),
        placement=world.get("placement", row["id"]),
        line_waste=quantity(volumes["line_waste_yd3"], "yd3"),
        removed=quantity(volumes["removed_work_yd3"], "yd3"),
    )


def _open(world: World, row: Mapping[str, Any]) -> None:
    s = world.scenario
    shift = acts.open_shift(
        id=s.id("shift", row["id"]),
        by=world.member(row["inspector"]),
        contractor=contractor_of(world, row),
        work_date=s.on(row["shift"]["work_date"]),
        name=ShiftName(row["shift"]["name"]),
        starts_at=s.at(row["inspector_present"][0][0]),
    )
    world.keep("shift", row["id"], shift)


def _place(world: World, row: Mapping[str, Any]) -> None:
    s = world.scenario
    part = drawn_part(world, row["part_code"])
    # The repair is a piece of its part; everything else is the whole of one.
    piece = row["area_ft2"] != part["area_ft2"]
    placement = acts.place(
        id=s.id("placement", row["id"]),
        by=world.member(row["inspector"]),
        shift=world.get("shift", row["id"]),
        part=world.get("part", row["part_code"]),
        mix=world.get("mix", f"{row['mix']} rev {row['mix_revision']}"),
        crew=world.get("crew", row["crew"]),
        rig=world.get("rig", row["rig"]),
        method=Method(row["method"]),
        code=row["id"],
        area=quantity(row["area_ft2"], "ft2") if piece else None,
        thickness=quantity(row["thickness_in"], "in") if piece else None,
        extent=row["part"],
        repairs=row.get("rework_of") or "",
    )
    world.keep("placement", row["id"], placement)


def drawn_part(world: World, code: str) -> Mapping[str, Any]:
    """Return a part's facts in the scenario."""
    for element in world.scenario["elements"]:
        for part in element["parts"]:
            if part["code"] == code:
                found: Mapping[str, Any] = part
                return found
    raise KeyError(code)


def _nozzle_time(
    world: World, row: Mapping[str, Any], n: int, segment: Mapping[str, Any]
) -> Steps:
    s = world.scenario
    key = f"{row['id']}/{n}"
    started, ended = s.at(segment["started_at"]), s.at(segment["ended_at"])
    late = _SEEN_LATE.get((row["id"], segment["operator"]))
    for m, watch in enumerate(segment.get("supervisor_present", [])):
        yield Step(
            started,
            partial(_watch, world, row, segment, m, watch),
        )
    yield Step(
        s.at(late) if late else started,
        lambda: _take(world, row, key, segment, started),
    )
    shared = len(row["segments"]) > 1
    yield Step(
        ended,
        lambda: leave_nozzle(
            by=world.member(row["inspector"]),
            nozzle_time=world.get("nozzle time", key),
            at=ended,
            volume=quantity(segment["neat_yd3"], "yd3") if shared else None,
            volume_basis=VolumeBasis.FACE,
        ),
    )


def _take(
    world: World,
    row: Mapping[str, Any],
    key: str,
    segment: Mapping[str, Any],
    started: datetime,
) -> None:
    s = world.scenario
    taken, _frozen = operator_takes_nozzle(
        id=s.id("nozzle time", key),
        by=world.member(row["inspector"]),
        placement=world.get("placement", row["id"]),
        operator=world.get("operator", segment["operator"]),
        at=started,
    )
    world.keep("nozzle time", key, taken)


def _watch(
    world: World,
    row: Mapping[str, Any],
    segment: Mapping[str, Any],
    n: int,
    watch: list[str],
) -> None:
    s = world.scenario
    presence = acts.note_presence(
        id=s.id("presence", row["id"], "supervisor", n),
        by=world.member(row["inspector"]),
        shift=world.get("shift", row["id"]),
        role=PresenceRole.SUPERVISOR,
        operator=world.get("operator", segment["supervisor"]),
        part=world.get("part", row["part_code"]),
        from_at=s.at(watch[0]),
    )
    world.keep("supervision", f"{row['id']}/{n}", presence)


def _presences(world: World, row: Mapping[str, Any]) -> Steps:
    """Yield the rest of the crew once, the blowpipe by its intervals, the inspector."""
    s = world.scenario
    roster = row["roster"]
    spans: list[tuple[PresenceRole, str, str, str]] = [
        (_ROLES[line["role"]], line["person"], line["start"], line["end"])
        for line in roster["intervals"]
    ]
    whole = (row["started_at"], row["ended_at"])
    machine = PresenceRole.GUN if row["process"] == "dry" else PresenceRole.PUMP
    for role, people in (
        (PresenceRole.FOREMAN, [roster.get("foreman")]),
        (machine, [roster.get("pump")]),
        (PresenceRole.FINISHER, roster.get("finishers", [])),
    ):
        spans += [(role, person, *whole) for person in people if person]
    for start, end in row["inspector_present"]:
        spans.append((PresenceRole.INSPECTOR, row["inspector"], start, end))
    for n, (role, person, start, end) in enumerate(spans):
        yield Step(
            s.at(end),
            partial(_present, world, row, n, role, person, (start, end)),
        )
    for n, (_segment, watch) in enumerate(_watches(row)):
        yield Step(
            s.at(watch[1]),
            partial(_end_watch, world, row, n, watch),
        )


def _end_watch(world: World, row: Mapping[str, Any], n: int, watch: list[str]) -> None:
    acts.end_presence(
        by=world.member(row["inspector"]),
        presence=world.get("supervision", f"{row['id']}/{n}"),
        to_at=world.scenario.at(watch[1]),
    )


def _watches(row: Mapping[str, Any]) -> list[tuple[Any, list[str]]]:
    return [
        (segment, watch)
        for segment in row["segments"]
        for watch in segment.get("supervisor_present", [])
    ]


def _present(
    world: World,
    row: Mapping[str, Any],
    n: int,
    role: PresenceRole,
    person: str,
    span: tuple[str, str],
) -> None:
    s = world.scenario
    who = {
        kind: world.rows[table][person]
        for kind, table in (
            ("operator", "operator"),
            ("crew_member", "crew member"),
            ("membership", "member"),
        )
        if person in world.rows[table]
    }
    acts.note_presence(
        id=s.id("presence", row["id"], n),
        by=world.member(row["inspector"]),
        shift=world.get("shift", row["id"]),
        role=role,
        part=world.get("part", row["part_code"]),
        from_at=s.at(span[0]),
        to_at=s.at(span[1]),
        **who,
    )
