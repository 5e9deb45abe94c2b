"""Taking and leaving the nozzle: what is frozen, what is refused, what never is."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from crews.actions.nozzle import leave_nozzle, record_nozzle_time, take_nozzle
from crews.actions.people import record_certification
from crews.actions.shooting import end_presence, note_presence
from crews.domain.trade_words import Moment, PresenceRole, VolumeBasis
from crews.models import Certification, Eligibility, NozzleTime
from project.domain.frozen import thawed
from project.domain.verdict import State
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.factories import (
    at,
    card,
    clock_at,
    make_judgement,
    make_panel,
    make_placement,
    make_shift,
    q,
    shoot,
    with_mock_up,
)
from tests.support.made_once import made_once


@made_once
def placement(qualified):
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(qualified.inspector, qualified.contractor)
        return make_placement(qualified, shift)


def _take(site, placement, **facts):
    given = {
        "id": new_id(),
        "by": site.inspector,
        "placement": placement,
        "operator": site.operator,
        "at": at("2026-08-04 07:10"),
    }
    return given | facts


def test_a_take_writes_the_time_and_the_conclusion_in_one_line(qualified, placement):
    with clock_at("2026-08-04 07:10"), one_line(qualified.job, "nozzle.taken"):
        taken, frozen = take_nozzle(**_take(qualified, placement))
    assert (frozen.nozzle_time_id, frozen.moment) == (taken.first, Moment.TAKE)
    assert frozen.state == State.PASS
    assert frozen.as_of == at("2026-08-04 07:10")
    assert frozen.known_at == taken.recorded_at


def test_the_conclusion_names_the_versions_it_rested_on(qualified, placement):
    with clock_at("2026-08-04 07:10"):
        _, frozen = take_nozzle(**_take(qualified, placement))
    kinds = {kind for kind, _ in frozen.evidence}
    assert {
        "certification",
        "enrolment",
        "panel",
        "mixrevision",
        "partrevision",
        "termsrevision",
        "placement",
        "nozzletime",
    } <= kinds
    held = Certification.objects.get(operator=qualified.operator)
    assert ["certification", str(held.pk)] in frozen.evidence
    assert frozen.terms_number == 1


def test_a_frozen_verdict_reads_back_with_every_reason(qualified, placement):
    with clock_at("2026-08-04 07:10"):
        _, frozen = take_nozzle(**_take(qualified, placement))
    again = Eligibility.objects.get(pk=frozen.pk)
    verdict = thawed(again.verdict)
    assert [reason.key for reason in verdict.reasons] == [
        "enrolment",
        "card",
        "level",
        "mock-up",
        "activity",
        "mix",
        "suspension",
    ]
    assert verdict.state is State.PASS


def test_the_same_take_sent_twice_is_one_nozzle_time(qualified, placement):
    given = _take(qualified, placement)
    with clock_at("2026-08-04 07:10"):
        first = take_nozzle(**given)
        with nothing_written(qualified.job):
            assert take_nozzle(**given) == first
    assert NozzleTime.objects.count() == Eligibility.objects.count() == 1


def test_who_is_not_qualified_on_record_is_recorded_all_the_same(qualified, placement):
    with clock_at("2026-08-04 07:10"):
        given = _take(qualified, placement, operator=qualified.other_operator)
        taken, frozen = take_nozzle(**given)
    assert taken.pk is not None
    assert frozen.state == State.FAIL
    failed = {reason.key for reason in thawed(frozen.verdict).failed}
    assert failed == {"card", "mock-up"}


def test_an_operator_with_no_place_on_the_job_is_recorded_all_the_same(
    qualified, placement, elsewhere
):
    with clock_at("2026-08-04 07:10"):
        given = _take(qualified, placement, operator=elsewhere.operator)
        _, frozen = take_nozzle(**given)
    assert "enrolment" in {r.key for r in thawed(frozen.verdict).failed}


def test_a_take_of_the_future_is_refused(qualified, placement):
    with clock_at("2026-08-04 07:09"):
        errors = refused(take_nozzle, **_take(qualified, placement))
    assert "2026-08-04 07:10" in errors["at"][0]


def test_a_second_nozzle_in_one_pair_of_hands_is_refused_naming_both(
    qualified, placement
):
    shoot(qualified, placement, qualified.operator, "2026-08-04 07:10")
    with clock_at("2026-08-04 08:00"):
        other = make_placement(qualified, placement.shift)
        given = _take(qualified, other, at=at("2026-08-04 08:00"))
        told = refused(take_nozzle, **given)["started_at"][0]
    assert "PL-001" in told
    assert "2026-08-04 07:10" in told
    assert "2026-08-04 08:00" in told


def test_a_time_that_only_touches_the_one_before_is_allowed(qualified, placement):
    shoot(
        qualified, placement, qualified.operator, "2026-08-04 07:10", "2026-08-04 09:00"
    )
    taken = shoot(
        qualified, placement, qualified.operator, "2026-08-04 09:00", "2026-08-04 10:00"
    )
    assert taken.stopped_at == at("2026-08-04 10:00")


def test_a_late_entry_that_reaches_into_a_later_time_is_refused_at_its_end(
    qualified, placement
):
    shoot(
        qualified, placement, qualified.operator, "2026-08-04 09:00", "2026-08-04 10:00"
    )
    with clock_at("2026-08-04 15:00"):
        given = {
            "id": new_id(),
            "by": qualified.inspector,
            "placement": placement,
            "operator": qualified.operator,
            "started_at": at("2026-08-04 08:00"),
        }
        late = given | {"stopped_at": at("2026-08-04 09:30")}
        told = refused(record_nozzle_time, **late)["stopped_at"][0]
        assert "2026-08-04 09:00" in told
        right = given | {"stopped_at": at("2026-08-04 09:00")}
        with one_line(qualified.job, "nozzle.time_recorded"):
            held, whole = record_nozzle_time(**right)
    assert held.stopped_at == at("2026-08-04 09:00")
    assert whole.moment == Moment.WHOLE_INTERVAL


def test_leaving_freezes_the_whole_interval_and_says_it_once(qualified, placement):
    taken = shoot(qualified, placement, qualified.operator, "2026-08-04 07:10")
    with clock_at("2026-08-04 11:40"):
        given = {
            "by": qualified.inspector,
            "nozzle_time": taken,
            "at": at("2026-08-04 11:40"),
        }
        with one_line(qualified.job, "nozzle.left"):
            whole = leave_nozzle(
                **given, volume=q("12.9 yd3"), volume_basis=VolumeBasis.FACE
            )
        with nothing_written(qualified.job):
            assert leave_nozzle(**given) == whole
        other = given | {"at": at("2026-08-04 11:30")}
        assert "stopped_at" in refused(leave_nozzle, **other)
    taken.refresh_from_db()
    assert whole.until == taken.stopped_at
    assert taken.volume_recorded_at == taken.stopped_recorded_at


@pytest.mark.parametrize("stop", ["2026-08-04 07:10", "2026-08-04 07:00"])
def test_a_leave_that_is_not_after_the_take_is_refused(qualified, placement, stop):
    taken = shoot(qualified, placement, qualified.operator, "2026-08-04 07:10")
    with clock_at("2026-08-04 12:00"):
        given = {"by": qualified.inspector, "nozzle_time": taken, "at": at(stop)}
        assert "2026-08-04 07:10" in refused(leave_nozzle, **given)["stopped_at"][0]


@pytest.mark.parametrize("volume", ["-1 yd3", "0 yd3", "3 psi"])
def test_an_impossible_volume_is_refused(qualified, placement, volume):
    taken = shoot(qualified, placement, qualified.operator, "2026-08-04 07:10")
    with clock_at("2026-08-04 12:00"):
        given = {
            "by": qualified.inspector,
            "nozzle_time": taken,
            "at": at("2026-08-04 11:40"),
            "volume": q(volume),
        }
        assert "volume" in refused(leave_nozzle, **given)


def test_a_night_over_a_cards_last_day_is_qualified_at_the_take_only(qualified):
    old = Certification.objects.get(operator=qualified.operator)
    with clock_at("2026-08-18 08:00"):
        record_certification(
            id=new_id(),
            by=qualified.qc,
            operator=qualified.operator,
            card=card(expires_on=date(2026, 8, 19)),
            supersedes=old,
            reason="read again",
        )
    with clock_at("2026-08-19 20:30"):
        shift = make_shift(
            qualified.inspector,
            qualified.contractor,
            date(2026, 8, 19),
            starts="20:45",
        )
        placed = make_placement(qualified, shift)
    shoot(qualified, placed, qualified.operator, "2026-08-19 21:00", "2026-08-20 01:00")
    by_moment = {row.moment: row.state for row in Eligibility.objects.all()}
    assert by_moment == {Moment.TAKE: "pass", Moment.WHOLE_INTERVAL: "fail"}


def test_a_trainee_is_under_a_condition_and_the_noted_supervisor_is_named(site):
    with_mock_up(site)
    panel = make_panel(
        site,
        kind=_mock_up(),
        shot="2026-07-22 08:00",
        operator=site.trainee,
        supervisor=site.operator,
        mockup_class="A",
    )
    make_judgement(site, panel, "2026-07-29 15:40", _under_supervision())
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(site.inspector, site.contractor)
        placed = make_placement(site, shift)
        stood = note_presence(
            id=new_id(),
            by=site.inspector,
            shift=shift,
            role=PresenceRole.SUPERVISOR,
            operator=site.operator,
            from_at=at("2026-08-04 06:45"),
        )
    with clock_at("2026-08-04 07:10"):
        _, frozen = take_nozzle(**_take(site, placed, operator=site.trainee))
    assert frozen.state == State.CONDITION
    assert ["presence", str(stood.pk)] in frozen.evidence
    level = next(r for r in thawed(frozen.verdict).reasons if r.key == "level")
    assert "OP-01" in level.found


def _mock_up():
    from crews.domain.trade_words import PanelKind

    return PanelKind.MOCK_UP


def _under_supervision():
    from crews.domain.trade_words import DecisionOutcome

    return DecisionOutcome.ACCEPTED_UNDER_SUPERVISION


def test_a_late_entry_is_judged_by_what_was_known_at_the_wall(qualified, placement):
    """The card's end is corrected between the take at the wall and its entry."""
    old = Certification.objects.get(operator=qualified.operator)
    with clock_at("2026-08-04 12:00"):
        record_certification(
            id=new_id(),
            by=qualified.qc,
            operator=qualified.operator,
            card=card(expires_on=date(2026, 8, 1)),
            supersedes=old,
            reason="year mistyped",
        )
    with clock_at("2026-08-04 16:00"):
        given = _take(qualified, placement, known_at=at("2026-08-04 06:58"))
        _, knew = take_nozzle(**given)
        assert knew.known_at == at("2026-08-04 06:58")
        assert knew.state == State.PASS
        whole = leave_nozzle(
            by=qualified.inspector,
            nozzle_time=NozzleTime.objects.get(),
            at=at("2026-08-04 11:40"),
        )
    assert whole.state == State.FAIL


