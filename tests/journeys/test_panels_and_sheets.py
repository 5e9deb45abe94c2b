"""Panels owed and judged, sheets, weeks and nonconformance reports of the built job.

Source of every expected answer: tests/tables/expected.json, computed from the facts
by an independent reading of the rules.
"""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from crews.domain.trade_words import PanelKind
from crews.queries.ledger import ledger
from crews.queries.panels import panels
from crews.queries.shooting import shifts, shooting
from inspections.queries.findings import deficiencies, nonconformances
from inspections.queries.reports import days
from inspections.queries.volumes import delivered
from inspections.queries.work import work
from project.audit import verify_stream
from project.domain.roles import Role
from project.queries.accounts import firms_on
from project.queries.jobs import members_of
from tests.journeys.conftest import WANTED, at
from tests.support.demo import SCENARIO

AS_OF = SCENARIO.as_of
ON = AS_OF.astimezone(SCENARIO.zone).date()


def _member(job, role: Role):
    return members_of(job, role=role)[0]


def test_twenty_eight_panels_are_owed_and_two_are_missing_by_name(demo):
    read = work(demo, known_at=AS_OF, on=ON)
    rows = read.ledger.rows
    wanted = WANTED["panels_owed"]
    assert len(rows) == wanted["owed"] == 28
    missing = [row for row in rows if row.panel is None]
    assert len(rows) - len(missing) == wanted["made"] == 26
    named = {
        (row.placements[0], row.held[0].code): row.substitute.row.code
        for row in missing
        if row.substitute is not None
    }
    assert named == {
        (line["placement"], line["operator"]): line["substitute"]
        for line in wanted["missing"]
    }


def test_the_ledger_agrees_line_by_line(demo):
    rows = ledger(demo, known_at=AS_OF, on=ON).rows
    found = Counter(
        (
            row.work_date.isoformat(),
            row.held[0].code,
            row.panel.row.code if row.panel else None,
        )
        for row in rows
    )
    wanted = Counter(
        (line["shift_date"], line["operator"], made)
        for line in WANTED["panels_owed"]["ledger"]
        for made in [*line["made"], *[None] * (line["owed"] - len(line["made"]))]
    )
    assert found == wanted


def test_every_panel_is_judged_as_expected(demo):
    rows = panels(demo, known_at=AS_OF, on=ON, kinds=[PanelKind.PRODUCTION])
    assert len(rows) == 26
    wanted = {line["panel"]: line for line in WANTED["panel_verdicts"]}
    states: dict[str, list[str]] = {}
    for row in rows:
        final = next(s for s in row.sets if not s.early)
        line = wanted[row.row.code]
        assert final.due_on.isoformat() == line["due28"]
        states.setdefault(final.verdict.state.value, []).append(row.row.code)
    totals = WANTED["strength_totals"]
    assert states["pass"] == totals["passed"]
    assert states["fail"] == totals["failed"] == ["TP-008", "TP-010"]
    waiting = sorted(totals["due_today"] + totals["not_due"])
    others = [
        code
        for s, codes in states.items()
        if s not in ("pass", "fail")
        for code in codes
    ]
    assert sorted(others) == waiting


def test_the_two_failing_sets_fail_for_their_own_reasons(demo):
    rows = {
        row.row.code: next(s for s in row.sets if not s.early)
        for row in panels(demo, known_at=AS_OF, on=ON, kinds=[PanelKind.PRODUCTION])
    }
    failed = {
        code: {reason.key for reason in rows[code].verdict.failed}
        for code in ("TP-008", "TP-010")
    }
    assert len(failed["TP-008"]) == 2, failed  # the mean and a single core
    assert len(failed["TP-010"]) == 1, failed  # one core only; the mean passes
    assert failed["TP-010"] < failed["TP-008"]


