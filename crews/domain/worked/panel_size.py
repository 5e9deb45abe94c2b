"""Whether a panel is large enough, as a calculation that says what it takes."""

from __future__ import annotations

from crews.domain.core_facts import PanelShape
from crews.domain.panel_size import PANEL_SIZE_TERMS, judge_panel_size
from crews.domain.worked.specimens import length_field
from project.domain.calculation import Answer, Calculation, Given
from project.domain.terms import Terms
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

_IBC = Source("IBC", "1913.10.2", "2009", Known.READ)
_C1140 = Source("ASTM C1140", "panel size, as quoted", "2011", Known.READ)
_EXACT = "none: compared as measured"


def _size(given: Given, terms: Terms) -> Answer:
    sides = ("panel_length", "panel_width", "panel_depth")
    shape = PanelShape(*(given.quantity(name) for name in sides))
    aggregate = given.quantity_or_none("aggregate")
    verdict = judge_panel_size(shape, aggregate=aggregate, terms=terms)
    inputs = [Named(name, given.quantity(name)) for name in sides]
    if aggregate is not None:
        inputs.append(Named("aggregate", aggregate))
    figures = {}
    for reason in verdict.reasons:
        if reason.limit is None or reason.margin is None:
            continue
        line = f"{reason.found} - {reason.limit} = {reason.margin}"
        figures[f"{reason.key} over"] = Working(
            title=f"Panel's {reason.key} over the least",
            inputs=tuple(inputs),
            steps=(Step(reason.key, line, reason.source),),
            exact=reason.margin,
            reported=reason.margin,
            rounding=_EXACT,
            settings=terms.used(*PANEL_SIZE_TERMS),
        )
    return Answer(figures, verdict)


CALCULATIONS = (
    Calculation(
        name="panel-size",
        title="Size of a test panel",
        group="Cores and strength",
        says="Its shorter side and its depth against the least the document asks.",
        fields=(
            length_field("panel_length", "Panel, length", most=200),
            length_field("panel_width", "Panel, width", most=200),
            length_field("panel_depth", "Panel, depth", most=40),
            length_field("aggregate", "Largest aggregate", most=4, optional=True),
        ),
        run=_size,
        sources=(_IBC, _C1140),
        settings=PANEL_SIZE_TERMS,
        example={
            "panel_length": ["24", "in"],
            "panel_width": ["24", "in"],
            "panel_depth": ["5", "in"],
            "aggregate": ["0.375", "in"],
        },
    ),
)
