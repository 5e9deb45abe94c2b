"""May a core count? Each requirement alone, exactly on its limit and either side."""

from decimal import Decimal

import pytest

from crews.domain.core_facts import CorePlace, PanelShape, Specimen
from crews.domain.core_validity import core_validity, examine
from project.domain.units import Quantity
from project.domain.verdict import Ref, State
from tests.domain.strength.making import (
    SHOT_AT,
    inches,
    make_core,
    make_terms,
    stated,
    untested,
)


def test_every_reason_is_listed_and_the_worst_decides():
    core = make_core(
        length=inches("2.9"), reinforcement="bar", conditioning="", tested_after_d=30
    )
    verdict = core_validity(core, terms=make_terms())
    assert verdict.state is State.NOT_TESTABLE
    assert [reason.key for reason in verdict.unmet] == [
        "length",
        "reinforcement",
        "conditioning",
        "age",
    ]


@pytest.mark.parametrize(
    ("length", "limit", "margin"),
    [("2.9", "3.0000", "-0.1000"), ("6.4", "6.30", "-0.1")],
)
def test_margins_are_lengths(length, limit, margin):
    core = make_core(length=inches(length), length_drilled=inches("7"))
    (reason,) = core_validity(core, terms=make_terms()).unmet
    assert (reason.limit, reason.margin) == (inches(limit), inches(margin))


def test_a_figure_near_its_limit_never_looks_like_it():
    core = make_core(length=inches("2.9999"))
    (reason,) = core_validity(core, terms=make_terms()).unmet
    assert reason.found == "0.99997 diameters long as tested, too short"


def test_an_untested_core_has_no_data_but_may_already_be_ruled_out():
    assert core_validity(untested(), terms=make_terms()).state is State.NO_DATA
    edge = untested(place=CorePlace(inches("3"), inches("12")))
    examined = examine(edge, terms=make_terms())
    assert examined.validity.state is State.NOT_TESTABLE
    assert examined.strength is None
    assert not examined.counts


def test_a_strength_stated_without_sizes_is_taken_as_stated():
    examined = examine(
        stated("TP-901/3", "4100", diameter=None, shape=None), terms=make_terms()
    )
    assert examined.validity.state is State.PASS
    assert examined.counts
    informed = {
        reason.key
        for reason in examined.validity.reasons
        if reason.state is State.INFORMATION
    }
    assert informed == {"length", "diameter"}


def test_a_load_without_sizes_is_undecided_and_has_no_strength():
    core = make_core(d1=None, length_drilled=None, diameter=None)
    examined = examine(core, terms=make_terms())
    assert examined.validity.state is State.UNDECIDED
    keys = [reason.key for reason in examined.validity.unmet]
    assert keys == ["length", "diameter", "edge zone"]
    assert examined.strength is None


def test_a_core_too_short_has_no_strength_whatever_it_bore():
    examined = examine(make_core(length=inches("2.9")), terms=make_terms())
    assert examined.strength is None


def test_a_core_with_a_bar_shows_its_strength_but_does_not_count():
    examined = examine(make_core(reinforcement="bar"), terms=make_terms())
    assert examined.strength is not None
    assert not examined.counts


@pytest.mark.parametrize(
    ("strength", "state"),
    [
        ("5219.9999", State.UNDECIDED),
        ("5220", State.PASS),
        ("5240", State.PASS),
        ("5240.0001", State.UNDECIDED),
    ],
)
def test_a_stated_strength_may_be_one_step_off_the_load(strength, state):
    """38,500 lbf on 7.0686 in2, factor 0.96, are 5,229 psi: reported 5,230."""
    core = make_core(strength=Quantity(Decimal(strength), "psi"))
    verdict = core_validity(core, terms=make_terms())
    assert verdict.state is state
    assert verdict.reasons[-1].found == (
        f"stated {strength} psi, the load gives 5230 psi"
    )


def test_a_stated_strength_of_a_core_too_short_has_nothing_to_be_compared_with():
    core = make_core(length=inches("2.9"), strength=Quantity(Decimal(5230), "psi"))
    verdict = core_validity(core, terms=make_terms())
    assert "stated strength" not in {reason.key for reason in verdict.reasons}


