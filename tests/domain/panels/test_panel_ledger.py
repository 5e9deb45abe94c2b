"""Which panel meets what, what stays missing, and why a panel meets nothing."""

from datetime import UTC, datetime, timedelta

import pytest

from crews.domain.panel_ledger import StandsFor, discharge
from crews.domain.sampling import panels_owed
from tests.domain.panels.making import (
    DAY,
    MIX,
    make_cell,
    make_panel,
    make_terms,
    yards,
)


def _ledger(cells, panels, **rule):
    terms = make_terms(**rule)
    return discharge(panels_owed(cells, terms=terms), panels, terms=terms)


def test_a_panel_that_agrees_in_everything_meets_its_obligation():
    ledger = _ledger([make_cell()], [make_panel()])
    (line,) = ledger.met
    assert line.panel == make_panel()
    assert line.answered
    assert ledger.idle == ()


@pytest.mark.parametrize(
    ("changed", "because"),
    [
        ({"work_date": DAY + timedelta(days=1)}, "nothing was shot on its work date"),
        ({"contractor": "B"}, "nothing was shot by its contractor"),
        ({"mix": "W-45A rev 1"}, "nothing was shot of its mix revision"),
        ({"operator": "OP-02"}, "nothing was shot by its operator"),
        ({"shift": "night"}, "nothing was shot in its shift"),
        ({"rig": "RIG-A2"}, "nothing was shot with its rig"),
        ({"rig": ""}, "nothing was shot with its rig"),
    ],
)
def test_one_difference_leaves_the_panel_missing_and_says_which(changed, because):
    ledger = _ledger([make_cell()], [make_panel(**changed)])
    assert len(ledger.missing) == 1
    assert [idle.because for idle in ledger.idle] == [because]


def test_position_agrees_only_where_the_terms_ask_it():
    overhead = make_panel(position="overhead")
    assert _ledger([make_cell()], [overhead]).missing == ()
    asked = _ledger([make_cell()], [overhead], panel_position=True)
    assert len(asked.missing) == 1
    assert asked.idle[0].because == "nothing was shot in its position"


def test_a_shared_panel_leaves_both_obligations_open():
    cells = [make_cell("OP-01"), make_cell("OP-02")]
    ledger = _ledger(cells, [make_panel(shared_with="OP-02")])
    assert [line.owed.operator for line in ledger.missing] == ["OP-01", "OP-02"]
    assert ledger.idle[0].because == "shot by two operators: each still owes one"


def test_a_shared_panel_counts_where_nobody_in_particular_owes_it():
    cells = [make_cell("OP-01"), make_cell("OP-02")]
    shared = make_panel(operator="OP-09", shared_with="OP-02")
    assert _ledger(cells, [shared], panel_per="mix").missing == ()


def test_one_panel_meets_one_obligation_and_a_second_is_idle():
    panels = [make_panel("TP-002"), make_panel("TP-001")]
    ledger = _ledger([make_cell()], panels)
    assert [line.panel.panel for line in ledger.met] == ["TP-001"]
    assert [(i.panel.panel, i.because) for i in ledger.idle] == [
        ("TP-002", "no further panel is owed")
    ]


def test_an_operator_s_own_panel_is_not_used_up_for_the_volume():
    """Owed: one by each of two operators and one for the volume, by either."""
    cells = [make_cell("OP-01", volume=yards(90)), make_cell("OP-02", volume=yards(40))]
    panels = [make_panel("TP-001", "OP-02"), make_panel("TP-002", "OP-01")]
    ledger = _ledger(cells, panels)
    assert [line.owed.operator for line in ledger.missing] == [""]
    third = make_panel("TP-003", "OP-02")
    assert _ledger(cells, [*panels, third]).missing == ()


def test_other_kinds_of_panel_meet_nothing_and_are_not_idle():
    kinds = ("preconstruction material", "mock-up", "finish sample", "in place")
    panels = [make_panel(f"P-{kind}", kind=kind) for kind in kinds]
    ledger = _ledger([make_cell()], panels)
    assert len(ledger.missing) == 1
    assert ledger.missing[0].substitute is None
    assert ledger.idle == ()


def test_a_panel_without_any_shooting_is_idle():
    ledger = _ledger([], [make_panel()])
    assert ledger.idle[0].because == "nothing was shot on its work date"


def test_cores_from_the_work_stand_beside_a_missing_panel():
    stands_for = StandsFor(DAY, MIX, "OP-01")
    proposed = make_panel("IP-01", kind="in place", stands_for=stands_for)
    (line,) = _ledger([make_cell()], [proposed]).missing
    assert line.substitute == proposed
    assert not line.answered
    accepted = make_panel(
        "IP-01",
        kind="in place",
        stands_for=stands_for,
        accepted_at=datetime(2026, 9, 10, 22, 30, tzinfo=UTC),
    )
    (line,) = _ledger([make_cell()], [accepted]).missing
    assert line.answered
    assert line.missing


def test_cores_stand_for_one_missing_panel_only():
    cells = [make_cell(volume=yards(60))]
    stands_for = StandsFor(DAY, MIX, "OP-01")
    cores = make_panel("IP-01", kind="in place", stands_for=stands_for)
    lines = _ledger(cells, [cores], panel_count="per cell").missing
    assert [line.substitute is not None for line in lines] == [True, False]


def test_cores_stand_for_nobody_else_and_not_beside_a_panel():
    other = StandsFor(DAY, MIX, "OP-02")
    cores = make_panel("IP-01", kind="in place", stands_for=other)
    assert _ledger([make_cell()], [cores]).missing[0].substitute is None
    own = make_panel("IP-01", kind="in place", stands_for=StandsFor(DAY, MIX, "OP-01"))
    (line,) = _ledger([make_cell()], [make_panel(), own]).lines
    assert line.substitute is None
