"""A panel's size against the terms; the sizes themselves stand in the outside rows."""

from datetime import date
from decimal import Decimal

import pytest

from crews.domain.core_facts import PanelShape
from crews.domain.panel_size import judge_panel_size
from project.domain.editions import resolve
from project.domain.terms import Terms
from project.domain.units import Quantity

ON = date(2026, 7, 1)
TERMS = resolve("ibc-2018-1908", revision=1, effective_on=ON, departures={})


def _inches(*sides: str) -> PanelShape:
    return PanelShape(*(Quantity(Decimal(side), "in") for side in sides))


@pytest.mark.parametrize(
    ("shape", "aggregate", "said"),
    [
        (_inches("0", "18", "5"), None, "^length 0 in: a length above 0"),
        (_inches("18", "-1", "5"), None, "^width -1 in: a length above 0"),
        (_inches("18", "18", "0"), None, "^depth 0 in: a length above 0"),
        (_inches("18", "18", "5"), Quantity(Decimal(0), "in"), "^aggregate 0 in"),
        (_inches("18", "18", "5"), Quantity(Decimal(1), "psi"), "^aggregate 1 psi"),
    ],
)
def test_a_measure_that_is_none_is_refused(shape, aggregate, said):
    with pytest.raises(ValueError, match=said):
        judge_panel_size(shape, aggregate=aggregate, terms=TERMS)


def test_the_side_that_counts_is_the_shorter_in_whatever_unit():
    shape = PanelShape(
        Quantity(Decimal(450), "mm"),
        Quantity(Decimal(20), "in"),
        Quantity(Decimal(5), "in"),
    )
    half_inch = Quantity(Decimal("0.5"), "in")
    side = judge_panel_size(shape, aggregate=half_inch, terms=TERMS).reasons[0]
    assert (side.found, side.state.value) == ("450 mm", "fail")
    assert str(side.limit) == "18 in"


def test_every_reason_names_its_source():
    half_inch = Quantity(Decimal("0.5"), "in")
    verdict = judge_panel_size(
        _inches("18", "18", "5"), aggregate=half_inch, terms=TERMS
    )
    assert [str(reason.source) for reason in verdict.reasons] == [
        "IBC 2018, 1908.10.2 (from memory)",
        "IBC 2018, 1908 gives no value (from memory)",
    ]


def test_terms_older_than_the_sizes_ask_nothing():
    bare = Terms(1, "ibc-2018-1908", ON, {})
    verdict = judge_panel_size(_inches("18", "18", "5"), aggregate=None, terms=bare)
    assert verdict.state.value == "undecided"
    assert [reason.requirement for reason in verdict.reasons] == [
        "side: no limit given",
        "depth: no limit given",
    ]
