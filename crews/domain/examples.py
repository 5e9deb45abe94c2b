"""Facts that the worked examples of this package speak of. All invented."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID
from zoneinfo import ZoneInfo

from crews.domain.activity import Shot
from crews.domain.certification import Card
from crews.domain.demand import Demand, MixOnRecord
from crews.domain.endings import Ending, EndingKind
from crews.domain.mock_up import Decision, MockUp
from crews.domain.operator_file import Enrolment, OperatorFile
from crews.domain.planning import Assigned, Planned
from crews.domain.requalification import Setback
from crews.domain.trade_words import DecisionOutcome, Level, Method
from project.domain.clocks import day_ends
from project.domain.reinforcement import (
    BarWay,
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
)
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity
from project.domain.verdict import Known, Ref, Source

ZONE = "America/Denver"
OPERATOR = Ref("operator", "op-1", "OP-01")
RECORDED = datetime(2026, 7, 13, 16, tzinfo=UTC)
AT = datetime(2026, 8, 4, 7, 10, tzinfo=ZoneInfo(ZONE))


def card() -> Card:
    """Return a full card for wet vertical by hand, last valid day 2028-03-14."""
    return Card(
        id=UUID(int=1),
        recorded_at=RECORDED,
        scheme="CP-60",
        number="WV-0001",
        method=Method.HAND,
        level=Level.FULL,
        classes=frozenset({(Process.WET, Position.VERTICAL)}),
        issued_on=date(2023, 3, 14),
        expires_on=date(2028, 3, 14),
        verified_on=date(2026, 7, 13),
    )


def setback() -> Setback:
    """Return a rating of the operator's own wet vertical work: not acceptable."""
    return Setback(
        id=UUID(int=90),
        recorded_at=RECORDED,
        at=datetime(2026, 7, 30, 9, tzinfo=ZoneInfo(ZONE)),
        words="TP-001 not acceptable",
        process=Process.WET,
        method=Method.HAND,
        position=Position.VERTICAL,
    )


def ending() -> Ending:
    """Return the end of a card whose last valid day is 2026-10-02."""
    last = date(2026, 10, 2)
    return Ending(
        EndingKind.CARD,
        last,
        OPERATOR,
        "WV-1: wet vertical by hand",
        ref=card().ref,
        until=day_ends(last, zone=ZONE),
        recorded_at=RECORDED,
    )


def bars() -> Reinforcement:
    """Return two curtains of No. 5 bars at 8 in, laps 2 in apart."""
    spacing = Quantity(Decimal(8), "in")
    mats = tuple(
        Mat(curtain, way, "No. 5", spacing)
        for curtain in (Curtain.NEARER, Curtain.FARTHER)
        for way in (BarWay.VERTICAL, BarWay.HORIZONTAL)
    )
    return Reinforcement(
        mats, Splice(SpliceKind.NON_CONTACT, Quantity(Decimal(2), "in"))
    )


def demand() -> Demand:
    """Return a vertical wall of 10 in, wet-mix by hand, that wants a mock-up."""
    return Demand(
        part=Ref("part", "part-1", "R1-lower"),
        position=Position.VERTICAL,
        method=Method.HAND,
        mix=MixOnRecord(
            ref=Ref("mix revision", "mix-1", "W-45A rev 2"),
            code="W-45A",
            revision=2,
            process=Process.WET,
            approved_on=date(2026, 7, 8),
        ),
        rig=Ref("rig", "rig-1", "A1"),
        reinforcement=bars(),
        thickness=Quantity(Decimal(10), "in"),
        trainee_allowed=True,
        mock_up_class="A",
        mock_up_by_contract=Source("contract", known=Known.CONTRACT),
    )


def mock_up() -> MockUp:
    """Return the operator's own mock-up of that wall, accepted 2026-07-29 15:10."""
    judged = datetime(2026, 7, 29, 15, 10, tzinfo=ZoneInfo(ZONE))
    decision = Decision(
        id=UUID(int=2),
        recorded_at=judged,
        outcome=DecisionOutcome.ACCEPTED,
        decided_at=judged,
    )
    return MockUp(
        id=UUID(int=3),
        recorded_at=RECORDED,
        code="MU-01",
        operator=OPERATOR,
        mix_code="W-45A",
        mix_revision=2,
        process=Process.WET,
        method=Method.HAND,
        position=Position.VERTICAL,
        rig=Ref("rig", "rig-1", "A1"),
        reinforcement=bars(),
        thickness=Quantity(Decimal(10), "in"),
        mock_up_class="A",
        decisions=(decision,),
    )


def shot() -> Shot:
    """Return the shooting of that mock-up, on 2026-07-18."""
    begun = datetime(2026, 7, 18, 9, tzinfo=ZoneInfo(ZONE))
    return Shot(
        id=UUID(int=5),
        recorded_at=RECORDED,
        process=Process.WET,
        begun=begun,
        kind="panel",
        name="MU-01",
    )


def operator_file() -> OperatorFile:
    """Return the file of an operator who is enrolled, carded and accepted."""
    enrolment = Enrolment(
        id=UUID(int=4),
        recorded_at=RECORDED,
        employer="ORG-A",
        submittal="SUB-OP-01",
        approved_on=date(2026, 7, 16),
        from_on=date(2026, 7, 13),
    )
    return OperatorFile(
        operator=OPERATOR,
        cards=(card(),),
        enrolments=(enrolment,),
        mock_ups=(mock_up(),),
        shots=(shot(),),
    )


def planned() -> Planned:
    """Return that wall planned for that operator, on the morning of `AT`."""
    return Planned(
        code="PLAN-01",
        part="R1-lower",
        starts_at=AT,
        demand=demand(),
        terms=None,
        operators=(Assigned(OPERATOR),),
    )
