"""Each page asks the database as often for many rows as for few."""

from __future__ import annotations

from datetime import date

from crews.domain.trade_words import PanelKind, ShiftName
from tests.crews.pages import Visitor
from tests.factories import (
    card,
    clock_at,
    make_card,
    make_cores,
    make_judgement,
    make_operator,
    make_panel,
    make_part,
    make_placement,
    make_shift,
    report,
    result,
    shoot,
)
from tests.support.made_once import made_once


def _work_a_day(site, day: str, name: ShiftName = ShiftName.DAY) -> None:
    """Shoot one placement and one panel, core it, and report the cores."""
    with clock_at(f"{day} 06:50"):
        shift = make_shift(
            site.inspector,
            site.contractor,
            work_date=date.fromisoformat(day),
            name=name,
        )
        placed = make_placement(site, shift)
    shoot(site, placed, site.operator, f"{day} 07:10", f"{day} 10:10")
    shoot(site, placed, site.trainee, f"{day} 10:20", f"{day} 10:40")
    panel = make_panel(site, placement=placed, shot=f"{day} 09:00")
    cores = make_cores(site, panel, ages=(7, 28, 28, 28), drilled="2026-08-20 09:00")
    reported = [result(core, "2026-09-10 10:00") for core in cores[:3]]
    report(site, f"L-{panel.code}", "2026-09-10 12:00", reported)
    site.extra.setdefault("shifts", []).append(shift)
    site.extra.setdefault("panels", []).append(panel)


@made_once
def few(qualified):
    _work_a_day(qualified, "2026-08-04")
    return qualified


def _more(site) -> None:
    """Add operators, cards, parts, days, mock-ups, panels and results."""
    with clock_at("2026-08-01 08:00"):
        for n in range(3, 6):
            make_operator(site.qc, site.contractor, f"Operator {n}", f"B-00{n}")
            make_part(site.admin, f"R1{n}", order=10 + n)
        make_card(site.qc, site.operator, card(number="WV-again"))
    for n in range(3):
        panel = make_panel(
            site, PanelKind.MOCK_UP, shot=f"2026-07-2{n} 08:30", mockup_class="A"
        )
        make_judgement(site, panel, "2026-07-29 15:10")
    for day in ("2026-08-05", "2026-08-06", "2026-08-07"):
        _work_a_day(site, day)
    _work_a_day(site, "2026-08-10", ShiftName.EVENING)


# name, whose eyes, arguments after the job, what is asked
PAGES = [
    ("operators", "inspector", [], {}),
    ("operators", "qc", [], {"part": "R1", "operator": "OP-01"}),
    ("operator", "inspector", ["OP-01"], {}),
    ("enter_operator", "inspector", [], {}),
    ("enrol_operator", "inspector", [], {}),
    ("record_card", "inspector", ["OP-01"], {}),
    ("correct_place", "inspector", ["OP-01"], {}),
    ("suspend_operator", "inspector", ["OP-01"], {}),
    ("crews", "inspector", [], {}),
    ("enter_rig", "qc", [], {}),
    ("accept_equal_rigs", "engineer", [], {}),
    ("open_shift", "inspector", [], {}),
    ("panels", "inspector", [], {}),
    ("panels", "qc", [], {}),
    ("panels", "laboratory", [], {}),
    ("panel", "inspector", ["TP-001"], {}),
    ("panel", "inspector", ["TP-001"], {"core": "1"}),
    ("panel", "engineer", ["MU-01"], {}),
    ("shoot_panel", "inspector", ["production"], {"placement": "PL-001"}),
    ("drill_cores", "inspector", ["TP-001"], {}),
    ("judge_panel", "engineer", ["MU-01"], {}),
    ("strength", "owner", [], {}),
    ("laboratory", "laboratory", [], {}),
    ("enter_results", "laboratory", ["TP-001"], {}),
    ("take_nozzle", "inspector", ["PL-001"], {}),
    ("take_nozzle", "inspector", ["PL-001"], {"operator": "OP-02"}),
]


def test_no_page_asks_more_for_more_rows(few):
    eyes = {key: Visitor(member) for key, member in few.members.items()}
    before = {
        (name, key, str(asked)): eyes[key].queries(name, *args, **asked)
        for name, key, args, asked in PAGES
    }
    _more(few)
    after = {
        (name, key, str(asked)): eyes[key].queries(name, *args, **asked)
        for name, key, args, asked in PAGES
    }
    assert after == before


def test_pages_of_a_shift_ask_no_more_either(few):
    shift = few.extra["shifts"][0].first
    pages = ["record_placement", "note_presence", "close_shift"]
    eye = Visitor(few.inspector)
    before = {name: eye.queries(name, shift) for name in pages}
    _more(few)
    assert {name: eye.queries(name, shift) for name in pages} == before
