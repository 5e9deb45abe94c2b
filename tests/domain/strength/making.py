"""Cores, sets and terms for the strength tests, sound unless a test says otherwise."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from crews.domain.core_facts import CorePlace, CoreTest, PanelShape
from crews.domain.strength_set import StrengthSet
from project.domain.editions import IBC_2018, Departure, resolve
from project.domain.terms import Terms
from project.domain.units import Quantity

SHOT_AT = datetime(2026, 8, 4, 15, 35, tzinfo=UTC)
SHOT_ON = date(2026, 8, 4)


def inches(value: str) -> Quantity:
    return Quantity(Decimal(value), "in")


def make_terms(**changed: object) -> Terms:
    """Return the IBC's terms with an edge zone and a coring time, changed by name."""
    given: dict[str, Any] = {
        "edge_zone_depths": Decimal(1),
        "edge_zone_add": inches("1"),
        "core_after": Quantity(Decimal(48), "h"),
        **changed,
    }
    departures = {
        name: Departure(value.value, value.unit, "tested")
        if isinstance(value, Quantity)
        else Departure(value, None, "tested")
        for name, value in given.items()
    }
    return resolve(
        IBC_2018.key, revision=1, effective_on=SHOT_ON, departures=departures
    )


def make_core(**changed: Any) -> CoreTest:
    """Return a sound core of 3 x 4.5 in. from the middle of a 24 x 24 x 5 in. panel."""
    days = changed.pop("tested_after_d", 28)
    given: dict[str, Any] = {
        "core": "TP-901/3",
        "planned_age": 28,
        "d1": inches("3.00"),
        "d2": inches("3.00"),
        "diameter": inches("3"),
        "length": inches("4.5"),
        "length_drilled": inches("4.9"),
        "load": Quantity(Decimal(38500), "lbf"),
        "conditioning": "soaked",
        "reinforcement": "none",
        "shot_on": SHOT_ON,
        "shot_at": SHOT_AT,
        "drilled_at": SHOT_AT + timedelta(days=20),
        "tested_on": SHOT_ON + timedelta(days=days),
        "place": CorePlace(inches("12"), inches("12")),
        "shape": PanelShape(inches("24"), inches("24"), inches("5")),
        **changed,
    }
    return CoreTest(given.pop("core"), **given)


def untested(**changed: Any) -> CoreTest:
    """Return a core that is drilled and waits for its day."""
    nothing = dict.fromkeys(("d1", "d2", "length", "length_drilled", "load"))
    return make_core(
        **{**nothing, "conditioning": "", "reinforcement": "", "tested_on": None}
        | changed
    )


def stated(core: str, strength: str, unit: str = "psi", **changed: Any) -> CoreTest:
    """Return a core whose laboratory states a strength and nothing of its size."""
    nothing = dict.fromkeys(("d1", "d2", "length", "length_drilled", "load"))
    strength_q = Quantity(Decimal(strength), unit)
    return make_core(**{**nothing, "core": core, "strength": strength_q} | changed)


def make_set(*cores: CoreTest, **changed: Any) -> StrengthSet:
    """Return a set of 28-day cores of a 4,000 psi mix."""
    given: dict[str, Any] = {
        "mix": "W-40 rev 1",
        "f_c": Quantity(Decimal(4000), "psi"),
        "age": 28,
        "due_on": date(2026, 9, 1),
        **changed,
    }
    return StrengthSet("TP-901", cores=cores, **given)
