"""What the inspectors wrote down: sheets, rounds, loads, weather, readings."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from functools import partial
from typing import Any

from inspections.actions.loads import (
    LoadAsCame,
    finish_load,
    record_fresh_test,
    record_load,
)
from inspections.actions.readings import Measured, record_readings
from inspections.actions.reports import add_remark, open_report, record_weather
from inspections.actions.rounds import Finding, Walk, record_round
from inspections.actions.signing import review_report, sign_report
from inspections.domain.catalogue import AnswerState, RoundKind, Severity
from inspections.domain.observed import FreshTestKind, LoadKind, RemarkKind
from inspections.domain.rounds import RoundAnswer
from inspections.management.demo.scenario import Step, Steps, known_quantity, quantity
from inspections.management.demo.world import World
from inspections.queries.catalogue import CURRENT
from inspections.queries.content import content_now
from project import clock
from project.domain.canonical import sha256_of
from project.queries.jobs import now_on

_ANSWERS = {
    "ok": AnswerState.RIGHT,
    "deficient": AnswerState.DEFICIENT,
    "na": AnswerState.DOES_NOT_APPLY,
    "not_observed": AnswerState.NOT_LOOKED_AT,
}
_UNITS = {"degF": "F"}
_TESTS = (
    ("slump_in", FreshTestKind.SLUMP, "in"),
    ("air_pct", FreshTestKind.AIR, "percent"),
    ("temp_f", FreshTestKind.TEMPERATURE, "F"),
    ("unit_wt", FreshTestKind.UNIT_WEIGHT, "pcf"),
)


def seen(world: World) -> Steps:
    """Yield what stands on each sheet, and each sheet's signing and review."""
    s = world.scenario
    sheets = {row["placement"]: row for row in s["reports"]}
    for row in s["placements"]:
        opened = s.at(row["inspector_present"][0][0])
        yield Step(opened, partial(_open, world, row))
        for line in row["weather"]:
            yield Step(s.at(line["at"]), partial(_weather, world, row, line))
        for load in row["loads_list"]:
            yield from _load(world, row, load)
        for n, walk in enumerate(row["rounds"]):
            yield Step(
                s.at(walk["at"]),
                partial(_round, world, row, n, walk),
            )
        finished = s.at(row["finish"]["finished_at"])
        yield Step(finished, partial(_thickness, world, row))
        yield from _signing(world, row, sheets[row["id"]])
    for n, walk in enumerate(s["late_rounds"]):
        yield Step(s.at(walk["at"]), partial(_late_round, world, n, walk))


def _open(world: World, row: Mapping[str, Any]) -> None:
    report = open_report(
        id=world.scenario.id("report", row["report"]),
        by=world.member(row["inspector"]),
        shift=world.get("shift", row["id"]),
    )
    world.keep("report", row["id"], report)


def _weather(world: World, row: Mapping[str, Any], line: Mapping[str, Any]) -> None:
    s = world.scenario
    record_weather(
        id=s.id("placement", row["id"], "weather", line["at"]),
        by=world.member(row["inspector"]),
        report=world.get("report", row["id"]),
        at=s.at(line["at"]),
        air=quantity(line["air_f"], "F"),
        humidity=quantity(line["rh_pct"], "percent"),
        wind=quantity(line["wind_mph"], "mph"),
        concrete=quantity(line["concrete_f"], "F"),
        sky=line.get("sky", ""),
    )


def _load(world: World, row: Mapping[str, Any], load: Mapping[str, Any]) -> Steps:
    s = world.scenario
    came = load.get("first_shot_at") or load.get("refused_at") or load["arrived_at"]
    tests = load.get("tests") or []
    written = max([s.at(came), *(s.at(test["at"]) for test in tests)])
    yield Step(written, lambda: _record_load(world, row, load))
    for n, test in enumerate(tests):
        yield Step(written, partial(_tests, world, row, load, n, test))
    if load["last_shot_at"] is not None:
        yield Step(
            max(s.at(load["last_shot_at"]), written),
            lambda: finish_load(
                by=world.member(row["inspector"]),
                load=world.get("load", f"{row['id']}/{load['seq']}"),
                last_shot_at=s.at(load["last_shot_at"]),
                returned=quantity(load["returned_yd3"], "yd3"),
            ),
        )


def _record_load(world: World, row: Mapping[str, Any], load: Mapping[str, Any]) -> None:
    s = world.scenario
    truck = load["kind"] == "truck"
    mix = world.get("mix", f"{row['mix']} rev {row['mix_revision']}")
    came = LoadAsCame(
        kind=LoadKind.TRUCK if truck else LoadKind.BAG,
        volume=known_quantity(load["volume_yd3"], "yd3"),
        supplier=mix.supplier,
        truck=load.get("truck", ""),
        ticket=load.get("ticket", ""),
        lot="" if truck else f"{load['lot']}, {load['bag_no']}",
        mix_revision=mix,
        mix_as_printed=row["mix"],
        batched_at=s.maybe_at(load.get("batched_at")),
        arrived_at=s.maybe_at(load.get("arrived_at") or load.get("opened_at")),
        first_shot_at=s.maybe_at(load.get("first_shot_at")),
        water_added=quantity(load.get("water_added_gal"), "gal"),
        accepted=load["accepted"],
        refused_because=load.get("refused_reason", ""),
    )
    kept = record_load(
        id=s.id("placement", row["id"], "load", load["seq"]),
        by=world.member(row["inspector"]),
        shift=world.get("shift", row["id"]),
        report=world.get("report", row["id"]),
        placement=world.get("placement", row["id"]),
        load=came,
    )
    world.keep("load", f"{row['id']}/{load['seq']}", kept)


