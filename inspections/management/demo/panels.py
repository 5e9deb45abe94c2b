"""Mock-ups, production panels, in-place cores, and what the laboratory reported."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import timedelta
from functools import partial
from itertools import groupby
from typing import Any

from crews.actions.cores import CoreEntry, drill_cores
from crews.actions.laboratory import ResultEntry, enter_lab_report
from crews.actions.panels import (
    PanelSize,
    accept_substitute,
    judge_panel,
    shoot_panel,
)
from crews.actions.ratings import rate_cores
from crews.domain.trade_words import (
    CoreReinforcement,
    DecisionOutcome,
    Method,
    PanelKind,
    RatingDecision,
)
from inspections.management.demo.contract import reinforcement
from inspections.management.demo.people import QC
from inspections.management.demo.scenario import Step, Steps, known_quantity, quantity
from inspections.management.demo.world import World
from project.domain.reinforcement import Reinforcement
from project.domain.shooting_words import Position

_DECISIONS = {
    "accepted": DecisionOutcome.ACCEPTED,
    "accepted-supervised": DecisionOutcome.ACCEPTED_UNDER_SUPERVISION,
    "rejected": DecisionOutcome.REJECTED,
}
_AGES = {"7d": 7, "28d": 28}


def panels(world: World) -> Steps:
    """Yield every panel, its cores, its reports, and what was decided of it."""
    s = world.scenario
    for row in s["mockups"]:
        yield from _mock_up(world, row)
    for row in s["panels"]:
        yield Step(
            s.at(row["shot_at"]) + timedelta(minutes=5),
            partial(_production, world, row),
        )
        yield from _cores(world, row["id"], row["cores"])
    for row in s["in_place_cores"]:
        yield from _in_place(world, row)
    for report in s["lab_reports"]:
        yield Step(s.at(report["received_at"]), partial(_report, world, report))


def _operator(world: World, code: str | None) -> Any:
    return None if code is None else world.get("operator", code)


def _mix(world: World, row: Mapping[str, Any]) -> Any:
    return world.get("mix", f"{row['mix']} rev {row['mix_revision']}")


def _size(sides: list[Any]) -> PanelSize:
    length, width, depth = sides
    return PanelSize(
        length=known_quantity(length, "in"),
        width=known_quantity(width, "in"),
        depth=known_quantity(depth, "in"),
    )


def _mock_up(world: World, row: Mapping[str, Any]) -> Steps:
    s = world.scenario
    firm = next(o["employer"] for o in s["operators"] if o["id"] == row["operator"])
    yield Step(
        s.at(row["shot_at"]) + timedelta(hours=1),
        lambda: world.keep(
            "panel",
            row["id"],
            shoot_panel(
                id=s.id("panel", row["id"]),
                by=world.member(QC[firm]),
                kind=PanelKind.MOCK_UP,
                code=row["id"],
                mix=_mix(world, row),
                method=Method(row["method"]),
                position=Position(row["position"]),
                rig=world.get("rig", row["rig"]),
                operator=world.get("operator", row["operator"]),
                supervisor=_operator(world, row.get("supervisor")),
                shot_from=s.at(row["shot_at"]),
                size=_size(row["size_in"]),
                mockup_class=row["class"],
                thickness=quantity(row["thickness_in"], "in"),
                reinforcement=Reinforcement.from_json(reinforcement(row)),
            ),
        ),
    )
    name = next(p["name"] for p in s["people"] if p["id"] == row["judged_by"])
    yield Step(
        s.at(row["judged_at"]),
        lambda: judge_panel(
            id=s.id("panel", row["id"], "judgement"),
            by=world.member(row["judged_by"]),
            panel=world.get("panel", row["id"]),
            decision=_DECISIONS[row["result"]],
            decided_at=s.at(row["judged_at"]),
            words=s.words(row["words"]),
            proof=world.proof(row["judged_by"]),
            printed_name=name,
        ),
    )


def _production(world: World, row: Mapping[str, Any]) -> None:
    s = world.scenario
    panel = shoot_panel(
        id=s.id("panel", row["id"]),
        by=world.member(row["witness"]),
        kind=PanelKind.PRODUCTION,
        code=row["id"],
        mix=_mix(world, row),
        position=Position(row["position"]),
        operator=world.get("operator", row["operator"]),
        placement=world.get("placement", row["placement"]),
        shot_from=s.at(row["shot_at"]),
        size=_size([*row["size_in"], row["depth_in"]]),
        laboratory=world.get("firm", "ORG-LAB"),
        witness=world.member(row["witness"]),
        witness_words=row["witness_words"],
    )
    world.keep("panel", row["id"], panel)


def _cores(world: World, panel: str, cores: Iterable[Mapping[str, Any]]) -> Steps:
    """Yield the drilling of a panel's cores, those of one instant in one act."""
    s = world.scenario
    for at, group in groupby(cores, key=lambda core: core["drilled_at"]):
        drilled = list(group)
        yield Step(s.at(at), partial(_drill, world, panel, drilled))


def _drill(world: World, panel: str, cores: list[Mapping[str, Any]]) -> None:
    made = drill_cores(
        by=world.member("LT"),
        panel=world.get("panel", panel),
        cores=[_core(world, panel, core) for core in cores],
    )
    for core, row in zip(cores, made, strict=True):
        world.keep("core", f"{panel}/{core['no']}", row)