def test_every_sheet_is_signed_and_one_is_late(demo):
    member = _member(demo, Role.AGENCY_REVIEWER)
    found = {
        sheet.row.code: sheet
        for day in days(demo, member, known_at=AS_OF)
        for sheet in day.sheets
    }
    wanted = WANTED["reports"]
    assert len(found) == wanted["signed"] == 26
    assert {sheet.state for sheet in found.values()} == {"reviewed"}
    late = [code for code, sheet in sorted(found.items()) if sheet.timing.late_minutes]
    assert late == [line["report"] for line in wanted["late"]] == ["DFR-019"]
    line = wanted["late"][0]
    assert found["DFR-019"].timing.deadline.replace(second=0, microsecond=0) == at(
        line["deadline"]
    )


def test_the_night_shift_has_one_work_date_and_owes_one_panel(demo):
    night = [s for s in shifts(demo, known_at=AS_OF) if s.name == "night"]
    assert [s.work_date.isoformat() for s in night] == ["2026-09-02"]
    owed = ledger(
        demo, known_at=AS_OF, on=ON, first=night[0].work_date, last=night[0].work_date
    )
    assert [row.panel.row.code for row in owed.rows if row.panel] == ["TP-022"]
    assert len(owed.rows) == 1


def test_the_weeks_add_up(demo):
    member = _member(demo, Role.AGENCY_REVIEWER)
    reports = nonconformances(demo, member, known_at=AS_OF)
    for week in WANTED["weeks"]:
        first = SCENARIO.on(week["week_from"])
        last = SCENARIO.on(week["week_to"]) if "week_to" in week else None
        last = last or first.fromordinal(first.toordinal() + 6)
        read = work(demo, known_at=AS_OF, on=ON, first=first, last=last)
        assert len(read.shifts) == week["shifts"], week["packet"]
        shot = [p for p in read.panels if p.row.panel_kind == PanelKind.PRODUCTION]
        shot = [p for p in shot if first <= p.row.work_date <= last]
        assert len(shot) == week["panels_shot"], week["packet"]
        assert len(read.ledger.rows) == week["panels_owed"], week["packet"]
        came = delivered(demo, read.loads)
        assert came.value == Decimal(str(week["delivered_yd3"])), week["packet"]
        neat = sum((p.neat.value for p in read.placed if p.neat), Decimal(0))
        # The expected totals add volumes already rounded to one decimal.
        off = abs(neat - Decimal(str(week["neat_yd3"])))
        assert off <= Decimal("0.05") * len(read.placed), week["packet"]
        raised = [
            row.row.code
            for row in reports
            if first <= demo.local(row.raised_at).date() <= last
        ]
        assert raised == week["ncrs_raised"], week["packet"]


def test_the_nonconformance_reports_stand_as_expected(demo):
    member = _member(demo, Role.AGENCY_REVIEWER)
    rows = {r.row.code: r for r in nonconformances(demo, member, known_at=AS_OF)}
    wanted = {line["ncr"]: line for line in WANTED["ncrs"]}
    assert list(rows) == sorted(wanted)
    for code, line in wanted.items():
        row = rows[code]
        closed = row.state == "closed"
        assert closed is (line["state"] == "closed"), code
        assert row.age_observed == line["age_days_from_observed"], code
        assert row.age_raised == line["age_days_from_raised"], code
    still = [code for code, row in rows.items() if row.state != "closed"]
    assert still == WANTED["ncrs_open"]


def test_eighteen_deficiencies_keep_their_numbers_and_ends(demo):
    member = _member(demo, Role.INSPECTOR)
    rows = {r.row.code: r for r in deficiencies(demo, member, known_at=AS_OF)}
    told = {line["id"]: line for line in SCENARIO["deficiencies"]}
    assert list(rows) == sorted(told)
    for code, line in told.items():
        assert rows[code].row.item == line["item"], code
        ended = "became a nonconformance" if line["became"] else "closed"
        assert rows[code].state == ended, code


def test_every_chain_of_the_job_holds_together(demo):
    streams = [demo.stream, *(firm.stream for firm in firms_on(demo))]
    assert [verify_stream(stream) for stream in streams] == [None] * len(streams)


def test_nothing_of_the_replay_is_younger_than_the_as_of_instant(demo):
    placed = shooting(demo, known_at=AS_OF)
    assert len(placed) == 26
    assert max(p.row.recorded_at for p in placed) < AS_OF
