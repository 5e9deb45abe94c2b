"""Hours verified by name: what is kept, what is refused, what later facts change."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied

from crews.actions.corrections import correct
from crews.actions.corrections import withdraw as take_back
from crews.actions.hours import correct_hours, verify_hours, withdraw_hours
from crews.domain.hours import Period
from crews.models import HoursStatement
from crews.queries.hours import hours_of_all, operator_hours
from project.domain.roles import Ability, Role, may
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.factories import (
    at,
    clock_at,
    make_placement,
    make_shift,
    shoot,
)
from tests.support.made_once import made_once

FIRST, LAST = date(2026, 8, 1), date(2026, 8, 31)
NOW = "2026-09-01 09:00"


@made_once
def shot(qualified):
    """The first operator shot 3:40 h, and the trainee an hour, on the first day."""
    site = qualified
    with clock_at("2026-08-04 06:50"):
        site.extra["shift"] = make_shift(site.inspector, site.contractor)
        site.extra["placed"] = make_placement(site, site.extra["shift"])
    placed = site.extra["placed"]
    shoot(site, placed, site.operator, "2026-08-04 07:10", "2026-08-04 10:10")
    shoot(site, placed, site.trainee, "2026-08-04 10:10", "2026-08-04 11:10")
    site.extra["held"] = shoot(
        site, placed, site.operator, "2026-08-04 11:10", "2026-08-04 11:50"
    )
    return site


def _sent(site, **given):
    return {
        "id": new_id(),
        "by": site.qc,
        "operator": site.operator,
        "from_on": FIRST,
        "to_on": LAST,
        "verified_by": "Idris Halloran, QC manager",
        "words": "Compared with the shift book.",
    } | given


def _one(site, when=NOW, operator=None):
    return operator_hours(
        site.job,
        operator or site.operator,
        period=Period(None, None, site.job.zone),
        as_of=at(when),
        known_at=at(when),
    )


@pytest.fixture
def verified(shot):
    with clock_at(NOW):
        shot.extra["said"] = verify_hours(**_sent(shot))
    return shot


def test_the_minutes_are_kept_with_the_versions_they_rest_on(shot):
    sent = _sent(shot)
    with clock_at(NOW):
        with one_line(shot.job, "hours.verified"):
            row = verify_hours(**sent)
        with nothing_written(shot.job):
            assert verify_hours(**sent).pk == row.pk
    held = [str(p.time.ref.id) for p in _one(shot).hours.pieces]
    assert row.minutes == [["wet", "vertical", "hand", "full", 220, held]]
    assert len(held) == 2
    assert (row.verified_by, row.recorded_by) == ("Idris Halloran, QC manager", shot.qc)
    [said] = _one(shot, "2026-09-01 09:01").statements
    assert (said.minutes, said.changed) == (220, ())
    assert _one(shot, "2026-09-01 08:59").statements == ()


def test_a_trainees_time_is_kept_apart(shot):
    with clock_at(NOW):
        row = verify_hours(**_sent(shot, operator=shot.trainee))
    assert [line[:5] for line in row.minutes] == [
        ["wet", "vertical", "hand", "in training", 60]
    ]


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"to_on": date(2026, 9, 2)}, "to_on", "2026-09-02 lies in the future"),
        ({"to_on": date(2026, 7, 31)}, "to_on", "To 2026-07-31; allowed is 2026-08-01"),
        ({"verified_by": "  "}, "verified_by", "Nobody is named"),
        (
            {"verified_by": "bartosz  ilunga"},
            "verified_by",
            "Bartosz Ilunga; nobody verifies their own hours",
        ),
        (
            {"from_on": date(2026, 8, 5)},
            "from_on",
            "No nozzle time from 2026-08-05 to 2026-08-31",
        ),
    ],
)
def test_what_cannot_be_verified_is_refused_by_name(shot, given, field, words):
    with clock_at(NOW):
        assert words in refused(verify_hours, **_sent(shot, **given))[field][0]


def test_today_may_be_verified_and_tomorrow_not(shot):
    with clock_at("2026-08-04 18:00"):
        wrong = refused(verify_hours, **_sent(shot, to_on=date(2026, 8, 5)))
        assert "lies in the future" in wrong["to_on"][0]
        assert verify_hours(**_sent(shot, to_on=date(2026, 8, 4))).minutes[0][4] == 220


def test_an_open_nozzle_time_of_the_days_is_left_first(shot):
    shoot(shot, shot.extra["placed"], shot.operator, "2026-08-04 12:30")
    with clock_at("2026-08-04 18:00"):
        sent = _sent(shot, to_on=date(2026, 8, 4))
        [told] = refused(verify_hours, **sent)["to_on"]
    assert told.startswith("Still on the nozzle since 2026-08-04 12:30, PL-001")


def test_a_day_is_verified_once(verified):
    with clock_at(NOW):
        sent = _sent(verified, from_on=date(2026, 8, 4), to_on=date(2026, 8, 4))
        [told] = refused(verify_hours, **sent)["from_on"]
        assert "2026-08-01 to 2026-08-31 are verified already" in told
        verify_hours(**_sent(verified, operator=verified.trainee))


def test_whoever_is_the_operator_does_not_write_it_down_either(shot):
    with clock_at(NOW):
        shot.qc.user.printed_name = "Bartosz Ilunga"
        told = refused(verify_hours, **_sent(shot))
        shot.qc.user.refresh_from_db()
    assert "nobody verifies their own hours" in told["verified_by"][0]


def test_only_the_operators_own_firm_verifies(shot):
    roles = {role for role in Role if may(role, Ability.VERIFY_HOURS)}
    assert roles == {Role.CONTRACTOR_QC}
    with clock_at(NOW):
        for by in (shot.other_qc, shot.inspector, shot.engineer, shot.admin):
            with nothing_written(), pytest.raises(PermissionDenied):
                verify_hours(**_sent(shot, by=by))


def test_a_nozzle_time_put_right_later_changes_nothing_that_was_said(verified):
    kept = HoursStatement.objects.get().minutes
    with clock_at("2026-09-02 09:00"):
        correct(
            id=new_id(),
            by=verified.inspector,
            row=verified.extra["held"],
            reason="misread",
            stopped_at=at("2026-08-04 11:35"),
        )
    [said] = _one(verified, "2026-09-02 09:01").statements
    [change] = said.changed
    assert (said.minutes, change.then, change.now) == (220, 220, 205)
    assert HoursStatement.objects.get().minutes == kept
    [before] = _one(verified, "2026-09-02 08:59").statements
    assert before.changed == ()
    with clock_at("2026-09-03 09:00"), one_line(verified.job, "hours.corrected"):
        correct_hours(
            id=new_id(),
            by=verified.qc,
            statement=verified.extra["said"],
            from_on=FIRST,
            to_on=LAST,
            verified_by="Idris Halloran",
            reason="A leave was misread.",
        )
    [again] = _one(verified, "2026-09-03 09:01").statements
    assert (again.minutes, again.changed) == (205, ())
    assert HoursStatement.objects.count() == 2


def test_a_nozzle_time_taken_back_is_missed_by_name(verified):
    with clock_at("2026-09-02 09:00"):
        take_back(
            id=new_id(),
            by=verified.inspector,
            row=verified.extra["held"],
            reason="typed twice",
        )
    [said] = _one(verified, "2026-09-02 09:01").statements
    assert [(c.then, c.now) for c in said.changed] == [(220, 180)]


def test_days_that_were_verified_are_taken_back_with_a_reason(verified):
    said = verified.extra["said"]
    sent = {"id": new_id(), "by": verified.qc, "statement": said}
    with clock_at("2026-09-02 09:00"):
        assert "reason" in refused(withdraw_hours, **sent, reason=" ")
        with nothing_written(), pytest.raises(PermissionDenied):
            withdraw_hours(**sent | {"by": verified.other_qc}, reason="not mine")
        with one_line(verified.job, "hours.withdrawn"):
            withdraw_hours(**sent, reason="The book was another's.")
        with nothing_written(verified.job):
            withdraw_hours(**sent, reason="The book was another's.")
    assert _one(verified, "2026-09-02 09:01").statements == ()
    assert len(_one(verified, "2026-09-02 08:59").statements) == 1
    with clock_at("2026-09-02 10:00"):
        given = {"from_on": FIRST, "to_on": LAST, "verified_by": "Idris Halloran"}
        more = {"id": new_id(), "by": verified.qc, "statement": said, "reason": "x"}
        told = refused(correct_hours, **given, **more)
        assert "was withdrawn" in str(told)
        verify_hours(**_sent(verified))


def test_an_address_of_another_job_is_no_statement_here(verified, elsewhere):
    with clock_at(NOW):
        sent = {"id": new_id(), "by": elsewhere.qc, "reason": "x"}
        told = refused(withdraw_hours, **sent, statement=verified.extra["said"])
    assert "is not of this job" in told["statement"][0]


def test_who_shot_without_a_place_is_counted_by_badge(shot):
    stranger = shot.other_operator
    shoot(shot, shot.extra["placed"], stranger, "2026-08-04 12:00", "2026-08-04 12:30")
    period = Period(None, None, shot.job.zone)
    when = {"as_of": at(NOW), "known_at": at(NOW)}
    own = hours_of_all(shot.job, period=period, for_member=shot.qc, **when)
    found = {one.operator: one for one in own}
    assert found[stranger].place is None
    assert found[stranger].code == "C-001"
    [line] = found[stranger].hours.classes
    # A card for dry work says nothing of wet.
    assert (line.minutes, line.no_card) == (30, 30)
    other = hours_of_all(shot.job, period=period, for_member=shot.other_qc, **when)
    assert [one.hours.minutes for one in other] == [0]


def test_a_take_rests_on_the_card_that_was_known_then(shot):
    [first, *_rest] = _one(shot, operator=shot.trainee).hours.pieces
    assert str(first.time.level) == "in training"
    assert _one(shot, "2026-08-04 10:30", shot.trainee).hours.still_on
    assert _one(shot, "2026-08-04 10:30", shot.trainee).hours.minutes == 0