def test_knowledge_of_the_future_is_not_claimed(qualified, placement):
    with clock_at("2026-08-04 07:10"):
        given = _take(qualified, placement, known_at=at("2026-09-04 07:10"))
        taken, frozen = take_nozzle(**given)
    assert frozen.known_at == taken.recorded_at


def test_a_part_nobody_had_entered_then_is_undecided(qualified, placement):
    with clock_at("2026-08-04 16:00"):
        given = _take(qualified, placement, known_at=at("2026-07-01 08:00"))
        _, frozen = take_nozzle(**given)
    assert frozen.state == State.UNDECIDED


def test_a_contractor_records_only_its_own_nozzle_times(qualified, placement):
    with (
        clock_at("2026-08-04 07:10"),
        nothing_written(),
        pytest.raises(PermissionDenied),
    ):
        take_nozzle(**_take(qualified, placement, by=qualified.other_qc))


def test_a_placement_of_another_job_is_refused(qualified, placement, elsewhere):
    with clock_at("2026-08-04 07:10"):
        given = _take(qualified, placement, by=elsewhere.inspector)
        assert "placement" in refused(take_nozzle, **given)


def test_recorded_times_of_one_job_only_ever_grow(qualified, placement):
    shoot(
        qualified, placement, qualified.operator, "2026-08-04 07:10", "2026-08-04 09:00"
    )
    held = NozzleTime.objects.get()
    frozen = {row.moment: row for row in Eligibility.objects.all()}
    assert held.recorded_at == frozen[Moment.TAKE].recorded_at
    assert held.stopped_recorded_at == frozen[Moment.WHOLE_INTERVAL].recorded_at
    assert held.stopped_recorded_at - held.recorded_at > timedelta(0)


