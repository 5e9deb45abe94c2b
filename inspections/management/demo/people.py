"""Operators and their cards, crews, rigs, and the mock-ups before the work."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from functools import partial
from typing import Any

from crews.actions import crews as crew_acts
from crews.actions import people as acts
from crews.actions.experience import state_experience
from crews.domain.trade_words import Level, Method, RigKind, Trade
from inspections.management.demo.scenario import Step, Steps, quantity
from inspections.management.demo.world import World
from project.domain.shooting_words import Position, Process

_POSITIONS = {"V": Position.VERTICAL, "OH": Position.OVERHEAD}
_LEVELS = {"full": Level.FULL, "in-training": Level.IN_TRAINING}
_SCHEMES = {
    "CP-60": "CP-60",
    "robotic sprayed-concrete operator scheme": "robotic",
}
_RIGS = {"wet-pump": RigKind.WET_PUMP, "dry-gun": RigKind.DRY_GUN}
# Who of a firm keeps its people's records.
QC = {"ORG-A": "BT", "ORG-B": "AN"}


def people(world: World) -> Steps:
    """Yield the acts that bring crews, rigs, operators and their cards."""
    s = world.scenario
    entered = s.at(s["setup"]["people"].split(" ")[0])
    yield Step(entered, lambda: _crews_and_rigs(world))
    for operator in sorted(s["operators"], key=lambda row: row["badge"]):
        yield from _operator(world, operator)
    for row in s["rig_equivalences"]:
        yield Step(s.at(row["accepted_at"]), partial(_equal, world, row))


def _crews_and_rigs(world: World) -> None:
    s = world.scenario
    names = {p["id"]: p["name"] for p in s["people"]}
    flows = {e["id"]: e.get("rated_cfm") for e in s["equipment"]}
    for crew in s["crews"]:
        by = world.member(QC[crew["organization"]])
        row = crew_acts.enter_crew(
            id=s.id("crew", crew["id"]),
            by=by,
            organization=world.get("firm", crew["organization"]),
            code=crew["id"],
        )
        world.keep("crew", crew["id"], row)
        trades = [
            (crew["foreman"], Trade.FOREMAN),
            (crew["blowpipe"], Trade.BLOWPIPE),
            (crew["pump"], Trade.PUMP),
            *((person, Trade.FINISHER) for person in crew["finishers"]),
        ]
        for person, trade in trades:
            member = crew_acts.enter_crew_member(
                id=s.id("crew", crew["id"], person),
                by=by,
                crew=row,
                name=names[person],
                trade=trade,
            )
            world.keep("crew member", person, member)
    for rig in s["rigs"]:
        world.keep("rig", rig["id"], _rig(world, rig, flows))


def _rig(world: World, rig: Mapping[str, Any], flows: Mapping[str, Any]) -> Any:
    return crew_acts.enter_rig(
        id=world.scenario.id("rig", rig["id"]),
        by=world.member(QC[rig["organization"]]),
        organization=world.get("firm", rig["organization"]),
        code=rig["id"],
        kind=_RIGS[rig["klass"]],
        machine=str(rig.get("pump") or rig["gun"]),
        compressor=rig["compressor"],
        air_flow=quantity(flows[rig["compressor"]], "cfm"),
        hose_diameter=quantity(rig["hose_in"], "in"),
        hose_length=quantity(rig["hose_ft"], "ft"),
    )


def _equal(world: World, row: Mapping[str, Any]) -> None:
    first, other = row["rigs"]
    crew_acts.accept_rig_equivalence(
        id=world.scenario.id("rigs", first, other),
        by=world.member(row["accepted_by"]),
        rig=world.get("rig", first),
        other=world.get("rig", other),
        accepted_at=world.scenario.at(row["accepted_at"]),
        words=row["words"],
    )


def _operator(world: World, row: Mapping[str, Any]) -> Steps:
    s = world.scenario
    by = QC[row["employer"]]
    code = row["id"]
    place = row["assignment"]
    entered = max(
        s.at(s["setup"]["people"].split(" ")[0]), s.at(f"{place['active_from']}T10:00")
    )
    yield Step(
        entered,
        lambda: world.keep(
            "operator",
            code,
            acts.enter_operator(
                id=s.id("operator", code),
                by=world.member(by),
                organization=world.get("firm", row["employer"]),
                legal_name=row["legal_name"],
                badge_number=row["badge"],
                aliases=row["aliases"],
            ),
        ),
    )
    for n, card in enumerate(row["certifications"]):
        yield from _card(world, row, n, card, by=by, entered=entered)
    yield Step(entered, lambda: _enrol(world, row, by=by))
    approved = s.at(f"{place['submittal_approved_on']}T12:00")
    yield Step(approved, lambda: _enrol(world, row, by=by, approved=True))
    for process, last in row["last_shot_by_process"].items():
        told = max(entered, s.at(f"{last}T08:00") + timedelta(days=1))
        yield Step(told, partial(_stated, world, row, process, told.date(), by=by))
    for n, order in enumerate(row.get("stood_down", [])):
        yield Step(s.at(order["from"]), partial(_stand_down, world, code, n, order))


def _stated(
    world: World, row: Mapping[str, Any], process: str, on: date, *, by: str
) -> None:
    """State what the operator had shot by a process before this job."""
    s = world.scenario
    state_experience(
        id=s.id("operator", row["id"], "experience", process),
        by=world.member(by),
        operator=world.get("operator", row["id"]),
        process=Process(process),
        hours=Decimal(row["hours_at_start"][process]),
        last_shot_on=s.on(row["last_shot_by_process"][process]),
        stated_on=on,
        stated_by=world.member(by).user.printed_name,
    )


def _stand_down(world: World, code: str, n: int, order: Mapping[str, Any]) -> None:
    s = world.scenario
    acts.suspend_operator(
        id=s.id("operator", code, "suspension", n),
        by=world.member(order["by"]),
        operator=world.get("operator", code),
        from_at=s.at(order["from"]),
        until_at=s.maybe_at(order["to"]),
        ordered_by=world.member(order["by"]).user.printed_name,
        words=s.words(order["reason"]),
    )


def _enrol(
    world: World, row: Mapping[str, Any], *, by: str, approved: bool = False
) -> None:
    """Enrol an operator, and enter the engineer's answer as the next version."""
    s = world.scenario
    code, place = row["id"], row["assignment"]
    before = world.rows.get("enrolment", {}).get(code)
    enrolment = acts.enrol_operator(
        id=s.id("operator", code, "enrolment", "approved" if approved else "first"),
        by=world.member(by),
        operator=world.get("operator", code),
        employer=world.get("firm", place["employer"]),
        from_on=s.on(place["active_from"]),
        to_on=s.maybe_on(place["active_to"]),
        code=code,
        submittal=place["submittal"],
        approved_on=s.on(place["submittal_approved_on"]) if approved else None,
        approved_by=(
            world.member(place["submittal_approved_by"]).user.printed_name
            if approved
            else ""
        ),
        supersedes=before if approved else None,
        reason=f"{place['submittal']} approved" if approved else "",
    )
    world.keep("enrolment", code, enrolment)


