"""What a mock-up covers, attribute by attribute, and what the code asks of bars."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID

import pytest

from crews.domain import examples
from crews.domain.clearance import asked_because, mockup_needed
from crews.domain.demand import Demand, RevisionMark, RigEquivalence
from crews.domain.mock_up import MockUp
from crews.domain.mockup_coverage import Comparison, acceptance, missing
from crews.domain.mockup_gate import compared, shown_by
from crews.domain.trade_words import DecisionOutcome, Method
from project.domain.editions import Departure, resolve
from project.domain.reinforcement import (
    BarWay,
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
)
from project.domain.shooting_words import Position, Process
from project.domain.term_kinds import FROM_ITS_DAY
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Ref, State
from tests.domain.qualification.changes import at, decided, table

COVERAGE = table("coverage.csv")
PLACES = list(Curtain)


def inches(text: str) -> Quantity:
    return Quantity(Decimal(text), "in")


def mat(text: str, curtain: Curtain = Curtain.NEARER) -> Mat:
    """Read "No. 5 at 8" in inches, or "203.2mm No. 5"."""
    if "mm" in text:
        spacing, bar = text.split("mm ")
        return Mat(curtain, BarWay.VERTICAL, bar, Quantity(Decimal(spacing), "mm"))
    bar, spacing = text.split(" at ")
    return Mat(curtain, BarWay.VERTICAL, bar, inches(spacing))


def bars(text: str) -> Reinforcement | None:
    if not text:
        return None
    mats = () if text == "plain" else tuple(mat(one) for one in text.split(" + "))
    return Reinforcement(mats, examples.bars().splice)


def in_curtains(count: str) -> Reinforcement:
    mats = tuple(mat("No. 5 at 8", curtain) for curtain in PLACES[: int(count)])
    return Reinforcement(mats, examples.bars().splice)


def spliced(kind: str) -> Reinforcement:
    splice = Splice(SpliceKind(kind)) if kind else None
    return replace(examples.bars(), splice=splice)


def thick(text: str) -> Quantity | None:
    if not text:
        return None
    value, unit = text.split()
    return Quantity(Decimal(value), unit)


def rig(code: str) -> Ref | None:
    return Ref("rig", code, code) if code else None


Pair = tuple[MockUp, Demand]
MOCK_UP, DEMAND = examples.mock_up(), examples.demand()


def mixes(have: str, need: str) -> Pair:
    marks = {"unchanged": False, "changed": True, "unmarked": None}
    code, revision = have.split()
    mock_up = replace(MOCK_UP, mix_code=code, mix_revision=int(revision))
    wanted, number, *said = need.split()
    marked = tuple(RevisionMark(n, marks[word]) for n, word in enumerate(said, start=2))
    mix = replace(DEMAND.mix, code=wanted, revision=int(number), marks=marked)
    return mock_up, replace(DEMAND, mix=mix)


def rigs(have: str, need: str) -> Pair:
    code, _, when = need.partition(" equal ")
    moved = {"before": -1, "at the start": 0, "after": 1}
    equal: tuple[RigEquivalence, ...] = ()
    if when:
        accepted = examples.AT + timedelta(microseconds=moved[when])
        pair = frozenset({"A1", "A2"})
        equal = (
            RigEquivalence(
                id=UUID(int=50), recorded_at=accepted, rigs=pair, accepted_at=accepted
            ),
        )
    demand = replace(DEMAND, rig=rig(code), rig_equivalences=equal)
    return replace(MOCK_UP, rig=rig(have)), demand


def pair(attribute: str, have: str, need: str) -> Pair:
    match attribute:
        case "process":
            mix = replace(DEMAND.mix, process=Process(need))
            return replace(MOCK_UP, process=Process(have)), replace(DEMAND, mix=mix)
        case "method":
            demand = replace(DEMAND, method=Method(need))
            return replace(MOCK_UP, method=Method(have)), demand
        case "position":
            demand = replace(DEMAND, position=Position(need))
            return replace(MOCK_UP, position=Position(have)), demand
        case "mix":
            return mixes(have, need)
        case "rig":
            return rigs(have, need)
        case "thickness":
            demand = replace(DEMAND, thickness=thick(need))
            return replace(MOCK_UP, thickness=thick(have)), demand
    read = {"curtains": in_curtains, "splice": spliced}.get(attribute, bars)
    demand = replace(DEMAND, reinforcement=read(need))
    return replace(MOCK_UP, reinforcement=read(have)), demand


def by_attribute(mock_up: MockUp, demand: Demand) -> dict[str, Comparison]:
    return {line.attribute: line for line in _lines(mock_up, demand)}


def _lines(mock_up: MockUp, demand: Demand) -> tuple[Comparison, ...]:
    file = replace(examples.operator_file(), mock_ups=(mock_up,))
    ((_, lines),) = compared(shown_by(file, demand, at=examples.AT), demand)
    return lines


@pytest.mark.parametrize(
    "row", COVERAGE, ids=[f"{r['attribute']} {r['have']}|{r['need']}" for r in COVERAGE]
)
def test_each_attribute_is_compared(row: dict[str, str]) -> None:
    attribute = row["attribute"]
    found = by_attribute(*pair(attribute, row["have"], row["need"]))
    assert found[attribute].state.value == row["state"]
    bar_things = {"bar size", "clear spacing", "curtains", "splice"}
    others = (
        set(found) - {attribute} - (bar_things if attribute in bar_things else set())
    )
    assert all(found[name].holds for name in others)


def test_the_attributes_stand_in_a_fixed_order() -> None:
    assert list(by_attribute(MOCK_UP, DEMAND)) == [
        "operator",
        "process",
        "method",
        "position",
        "mix",
        "rig",
        "bar size",
        "clear spacing",
        "curtains",
        "splice",
        "thickness",
        "acceptance",
    ]


def test_what_falls_short_is_told_in_numbers() -> None:
    """The W4 question: No. 8 at 6 in was accepted, No. 9 at 5 in is asked."""
    lines = _lines(*pair("bar size", "No. 8 at 6", "No. 9 at 5"))
    assert [str(line) for line in missing(lines)] == [
        "bar size No. 8 (needs No. 9)",
        "clear spacing 5.000 in (needs 3.872 in)",
    ]


ACCEPTED, SUPERVISED, REJECTED = (
    DecisionOutcome.ACCEPTED,
    DecisionOutcome.ACCEPTED_UNDER_SUPERVISION,
    DecisionOutcome.REJECTED,
)
EARLY, START, LATE = "2026-07-29T15:10", "2026-08-04T07:10", "2026-08-04T07:11"


@pytest.mark.parametrize(
    ("decisions", "state"),
    [
        ([], State.FAIL),
        ([(ACCEPTED, EARLY)], State.PASS),
        ([(ACCEPTED, START)], State.PASS),
        ([(ACCEPTED, LATE)], State.FAIL),
        ([(SUPERVISED, EARLY)], State.CONDITION),
        ([(SUPERVISED, LATE)], State.FAIL),
        ([(REJECTED, EARLY)], State.FAIL),
        ([(REJECTED, EARLY), (ACCEPTED, START)], State.PASS),
        ([(REJECTED, EARLY), (ACCEPTED, LATE)], State.FAIL),
        ([(ACCEPTED, EARLY), (REJECTED, START)], State.FAIL),
        ([(ACCEPTED, EARLY), (REJECTED, LATE)], State.FAIL),
        ([(SUPERVISED, EARLY), (ACCEPTED, LATE)], State.CONDITION),
        ([(SUPERVISED, EARLY), (ACCEPTED, START)], State.PASS),
        ([(ACCEPTED, EARLY), (SUPERVISED, START)], State.CONDITION),
        ([(ACCEPTED, EARLY), (REJECTED, START), (ACCEPTED, LATE)], State.FAIL),
    ],
)
def test_the_latest_decision_by_the_start_counts_and_a_rejection_always(
    decisions: list[tuple[DecisionOutcome, str]], state: State
) -> None:
    made = [decided(*one, number=n) for n, one in enumerate(decisions, start=90)]
    for order in (made, made[::-1]):
        assert acceptance(order, at=examples.AT).state is state


def reading(choice: str | None) -> Terms:
    given = {"clear_rule": Departure(choice, reason="engineer's choice")}
    return resolve(
        "ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1), departures=given
    )


def test_a_large_bar_is_asked_about_though_its_gap_is_wide() -> None:
    """Common practice: a No. 6 at 6 in is clear enough, and still over No. 5."""
    verdict = mockup_needed(bars("No. 6 at 6"), terms=reading(None))
    assert verdict.state is State.FAIL
    assert [reason.key for reason in verdict.failed] == ["bar size"]


def test_both_interpretations_are_printed_and_the_chosen_one_decides() -> None:
    two = examples.bars()
    clear = mockup_needed(two, terms=reading("clear spacing"))
    centre = mockup_needed(two, terms=reading("centre spacing"))
    open_ = mockup_needed(two, terms=reading(None))
    assert [v.state for v in (clear, centre, open_)] == [
        State.FAIL,
        State.PASS,
        State.UNDECIDED,
    ]
    for verdict in (clear, centre, open_):
        asked = [r.requirement for r in verdict.reasons if "7.500 in" in r.requirement]
        assert len(asked) == 2
        assert {"clear spacing" in text for text in asked} == {True, False}
    said = [r.found for r in clear.reasons if r.state is State.INFORMATION]
    assert any("within the limit; not the interpretation chosen" in s for s in said)


def test_interpretations_that_agree_need_no_choice() -> None:
    near, far = mat("No. 5 at 9"), mat("No. 5 at 9", Curtain.FARTHER)
    reinforcement = Reinforcement((near, far), examples.bars().splice)
    assert mockup_needed(reinforcement, terms=reading(None)).state is State.PASS


def test_another_reading_of_the_rule_is_refused_by_name() -> None:
    terms = reading("clear spacing")
    odd = replace(terms.values["clear_rule"], value="middle")
    with pytest.raises(ValueError, match="clear_rule 'middle': allowed are clear"):
        mockup_needed(
            examples.bars(),
            terms=replace(terms, values={**terms.values, "clear_rule": odd}),
        )


@pytest.mark.parametrize(
    ("splice", "state"),
    [
        (None, State.UNDECIDED),
        (Splice(SpliceKind.NONE), State.PASS),
        (Splice(SpliceKind.COUPLER), State.PASS),
        (Splice(SpliceKind.CONTACT), State.FAIL),
        (Splice(SpliceKind.NON_CONTACT), State.UNDECIDED),
        (Splice(SpliceKind.NON_CONTACT, inches("2")), State.PASS),
        (Splice(SpliceKind.NON_CONTACT, inches("1.999")), State.FAIL),
        (Splice(SpliceKind.NON_CONTACT, Quantity(Decimal("50.8"), "mm")), State.PASS),
        (Splice(SpliceKind.NON_CONTACT, Quantity(Decimal("50.7"), "mm")), State.FAIL),
    ],
)
def test_laps_stand_apart_or_are_asked_about(
    splice: Splice | None, state: State
) -> None:
    """Source: IBC 2018, 1908.4.3, from memory: 2 in between lapped bars."""
    verdict = mockup_needed(
        Reinforcement((mat("No. 5 at 8"),), splice), terms=reading(None)
    )
    assert verdict.reasons[-1].key == "splice"
    assert verdict.reasons[-1].state is state
    assert verdict.state is state


def test_no_bars_ask_for_nothing_and_unknown_bars_settle_nothing() -> None:
    plain = mockup_needed(Reinforcement(()), terms=reading(None))
    assert plain.state is State.PASS
    assert asked_because(plain) == "no mock-up asked for by these limits"
    unknown = mockup_needed(None, terms=reading(None))
    assert unknown.state is State.UNDECIDED
    assert asked_because(unknown).endswith("asked for: reinforcement not given")


@pytest.mark.parametrize("reinforcement", [None, Reinforcement(()), examples.bars()])
def test_without_terms_in_force_nothing_is_guessed(
    reinforcement: Reinforcement | None,
) -> None:
    verdict = mockup_needed(reinforcement, terms=None)
    plain = reinforcement == Reinforcement(())
    assert verdict.state is (State.PASS if plain else State.UNDECIDED)
    assert all(r.state is verdict.state for r in verdict.reasons)
    assert all(r.source.section == "no terms in force" for r in verdict.reasons)


def test_an_instant_is_printed_on_the_jobs_clock() -> None:
    early = [decided(ACCEPTED, EARLY)]
    start: datetime = at(START)
    assert acceptance(early, at=start).need == "an acceptance by 2026-08-04 07:10"


@pytest.mark.parametrize(
    ("outcome", "said"),
    [
        (ACCEPTED, "given only"),
        (SUPERVISED, "given under supervision only"),
        (REJECTED, "rejected only"),
    ],
)
def test_what_was_decided_too_late_reads_on_from_its_name(
    outcome: DecisionOutcome, said: str
) -> None:
    late = acceptance([decided(outcome, LATE)], at=at(START), withdrawal=FROM_ITS_DAY)
    assert late.has == f"acceptance {said} 2026-08-04 07:11"