def test_terms_not_given_ask_nothing():
    terms = make_terms(
        core_diameter_least=None,
        edge_zone_depths=None,
        edge_zone_add=None,
        conditioning=None,
        core_after=None,
    )
    core = make_core(
        diameter=inches("2"),
        place=CorePlace(inches("1"), inches("1")),
        conditioning="",
        drilled_at=SHOT_AT,
    )
    verdict = core_validity(core, terms=terms)
    assert verdict.state is State.PASS
    keys = {reason.key for reason in verdict.reasons}
    assert keys.isdisjoint({"diameter", "edge zone", "conditioning", "coring"})


def test_an_edge_zone_may_be_a_length_alone():
    """Source: EN 14488-1, 125 mm from the edge (from memory)."""
    terms = make_terms(
        edge_zone_depths=None, edge_zone_add=Quantity(Decimal(125), "mm")
    )
    shape = PanelShape(*(Quantity(Decimal(v), "mm") for v in (500, 500, 100)))
    wide = Quantity(Decimal(100), "mm")
    for x, state in ((175, State.PASS), (174, State.NOT_TESTABLE)):
        place = CorePlace(Quantity(Decimal(x), "mm"), Quantity(Decimal(250), "mm"))
        core = make_core(place=place, shape=shape, diameter=wide)
        assert core_validity(core, terms=terms).state is state


def test_an_edge_zone_may_be_depths_alone():
    terms = make_terms(edge_zone_add=None)
    core = make_core(place=CorePlace(inches("6.5"), inches("12")))
    assert core_validity(core, terms=terms).state is State.PASS


def test_a_panel_core_without_a_place_is_undecided():
    verdict = core_validity(make_core(place=None), terms=make_terms())
    assert [reason.key for reason in verdict.unmet] == ["edge zone"]


def test_the_nominal_diameter_is_what_places_are_laid_out_for():
    """A 3 in. barrel at 7.5 in. may cut 3.06 in.: 7.5 - 1.53 lies inside 6 in."""
    place = CorePlace(inches("7.5"), inches("12"))
    cut = {"d1": inches("3.06"), "d2": inches("3.06"), "place": place}
    laid_out = make_core(**cut)
    unknown = make_core(**cut, diameter=None)
    assert core_validity(laid_out, terms=make_terms()).state is State.PASS
    assert core_validity(unknown, terms=make_terms()).state is State.NOT_TESTABLE


def test_a_cube_is_asked_for_its_sides_and_not_for_a_length_or_a_place():
    cube = make_core(specimen=Specimen.CUBE, length=None, place=None, diameter=None)
    verdict = core_validity(cube, terms=make_terms())
    assert verdict.state is State.PASS
    keys = {reason.key for reason in verdict.reasons}
    assert "side" in keys
    assert keys.isdisjoint({"length", "drilled length", "diameter", "edge zone"})


def test_a_cube_with_a_load_and_one_side_is_undecided():
    examined = examine(make_core(specimen=Specimen.CUBE, d2=None), terms=make_terms())
    assert examined.validity.state is State.UNDECIDED
    assert examined.strength is None


def test_a_factor_beyond_its_concrete_is_information_and_the_core_counts():
    """12,000 lbf on 7.07 in2, factor 0.96, are 1,630 psi of lightweight concrete."""
    weak = make_core(
        load=Quantity(Decimal(12000), "lbf"), density=Quantity(Decimal(95), "pcf")
    )
    verdict = core_validity(weak, terms=make_terms())
    assert verdict.state is State.PASS
    (reason,) = [r for r in verdict.reasons if r.key == "factor range"]
    assert reason.found == (
        "1629.7 psi, the factors are for 2000 to 6000 psi; lightweight of 95 pcf, "
        "the factors are for 100 to 120 pcf and for normal weight"
    )


def test_evidence_is_named_in_each_reason():
    result = Ref("lab_result", "1", "LR-001")
    verdict = core_validity(make_core(evidence=(result,)), terms=make_terms())
    assert {reason.evidence for reason in verdict.reasons} == {(result,)}


def test_age_is_not_asked_where_a_day_is_unknown():
    verdict = core_validity(make_core(shot_on=None, shot_at=None), terms=make_terms())
    assert {"age", "coring"}.isdisjoint({reason.key for reason in verdict.reasons})
