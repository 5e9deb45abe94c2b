"""Panels as calculations: how many are owed, which met them, when the next one is due."""

from __future__ import annotations

from decimal import Decimal

from crews.domain.core_facts import CorePlace, PanelShape
from crews.domain.core_places import edge_source, room_for
from crews.domain.panel_counts import SETTINGS, panel_counts
from crews.domain.panel_layout import GEOMETRY, panel_layout
from crews.domain.panel_ledger import Made, discharge
from crews.domain.sampling import (
    Cell,
    next_panel_after,
    panels_owed,
    shot_together,
    total_volume,
)
from crews.domain.trade_words import PanelKind
from crews.domain.worked.specimens import length_field
from project.domain.calculation import Answer, Calculation, Field, Given, Kind
from project.domain.term_kinds import GLOBAL, PER_CELL
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

GROUP = "Panels"
IBC_PANELS = Source("IBC", "1908.10.1 to 1908.10.2", "2018", Known.MEMORY)
IBC_PANELS_READ = Source("IBC", "1913.10.1 to 1913.10.2", "2009", Known.READ)
ACI_PANELS = Source(
    "ACI 506.2", "frequency of test panels, as quoted", "2013", Known.READ
)
UFGS_PANELS = Source(
    "UFGS", "03371, one result a shift or 50 yd3 (40 m3)", "", Known.READ
)
_A_COUNT = "none: a count"
_WHERE = (
    Field(
        "work_date", "Work date", Kind.DAY, note="of a night shift, the day it began"
    ),
    Field("shift", "Shift", Kind.WORDS, optional=True),
    Field("mix", "Mix", Kind.WORDS),
    Field("operator", "Operator", Kind.WORDS),
    Field("position", "Position", Kind.WORDS, optional=True),
)
_VOLUME = Field(
    "volume",
    "Volume",
    Kind.QUANTITY,
    unit="yd3",
    least=Decimal(0),
    most=Decimal(5000),
    optional=True,
    note="left out: not known",
)
CELLS = Field("cells", "What was shot", Kind.ROWS, columns=(*_WHERE, _VOLUME))
PANELS = Field(
    "panels",
    "Panels shot",
    Kind.ROWS,
    columns=(
        Field("panel", "Panel", Kind.WORDS),
        *_WHERE,
        Field("shared_with", "Shared with", Kind.WORDS, optional=True),
    ),
    optional=True,
)


def _cells(given: Given) -> list[Cell]:
    return [
        Cell(
            row.day("work_date"),
            shift=row.word("shift"),
            mix=row.word("mix"),
            operator=row.word("operator"),
            position=row.word("position"),
            volume=row.quantity_or_none("volume"),
        )
        for row in given.rows("cells")
    ]


def _owed(given: Given, terms: Terms) -> Answer:
    counts = panel_counts(_cells(given), terms=terms)
    figures = {"owed": counts.working()}
    figures |= {name: counts.working(name) for name in (PER_CELL, GLOBAL)}
    return Answer(figures, words=str(counts))


def _next(given: Given, terms: Terms) -> Answer:
    first, *others = _cells(given)
    left = next_panel_after(first, terms=terms, others=others)
    if left is None:
        limit = terms.quantity("panel_volume")
        why = "a volume is not known" if limit else "no volume limit given"
        return Answer({}, words=f"cannot be told: {why}")
    limit = terms.quantity("panel_volume") or left
    together = shot_together(first, terms=terms, others=others)
    shot = total_volume(together, unit=left.unit)
    panels = (left.value + shot.value) / limit.value
    line = f"{panels} × {limit.value} − {shot.value} = {left}"
    working = Working(
        title="May be shot before one more panel is owed",
        inputs=tuple(
            Named(cell.operator, cell.volume) for cell in together if cell.volume
        ),
        steps=(Step("left", line, terms.source("panel_volume")),),
        exact=left,
        reported=left,
        rounding="none: as computed",
        settings=terms.used(*SETTINGS),
    )
    return Answer({"left": working})


def _met(given: Given, terms: Terms) -> Answer:
    made = [
        Made(
            row.word("panel"),
            kind=PanelKind.PRODUCTION.value,
            work_date=row.day("work_date"),
            mix=row.word("mix"),
            operator=row.word("operator"),
            shift=row.word("shift"),
            position=row.word("position"),
            shared_with=row.word("shared_with"),
        )
        for row in given.rows("panels")
    ]
    names = [panel.panel for panel in made]
    twice = next((name for name in names if names.count(name) > 1), "")
    if twice:
        raise ValueError(f"panels: {twice} is named twice; each panel is named once")
    ledger = discharge(panels_owed(_cells(given), terms=terms), made, terms=terms)
    missing = [
        f"{line.owed.work_date} {line.owed.operator or 'any who shot'}: {line.owed.rule}"
        for line in ledger.missing
    ]
    idle = [f"{one.panel.panel}: {one.because}" for one in ledger.idle]
    parts = (("missing", missing), ("met nothing", idle))
    words = "; ".join(f"{name}: {', '.join(lines)}" for name, lines in parts if lines)
    counts = {
        "missing": (len(ledger.missing), f"{len(ledger.lines)} − {len(ledger.met)}"),
        "met": (
            len(ledger.met),
            ", ".join(p.panel.panel for p in ledger.met if p.panel),
        ),
        "owed": (len(ledger.lines), "by the terms"),
        "idle": (len(ledger.idle), ", ".join(one.panel.panel for one in ledger.idle)),
    }
    return Answer(
        {
            name: _count(name, number, line or "none", terms)
            for name, (number, line) in counts.items()
        },
        words=words or "every panel owed was shot",
    )


