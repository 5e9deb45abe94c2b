"""Advice on rebound, air and the stream: ranges with sources, and never a verdict."""

import pytest

from inspections.domain.air_supply import (
    CAUTION,
    AirLine,
    air_advice,
    in_every_unit,
    usual_air,
)
from inspections.domain.calculations import CALCULATIONS
from inspections.domain.placing_rate import CAUTION as FRESH
from inspections.domain.rebound import (
    SURFACES,
    Surface,
    rebound_advice,
    usual_rebound,
)
from inspections.domain.usual import PRACTICE, Usual
from project.domain.shooting_words import Position, Process
from project.domain.verdict import State
from tests.domain.placing.making import q


@pytest.mark.parametrize("process", Process)
@pytest.mark.parametrize("surface", Surface)
def test_rebound_is_information_whatever_it_is(surface, process):
    for share in (None, q("0 percent"), q("100 percent"), q("0.12 1")):
        verdict = rebound_advice(surface, process, share=share)
        assert {reason.state for reason in verdict.reasons} == {State.INFORMATION}
        assert verdict.state is State.INFORMATION
    assert all(usual.source.document for usual in usual_rebound(surface, process))


@pytest.mark.parametrize("share", ["-1 percent", "101 percent", "1.01 1", "1 in"])
def test_a_share_that_cannot_be_is_named(share):
    with pytest.raises(ValueError, match="allowed is 0 to 100 percent"):
        rebound_advice(Surface.WALL, Process.WET, share=q(share))


def test_a_position_nobody_classified_has_no_usual_rebound():
    assert set(SURFACES) == set(Position) - {Position.UNCLASSIFIED}


@pytest.mark.parametrize("process", Process)
def test_air_is_never_said_to_be_enough(process):
    line = AirLine(q("10000 cfm"), q("6 in"), q("4 in"), q("0.5 in"))
    verdict = air_advice(line, process=process)
    assert verdict.state is State.INFORMATION
    said = " ".join([verdict.rule, CAUTION, *(r.found for r in verdict.reasons)])
    assert "enough" not in said
    assert len(verdict.reasons) == len(usual_air(process))


def test_what_is_not_on_record_says_only_what_is_usual():
    verdict = air_advice(AirLine(hose=q("2 in")), process=Process.WET)
    assert all(reason.found.startswith("usual is") for reason in verdict.reasons)


@pytest.mark.parametrize("name", ["flow", "air_line", "hose", "aggregate"])
@pytest.mark.parametrize("bad", ["0 in", "-1 in", "1 psi", "0 cfm"])
def test_a_line_that_cannot_be_is_named(name, bad):
    with pytest.raises(ValueError, match=f"{name} {bad}: allowed is a"):
        AirLine(**{name: q(bad)})


@pytest.mark.parametrize("bad", ["0 mph", "-1 mph", "1 in"])
def test_a_stream_that_stands_is_named(bad):
    with pytest.raises(ValueError, match="allowed is a speed above 0"):
        in_every_unit(q(bad))


def test_a_range_runs_upwards_and_within_one_dimension():
    assert Usual("one", q("1 ft"), q("12 in"), PRACTICE).lies(q("1 ft")) == "inside"
    for high in ("11 in", "1 psi"):
        with pytest.raises(ValueError, match=r"downwards|cannot be given"):
            Usual("one", q("1 ft"), q(high), PRACTICE)


def test_what_can_hurt_defers_to_whoever_answers_for_it():
    assert CALCULATIONS["fresh-weight"].caution == FRESH
    for word in ("safety plan", "local codes", "licensed"):
        assert word in FRESH
    assert CALCULATIONS["evaporation"].caution.startswith("An estimate")