def _card(
    world: World,
    row: Mapping[str, Any],
    n: int,
    card: Mapping[str, Any],
    *,
    by: str,
    entered: Any,
) -> Steps:
    s = world.scenario
    first = {"expires": card["expires"], "recorded_by": by}
    versions = card.get("versions") or [first]
    for v, version in enumerate(versions):
        at = s.at(version["recorded_at"]) if "recorded_at" in version else entered
        yield Step(
            at,
            partial(_record, world, row, n, card, v, version),
        )


def _record(
    world: World,
    row: Mapping[str, Any],
    n: int,
    card: Mapping[str, Any],
    v: int,
    version: Mapping[str, Any],
) -> None:
    s = world.scenario
    key = f"{row['id']}/{n}"
    verified = s.maybe_on(card.get("verified_on"))
    known = verified is not None and verified <= s.on(
        version.get("recorded_at") or card["verified_on"]
    )
    entry = acts.CardEntry(
        scheme=_SCHEMES[card["scheme"]],
        number=card["number"],
        method=Method(card["method"]),
        level=_LEVELS[card["level"]],
        classes=[
            (Process(card["process"]), _POSITIONS[mark])
            for mark in card["orientations"]
        ],
        issued_on=s.on(card["issued"]),
        expires_on=s.on(version["expires"]),
        verified_by=world.get("user", card["verified_by"]) if known else None,
        verified_on=verified if known else None,
        verified_how=card.get("verified_how", "") if known else "",
    )
    made = acts.record_certification(
        id=s.id("operator", row["id"], "card", n, v),
        by=world.member(version["recorded_by"]),
        operator=world.get("operator", row["id"]),
        card=entry,
        supersedes=world.rows.get("card", {}).get(key) if v else None,
        reason=s.words(version.get("reason", "")) if v else "",
    )
    world.keep("card", key, made)