def _core(world: World, panel: str, core: Mapping[str, Any]) -> CoreEntry:
    s = world.scenario
    in_place = core.get("age_class") is None
    due = s.maybe_on(core.get("due_on"))
    return CoreEntry(
        id=s.id("panel", panel, "core", core["no"]),
        number=core["no"],
        planned_age_days=core["age"] if in_place else _AGES[core["age_class"]],
        drilled_at=s.at(core["drilled_at"]),
        due_on=due,
        x=quantity(core.get("x_in"), "in"),
        y=quantity(core.get("y_in"), "in"),
        grid=core.get("grid", ""),
        diameter=quantity(3, "in"),
        hole_ok=True if in_place else None,
    )


def _in_place(world: World, row: Mapping[str, Any]) -> Steps:
    s = world.scenario
    substitute = next(
        (line for line in s["substitutes"] if line["core_set"] == row["id"]), None
    )
    known = substitute["proposed_at"] if substitute else f"{row['drilled_on']}T08:30"
    yield Step(s.at(known), lambda: _name_in_place(world, row, substitute))
    shot = next(s.on(p["date"]) for p in s["placements"] if p["id"] == row["placement"])
    age = (s.on(row["test_due"]) - shot).days
    cores = [{**core, "age": age, "due_on": row["test_due"]} for core in row["cores"]]
    yield from _cores(world, row["id"], cores)
    if "rating" in row:
        rating = row["rating"]
        yield Step(s.at(rating["rated_at"]), partial(_rating, world, row["id"], rating))
    if substitute is None:
        return
    yield Step(
        s.at(substitute["accepted_at"]),
        lambda: accept_substitute(
            id=s.id("panel", row["id"], "substitute"),
            by=world.member(substitute["accepted_by"]),
            panel=world.get("panel", row["id"]),
            decided_at=s.at(substitute["accepted_at"]),
            words=substitute.get("note") or row["reason"],
            proof=world.proof(substitute["accepted_by"]),
            printed_name=world.member(substitute["accepted_by"]).user.printed_name,
        ),
    )


def _rating(world: World, panel: str, rating: Mapping[str, Any]) -> None:
    s = world.scenario
    rate_cores(
        id=s.id("panel", panel, "rating"),
        by=world.member(rating["rated_by"]),
        panel=world.get("panel", panel),
        rated_at=s.at(rating["rated_at"]),
        cores=[world.get("core", f"{panel}/{number}") for number in rating["cores"]],
        decision=RatingDecision(rating["decision"]),
        words=s.words(rating["words"]),
    )


def _name_in_place(
    world: World, row: Mapping[str, Any], substitute: Mapping[str, Any] | None
) -> None:
    s = world.scenario
    placement = next(p for p in s["placements"] if p["id"] == row["placement"])
    operator = substitute["operator"] if substitute else None
    n, segment = next(
        (n, segment)
        for n, segment in enumerate(placement["segments"])
        if operator in (None, segment["operator"])
    )
    panel = shoot_panel(
        id=s.id("panel", row["id"]),
        by=world.member(substitute["proposed_by"] if substitute else "BT"),
        kind=PanelKind.IN_PLACE,
        code=row["id"],
        mix=_mix(world, placement),
        position=Position(placement["orientation"]),
        operator=world.get("operator", segment["operator"]),
        placement=world.get("placement", row["placement"]),
        shot_from=s.at(segment["started_at"]),
        stands_for=(
            world.get("nozzle time", f"{row['placement']}/{n}") if substitute else None
        ),
        laboratory=world.get("firm", "ORG-LAB"),
        witness_words=row["reason"],
    )
    world.keep("panel", row["id"], panel)


def _report(world: World, report: Mapping[str, Any]) -> None:
    s = world.scenario
    rows = {row["id"]: row for row in (*s["panels"], *s["in_place_cores"])}
    cores = {core["no"]: core for core in rows[report["panel"]]["cores"]}
    enter_lab_report(
        id=s.id("lab report", report["id"]),
        by=world.member("LT"),
        number=report["id"],
        results=[
            _result(world, report, line, cores[line["core"]])
            for line in report["results"]
        ],
        received_at=s.at(report["received_at"]),
        issued_on=s.on(report["received_at"]),
        test_method=report["method"],
        authorised_by=world.member(report["authorized_by"]).user.printed_name,
        remarks=report["note"] or "",
    )


def _result(
    world: World,
    report: Mapping[str, Any],
    line: Mapping[str, Any],
    core: Mapping[str, Any],
) -> ResultEntry:
    s = world.scenario
    return ResultEntry(
        id=s.id("lab report", report["id"], line["core"]),
        core=world.get("core", f"{report['panel']}/{line['core']}"),
        tested_at=s.at(core["tested_at"]),
        d1=quantity(core["d1_in"], "in"),
        d2=quantity(core["d2_in"], "in"),
        length_drilled=quantity(core["length_drilled_in"], "in"),
        length_tested=quantity(core["length_tested_in"], "in"),
        breaking_load=quantity(core["load_lbf"], "lbf"),
        conditioning=core["conditioning"],
        reinforcement=(
            CoreReinforcement.BAR if core["reinforcement"] else CoreReinforcement.NONE
        ),
        damage=core["damage"] or "",
        fracture=core["fracture"],
        density=quantity(line["density_pcf"], "pcf"),
        lab_number=core["lab_no"],
    )
