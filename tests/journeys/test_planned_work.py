"""What the invented job planned, against its own file: who was refused, and since when."""

from __future__ import annotations

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from crews.queries.plans import PlanRow, plan_list
from project import clock
from project.models import Job
from tests.support.demo import SCENARIO

PLANS = [row for row in SCENARIO["plans"] if row["wanted"] is not None]
NOW = SCENARIO.as_of


def _plan(demo: Job, code: str, known_at=NOW) -> PlanRow:
    rows = plan_list(demo, known_at=known_at)
    return next(row for row in rows if row.code == code)


@pytest.mark.parametrize("row", PLANS, ids=lambda row: row["id"])
def test_each_plan_stands_as_the_file_has_it(demo, row):
    plan = _plan(demo, row["id"])
    assert plan.starts_at == SCENARIO.at(row["wanted"])
    assert plan.row.part.code == row["part_code"]
    failed = {line.partition(":")[0] for line in row.get("failed", ())}
    refused = {
        one.code: {reason.key for reason in one.verdict.unmet} for one in plan.refused
    }
    assigned = [one.code for one in plan.operators]
    if row["decision"] == "refused":
        assert refused == {row["operator"]: failed}
        assert assigned == ([row["replaced_by"]] if "replaced_by" in row else [])
    else:
        assert refused == {}
        assert assigned == [row["operator"]]


def test_a_refusal_is_known_from_its_own_minute(demo):
    """OP-09 was asked for on the morning of the work, and OP-02 ten minutes later."""
    asked = SCENARIO.at("2026-09-04T06:35")
    assert _plan(demo, "PLAN-01", asked - timedelta(minutes=1)).refused == ()
    then = _plan(demo, "PLAN-01", asked + timedelta(minutes=1))
    assert [one.code for one in then.refused] == ["OP-09"]
    assert then.operators == ()


def test_the_mistyped_year_let_him_be_assigned_and_its_correction_takes_it_away(demo):
    corrected = SCENARIO.at("2026-08-24T10:20")
    before = _plan(demo, "PLAN-04", corrected - timedelta(seconds=1))
    assert [(one.code, one.stands) for one in before.operators] == [("OP-03", True)]
    after = _plan(demo, "PLAN-04", corrected + timedelta(seconds=1))
    assert [(one.code, one.lost_at) for one in after.lost] == [("OP-03", corrected)]
    assert [reason.key for reason in after.lost[0].verdict.unmet] == ["card"]


def test_the_card_that_ends_is_told_with_the_work_planned_for_the_next_day(demo):
    with clock.set_to(NOW):
        out = StringIO()
        asked = {"at": "2026-08-19 08:00", "days": "30"}
        call_command("expiring", demo.code, json=True, stdout=out, **asked)
        (ends,) = (
            one for one in json.loads(out.getvalue())["ends"] if one["kind"] == "card"
        )
        assert (ends["operator"], ends["last_on"]) == ("OP-03", "2026-08-19")
        assert ends["planned"] == [
            {
                "plan": "PLAN-04",
                "part": "R3-upper-right",
                "starts_at": "2026-08-20 07:00-06:00",
            }
        ]
        out = StringIO()
        call_command("expiring", demo.code, stdout=out, **asked)
        told = out.getvalue()
        assert "planned after it: PLAN-04, R3-upper-right, 2026-08-20" in " ".join(
            told.split()
        )
        assert max(map(len, told.splitlines())) <= 80
        out = StringIO()
        asked["known_at"] = "2026-08-19 08:00"
        call_command("expiring", demo.code, json=True, stdout=out, **asked)
    assert json.loads(out.getvalue())["ends"] == []
