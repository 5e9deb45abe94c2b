"""What each member reads: the right rows, the same number of queries, no foreign draft."""

from __future__ import annotations

from copy import deepcopy
from datetime import date as dates

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.actions.flags import clear_flag
from inspections.actions.reports import open_report, void_report
from inspections.actions.rounds import Walk, record_round
from inspections.domain.catalogue import HEARTS, AnswerState, RoundKind
from inspections.domain.rounds import RoundAnswer
from inspections.queries.findings import deficiencies, nonconformances
from inspections.queries.photographs import photographs
from inspections.queries.reports import (
    all_sheets,
    days,
    missing_sheets,
    sheet_page,
    signed_content,
)
from inspections.queries.round_screen import placement_of, round_screen
from inspections.queries.work import work
from project import clock
from project.actions.jobs import revise_terms
from project.domain.editions import Departure
from project.domain.verdict import State
from project.models import new_id
from project.queries.jobs import now_on
from tests.factories import make_placement, make_shift, shoot
from tests.inspections.hands import (
    SHOT_TOO_SOON,
    correct,
    find,
    find_right,
    load,
    photograph,
    raise_one,
    remark,
    review,
    sign,
)
from tests.inspections.wall import DAY, Wall, at, q

pytestmark = pytest.mark.usefixtures("files")


def now(wall):
    return now_on(wall.job)


def test_a_sheet_is_known_as_it_was(wall):
    before = at("14:59")
    version = sign(wall)
    (sheet,) = all_sheets(wall.job, wall.inspector, known_at=before)
    assert (sheet.state, sheet.last) == ("draft", None)
    (sheet,) = all_sheets(wall.job, wall.inspector, known_at=now(wall))
    assert (sheet.state, sheet.last) == ("signed", version)
    review(wall)
    (sheet,) = all_sheets(wall.job, wall.inspector, known_at=now(wall))
    assert (sheet.state, sheet.reviewed.role) == ("reviewed", "agency reviewer")
    assert not all_sheets(wall.job, wall.inspector, known_at=at("06:00"))


@pytest.mark.parametrize(
    ("signed", "state", "late"),
    [
        ("2026-08-11 15:30", State.PASS, 0),
        ("2026-08-12 23:59", State.PASS, 0),  # the next work day's last minute
        ("2026-08-13 00:00", State.FAIL, 1),  # a minute begun counts
        ("2026-08-13 09:12", State.FAIL, 553),
    ],
)
def test_a_sheet_is_late_from_the_next_work_days_end(wall, signed, state, late):
    _signed_within(wall, 1)
    with clock.set_to(at(signed)):
        sign(wall)
        (sheet,) = all_sheets(wall.job, wall.inspector, known_at=now(wall))
    assert (sheet.timing.state, sheet.timing.late_minutes) == (state, late)


def test_an_unsigned_sheet_is_owed_until_it_is_late_and_without_a_term_never(wall):
    _signed_within(wall, 1)
    (sheet,) = all_sheets(wall.job, wall.inspector, known_at=now(wall))
    assert sheet.timing.state is State.NOT_DUE
    with clock.set_to(at("2026-08-13 00:00")):
        (sheet,) = all_sheets(wall.job, wall.inspector, known_at=now(wall))
        assert sheet.timing.state is State.FAIL
        _signed_within(wall, None)
        (sheet,) = all_sheets(wall.job, wall.inspector, known_at=now(wall))
        assert sheet.timing is None


def _signed_within(wall, work_days):
    value = None if work_days is None else q(str(work_days), "d").value
    revise_terms(
        id=new_id(),
        by=wall.admin,
        number=2 if work_days else 3,
        edition="ibc-2018-1908",
        effective_on=wall.shift.work_date,
        departures={"report_sign_within": Departure(value, reason="1.6")},
    )


