"""The job, its people, its terms, elements, parts and mixes."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from functools import partial
from typing import Any

from inspections.management.demo.contract_terms import departures_of
from inspections.management.demo.scenario import (
    Scenario,
    Step,
    Steps,
    bounds,
    columns,
)
from inspections.management.demo.world import PASSWORD, World
from project.actions import accounts, jobs
from project.domain.editions import IBC_2018
from project.domain.reinforcement import BarWay, Curtain
from project.domain.roles import Role

_KINDS = {
    "engineer": "designer",
    "architect": "designer",
    "building official": "authority",
}
_ROLES = {"inspection-agency reviewer": Role.AGENCY_REVIEWER}


def contract(world: World) -> Steps:
    """Yield the acts that open the book."""
    s = world.scenario
    opened = s.at(s["setup"]["job_and_terms"])
    yield Step(opened, lambda: _firms_and_people(world))
    yield Step(opened, lambda: _job(world))
    yield Step(s.at(s["setup"]["members"]), lambda: _members(world))
    for row in s["terms"]:
        at = max(s.at(row["recorded_at"]), s.at(s["setup"]["members"]))
        yield Step(at, partial(_terms, world, row))
    yield Step(s.at(s["setup"]["elements"]), lambda: _elements(world))
    for mix in s["mixes"].values():
        for revision in mix["revisions"]:
            yield from _mix(world, mix, revision)


def _firms_and_people(world: World) -> None:
    s = world.scenario
    people = [p for p in s["people"] if "username" in p]
    first = next(p for p in people if "job administrator" in p["roles"])
    for person in [first, *(p for p in people if p is not first)]:
        user = accounts.enter_user(
            id=s.id("person", person["id"]),
            by=world.rows.get("user", {}).get(first["id"]),
            email=email_of(person),
            printed_name=person["name"],
            password=PASSWORD,
        )
        world.keep("user", person["id"], user)
    for firm in s["organizations"]:
        row = accounts.enter_organization(
            id=s.id("firm", firm["id"]),
            by=world.get("user", first["id"]),
            code=firm["id"],
            name=firm["name"],
            kind=_KINDS.get(firm["kind"], firm["kind"]),
        )
        world.keep("firm", firm["id"], row)


def email_of(person: Mapping[str, Any]) -> str:
    """Return the address a person of the demo signs in with."""
    return f"{person['username']}@tarnhollow.example"


def _job(world: World) -> None:
    s = world.scenario
    facts = s["job"]
    job = jobs.create_job(
        id=s.id(),
        by=world.get("user", "WA"),
        code=facts["id"],
        name=facts["name"],
        contract_number=facts["contract"],
        owner=world.get("firm", facts["owner"]),
        zone=facts["zone"],
        unit_system=facts["units"].upper(),
        week_starts_on=0,
        paper="Letter",
        language=facts["language"],
        non_working_days={s.on(h["date"]): h["name"] for h in facts["holidays"]},
    )
    world.keep("job", facts["id"], job)


def _members(world: World) -> None:
    s = world.scenario
    job = world.get("job", s.code)
    for person in s["people"]:
        if "username" not in person:
            continue
        role = person["roles"][0]
        member = accounts.grant_membership(
            id=s.id("member", person["id"]),
            by=world.get("user", "WA"),
            job=job,
            user=world.get("user", person["id"]),
            role=_ROLES.get(role) or Role(role),
            organization=world.get("firm", person["organization"]),
            from_on=s.on(s["setup"]["members"]),
            title=person["title"],
            may_sign_alone=True,
        )
        world.keep("member", person["id"], member)


def _terms(world: World, row: Mapping[str, Any]) -> None:
    s = world.scenario
    jobs.revise_terms(
        id=s.id("terms", row["revision"]),
        by=world.member("WA"),
        number=row["revision"],
        edition=IBC_2018.key,
        effective_on=s.on(row["effective"]),
        departures=departures_of(row),
    )


def _elements(world: World) -> None:
    s = world.scenario
    for order, element in enumerate(s["elements"], start=1):
        row = jobs.add_element(
            id=s.id("element", element["id"]),
            by=world.member("WA"),
            code=element["id"],
            name=element["name"],
            drawing=element["drawing"],
            order=order,
        )
        for place, part in enumerate(element["parts"], start=1):
            revision = jobs.add_part(
                id=s.id("part", part["code"]),
                by=world.member("WA"),
                element=row,
                code=part["code"],
                order=place,
                **_part(s, part, drawing=element["drawing"]),
            )
            world.keep("part", part["code"], revision.part)
            _coats(world, part)


def _coats(world: World, part: Mapping[str, Any]) -> None:
    for coat in part["coats"]:
        jobs.add_coat(
            id=world.scenario.id("part", part["code"], "coat", coat["order"]),
            by=world.member("WA"),
            part=world.get("part", part["code"]),
            order=coat["order"],
            mix_code=coat["mix"],
            owes_panels=coat["owes_panels"],
            **columns("thickness", coat["thickness_in"], "in"),
        )


def _part(s: Scenario, part: Mapping[str, Any], *, drawing: str) -> dict[str, Any]:
    face = part.get("face") or {}
    cover_up = part["cover_up"] or {}
    tolerance = part["tolerance_in"]
    facts = {
        "name": part["name"],
        "position": part["position"],
        "unrolled": face.get("kind") not in (None, "elevation"),
        "drawing": drawing,
        "reinforcement": reinforcement(part),
        "finish": part["finish"],
        "tolerances": [
            {
                "what": "thickness",
                "low": str(tolerance["low"]),
                "high": str(tolerance["high"]),
                "unit": "in",
            }
        ],
        "features": part["has"],
        "mix_code": part["mix"],
        "mockup_class": part["mockup_class"],
        "mockup_by_contract": True,
        "trainee_allowed": part["trainee_allowed"],
        "cover_up_on": s.maybe_on(cover_up.get("planned")),
        "cover_up_what": cover_up.get("what", ""),
    }
    facts |= columns("area", part["area_ft2"], "ft2")
    facts |= columns("thickness", part["thickness_in"], "in")
    facts |= columns("cover", part.get("cover_in"), "in")
    if face.get("length_ft") is not None:
        facts |= {
            "face_length": Decimal(str(face["length_ft"])),
            "face_height": Decimal(str(face["height_ft"])),
            "face_unit": "ft",
        }
    if face.get("station_from_ft") is not None:
        facts |= {
            "origin_station": Decimal(str(face["station_from_ft"])),
            "origin_elevation": Decimal(str(face.get("elevation_from_ft", 0))),
            "origin_unit": "ft",
        }
    return facts


def reinforcement(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return the bars of a part or a mock-up, mat by mat and curtain by curtain."""
    curtains = [Curtain.NEARER, Curtain.FARTHER][: row["curtains"]]
    mats = [_mat(bar, curtain) for curtain in curtains for bar in row["bars"]]
    splice = row["splice"]
    found: dict[str, Any] = {"kind": splice["kind"]}
    if splice.get("clear_in") is not None:
        found["clear"] = [str(splice["clear_in"]), "in"]
    for name in ("staggered", "existing"):
        if splice.get(name):
            found[name] = True
    return {"mats": mats, "splice": found}


