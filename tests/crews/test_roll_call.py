"""The roll call as read from the record: own firm only, as of and as known when."""

from __future__ import annotations

from crews.actions.shooting import note_presence
from crews.domain.trade_words import PresenceRole
from crews.queries.roll_call import roll_call
from project.models import new_id
from tests.crews.pages import Visitor, words
from tests.factories import at, clock_at, make_placement, make_shift, shoot
from tests.support.made_once import made_once

NOW = at("2026-09-14 07:30")


@made_once
def shot(qualified):
    """A morning on the wall with a blowpipe for the first hour only."""
    site = qualified
    with clock_at("2026-08-04 06:50"):
        site.extra["shift"] = make_shift(site.inspector, site.contractor)
        placed = make_placement(site, site.extra["shift"])
    shoot(site, placed, site.operator, "2026-08-04 07:10", "2026-08-04 10:10")
    with clock_at("2026-08-04 12:00"):
        site.extra["blowpipe"] = note_presence(
            id=new_id(),
            by=site.inspector,
            shift=site.extra["shift"],
            role=PresenceRole.BLOWPIPE,
            operator=site.trainee,
            from_at=at("2026-08-04 07:00"),
            to_at=at("2026-08-04 08:10"),
        )
    return site


def _minutes(site, *, as_of="2026-08-04 23:00", known_at=NOW, member=None):
    call = roll_call(
        site.job, at=at(as_of), known_at=known_at, for_member=member or site.inspector
    )
    return [
        (str(role), gap.minutes)
        for shift in call.shifts
        for one in shift.called
        for role, gap in one.missing
    ]


def test_a_missing_blowpipe_on_close_bars_is_told_by_the_minute(shot):
    assert _minutes(shot) == [("blowpipe", 120)]


def test_the_date_is_asked_whole_at_whatever_hour_it_is_named(shot):
    assert _minutes(shot, as_of="2026-08-04 00:00") == [("blowpipe", 120)]
    assert _minutes(shot, as_of="2026-08-06 00:00") == []


def test_as_known_before_it_was_noted_nobody_stood_there(shot):
    known = at("2026-08-04 11:00")
    assert _minutes(shot, known_at=known) == [("blowpipe", 180)]


def test_another_contractor_sees_no_roll_call_of_this_one(shot):
    read = {"at": at("2026-08-04 23:00"), "known_at": NOW}
    assert roll_call(shot.job, for_member=shot.other_qc, **read).shifts == ()
    assert roll_call(shot.job, for_member=shot.other_qc, **read).before is None
    assert len(roll_call(shot.job, for_member=shot.qc, **read).shifts) == 1


def test_a_date_without_a_shift_leads_to_the_nearest_ones(shot):
    call = roll_call(shot.job, at=NOW, known_at=NOW)
    assert call.shifts == ()
    assert call.before.isoformat() == "2026-08-04"
    assert call.after is None


def test_the_page_names_the_gap_and_whom_nobody_noted(shot):
    page = words(Visitor(shot.qc).get("roll_call", at="2026-08-04"))
    assert "120 min with no blowpipe, 08:10 to 10:10" in page
    assert "common practice, no source" in page
    assert "foreman nobody noted" in page


def test_a_wrong_instant_is_named_and_the_page_stands(shot):
    response = Visitor(shot.qc).get("roll_call", at="2026-13-40")
    assert response.status_code == 422
    assert "2026-13-40" in words(response)
