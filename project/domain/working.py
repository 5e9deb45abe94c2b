"""A working: the inputs, the steps and the rounding behind one figure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from project.domain.units import Quantity

if TYPE_CHECKING:
    from project.domain.verdict import Source


@dataclass(frozen=True, slots=True)
class Named:
    """One input by its field name, as it was typed."""

    name: str
    quantity: Quantity


@dataclass(frozen=True, slots=True)
class Step:
    """One line of arithmetic with the numbers put in, and its source."""

    name: str
    line: str
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Used:
    """One setting a figure was made under: the term's name, its value, its source."""

    term: str
    value: str
    source: Source


@dataclass(frozen=True, slots=True)
class Working:
    """How one figure came about; built when it is asked for, never in a loop.

    `settings` are the contract's settings that decided between interpretations.
    """

    title: str
    inputs: tuple[Named, ...]
    steps: tuple[Step, ...]
    exact: Quantity
    reported: Quantity
    rounding: str
    settings: tuple[Used, ...] = ()