def test_days_show_each_shift_with_what_was_placed_and_its_sheets(wall):
    void_report(by=wall.inspector, report=wall.report, reason="opened on the wrong one")
    second = open_report(id=new_id(), by=wall.associate, shift=wall.shift)
    (day,) = days(wall.job, wall.inspector, known_at=now(wall))
    assert str(day.shift.work_date) == DAY
    assert [one.code for one in day.placements] == ["PL-001"]
    assert [(one.code, one.state) for one in day.sheets] == [
        ("DFR-001", "void"),
        ("DFR-002", "draft"),
    ]
    firm = wall.inspector.organization_id
    ((shift, draft),) = missing_sheets([day], firm=firm)
    assert (shift.first, draft.row) == (wall.shift.first, second)
    assert not days(wall.job, wall.other_qc, known_at=now(wall))


def test_a_page_says_what_its_reader_may_do(wall):
    def may(member):
        page = sheet_page(wall.job, member, 1, known_at=now(wall))
        assert page is not None
        return {
            name
            for name in ("may_write", "may_sign", "may_review", "may_amend")
            if getattr(page, name)
        }

    assert may(wall.inspector) == {"may_write", "may_sign"}
    assert may(wall.associate) == {"may_write"}
    assert may(wall.reviewer) == set()
    assert sheet_page(wall.job, wall.qc, 1, known_at=now(wall)) is None
    sign(wall)
    assert may(wall.inspector) == {"may_amend"}
    assert may(wall.reviewer) == may(wall.associate) == {"may_review"}
    assert may(wall.qc) == set()


def test_a_page_shows_uncleared_flags_first_and_the_signed_content(wall):
    load(wall, **SHOT_TOO_SOON)
    load(wall, ticket="52163 ")
    page = sheet_page(wall.job, wall.inspector, 1, known_at=now(wall))
    shot, ticket = page.flags
    assert shot.flag.key == "shot before it was batched"
    assert ticket.flag.key == "second ticket of the same number"
    clear_flag(
        id=new_id(),
        by=wall.inspector,
        report=wall.report,
        mark=shot.flag.mark,
        words="The plant's clock was wrong.",
    )
    page = sheet_page(wall.job, wall.inspector, 1, known_at=now(wall))
    assert [line.flag for line in page.flags] == [ticket.flag, shot.flag]
    assert [line.flag for line in page.uncleared] == [ticket.flag]
    version = sign(wall)
    page = sheet_page(wall.job, wall.owner, 1, known_at=now(wall))
    assert (page.content, page.sha256) == (version.content, version.sha256)
    first = signed_content(wall.job, wall.owner, 1, 1, known_at=now(wall))
    assert first == version
    assert signed_content(wall.job, wall.other_qc, 1, 1, known_at=now(wall)) is None


def test_ages_and_whose_move_it_is(wall):
    deficiency = find(wall, severity="stop_work")
    (row,) = deficiencies(wall.job, wall.inspector, known_at=now(wall))
    assert (row.state, row.waits_for, row.minutes) == ("open", "contractor", 360)
    correct(wall, deficiency)
    (row,) = deficiencies(wall.job, wall.inspector, known_at=now(wall))
    assert (row.state, row.waits_for) == ("corrected", row.row.organization.name)
    assert row.next_moves[:2] == ("find right", "find still wrong")
    find_right(wall, deficiency)
    (row,) = deficiencies(wall.job, wall.inspector, known_at=now(wall))
    assert (row.state, row.minutes, row.next_moves) == ("closed", 36, ())
    assert row.corrected.words.startswith("Washed")


def test_a_report_ages_in_full_days_and_its_answer_is_due_by_the_contract(wall):
    raise_one(wall, wall.placement)
    with clock.set_to(at("2026-08-14 10:04")):
        (row,) = nonconformances(wall.job, wall.owner, known_at=now(wall))
    assert (row.code, row.state, row.age_observed, row.age_raised) == (
        "NCR-001",
        "raised",
        2,
        2,
    )
    with clock.set_to(at("2026-08-14 10:05")):
        (row,) = nonconformances(wall.job, wall.owner, known_at=now(wall))
    assert row.age_observed == 3  # observed 08-11 10:05
    assert row.response_due is None  # the edition gives no time
    assert row.waits_for == ("inspector", "agency reviewer", "contractor QC")


