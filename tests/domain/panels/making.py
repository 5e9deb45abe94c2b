"""Cells, panels and terms for the panel tests."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from crews.domain.panel_ledger import Made
from crews.domain.sampling import Cell
from project.domain.editions import (
    IBC_2018,
    Departure,
    aci_506_2_13_panels,
    resolve,
)
from project.domain.terms import Terms
from project.domain.units import Quantity

DAY = date(2026, 8, 13)
MIX = "W-45A rev 2"


def yards(value: object) -> Quantity:
    return Quantity(Decimal(str(value)), "yd3")


def make_terms(*, limit: Quantity | None = None, **changed: Any) -> Terms:
    """Return terms that count as ACI 506.2-13 does, changed by name."""
    departures = aci_506_2_13_panels("contract specification")
    for name, value in changed.items():
        departures[name] = Departure(value, None, "tested")
    if limit is not None:
        departures["panel_volume"] = Departure(limit.value, limit.unit, "tested")
    return resolve(IBC_2018.key, revision=1, effective_on=DAY, departures=departures)


def make_cell(operator: str = "OP-01", **changed: Any) -> Cell:
    given: dict[str, Any] = {
        "shift": "day",
        "mix": MIX,
        "rig": "RIG-A1",
        "position": "vertical",
        "volume": yards(10),
        **changed,
    }
    return Cell(given.pop("work_date", DAY), operator=operator, **given)


def make_panel(panel: str = "TP-001", operator: str = "OP-01", **changed: Any) -> Made:
    given: dict[str, Any] = {
        "kind": "production",
        "work_date": DAY,
        "mix": MIX,
        "shift": "day",
        "rig": "RIG-A1",
        "position": "vertical",
        **changed,
    }
    return Made(panel, operator=operator, **given)