def _mat(bar: Mapping[str, Any], curtain: Curtain) -> dict[str, Any]:
    mat: dict[str, Any] = {
        "curtain": curtain.value,
        "way": BarWay(bar["direction"]).value,
        "bar": f"No. {bar['size_no']}",
        "spacing": [str(bar["spacing_in"]), "in"],
    }
    if bar.get("existing"):
        mat["existing"] = True
    if bar.get("gap_behind_in") is not None:
        mat["gap_behind"] = [str(bar["gap_behind_in"]), "in"]
    return mat


def _mix(world: World, mix: Mapping[str, Any], revision: Mapping[str, Any]) -> Steps:
    s = world.scenario
    key = f"{mix['code']} rev {revision['rev']}"
    entered = max(s.at(s["setup"]["members"]), s.at(f"{revision['submitted']}T09:00"))
    yield Step(
        entered,
        lambda: world.keep("mix", key, _enter_mix(world, mix, revision)),
    )
    if revision["approved"] is None:
        return
    yield Step(
        s.at(f"{revision['approved']}T09:00"),
        lambda: world.keep(
            "mix",
            key,
            jobs.approve_mix(
                id=s.id("mix", key, "approved"),
                by=world.member(revision["approved_by"]),
                mix=world.get("mix", key),
                on=s.on(revision["approved"]),
                placing_properties_changed=revision["placing_properties_changed"],
            ),
        ),
    )


def _enter_mix(
    world: World, mix: Mapping[str, Any], revision: Mapping[str, Any]
) -> Any:
    s = world.scenario
    return jobs.revise_mix(
        id=s.id("mix", f"{mix['code']} rev {revision['rev']}"),
        by=world.member("WA"),
        code=mix["code"],
        revision=revision["rev"],
        process=mix["proc"],
        description=mix["desc"],
        supplier=world.get("firm", mix["supplier"]),
        test_age_days=mix["test_age_d"],
        temperature_low=Decimal(mix["tmin"]),
        temperature_high=Decimal(mix["tmax"]),
        temperature_unit="F",
        silica_fume=mix["silica_fume"],
        fibre=mix.get("fiber") or "",
        submitted_on=s.on(revision["submitted"]),
        answer=revision.get("state", ""),
        **columns("f_c", mix["fc"], "psi"),
        **columns("aggregate", mix["aggregate_in"], "in"),
        **bounds("slump", mix["slump"], "in"),
        **bounds("air", mix["air"], "percent"),
        **bounds("unit_weight", mix["unit_wt"], "pcf"),
        **bounds("accelerator", mix["accelerator"], "percent"),
        **columns("load_age_limit", mix["load_age_min"], "min"),
        **columns("evaporation_limit", mix["ev"], "lb/ft2/h"),
        **columns("bag_mass", mix.get("bag_lb"), "lb"),
        **columns("bag_yield", mix.get("bag_yield_yd3"), "yd3"),
    )