def test_the_round_screen_asks_what_the_part_wants_and_remembers(wall):
    shoot(wall.site, wall.placement, wall.operator, f"{DAY} 06:55")
    answers = [RoundAnswer(key, AnswerState.RIGHT) for key in HEARTS]
    answers.append(
        RoundAnswer("place-nozzle-distance", AnswerState.RIGHT, value=q("4.5", "ft"))
    )
    walk = Walk(
        kinds=[RoundKind.ROUND],
        at=at("08:01"),
        edition="1.0.0",
        answers=answers,
        placement=wall.placement,
    )
    with clock.set_to(at("15:00")):
        record_round(id=new_id(), by=wall.inspector, report=wall.report, walk=walk)
        screen = round_screen(
            wall.job,
            wall.report,
            kinds=[RoundKind.ROUND],
            known_at=now(wall),
            at=at("08:30"),
            placement=wall.placement,
        )
    assert [one.item.key for one in screen.hearts] == list(HEARTS)
    assert [time.operator for time in screen.on_nozzle] == [wall.operator]
    by_key = {one.item.key: one for one in screen.items}
    distance = by_key["place-nozzle-distance"]
    assert (distance.last, distance.last_at) == (AnswerState.RIGHT, at("08:01"))
    assert distance.last_value == ("4.5", "ft")
    assert by_key["place-nozzle-angle"].last is None
    assert "place-fall-zone" not in by_key  # overhead work only
    assert screen.due_at is None  # the edition gives no interval
    here = placement_of(wall.report, wall.placement.first, known_at=now(wall))
    assert here == wall.placement
    assert placement_of(wall.report, new_id(), known_at=now(wall)) is None


def a_busy_day(wall: Wall, date: str) -> Wall:
    """Return the wall on another date, with a little of everything on its sheet."""
    busy = deepcopy(wall)
    with clock.set_to(at(f"{date} 06:45")):
        busy.shift = make_shift(
            wall.inspector,
            wall.site.contractor,
            dates.fromisoformat(date),
            starts="06:30",
        )
        busy.placement = make_placement(wall.site, busy.shift)
        busy.report = open_report(id=new_id(), by=wall.inspector, shift=busy.shift)
    shoot(wall.site, busy.placement, wall.operator, f"{date} 07:00", f"{date} 09:00")
    with clock.set_to(at(f"{date} 15:00")):
        load(busy)
        remark(busy)
        correct(busy, find(busy))
        raise_one(busy, busy.placement)
        photograph(busy)
    return busy


ASKED = {
    "days": lambda wall: days(wall.job, wall.inspector, known_at=now(wall)),
    "sheets": lambda wall: all_sheets(wall.job, wall.inspector, known_at=now(wall)),
    "deficiencies": lambda wall: deficiencies(
        wall.job, wall.inspector, known_at=now(wall)
    ),
    "reports": lambda wall: nonconformances(
        wall.job, wall.inspector, known_at=now(wall)
    ),
    "photographs": lambda wall: photographs(
        wall.job, wall.inspector, known_at=now(wall)
    ),
    "work": lambda wall: work(
        wall.job, known_at=now(wall), on=wall.shift.work_date, for_member=wall.qc
    ),
}


def test_the_number_of_queries_does_not_grow_with_the_rows(wall):
    def counted():
        found = {}
        for name, ask in ASKED.items():
            with CaptureQueriesContext(
                connection,
            ) as queries:
                assert ask(wall)
            found[name] = len(queries)
        return found

    with clock.set_to(at("2026-08-20 15:00")):
        a_busy_day(wall, "2026-08-12")
        with clock.set_to(at("2026-08-20 15:00")):
            few = counted()
        for date in ("2026-08-13", "2026-08-14", "2026-08-17"):
            a_busy_day(wall, date)
        with clock.set_to(at("2026-08-20 15:00")):
            many = counted()
    assert many == few
    assert max(few.values()) <= 20


def test_a_sheets_page_takes_as_many_queries_however_full_it_is(wall):
    def counted():
        with CaptureQueriesContext(connection) as queries:
            sheet_page(wall.job, wall.inspector, 1, known_at=now(wall))
        return len(queries)

    def fill():
        came = load(wall)
        remark(wall)
        correct(wall, find(wall))
        photograph(wall)
        return came

    fill()
    fill()  # a second ticket: flags are looked up from here on
    few = counted()
    for _more in range(3):
        fill()
    assert counted() == few
    assert few <= 30
