"""Mock-ups, production panels, in-place cores, and what the laboratory reported."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from crews.actions import laboratory as lab_acts
from crews.actions import panels as acts
from crews.domain.trade_words import DecisionOutcome, Method, PanelKind
from inspections.management.demo.contract import reinforcement
from inspections.management.demo.scenario import Step, Steps, quantity
from inspections.management.demo.world import World
from project.domain.shooting_words import Position

_DECISIONS = {
    "accepted": DecisionOutcome.ACCEPTED,
    "accepted-supervised": DecisionOutcome.ACCEPTED_UNDER_SUPERVISION,
    "rejected": DecisionOutcome.REJECTED,
}
_AGES = {"7d": 7, "28d": 28}