def _tests(
    world: World,
    row: Mapping[str, Any],
    load: Mapping[str, Any],
    n: int,
    test: Mapping[str, Any],
) -> None:
    s = world.scenario
    for key, kind, unit in _TESTS:
        if key in test:
            record_fresh_test(
                id=s.id("placement", row["id"], "load", load["seq"], n, key),
                by=world.member(row["inspector"]),
                load=world.get("load", f"{row['id']}/{load['seq']}"),
                at=s.at(test["at"]),
                kind=kind,
                value=known_quantity(test[key], unit),
                retest=test.get("retest", False),
            )


def _answer(row: Mapping[str, Any], words: str) -> RoundAnswer:
    unit = row.get("unit")
    return RoundAnswer(
        item=row["item"],
        answer=_ANSWERS[row["status"]],
        value=quantity(row.get("value"), _UNITS.get(unit, unit) if unit else "1"),
        note=words,
    )


def _walk(world: World, walk: Mapping[str, Any], **where: Any) -> Walk:
    """Return a walk; what was seen before and is still open is named, not opened."""
    s = world.scenario
    findings = {}
    told = {row["id"]: row for row in s["deficiencies"]}
    for answer in walk["answers"]:
        code = answer.get("deficiency")
        if code is not None:
            row = told[code]
            findings[answer["item"]] = Finding(
                place=row["place"],
                words=s.words(row["words"]),
                severity=Severity(row["severity"]),
                already=world.rows.get("deficiency", {}).get(code),
            )
    return Walk(
        kinds=[RoundKind(kind) for kind in walk["kind"]],
        at=s.at(walk["at"]),
        edition=CURRENT,
        answers=[_answer(a, s.words(a.get("note"))) for a in walk["answers"]],
        rest=_ANSWERS[walk["rest"]],
        findings=findings,
        **where,
    )


def _round(
    world: World, row: Mapping[str, Any], n: int, walk: Mapping[str, Any]
) -> None:
    s = world.scenario
    made = record_round(
        id=s.id("placement", row["id"], "round", n),
        by=world.member(walk["by"]),
        report=world.get("report", row["id"]),
        walk=_walk(world, walk, placement=world.get("placement", row["id"])),
    )
    world.found(made, walk)


def _late_round(world: World, n: int, walk: Mapping[str, Any]) -> None:
    made = record_round(
        id=world.scenario.id("late round", n),
        by=world.member(walk["by"]),
        report=None,
        walk=_walk(world, walk, part=world.get("part", walk["part_code"])),
    )
    world.found(made, walk)


def _thickness(world: World, row: Mapping[str, Any]) -> None:
    s = world.scenario
    readings = row["thickness_readings"]
    if readings:
        record_readings(
            id=s.id("placement", row["id"], "thickness"),
            by=world.member(row["inspector"]),
            report=world.get("report", row["id"]),
            kind="thickness",
            at=s.at(row["finish"]["finished_at"]),
            readings=[
                Measured(known_quantity(line["reading_in"], "in"), line["grid"])
                for line in readings
            ],
            placement=world.get("placement", row["id"]),
            means=readings[0]["method"],
        )


def _signing(world: World, row: Mapping[str, Any], sheet: Mapping[str, Any]) -> Steps:
    s = world.scenario
    signed = s.at(sheet["signed_at"])
    if row["note"]:
        # A remark is part of the sheet, so it comes before the signature.
        yield Step(
            min(signed, s.at(row["inspector_present"][-1][1])) - timedelta(minutes=1),
            lambda: add_remark(
                id=s.id("report", row["report"], "note"),
                by=world.member(row["inspector"]),
                report=world.get("report", row["id"]),
                kind=RemarkKind.NOTE,
                words=s.words(row["note"]),
                at=clock.now(),
            ),
        )
    yield Step(signed, lambda: _sign(world, row, sheet))
    yield Step(
        s.at(sheet["reviewed_at"]),
        lambda: review_report(
            id=s.id("report", row["report"], "review"),
            by=world.member(sheet["reviewed_by"]),
            report=world.get("report", row["id"]),
            printed_name=world.member(sheet["reviewed_by"]).user.printed_name,
            meaning=_meaning(world, row["report"], sheet["reviewed_by"]),
            proof=world.proof(sheet["reviewed_by"]),
        ),
    )


def _meaning(world: World, record: str, person: str) -> str:
    return next(
        str(line["meaning"])
        for line in world.scenario["signatures"]
        if line["record"] == record and line["by"] == person
    )


def _sign(world: World, row: Mapping[str, Any], sheet: Mapping[str, Any]) -> None:
    report = world.get("report", row["id"])
    by = world.member(sheet["inspector"])
    shown = content_now(report, known_at=now_on(by.job))
    sign_report(
        id=world.scenario.id("report", row["report"], "signed"),
        by=by,
        report=report,
        content_sha256=sha256_of(shown),
        conforming=not sheet["conclusion"].startswith("not"),
        printed_name=by.user.printed_name,
        meaning=_meaning(world, row["report"], sheet["inspector"]),
        statement=sheet["conclusion"],
        proof=world.proof(sheet["inspector"]),
    )
