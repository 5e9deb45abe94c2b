"""Named changes to the example operator, part and mix, one thing at a time.

The example is qualified on record: wet-mix by hand on a vertical wall, nozzle
taken 2026-08-04 07:10 in the job's zone. Each change takes and gives a case.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from crews.domain import examples
from crews.domain.certification import Card
from crews.domain.demand import Demand, RigEquivalence
from crews.domain.mock_up import Decision
from crews.domain.operator_file import OperatorFile, Suspension
from crews.domain.qualification import standing
from crews.domain.supervision import Watch
from crews.domain.trade_words import DecisionOutcome, Level, Method, WaivedGate
from crews.domain.waivers import Waiver
from project.domain.clocks import Interval
from project.domain.editions import Departure, resolve
from project.domain.reinforcement import BarWay, Curtain, Mat, Reinforcement
from project.domain.shooting_words import Position, Process
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Ref, Verdict

TABLES = Path(__file__).parents[2] / "tables" / "eligibility"
ON = date(2026, 8, 4)
BEFORE, AFTER = date(2026, 8, 3), date(2026, 8, 5)
OTHER = Ref("operator", "op-2", "OP-02")


def table(name: str) -> list[dict[str, str]]:
    with (TABLES / name).open(encoding="utf-8", newline="") as rows:
        return list(csv.DictReader(rows))


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(examples.ZONE))


@dataclass(frozen=True)
class Case:
    """One question: a file, a demand, perhaps somebody beside, perhaps terms."""

    file: OperatorFile
    demand: Demand
    watch: Watch | None = None
    terms: Terms | None = None

    def judge(self) -> Verdict:
        take = Interval(examples.AT, None, examples.ZONE)
        return standing(
            self.file, self.demand, interval=take, watch=self.watch, terms=self.terms
        )


def example() -> Case:
    return Case(examples.operator_file(), examples.demand())


def _card(case: Case, *more: Card, **given: Any) -> Case:
    card = replace(case.file.cards[0], **given)
    return replace(case, file=replace(case.file, cards=(card, *more)))


def _enrolment(case: Case, **given: Any) -> Case:
    place = replace(case.file.enrolments[0], **given)
    return replace(case, file=replace(case.file, enrolments=(place,)))


def _mock_up(case: Case, **given: Any) -> Case:
    mock_up = replace(case.file.mock_ups[0], **given)
    return replace(case, file=replace(case.file, mock_ups=(mock_up,)))


def decided(outcome: DecisionOutcome, when: str, number: int = 90) -> Decision:
    return Decision(
        id=UUID(int=number), recorded_at=at(when), outcome=outcome, decided_at=at(when)
    )


def _decided(case: Case, outcome: DecisionOutcome, when: str) -> Case:
    return _mock_up(case, decisions=(decided(outcome, when),))


def _demand(case: Case, **given: Any) -> Case:
    return replace(case, demand=replace(case.demand, **given))


def _mix(case: Case, **given: Any) -> Case:
    return _demand(case, mix=replace(case.demand.mix, **given))


def _suspended(case: Case, from_at: str, until_at: str | None, **given: Any) -> Case:
    order = Suspension(
        id=UUID(int=80),
        recorded_at=examples.RECORDED,
        from_at=at(from_at),
        until_at=at(until_at) if until_at else None,
        ordered_by="BT",
        words="stood down",
        **given,
    )
    return replace(case, file=replace(case.file, suspensions=(order,)))


def _asked_again(case: Case) -> Case:
    return replace(case, file=replace(case.file, setbacks=(examples.setback(),)))


def _by_table(case: Case, angle: int) -> Case:
    """Slope the part, under a contract that counts from 60 and from 100 degrees."""
    given = {
        f"{what}_{position}_from": Departure(Decimal(value), reason="contract")
        for what in ("card", "mockup")
        for position, value in (("vertical", 60), ("overhead", 100))
    }
    terms = resolve("ibc-2018-1908", revision=1, effective_on=ON, departures=given)
    sloped = _demand(case, position=Position.SLOPED, angle=Decimal(angle))
    return replace(sloped, terms=terms)


def _terms(case: Case, name: str, value: str | bool) -> Case:
    given = {name: Departure(value, reason="contract")}
    terms = resolve("ibc-2018-1908", revision=1, effective_on=ON, departures=given)
    return replace(case, terms=terms)


def _idle(case: Case, days: int, *, together: bool = False, **shot: Any) -> Case:
    """Give the contract an idle limit, and change the one stretch of shooting."""
    given = {
        "idle_limit": Departure(Decimal(days), "d", "contract"),
        "idle_per_process": Departure(not together, reason="contract"),
    }
    terms = resolve("ibc-2018-1908", revision=1, effective_on=ON, departures=given)
    shots = (replace(examples.shot(), **shot),)
    return replace(case, terms=terms, file=replace(case.file, shots=shots))


def _waived(case: Case, gate: WaivedGate, **given: Any) -> Case:
    values: dict[str, Any] = {
        "from_at": at("2026-08-01T00:00"),
        "until_at": at("2026-08-31T18:00"),
        "operator": examples.OPERATOR.id,
        "given_by": "HK",
        "words": "supervised refresher",
    }
    waiver = Waiver(
        id=UUID(int=82), recorded_at=examples.RECORDED, gate=gate, **values | given
    )
    return _demand(case, waivers=(waiver,))


def _thin(case: Case, **given: Any) -> Case:
    """Make the mock-up thinner than the part, and name it by its chain."""
    thickness = Quantity(Decimal(8), "in")
    return _mock_up(case, thickness=thickness, first="chain-1", **given)


def _trainee(case: Case, **given: Any) -> Case:
    return _card(case, level=Level.IN_TRAINING, **given)


def _no_mock_up(case: Case, **given: Any) -> Case:
    bare = replace(case, file=replace(case.file, mock_ups=()))
    return _demand(bare, **given)


def _beside(case: Case, **given: Any) -> Case:
    """Name another operator, equal to the example's but for what is given."""
    theirs = replace(examples.mock_up(), operator=OTHER)
    file = replace(examples.operator_file(), operator=OTHER, mock_ups=(theirs,))
    return replace(_trainee(case), watch=Watch(supervisor=replace(file, **given)))


