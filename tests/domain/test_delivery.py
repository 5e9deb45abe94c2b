"""Loads: contradictions as flags, never as errors, whatever the clock did."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from inspections.domain.delivery import (
    LoadFacts,
    load_flags,
    ticket_flags,
    volume_flags,
)
from inspections.domain.load_age import load_age
from project.domain.units import Quantity
from project.domain.verdict import Ref, State
from tests.support.scenario import EXPECTED, SCENARIO

DENVER = ZoneInfo("America/Denver")
PLACEMENT = Ref("placement", "p1", "PL-003")


def at(text):
    return datetime.fromisoformat(f"2026-08-06T{text}").replace(tzinfo=DENVER)


def yards(text):
    return Quantity(Decimal(text), "yd3")


def load(name="load 1", **given):
    facts = {
        "ref": Ref("load", name.replace(" ", "-"), name),
        "plant": "plant 2",
        "ticket": "52187",
        "volume": yards("4.20"),
        "batched_at": at("06:26"),
        "arrived_at": at("06:56"),
        "first_shot_at": at("07:00"),
        "last_shot_at": at("07:54"),
        "returned": None,
        "accepted": True,
    }
    return LoadFacts(**facts | given)


def keys(flags):
    return [flag.key for flag in flags]


def test_an_ordinary_load_has_no_flag():
    assert load_flags(load()) == ()


@pytest.mark.parametrize(
    ("given", "key", "said"),
    [
        ({"last_shot_at": at("06:20"), "first_shot_at": None, "arrived_at": None},
         "shot before it was batched", "load 1: last shot 6 min before batched"),
        ({"first_shot_at": at("06:25"), "arrived_at": None},
         "shot before it was batched", "load 1: first shot 1 min before batched"),
        ({"arrived_at": at("06:16"), "first_shot_at": None, "last_shot_at": None},
         "arrived before it was batched", "load 1: arrived 10 min before batched"),
        ({"batched_at": None, "first_shot_at": None, "last_shot_at": at("06:50")},
         "shot before it arrived", "load 1: last shot 6 min before arrived"),
        ({"last_shot_at": at("06:59")}, "last shot before it was first shot",
         "load 1: last shot 1 min before first shot"),
        ({"accepted": False}, "refused, yet shot",
         "load 1: refused, yet a last shot is given"),
        ({"returned": yards("4.21")}, "more returned than delivered",
         "load 1: 4.21 yd3 returned of 4.20 yd3"),
    ],
)  # fmt: skip
def test_each_contradiction_alone_is_one_flag_with_its_figures(given, key, said):
    (flag,) = load_flags(load(**given))
    assert flag.key == key
    assert flag.words == said
    assert flag.records == (Ref("load", "load-1", "load 1"),)


def test_all_contradictions_of_one_load_are_told():
    found = load_flags(load(batched_at=at("09:00"), accepted=False))
    assert keys(found) == [
        "arrived before it was batched",
        "shot before it was batched",
        "refused, yet shot",
    ]


def test_the_same_minute_is_no_contradiction():
    same = at("07:00")
    assert (
        load_flags(load(arrived_at=same, first_shot_at=same, last_shot_at=same)) == ()
    )


def test_missing_times_are_no_contradiction():
    nothing = dict.fromkeys(
        ("batched_at", "arrived_at", "first_shot_at", "last_shot_at", "volume")
    )
    assert load_flags(load(**nothing)) == ()


def test_a_second_ticket_of_the_same_number_flags_all_that_carry_it():
    loads = [
        load("load 1"),
        load("load 2", ticket=" 52187 "),
        load("load 3", ticket="52188"),
        load("load 4", plant="plant 3"),
        load("load 5", plant="Plant 2", ticket="52187"),
    ]
    (flag,) = ticket_flags(loads)
    assert flag.key == "second ticket of the same number"
    assert flag.words == "ticket 52187 stands on 3 loads: load 1, load 2, load 5"
    assert [ref.name for ref in flag.records] == ["load 1", "load 2", "load 5"]


def test_bags_without_a_ticket_are_not_second_tickets():
    assert ticket_flags([load("bag 1", ticket=""), load("bag 2", ticket=" ")]) == ()


def test_the_mark_of_a_flag_does_not_depend_on_the_order_of_its_records():
    one = ticket_flags([load("load 1"), load("load 2")])[0]
    two = ticket_flags([load("load 2"), load("load 1")])[0]
    assert one.mark == two.mark == "second ticket of the same number:load-1,load-2"


def test_volume_beyond_the_loads_is_flagged_with_both_volumes():
    loads = [load("load 1"), load("load 2", ticket="52188", returned=yards("0.25"))]
    placed = [yards("6.00"), yards("2.20")]
    (flag,) = volume_flags(PLACEMENT, placed=placed, loads=loads)
    assert flag.words == "PL-003: 8.20 yd3 placed, 8.15 yd3 delivered by 2 loads"
    assert [ref.name for ref in flag.records] == ["PL-003", "load 1", "load 2"]


def test_volume_up_to_the_loads_exactly_is_no_flag():
    assert volume_flags(PLACEMENT, placed=[yards("4.20")], loads=[load()]) == ()
    over = volume_flags(PLACEMENT, placed=[yards("4.2001")], loads=[load()])
    assert keys(over) == ["volume beyond the loads"]


def test_a_refused_load_brings_nothing():
    loads = [load(), load("load 2", ticket="52188", accepted=False)]
    assert volume_flags(PLACEMENT, placed=[yards("5.00")], loads=loads)


def test_without_loads_or_volumes_there_is_nothing_to_compare():
    assert volume_flags(PLACEMENT, placed=[yards("5")], loads=[]) == ()
    assert volume_flags(PLACEMENT, placed=[], loads=[load()]) == ()
    assert volume_flags(PLACEMENT, placed=[yards("5")], loads=[load(volume=None)]) == ()


def test_units_may_differ_between_placed_and_delivered():
    # 1 yd3 = 0.764554857984 m3 exactly (3 ft of 0.3048 m, cubed)
    metric = Quantity(Decimal("0.764554857984"), "m3")
    assert (
        volume_flags(PLACEMENT, placed=[metric], loads=[load(volume=yards("1"))]) == ()
    )
    more = Quantity(Decimal("0.764554857985"), "m3")
    assert volume_flags(PLACEMENT, placed=[more], loads=[load(volume=yards("1"))])


def test_a_load_across_a_clock_change_contradicts_nothing():
    # 1 November 2026: clocks in Denver go back at 02:00. Oracle: UTC arithmetic.
    batched = datetime(2026, 11, 1, 1, 50, tzinfo=DENVER)
    shot = datetime(2026, 11, 1, 1, 20, tzinfo=DENVER, fold=1)
    facts = load(
        batched_at=batched, arrived_at=None, first_shot_at=None, last_shot_at=shot
    )
    assert shot.astimezone(UTC) - batched.astimezone(UTC) == timedelta(minutes=30)
    assert load_flags(facts) == ()
    (flag,) = load_flags(replace(facts, batched_at=shot, last_shot_at=batched))
    assert flag.words == "load 1: last shot 30 min before batched"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"batched_at": datetime(2026, 8, 6, 6)}, "batched_at"),  # noqa: DTZ001
        ({"volume": Quantity(Decimal(4), "in")}, "volume 4 in: a volume is needed"),
        ({"returned": Quantity(Decimal(4), "lb")}, "returned 4 lb: a volume"),
    ],
)
def test_facts_that_are_no_facts_are_refused(given, said):
    with pytest.raises(ValueError, match=said):
        load(**given)


def scenario_load(placement, raw):
    def instant(name):
        text = raw.get(name)
        return datetime.fromisoformat(text).replace(tzinfo=DENVER) if text else None

    returned = raw.get("returned_yd3")
    return LoadFacts(
        ref=Ref("load", f"{placement['id']}-{raw['seq']}", f"load {raw['seq']}"),
        plant="plant 2",
        ticket=raw.get("ticket") or "",
        volume=yards(str(raw["volume_yd3"])),
        batched_at=instant("batched_at"),
        arrived_at=instant("arrived_at"),
        first_shot_at=instant("first_shot_at"),
        last_shot_at=instant("last_shot_at"),
        returned=None if returned is None else yards(str(returned)),
        accepted=raw["accepted"],
    )


def age_of(one):
    """Return a load's state and minutes under the scenario's 90, or nothing."""
    limit = Quantity(Decimal(90), "min")
    verdict = load_age(
        one.batched_at, last_shot_at=one.last_shot_at, terms=None, mix_limit=limit
    )
    if verdict.working is None:
        return None
    return verdict.state, int(verdict.working().exact.value)


def test_the_scenarios_loads_contradict_nothing_and_have_these_ages():
    ages, loads = {}, []
    for placement in SCENARIO["placements"]:
        mine = [scenario_load(placement, raw) for raw in placement["loads_list"]]
        placed = [yards(str(s["neat_yd3"])) for s in placement["segments"]]
        ref = Ref("placement", placement["id"], placement["id"])
        assert volume_flags(ref, placed=placed, loads=mine) == ()
        for one in mine:
            assert load_flags(one) == (), one
            ages[one.ref.id] = age_of(one)
        loads += mine
    assert ticket_flags(loads) == ()
    trucks = {name: age for name, age in ages.items() if age is not None}
    # the scenario's own conclusions: one late load of 112 min, the rest up to 88
    (late,) = EXPECTED["loads"]["late"]
    name = f"{late['placement']}-{late['load']}"
    assert trucks.pop(name) == (State.FAIL, late["age_min"])
    assert {state for state, _ in trucks.values()} == {State.PASS}
    oldest = max(minutes for _, minutes in trucks.values())
    assert oldest == EXPECTED["loads"]["oldest_within_limit"]
