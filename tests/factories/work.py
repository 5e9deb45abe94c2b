"""What is done at the wall and in the laboratory, each at its own time."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from crews.actions.cores import CoreEntry, drill_cores
from crews.actions.laboratory import ResultEntry, enter_lab_report
from crews.actions.nozzle import leave_nozzle, take_nozzle
from crews.actions.panels import PanelSize, judge_panel, shoot_panel
from crews.actions.shooting import open_shift, place
from crews.domain.trade_words import (
    CoreReinforcement,
    DecisionOutcome,
    PanelKind,
    ShiftName,
)
from crews.models import (
    Core,
    LabReport,
    NozzleTime,
    Operator,
    Panel,
    PanelJudgement,
    Placement,
    Shift,
)
from project import clock
from project.actions.signatures import Proof
from project.domain.shooting_words import Position
from project.domain.units import Quantity
from project.models import (
    Membership,
    Organization,
    new_id,
)
from tests.factories.site import Site
from tests.factories.values import FIRST_DAY, at, bars, clock_at, q


def make_shift(
    by: Membership,
    contractor: Organization,
    work_date: date = FIRST_DAY,
    name: ShiftName = ShiftName.DAY,
    starts: str = "07:00",
) -> Shift:
    """Open a shift; the clock must stand on its day."""
    return open_shift(
        id=new_id(),
        by=by,
        contractor=contractor,
        work_date=work_date,
        name=name,
        starts_at=at(f"{work_date} {starts}"),
    )


def make_placement(site: Site, shift: Shift, **facts: Any) -> Placement:
    """Place the first part with the first mix, rig and crew of the first contractor."""
    given: dict[str, Any] = {
        "part": site.wall.part,
        "mix": site.mix,
        "crew": site.crew,
        "rig": site.rig,
    }
    return place(id=new_id(), by=site.inspector, shift=shift, **given | facts)


def shoot(
    site: Site,
    placement: Placement,
    operator: Operator,
    start: str,
    stop: str | None = None,
    **facts: Any,
) -> NozzleTime:
    """Take the nozzle and leave it, each at its own time."""
    with clock_at(start):
        taken, _ = take_nozzle(
            id=new_id(),
            by=site.inspector,
            placement=placement,
            operator=operator,
            at=at(start),
        )
    if stop is not None:
        with clock_at(stop):
            leave_nozzle(by=site.inspector, nozzle_time=taken, at=at(stop), **facts)
    taken.refresh_from_db()
    return taken


def make_panel(
    site: Site,
    kind: PanelKind = PanelKind.PRODUCTION,
    shot: str = "2026-08-04 09:00",
    **facts: Any,
) -> Panel:
    """Shoot a panel of 24 by 24 by 5 in for the site's laboratory."""
    given: dict[str, Any] = {
        "mix": site.mix,
        "position": Position.VERTICAL,
        "operator": site.operator,
        "rig": site.rig,
        "laboratory": site.laboratory,
        "size": PanelSize(length=q("24 in"), width=q("24 in"), depth=q("5 in")),
    }
    if kind is PanelKind.MOCK_UP:
        given |= {"thickness": q("10 in"), "reinforcement": bars()}
    with clock_at(shot):
        return shoot_panel(
            id=new_id(),
            by=facts.pop("by", site.inspector),
            kind=kind,
            shot_from=at(shot),
            **given | facts,
        )


def prove_now(member: Membership) -> Proof:
    """Return proof of a password given just now."""
    return Proof(user_id=member.user_id, at=clock.now())


def make_judgement(
    site: Site,
    panel: Panel,
    decided: str,
    decision: DecisionOutcome = DecisionOutcome.ACCEPTED,
    **facts: Any,
) -> PanelJudgement:
    """Let the engineer judge a panel."""
    by = facts.pop("by", site.engineer)
    with clock_at(decided):
        return judge_panel(
            id=new_id(),
            by=by,
            panel=panel,
            decision=decision,
            decided_at=at(decided),
            proof=prove_now(by),
            printed_name=by.user.printed_name,
            **{"words": "Bars encased."} | facts,
        )


def make_cores(
    site: Site,
    panel: Panel,
    ages: tuple[int, ...] = (7, 7, 28, 28, 28),
    drilled: str = "2026-08-10 09:00",
    **facts: Any,
) -> list[Core]:
    """Drill cores well away from the panel's edges."""
    places = [("7.5", "7.5"), ("16.5", "16.5"), ("7.5", "16.5"), ("16.5", "7.5")]
    places.append(("12", "12"))
    with clock_at(drilled):
        return drill_cores(
            by=site.technician,
            panel=panel,
            cores=[
                CoreEntry(
                    **{
                        "id": new_id(),
                        "number": number,
                        "planned_age_days": age,
                        "drilled_at": at(drilled),
                        "x": q(f"{x} in"),
                        "y": q(f"{y} in"),
                        "diameter": q("3 in"),
                    }
                    | facts
                )
                for number, (age, (x, y)) in enumerate(
                    zip(ages, places, strict=False), start=1
                )
            ],
        )


def result(core: Core, tested: str, strength: str = "5000", **facts: Any) -> Any:
    """Return a sound core's result, stated by its breaking load at L/D 1.6."""
    area = Decimal("7.0686")
    load = (Decimal(strength) * area / Decimal("0.968")).quantize(Decimal(1))
    given: dict[str, Any] = {
        "d1": q("3.00 in"),
        "d2": q("3.00 in"),
        "length_tested": q("4.80 in"),
        "breaking_load": Quantity(load, "lbf"),
        "conditioning": "soaked",
        "reinforcement": CoreReinforcement.NONE,
    }
    return ResultEntry(id=new_id(), core=core, tested_at=at(tested), **given | facts)


def report(
    site: Site, number: str, received: str, results: list[Any], **facts: Any
) -> LabReport:
    """Let the laboratory enter a report."""
    with clock_at(received):
        return enter_lab_report(
            id=new_id(), by=site.technician, number=number, results=results, **facts
        )


def with_mock_up(site: Site, operator: Operator | None = None) -> Panel:
    """Let an operator shoot a mock-up of the wall, and the engineer accept it."""
    panel = make_panel(
        site,
        PanelKind.MOCK_UP,
        shot="2026-07-20 08:30",
        operator=operator or site.operator,
        mockup_class="A",
    )
    make_judgement(site, panel, "2026-07-29 15:10")
    return panel
