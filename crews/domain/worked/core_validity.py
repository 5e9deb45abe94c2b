"""Whether a core may count, as a calculation that says what it takes."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from crews.domain.core_facts import CorePlace, CoreTest, PanelShape
from crews.domain.core_strength import LD_MOST
from crews.domain.core_validity import (
    C42_LENGTH,
    C1604_SOUND,
    SAWN_LEAST,
    core_validity,
)
from crews.domain.worked.core_strength import GROUP
from crews.domain.worked.specimens import (
    DENSITY,
    SEEN,
    length_field,
    load_field,
    specimen_of,
    strength_field,
)
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.working import Named, Step, Working

_AS_COMPUTED = "none: as computed"
_SIDES = ("panel_length", "panel_width", "panel_depth")
_PANEL = (
    length_field("panel_length", "Panel, length", most=200, optional=True),
    length_field("panel_width", "Panel, width", most=200, optional=True),
    length_field("panel_depth", "Panel, depth", most=40, optional=True),
)


def _age_field(name: str, label: str) -> Field:
    return Field(
        name,
        label,
        Kind.COUNT,
        unit="",
        least=Decimal(1),
        most=Decimal(365),
        optional=True,
    )


def _panel(given: Given) -> PanelShape | None:
    sides = [given.quantity(name) for name in _SIDES if given.has(name)]
    if not sides:
        return None
    if len(sides) < len(_SIDES):
        raise ValueError("panel_depth: a panel has a length, a width and a depth")
    return PanelShape(*sides)


def _placed(given: Given) -> CorePlace | None:
    x, y = given.quantity_or_none("x"), given.quantity_or_none("y")
    return None if x is None or y is None else CorePlace(x, y)


def _core(given: Given, terms: Terms) -> CoreTest:
    """Return the core, shot on the day the terms begin: only spans of time are asked."""
    planned = given.count("planned_age") if given.has("planned_age") else 28
    plain = specimen_of(given, "core", age=planned)
    shot_on, tested_on = terms.effective_on, None
    if given.has("tested_age"):
        tested_on = shot_on + timedelta(days=given.count("tested_age"))
    shot_at, drilled_at = given.instant_or_none("shot_at"), None
    if shot_at is not None:
        drilled_at = given.instant_or_none("drilled_at")
    return replace(
        plain,
        shot_on=shot_on,
        shot_at=shot_at,
        drilled_at=drilled_at,
        tested_on=tested_on,
        place=_placed(given),
        shape=_panel(given),
    )


def _validity(given: Given, terms: Terms) -> Answer:
    test = _core(given, terms)
    return Answer({**_lengths(test)}, verdict=core_validity(test, terms=terms))


def _lengths(test: CoreTest) -> dict[str, Working]:
    """Return how slender a core is and, where it is too long, what to saw it to."""
    ratio = test.over_diameter(test.length)
    if ratio is None or test.length is None:
        return {}
    unit = test.length.unit
    diameter = test.mean_diameter(unit) or Decimal(0)
    short = Quantity(ratio.quantize(Decimal("0.001")), "1")
    line = f"{test.length.value} / {diameter} = {short}"
    named = (Named("length", test.length), Named("diameter", Quantity(diameter, unit)))
    made = {
        "length over diameter": _plain(
            "Length over diameter", named, line, Quantity(ratio, "1"), short
        )
    }
    if ratio > LD_MOST:
        for name, count in (
            ("saw to at least", SAWN_LEAST),
            ("saw to at most", LD_MOST),
        ):
            sawn = Quantity(count * diameter, unit)
            step = f"{count} × {diameter} = {sawn.value:f}"
            made[name] = _plain(name.capitalize(), named, step, sawn)
    return made


def _plain(
    title: str,
    named: tuple[Named, ...],
    line: str,
    value: Quantity,
    reported: Quantity | None = None,
) -> Working:
    steps = (Step(title.lower(), line, C42_LENGTH),)
    rounding = _AS_COMPUTED if reported is None else "to 0.001"
    return Working(title, named, steps, value, reported or value, rounding)


CALCULATIONS = (
    Calculation(
        name="core-validity",
        title="May a core count",
        group=GROUP,
        says="Every requirement on one core, met or not: its place by its edge, its "
        "length, what it holds, how it was kept, and its age.",
        fields=(
            length_field("d1", "First diameter", optional=True),
            length_field("d2", "Second diameter, at right angles", optional=True),
            length_field("length", "Length as tested", most=60, optional=True),
            length_field("length_drilled", "Length as drilled", most=60, optional=True),
            length_field("diameter", "Diameter it was ordered with", optional=True),
            load_field(optional=True),
            strength_field("strength", "Strength as stated", optional=True),
            *SEEN,
            DENSITY,
            _age_field("planned_age", "Age it was ordered for, days"),
            _age_field("tested_age", "Age when tested, days"),
            Field("shot_at", "Shot", Kind.INSTANT, optional=True),
            Field("drilled_at", "Drilled", Kind.INSTANT, optional=True),
            length_field("x", "Centre, along the panel", most=200, optional=True),
            length_field("y", "Centre, across the panel", most=200, optional=True),
            *_PANEL,
        ),
        run=_validity,
        sources=(C42_LENGTH, C1604_SOUND),
        settings=(
            "strength_unit",
            "ld_limit",
            "core_diameter_least",
            "edge_zone_depths",
            "edge_zone_add",
            "conditioning",
            "core_after",
        ),
        example={
            "d1": ["3.00", "in"],
            "d2": ["3.00", "in"],
            "length": ["6.50", "in"],
            "load": ["30000", "lbf"],
            "reinforcement": "none",
            "conditioning": "soaked",
        },
    ),
)
