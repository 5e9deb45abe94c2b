"""What the invented job owed, shot and missed, against conclusions drawn elsewhere."""

import json
from collections import Counter
from datetime import date, datetime
from decimal import Decimal

from crews.domain.panel_ledger import Made, StandsFor, discharge
from crews.domain.sampling import Cell, panels_owed
from inspections.management.demo.contract_terms import departures_of, terms_of
from project.domain.editions import IBC_2018, Departure, resolve
from project.domain.units import Quantity
from tests.support.scenario import FILE
from tests.support.tables import FOLDER

SCENARIO = json.loads(FILE.read_text(encoding="utf-8"), parse_float=Decimal)
EXPECTED = json.loads((FOLDER / "expected.json").read_text(encoding="utf-8"))
TERMS = terms_of(SCENARIO["terms"][1])
PLACEMENTS = {row["id"]: row for row in SCENARIO["placements"]}


def _mix(row):
    return f"{row['mix']} rev {row['mix_revision']}"


def _delivered(placement, segment):
    """Add the accepted loads whose shooting began in a nozzle time."""
    total = Decimal(0)
    for load in placement["loads_list"]:
        began = load["first_shot_at"]
        if load["accepted"] and segment["started_at"] <= began < segment["ended_at"]:
            total += load["volume_yd3"]
    return Quantity(total, "yd3")


def _cells():
    return [
        Cell(
            date.fromisoformat(placement["shift"]["work_date"]),
            shift=placement["shift"]["name"],
            mix=_mix(placement),
            operator=segment["operator"],
            rig=placement["rig"],
            position=placement["orientation"],
            contractor=placement["crew"][0],
            volume=_delivered(placement, segment),
        )
        for placement in SCENARIO["placements"]
        for segment in placement["segments"]
    ]


def _made():
    for panel in SCENARIO["panels"]:
        placement = PLACEMENTS[panel["placement"]]
        yield Made(
            panel["id"],
            kind=panel["kind"],
            work_date=date.fromisoformat(panel["shift_date"]),
            mix=_mix(panel),
            operator=panel["operator"],
            shift=placement["shift"]["name"],
            rig=panel["rig"],
            position=panel["position"],
            contractor=placement["crew"][0],
        )
    for row in SCENARIO["substitutes"]:
        placement = PLACEMENTS[row["placement"]]
        work_date = date.fromisoformat(placement["shift"]["work_date"])
        yield Made(
            row["core_set"],
            kind="in place",
            work_date=work_date,
            mix=_mix(placement),
            operator=row["operator"],
            stands_for=StandsFor(work_date, _mix(placement), row["operator"]),
            accepted_at=datetime.fromisoformat(row["accepted_at"]),
        )


def _ledger(terms, made=None):
    panels = list(_made()) if made is None else made
    return discharge(panels_owed(_cells(), terms=terms), panels, terms=terms)


def _code(mix):
    return mix.split(" rev ")[0]


def test_the_ledger_is_the_expected_one_line_by_line():
    expected = EXPECTED["panels_owed"]
    ledger = _ledger(TERMS)
    assert len(ledger.lines) == expected["owed"] == 28
    assert len(ledger.met) == expected["made"] == 26
    assert ledger.idle == ()
    made = [
        {
            "shift_date": str(line.owed.work_date),
            "mix": _code(line.owed.mix),
            "operator": line.owed.operator,
            "delivered_yd3": float(line.owed.volume.value),
            "made": [line.panel.panel] if line.panel else [],
            "missing": int(line.missing),
            "substitute": line.substitute.panel if line.substitute else None,
            "substitute_accepted": line.substitute.accepted_at.isoformat()[:16]
            if line.substitute
            else None,
        }
        for line in ledger.lines
    ]
    wanted = [{name: row[name] for name in made[0]} for row in expected["ledger"]]
    assert made == wanted


def test_the_two_missing_panels_are_named():
    ledger = _ledger(TERMS)
    missing = [
        (str(o.owed.work_date), _code(o.owed.mix), o.owed.operator)
        for o in ledger.missing
    ]
    assert missing == [
        ("2026-08-13", "W-45A", "OP-02"),
        ("2026-08-27", "W-50F", "OP-07"),
    ]
    wanted = EXPECTED["panels_owed"]["missing"]
    assert missing == [(m["shift_date"], m["mix"], m["operator"]) for m in wanted]
    assert all(line.answered for line in ledger.missing)


def test_the_counts_of_each_shift():
    counted = Counter(
        (str(o.work_date), _code(o.mix)) for o in panels_owed(_cells(), terms=TERMS)
    )
    by_volume = Counter(
        (str(o.work_date), _code(o.mix)) for o in panels_owed(_cells(), terms=_ibc())
    )
    for row in EXPECTED["panels_owed"]["shifts"]:
        key = (row["shift_date"], row["mix"])
        assert counted[key] == max(row["by_operator"], row["by_volume"])
        assert by_volume[key] == row["by_volume"]
    assert sum(counted.values()) == 28


def _ibc():
    return resolve(
        IBC_2018.key, revision=1, effective_on=date(2026, 7, 1), departures={}
    )


def test_the_code_alone_would_ask_for_26():
    ledger = _ledger(_ibc())
    expected = EXPECTED["other_settings"]["panels_by_ibc_per_shift"]
    assert len(ledger.lines) == expected["owed"] == 26
    days = {str(line.owed.work_date) for line in ledger.missing}
    wanted = {PLACEMENTS[name]["shift"]["work_date"] for name in expected["missing"]}
    assert days == wanted
    assert [idle.because for idle in ledger.idle] == ["no further panel is owed"]


def test_both_interpretations_agree_on_this_job():
    per_cell = departures_of(SCENARIO["terms"][1])
    per_cell["panel_count"] = Departure("per cell", None, "the other interpretation")
    terms = resolve(
        IBC_2018.key, revision=9, effective_on=TERMS.effective_on, departures=per_cell
    )
    others = EXPECTED["other_settings"]
    assert len(panels_owed(_cells(), terms=terms)) == others["panels_per_cell_reading"]
    assert len(panels_owed(_cells(), terms=TERMS)) == others["panels_global_reading"]


def test_the_night_shift_is_one_shift_and_one_panel():
    lines = [
        line for line in _ledger(TERMS).lines if line.owed.work_date == date(2026, 9, 2)
    ]
    assert [(line.panel.panel, line.panel.shift) for line in lines] == [
        ("TP-022", "night")
    ]


def test_a_hidden_panel_is_missed_at_once():
    left = [panel for panel in _made() if panel.panel != "TP-001"]
    missing = _ledger(TERMS, left).missing
    assert [line.owed.operator for line in missing] == ["OP-01", "OP-02", "OP-07"]
    assert not missing[0].answered
