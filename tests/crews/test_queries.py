"""What pages read: ledger, sets, matrix, desk; own firm only; a fixed number of queries."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crews.actions.panels import accept_substitute
from crews.domain.strength_set import Due
from crews.domain.trade_words import DecisionOutcome, PanelKind
from crews.queries.ledger import ledger
from crews.queries.matrix import matrix
from crews.queries.operator_files import people_on
from crews.queries.operators import operator_page
from crews.queries.panels import panel_page, panels
from crews.queries.shifts import shift_page
from crews.queries.shooting import rosters, shifts
from crews.queries.strength import lab_desk, results_due, strength_series
from project.domain.shooting_words import Position
from project.domain.verdict import State
from project.models import new_id
from tests.factories import (
    at,
    clock_at,
    make_cores,
    make_judgement,
    make_operator,
    make_panel,
    make_part,
    make_placement,
    make_shift,
    prove_now,
    q,
    report,
    result,
    shoot,
)
from tests.support.made_once import made_once

NOW = at("2026-09-14 07:30")
TODAY = date(2026, 9, 14)


def _read(site, **more):
    return {"job": site.job, "known_at": NOW} | more


@made_once
def worked(qualified):
    """A day of two operators and one panel: one panel is missing."""
    site = qualified
    with clock_at("2026-08-04 06:50"):
        site.extra["shift"] = make_shift(site.inspector, site.contractor)
        site.extra["placed"] = make_placement(site, site.extra["shift"])
    placed = site.extra["placed"]
    shoot(site, placed, site.operator, "2026-08-04 07:10", "2026-08-04 10:10")
    site.extra["relief"] = shoot(
        site, placed, site.trainee, "2026-08-04 10:10", "2026-08-04 11:10"
    )
    site.extra["panel"] = make_panel(site, placement=placed, shot="2026-08-04 09:00")
    return site


def test_the_ledger_names_who_owes_what_and_what_is_missing(worked):
    page = ledger(on=TODAY, **_read(worked))
    assert (page.owed, page.made) == (2, 1)
    met, missing = page.rows
    assert (met.operator, met.panel.code, met.placements) == (
        "OP-01",
        "TP-001",
        ("PL-001",),
    )
    assert [row.operator for row in page.missing] == ["OP-02"]
    assert missing.line.owed.work_date == date(2026, 8, 4)
    assert page.uncounted == ()


def test_the_face_is_shared_by_the_minutes_and_says_so(worked):
    page = ledger(on=TODAY, **_read(worked))
    volumes = [row.line.owed.volume.value for row in page.rows]
    assert volumes == [Decimal("9.6759"), Decimal("3.2253")]
    assert [held.neat.estimated for row in page.rows for held in row.held] == [
        True,
        True,
    ]


def test_delivered_volumes_come_from_whoever_keeps_the_loads(worked):
    everything = ledger(on=TODAY, **_read(worked))
    ids = [held.id for row in everything.rows for held in row.held]
    volumes = {ids[0]: q("70 yd3"), ids[1]: q("40 yd3")}
    page = ledger(on=TODAY, volumes=volumes, **_read(worked))
    assert (page.owed, page.made) == (3, 1)
    assert page.rows[-1].operator == ""


def test_cores_from_the_work_stand_beside_a_missing_panel(worked):
    cores = make_panel(
        worked,
        PanelKind.IN_PLACE,
        shot="2026-08-04 10:10",
        placement=worked.extra["placed"],
        operator=None,
        size=None,
        stands_for=worked.extra["relief"],
    )
    missing = ledger(on=TODAY, **_read(worked)).missing[0]
    assert (missing.substitute.code, missing.answered) == ("IP-01", False)
    with clock_at("2026-09-10 16:30"):
        accept_substitute(
            id=new_id(),
            by=worked.engineer,
            panel=cores,
            decided_at=at("2026-09-10 16:30"),
            words="They stand for it.",
            proof=prove_now(worked.engineer),
            printed_name=worked.engineer.user.printed_name,
        )
    missing = ledger(on=TODAY, **_read(worked)).missing[0]
    assert (missing.missing, missing.answered) == (True, True)
    before = at("2026-09-10 16:29")
    known_then = ledger(job=worked.job, known_at=before, on=TODAY).missing[0]
    assert known_then.answered is False


def test_days_before_the_first_terms_are_named_and_not_counted(worked):
    from project.models import TermsRevision

    with clock_at("2026-08-03 08:00"):
        terms = TermsRevision.objects.get(job=worked.job)
        _withdraw(worked, terms)
    page = ledger(on=TODAY, **_read(worked))
    assert (page.owed, page.uncounted) == (0, (date(2026, 8, 4),))
    row = panels(on=TODAY, **_read(worked))[-1]
    assert row.state is State.UNDECIDED


def _withdraw(site, row):
    from project.audit import act

    with act(on=site.job, by=site.admin, verb="terms.withdrawn") as deed:
        deed.supersede(row, row.revised(id=new_id(), withdrawn=True), reason="typed")


def test_a_production_panel_waits_for_its_early_and_its_deciding_set(worked):
    row = panels(on=date(2026, 9, 1), **_read(worked))[-1]
    early, decisive = row.sets
    assert (early.age, early.due_on, early.due) == (7, date(2026, 8, 11), Due.OVERDUE)
    assert (decisive.age, decisive.due) == (28, Due.TODAY)
    assert row.decisive is decisive
    assert decisive.verdict.state is State.NOT_DUE


def _results(site, *strengths):
    cores = make_cores(site, site.extra["panel"])
    tested = "2026-09-01 10:00"
    report(
        site,
        "L-1",
        "2026-09-01 15:00",
        [
            result(core, tested, psi)
            for core, psi in zip(cores[2:], strengths, strict=True)
        ],
    )
    return cores


def test_a_set_that_fails_says_both_reasons_with_their_margins(worked):
    _results(worked, "3920", "3310", "3790")
    decisive = panels(on=TODAY, **_read(worked))[-1].decisive
    assert decisive.verdict.state is State.FAIL
    assert [reason.key for reason in decisive.verdict.failed] == ["mean", "core"]
    margins = [round(r.margin.value) for r in decisive.verdict.failed]
    assert margins == [-152, -65]
    assert [round(value) for _, value in decisive.counted] == [3920, 3310, 3790]
    assert round(decisive.mean) == 3673


def test_the_panel_page_has_every_letter_and_each_cores_working(worked):
    _results(worked, "5500", "5400", "5300")
    page = panel_page(worked.job, "TP-001", known_at=NOW, on=TODAY)
    assert [str(letter) for letter in page.letters] == ["L-1 A"]
    working = page.panel.decisive.cores[0].examined.strength.working()
    assert working.steps
    assert panel_page(worked.job, "TP-404", known_at=NOW, on=TODAY) is None


def test_series_are_by_mix_and_leave_out_what_has_no_result(worked):
    assert strength_series(panels(on=TODAY, **_read(worked))) == ()
    _results(worked, "5500", "5400", "5300")
    (series,) = strength_series(panels(on=TODAY, **_read(worked)))
    assert (series.mix, series.mean_share, series.single_share) == (
        "W-45A rev 1",
        Decimal("0.85"),
        Decimal("0.75"),
    )
    assert [round(point.mean) for point in series.points] == [5400]


def test_results_due_name_the_day_off_they_fall_on(site):
    with clock_at("2026-08-08 06:50"):
        shift = make_shift(site.inspector, site.contractor, date(2026, 8, 8))
    make_panel(site, shift=shift, shot="2026-08-08 09:00")
    due = results_due(site.job, known_at=NOW, on=date(2026, 8, 30), days=7)
    assert [(row.set.age, str(row.due), row.day_off) for row in due] == [
        (7, "overdue", "Saturday"),
        (28, "not due", "Saturday"),
    ]


def test_the_desk_lists_what_is_due_and_what_was_reported(worked):
    _results(worked, "5500", "5400", "5300")
    desk = lab_desk(worked.job, known_at=NOW, on=TODAY, member=worked.technician)
    assert [(row.panel.code, row.set.age) for row in desk.due] == [("TP-001", 7)]
    assert [(p.code, one.age) for p, one in desk.reported] == [("TP-001", 28)]
    other = worked.members["other_laboratory"]
    empty = lab_desk(worked.job, known_at=NOW, on=TODAY, member=other)
    assert (empty.due, empty.reported) == ((), ())


def test_an_operators_page_has_the_failed_mock_ups_too(worked):
    second = make_panel(
        worked, PanelKind.MOCK_UP, shot="2026-08-05 08:30", mockup_class="A"
    )
    make_judgement(worked, second, "2026-08-11 10:30", DecisionOutcome.REJECTED)
    page = operator_page(worked.job, "OP-01", as_of=NOW, known_at=NOW)
    assert [(m.code, m.latest.outcome) for m in page.mock_ups] == [
        ("MU-01", "accepted"),
        ("MU-02", "rejected"),
    ]
    assert page.minutes == 180
    assert [(row.code, row.standings[0].state) for row in page.rows] == [
        ("R1", State.PASS),
        ("R6", State.FAIL),
    ]
    assert len(page.cards) == 1
    assert operator_page(worked.job, "OP-99", as_of=NOW, known_at=NOW) is None


def test_a_shift_page_says_what_is_owed_so_far_and_what_is_left(worked):
    shift = worked.extra["shift"]
    page = shift_page(worked.job, shift.first, known_at=NOW, on=TODAY)
    assert [held.code for held in page.roster.held] == ["OP-01", "OP-02"]
    assert [row.operator for row in page.ledger.missing] == ["OP-02"]
    left = {(n.operator, str(n.left)) for n in page.next_panels}
    assert left == {("OP-01", "87.0988 yd3"), ("OP-02", "87.0988 yd3")}
    assert [panel.code for panel in page.panels] == ["TP-001"]


@pytest.mark.parametrize("who", ["inspector", "engineer", "owner"])
def test_who_follows_the_work_reads_all_firms(worked, who):
    member = worked.members[who]
    assert len(people_on(worked.job, for_member=member)) == 3
    assert len(shifts(for_member=member, **_read(worked))) == 1
    assert len(panels(on=TODAY, for_member=member, **_read(worked))) == 2


def test_a_contractor_reads_only_its_own(worked):
    own = {"for_member": worked.qc}
    other = {"for_member": worked.other_qc}
    assert [p.code for p in people_on(worked.job, **own)] == ["OP-01", "OP-02"]
    assert [p.code for p in people_on(worked.job, **other)] == ["OP-03"]
    assert len(shifts(**_read(worked), **own)) == 1
    assert shifts(**_read(worked), **other) == []
    assert [p.code for p in panels(on=TODAY, **_read(worked), **own)] == [
        "MU-01",
        "TP-001",
    ]
    assert panels(on=TODAY, **_read(worked), **other) == ()
    assert ledger(on=TODAY, **_read(worked), **other).owed == 0
    shift = worked.extra["shift"]
    asked = {"known_at": NOW, "on": TODAY}
    assert shift_page(worked.job, shift.first, **asked, **own) is not None
    assert shift_page(worked.job, shift.first, **asked, **other) is None
    page = {"as_of": NOW, "known_at": NOW}
    assert operator_page(worked.job, "OP-01", **page, **own) is not None
    assert operator_page(worked.job, "OP-01", **page, **other) is None
    assert panel_page(worked.job, "TP-001", **asked, **other) is None


def test_another_job_is_never_read(worked, elsewhere):
    assert panels(elsewhere.job, known_at=NOW, on=TODAY) == ()
    assert (
        shift_page(elsewhere.job, worked.extra["shift"].first, known_at=NOW, on=TODAY)
        is None
    )
    assert {p.code for p in people_on(elsewhere.job)} == {"OP-01", "OP-02", "OP-03"}
    assert not {p.operator.pk for p in people_on(elsewhere.job)} & {
        p.operator.pk for p in people_on(worked.job)
    }


QUERIES = {
    "people": (lambda s: people_on(s.job), 8),
    "matrix": (lambda s: matrix(s.job, as_of=NOW, known_at=NOW), 12),
    "operator": (
        lambda s: operator_page(s.job, "OP-01", as_of=NOW, known_at=NOW),
        26,
    ),
    "rosters": (lambda s: rosters(s.job, known_at=NOW), 8),
    "shift": (
        lambda s: shift_page(s.job, s.extra["shift"].first, known_at=NOW, on=TODAY),
        21,
    ),
    "panels": (lambda s: panels(s.job, known_at=NOW, on=TODAY), 8),
    "panel": (
        lambda s: panel_page(s.job, "TP-001", known_at=NOW, on=TODAY),
        9,
    ),
    "ledger": (lambda s: ledger(s.job, known_at=NOW, on=TODAY), 17),
    "desk": (
        lambda s: lab_desk(s.job, known_at=NOW, on=TODAY, member=s.technician),
        8,
    ),
}


def _grow(site):
    """Add a second of everything that a page lists."""
    with clock_at("2026-08-05 06:50"):
        make_part(site.admin, "R2", Position.VERTICAL, order=3)
        operator = make_operator(site.qc, site.contractor, "Ayo Lindgren", "B-003")
    with_mock_up_late(site, operator)
    with clock_at("2026-08-06 06:50"):
        shift = make_shift(site.inspector, site.contractor, date(2026, 8, 6))
        placed = make_placement(site, shift)
    shoot(site, placed, operator, "2026-08-06 07:10", "2026-08-06 09:10")
    panel = make_panel(
        site, placement=placed, operator=operator, shot="2026-08-06 08:00"
    )
    cores = make_cores(site, panel, drilled="2026-08-12 09:00")
    report(
        site,
        "L-9",
        "2026-08-13 15:00",
        [result(c, "2026-08-13 10:00", "3900") for c in cores[:2]],
    )


def with_mock_up_late(site, operator):
    panel = make_panel(
        site,
        PanelKind.MOCK_UP,
        shot="2026-08-05 08:30",
        operator=operator,
        mockup_class="A",
    )
    make_judgement(site, panel, "2026-08-05 15:10")


@pytest.mark.parametrize("name", QUERIES)
def test_the_number_of_queries_does_not_grow_with_the_rows(worked, name):
    ask, most = QUERIES[name]
    _results(worked, "5500", "5400", "5300")
    with CaptureQueriesContext(
        connection,
    ) as before:
        ask(worked)
    _grow(worked)
    with CaptureQueriesContext(connection) as after:
        ask(worked)
    assert len(after) == len(before) <= most