def _alone(case: Case) -> Case:
    trainee = _trainee(case)
    return replace(trainee, watch=Watch(supervisor=examples.operator_file()))


def _classes(process: Process, position: Position) -> frozenset[Any]:
    return frozenset({(process, position)})


def _plain_bars() -> Reinforcement:
    """One curtain of wide bars: nothing in it makes the code ask for a mock-up."""
    bars = examples.bars()
    spacing = Quantity(bars.mats[0].spacing.value, "in")
    mat = Mat(Curtain.NEARER, BarWay.VERTICAL, "No. 5", spacing)
    return Reinforcement((mat,), bars.splice)


_OVERHEAD_DRY = replace(
    examples.card(),
    id=UUID(int=70),
    number="DO-0002",
    classes=_classes(Process.DRY, Position.OVERHEAD),
)
_FULL = replace(examples.card(), id=UUID(int=71), number="WV-0002")

_ACCEPTED = DecisionOutcome.ACCEPTED
_SUPERVISED = DecisionOutcome.ACCEPTED_UNDER_SUPERVISION
_REJECTED = DecisionOutcome.REJECTED

CHANGES: dict[str, Callable[[Case], Case]] = {
    "none": lambda c: c,
    "enrolment_absent": lambda c: replace(c, file=replace(c.file, enrolments=())),
    "enrolment_not_begun": lambda c: _enrolment(c, from_on=AFTER),
    "enrolment_ended": lambda c: _enrolment(c, to_on=BEFORE),
    "enrolment_last_day": lambda c: _enrolment(c, to_on=ON),
    "submittal_not_approved": lambda c: _enrolment(c, approved_on=None),
    "submittal_approved_that_day": lambda c: _enrolment(c, approved_on=ON),
    "submittal_approved_next_day": lambda c: _enrolment(c, approved_on=AFTER),
    "card_absent": lambda c: replace(c, file=replace(c.file, cards=())),
    "card_expired": lambda c: _card(c, expires_on=BEFORE),
    "card_last_day": lambda c: _card(c, expires_on=ON),
    "card_last_day_not_counted": lambda c: _terms(
        _card(c, expires_on=ON), "card_last_day_inclusive", False
    ),
    "card_not_issued": lambda c: _card(c, issued_on=AFTER),
    "card_other_process": lambda c: _card(
        c, classes=_classes(Process.DRY, Position.VERTICAL)
    ),
    "card_robotic": lambda c: _card(c, scheme="robotic", method=Method.ROBOTIC),
    "part_robotic": lambda c: _demand(c, method=Method.ROBOTIC),
    "card_overhead_only": lambda c: _card(
        c, classes=_classes(Process.WET, Position.OVERHEAD)
    ),
    "card_overhead_other_process": lambda c: _card(
        c, classes=_classes(Process.DRY, Position.OVERHEAD)
    ),
    "part_overhead": lambda c: _demand(c, position=Position.OVERHEAD),
    "part_overhead_on_two_cards": lambda c: _demand(
        _card(c, _OVERHEAD_DRY), position=Position.OVERHEAD
    ),
    "part_sloped": lambda c: _demand(c, position=Position.SLOPED),
    "part_sloped_card_overhead": lambda c: _demand(
        _card(c, classes=_classes(Process.WET, Position.OVERHEAD)),
        position=Position.SLOPED,
    ),
    "part_unclassified": lambda c: _demand(c, position=Position.UNCLASSIFIED),
    "part_unclassified_and_card_expired": lambda c: _demand(
        _card(c, expires_on=BEFORE), position=Position.UNCLASSIFIED
    ),
    "trainee": _trainee,
    "trainee_part_not_marked": lambda c: _demand(_trainee(c), trainee_allowed=False),
    "trainee_terms_no_part": lambda c: _terms(_trainee(c), "trainee_parts", "no part"),
    "trainee_overhead": lambda c: _demand(_trainee(c), position=Position.OVERHEAD),
    "part_sloped_by_table": lambda c: _by_table(c, 90),
    "part_overhanging_by_table": lambda c: _by_table(c, 110),
    "mock_up_asked_again": lambda c: _asked_again(c),
    "mock_up_accepted_again": lambda c: _decided(
        _asked_again(c), _ACCEPTED, "2026-07-30T09:01"
    ),
    "trainee_sloped": lambda c: _demand(_trainee(c), position=Position.SLOPED),
    "trainee_expired": lambda c: _trainee(c, expires_on=BEFORE),
    "trainee_and_full_card": lambda c: _card(c, _FULL, level=Level.IN_TRAINING),
    "trainee_and_full_card_expired": lambda c: _card(
        c,
        replace(_FULL, expires_on=BEFORE),
        level=Level.IN_TRAINING,
        expires_on=BEFORE,
    ),
    "trainee_supervised": _beside,
    "trainee_supervised_by_himself": _alone,
    "trainee_supervised_by_a_trainee": lambda c: _beside(
        c, cards=(replace(_FULL, level=Level.IN_TRAINING),)
    ),
    "trainee_supervisor_without_mock_up": lambda c: _beside(c, mock_ups=()),
    "mock_up_absent": _no_mock_up,
    "mock_up_absent_and_not_asked": lambda c: _no_mock_up(
        _terms(c, "clear_rule", "clear spacing"),
        mock_up_by_contract=None,
        reinforcement=_plain_bars(),
    ),
    "mock_up_absent_asked_by_code": lambda c: _no_mock_up(
        _terms(c, "clear_rule", "clear spacing"), mock_up_by_contract=None
    ),
    "mock_up_absent_bars_not_given": lambda c: _no_mock_up(
        c, mock_up_by_contract=None, reinforcement=None
    ),
    "mock_up_bars_not_given": lambda c: _demand(c, reinforcement=None),
    "mock_up_of_another": lambda c: _mock_up(c, operator=OTHER),
    "mock_up_of_two": lambda c: _mock_up(c, shared=True),
    "mock_up_not_decided": lambda c: _mock_up(c, decisions=()),
    "mock_up_rejected": lambda c: _decided(c, _REJECTED, "2026-07-29T15:10"),
    "mock_up_accepted_later": lambda c: _decided(c, _ACCEPTED, "2026-08-04T07:11"),
    "mock_up_accepted_at_the_start": lambda c: _decided(
        c, _ACCEPTED, "2026-08-04T07:10"
    ),
    "mock_up_supervised": lambda c: _decided(c, _SUPERVISED, "2026-07-29T15:10"),
    "mock_up_rejected_afterwards": lambda c: _mock_up(
        c,
        decisions=(
            decided(_ACCEPTED, "2026-07-29T15:10"),
            decided(_REJECTED, "2026-08-20T09:00", 91),
        ),
    ),
    "rig_equal_later": lambda c: _demand(
        c,
        rig=Ref("rig", "rig-2", "A2"),
        rig_equivalences=(
            RigEquivalence(
                id=UUID(int=81),
                recorded_at=at("2026-08-04T12:00"),
                rigs=frozenset({"rig-1", "rig-2"}),
                accepted_at=at("2026-08-04T12:00"),
            ),
        ),
    ),
    "mix_not_approved": lambda c: _mix(c, approved_on=None),
    "mix_approved_that_day": lambda c: _mix(c, approved_on=ON),
    "mix_approved_next_day": lambda c: _mix(c, approved_on=AFTER),
    "mix_withdrawn": lambda c: _mix(c, withdrawn_on=ON),
    "mix_withdrawn_next_day": lambda c: _mix(c, withdrawn_on=AFTER),
    "suspended": lambda c: _suspended(c, "2026-08-01T06:00", None),
    "suspended_from_the_start": lambda c: _suspended(c, "2026-08-04T07:10", None),
    "suspended_later": lambda c: _suspended(c, "2026-08-04T07:11", None),
    "suspended_before": lambda c: _suspended(c, "2026-08-01T06:00", "2026-08-04T07:10"),
    "suspended_for_dry": lambda c: _suspended(
        c, "2026-08-01T06:00", None, process=Process.DRY
    ),
    "suspended_for_overhead": lambda c: _suspended(
        c, "2026-08-01T06:00", None, position=Position.OVERHEAD
    ),
    "suspended_for_overhead_part_unclassified": lambda c: _suspended(
        _demand(c, position=Position.UNCLASSIFIED),
        "2026-08-01T06:00",
        None,
        position=Position.OVERHEAD,
    ),
    "idle_within": lambda c: _idle(c, 20),
    "idle_exactly": lambda c: _idle(c, 17),
    "idle_over": lambda c: _idle(c, 16),
    "idle_nothing_on_record": lambda c: replace(
        _idle(c, 20), file=replace(c.file, shots=())
    ),
    "idle_other_process": lambda c: _idle(c, 20, process=Process.DRY),
    "idle_any_process": lambda c: _idle(c, 20, together=True, process=Process.DRY),
    "idle_own_time_does_not_count": lambda c: replace(
        _idle(c, 16),
        file=replace(
            c.file,
            shots=(
                examples.shot(),
                replace(examples.shot(), id=UUID(int=83), begun=examples.AT),
            ),
        ),
    ),
    "idle_waived": lambda c: _waived(_idle(c, 16), WaivedGate.IDLE),
    "idle_waiver_ended": lambda c: _waived(
        _idle(c, 16), WaivedGate.IDLE, until_at=at("2026-08-04T07:10")
    ),
    "idle_waiver_of_another": lambda c: _waived(
        _idle(c, 16), WaivedGate.IDLE, operator=OTHER.id
    ),
    "rig_waived": lambda c: _waived(
        _demand(c, rig=Ref("rig", "rig-2", "A2")), WaivedGate.RIG
    ),
    "mock_up_equivalence": lambda c: _waived(
        _thin(c), WaivedGate.MOCK_UP, mock_up="chain-1"
    ),
    "mock_up_equivalence_of_another_mock_up": lambda c: _waived(
        _thin(c), WaivedGate.MOCK_UP, mock_up="chain-2"
    ),
    "mock_up_equivalence_rejected": lambda c: _waived(
        _thin(c, decisions=(decided(_REJECTED, "2026-07-29T15:10"),)),
        WaivedGate.MOCK_UP,
        mock_up="chain-1",
    ),
}