def _count(name: str, number: int, line: str, terms: Terms) -> Working:
    value = Quantity(Decimal(number), "1")
    return Working(
        title=f"Panels: {name}",
        inputs=(),
        steps=(Step(name, f"{line} = {number}", terms.source("panel_per")),),
        exact=value,
        reported=value,
        rounding=_A_COUNT,
        settings=terms.used(*SETTINGS),
    )


def _layout(given: Given, terms: Terms) -> Answer:
    sides = [given.quantity(name) for name in ("length", "width", "depth")]
    shape = PanelShape(*sides)
    diameter, between = given.quantity("diameter"), given.quantity("between")
    places = tuple(
        CorePlace(row.quantity("x"), row.quantity("y")) for row in given.rows("places")
    )
    verdict = panel_layout(
        shape,
        diameter=diameter,
        between=between,
        terms=terms,
        places=places,
        aggregate=given.quantity_or_none("aggregate"),
    )
    room = room_for(shape, diameter=diameter, between=between, terms=terms)
    cores = Quantity(Decimal(room.cores), "1")
    working = Working(
        title="Cores that fit",
        inputs=(*(Named("side", side) for side in sides), Named("diameter", diameter)),
        steps=(
            Step("edge zone", f"by the terms = {room.zone}", edge_source(terms)),
            Step("cores", f"{room.along} × {room.across} = {room.cores}", GEOMETRY),
        ),
        exact=cores,
        reported=cores,
        rounding=_A_COUNT,
        settings=terms.used(*_SIZES),
    )
    room_reason = next(r for r in verdict.reasons if r.key == "room")
    return Answer({"cores": working}, verdict, room_reason.found)


_SIZES = (
    "panel_side_least",
    "panel_side_least_fine",
    "fine_aggregate_most",
    "panel_depth_least",
    "edge_zone_depths",
    "edge_zone_add",
    "core_count",
)
_SHOT = {
    "work_date": "2026-08-13",
    "shift": "day",
    "mix": "W-45A",
    "operator": "OP-01",
    "position": "vertical",
    "volume": ["30", "yd3"],
}
_SHOT_TOO = {**_SHOT, "operator": "OP-02", "volume": ["70", "yd3"]}
_FREQUENCY = (IBC_PANELS_READ, IBC_PANELS, ACI_PANELS, UFGS_PANELS)

CALCULATIONS = (
    Calculation(
        name="panels-owed",
        title="Panels owed",
        group=GROUP,
        says="What was shot, counted by the terms: at least one for whoever shot, and "
        "one for each begun volume, by both interpretations of the larger count.",
        fields=(CELLS,),
        run=_owed,
        sources=_FREQUENCY,
        settings=SETTINGS,
        example={"cells": [_SHOT, _SHOT_TOO]},
    ),
    Calculation(
        name="next-panel",
        title="Next panel after how much more",
        group=GROUP,
        says="How much more the operator of the first row may shoot before one more "
        "panel is owed; rows counted together with it are added.",
        fields=(CELLS,),
        run=_next,
        sources=_FREQUENCY,
        settings=SETTINGS,
        example={"cells": [_SHOT, _SHOT_TOO]},
    ),
    Calculation(
        name="panels-met",
        title="Panels owed and met",
        group=GROUP,
        says="Which panels meet what is owed: one meets one where operator, mix, day, "
        "shift and, if the terms ask it, position agree.",
        fields=(CELLS, PANELS),
        run=_met,
        sources=_FREQUENCY,
        settings=SETTINGS,
        example={
            "cells": [_SHOT, _SHOT_TOO],
            "panels": [
                {
                    "panel": "TP-001",
                    **{k: v for k, v in _SHOT.items() if k != "volume"},
                }
            ],
        },
    ),
    Calculation(
        name="panel-layout",
        title="Size of a panel and places of its cores",
        group=GROUP,
        says="Whether a panel is large and deep enough, whether a set of cores fits "
        "outside the edge zone, and whether each place does.",
        fields=(
            length_field("length", "Panel, length", most=200),
            length_field("width", "Panel, width", most=200),
            length_field("depth", "Panel, depth", most=40),
            length_field("diameter", "Diameter of the cores"),
            Field(
                "between",
                "Left standing between two",
                Kind.QUANTITY,
                unit="in",
                least=Decimal(0),
                most=Decimal(40),
                note="no document read gives one",
            ),
            length_field("aggregate", "Largest aggregate", most=4, optional=True),
            Field(
                "places",
                "Places of cores",
                Kind.ROWS,
                columns=(
                    length_field("x", "Centre, along the panel", most=200),
                    length_field("y", "Centre, across the panel", most=200),
                ),
                optional=True,
                most_rows=40,
            ),
        ),
        run=_layout,
        sources=(IBC_PANELS_READ, IBC_PANELS, ACI_PANELS, GEOMETRY),
        settings=_SIZES,
        example={
            "length": ["18", "in"],
            "width": ["18", "in"],
            "depth": ["5", "in"],
            "diameter": ["3", "in"],
            "between": ["1", "in"],
        },
    ),
)