def test_a_volume_said_after_the_leave_is_kept_with_its_own_clock(qualified, placement):
    held = shoot(
        qualified, placement, qualified.operator, "2026-08-04 07:10", "2026-08-04 11:40"
    )
    again = {"by": qualified.inspector, "nozzle_time": held, "at": held.stopped_at}
    with clock_at("2026-08-04 12:00"), one_line(qualified.job, "nozzle.left"):
        leave_nozzle(**again, volume=q("8 yd3"))
    held.refresh_from_db()
    assert (held.volume, held.volume_unit) == (8, "yd3")
    assert held.stopped_recorded_at < held.volume_recorded_at
    with clock_at("2026-08-04 12:10"), nothing_written(qualified.job):
        leave_nozzle(**again, volume=q("8 yd3"))
    with clock_at("2026-08-04 12:10"):
        assert "volume" in refused(leave_nozzle, **again, volume=q("9 yd3"))


def test_a_supervisor_who_left_later_stood_there_as_known_before(site):
    """Judged by what the wall knew: the end of a presence is known when it is said."""
    with clock_at("2026-08-04 06:50"):
        shift = make_shift(site.inspector, site.contractor)
        placed = make_placement(site, shift)
        stood = note_presence(
            id=new_id(),
            by=site.inspector,
            shift=shift,
            role=PresenceRole.SUPERVISOR,
            from_at=at("2026-08-04 06:50"),
            operator=site.operator,
        )
    with clock_at("2026-08-04 09:00"):
        end_presence(by=site.inspector, presence=stood, to_at=at("2026-08-04 07:05"))
        given = _take(site, placed, operator=site.trainee)
        taken, then = take_nozzle(**given, known_at=at("2026-08-04 07:10"))
        leave_nozzle(by=site.inspector, nozzle_time=taken, at=at("2026-08-04 08:00"))
    with clock_at("2026-08-04 09:30"):
        later = _take(site, placed, operator=site.trainee, at=at("2026-08-04 09:20"))
        _, now = take_nozzle(**later)
    assert ["presence", str(stood.pk)] in then.evidence
    assert ["presence", str(stood.pk)] not in now.evidence
