"""A trainee's nozzle time: one supervisor, the whole time, and nobody else to watch."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from crews.actions.corrections import correct
from crews.actions.nozzle import leave_nozzle, take_nozzle
from crews.actions.people import enter_operator
from crews.actions.shooting import end_presence, note_presence
from crews.domain.trade_words import Level, Moment, PresenceRole, ShiftName
from crews.models import Eligibility, NozzleTime
from crews.queries.handover import handover
from crews.queries.hindsight import hindsight
from project.actions.jobs import revise_terms
from project.domain.editions import Departure
from project.domain.frozen import thawed
from project.domain.verdict import State
from project.models import new_id
from project.queries.jobs import now_on
from tests.factories import (
    TERMS,
    at,
    card,
    clock_at,
    make_operator,
    make_placement,
    make_shift,
    shoot,
    with_mock_up,
)
from tests.support.made_once import made_once

DAY = "2026-08-04"


@made_once
def ground(qualified):
    """A shift with two placements, and two trainees with mock-ups of their own."""
    site = qualified
    with clock_at("2026-07-18 09:00"):
        training = card(number="WT-9", level=Level.IN_TRAINING)
        site.extra["other"] = make_operator(
            site.qc, site.contractor, "Ansgar Holte", "B-009", training
        )
    for trainee in (site.trainee, site.extra["other"]):
        with_mock_up(site, trainee)
    with clock_at(f"{DAY} 06:50"):
        shift = make_shift(site.inspector, site.contractor)
        site.extra["shift"] = shift
        site.extra["places"] = [make_placement(site, shift) for _ in range(2)]
    return site


def _stands(site, start="06:55", stop=None, **facts):
    with clock_at(f"{DAY} {start}"):
        stood = note_presence(
            id=new_id(),
            by=site.inspector,
            shift=site.extra["shift"],
            role=PresenceRole.SUPERVISOR,
            from_at=at(f"{DAY} {start}"),
            **{"operator": site.operator} | facts,
        )
    if stop:
        with clock_at(f"{DAY} {stop}"):
            end_presence(by=site.inspector, presence=stood, to_at=at(f"{DAY} {stop}"))
    return stood


def _shot(site, who, start, stop=None, place=0):
    end = f"{DAY} {stop}" if stop else None
    return shoot(site, site.extra["places"][place], who, f"{DAY} {start}", end)


def _level(held, moment=Moment.WHOLE_INTERVAL):
    frozen = Eligibility.objects.filter(nozzle_time=held.first, moment=moment)
    verdict = thawed(frozen.latest("recorded_at").verdict)
    return next(reason for reason in verdict.reasons if reason.key == "level")


def _now(site, held):
    again = hindsight(site.job).judged(held.first, at=now_on(site.job))
    return next(r for r in again.verdict.reasons if r.key == "level")


def test_a_watch_that_was_kept_is_frozen_with_whom_it_names(ground):
    stood = _stands(ground)
    held = _shot(ground, ground.trainee, "07:00", "10:00")
    for moment in (Moment.TAKE, Moment.WHOLE_INTERVAL):
        level = _level(held, moment)
        assert level.state is State.CONDITION
        assert "supervised by OP-01, qualified on record" in level.found
        assert str(stood.pk) in {ref.id for ref in level.evidence}


def test_broken_presence_is_told_in_minutes_for_the_whole_interval(ground):
    _stands(ground, "06:55", "08:10")
    _stands(ground, "08:45")
    held = _shot(ground, ground.trainee, "07:00", "10:00")
    assert _level(held, Moment.TAKE).state is State.CONDITION
    level = _level(held)
    assert level.state is State.FAIL
    assert level.found.endswith("OP-01 absent 08:10 to 08:45 (35 min)")
    assert _now(ground, held).found == level.found


def test_a_supervisor_does_not_shoot(ground):
    _stands(ground)
    trainee = _shot(ground, ground.trainee, "07:00")
    own = _shot(ground, ground.operator, "08:00", "08:20", place=1)
    with clock_at(f"{DAY} 09:00"):
        leave_nozzle(by=ground.inspector, nozzle_time=trainee, at=at(f"{DAY} 09:00"))
    level = _level(trainee)
    assert level.state is State.FAIL
    assert level.found.endswith("OP-01 on the nozzle 08:00 to 08:20 (20 min)")
    assert str(own.pk) in {ref.id for ref in level.evidence}
    assert _now(ground, trainee).found == level.found


def test_at_the_take_a_supervisor_on_another_nozzle_is_told(ground):
    _stands(ground)
    _shot(ground, ground.operator, "07:00", place=1)
    trainee = _shot(ground, ground.trainee, "07:30")
    assert _level(trainee, Moment.TAKE).state is State.FAIL


def test_the_hand_over_sees_a_supervisor_shoot_in_another_shift(ground):
    """What is shown before the take is what the take freezes."""
    _stands(ground)
    with clock_at(f"{DAY} 06:55"):
        night = make_shift(ground.inspector, ground.contractor, name=ShiftName.NIGHT)
        other = make_placement(ground, night)
    own = shoot(ground, other, ground.operator, f"{DAY} 07:00", None)
    page = handover(
        ground.job,
        ground.extra["places"][0].code,
        at=at(f"{DAY} 07:30"),
        known_at=at(f"{DAY} 07:30"),
        for_member=ground.inspector,
    )
    shown = page.named("OP-02").standing.verdict
    trainee = _shot(ground, ground.trainee, "07:30")
    level = _level(trainee, Moment.TAKE)
    assert next(r for r in shown.reasons if r.key == "level") == level
    assert level.state is State.FAIL
    assert str(own.pk) in {ref.id for ref in level.evidence}


def test_one_trainee_at_a_time_unless_the_contract_lets_more(ground):
    _stands(ground)
    first = _shot(ground, ground.trainee, "07:00")
    other = _shot(ground, ground.extra["other"], "07:30", "08:00", place=1)
    assert "OP-01 watches OP-02 too 07:30 to 08:00 (30 min)" in _level(other).found
    with clock_at(f"{DAY} 09:00"):
        leave_nozzle(by=ground.inspector, nozzle_time=first, at=at(f"{DAY} 09:00"))
    assert "watches OP-" in _level(first).found
    assert _now(ground, first).state is State.FAIL
    with clock_at(f"{DAY} 12:00"):
        two = Departure(Decimal(2), None, "contract")
        revise_terms(
            id=new_id(),
            by=ground.admin,
            number=2,
            edition="ibc-2018-1908",
            effective_on=date(2026, 8, 1),
            departures=TERMS | {"trainee_ratio": two},
        )
    with clock_at(f"{DAY} 12:01"):
        assert _now(ground, first).state is State.CONDITION


def test_a_full_operator_beside_the_trainee_is_nobodys_trainee(ground):
    _stands(ground)
    with_mock_up(ground, ground.operator)
    full = make_full(ground)
    trainee = _shot(ground, ground.trainee, "07:00")
    _shot(ground, full, "07:30", "08:00", place=1)
    with clock_at(f"{DAY} 09:00"):
        leave_nozzle(by=ground.inspector, nozzle_time=trainee, at=at(f"{DAY} 09:00"))
    assert _level(trainee).state is State.CONDITION


def make_full(site):
    with clock_at("2026-07-18 10:00"):
        full = make_operator(
            site.qc, site.contractor, "Siw Brandvold", "B-010", card(number="WV-10")
        )
    with_mock_up(site, full)
    return full


def test_nobody_noted_is_asked_for_at_the_take_and_missing_at_the_leave(ground):
    held = _shot(ground, ground.trainee, "07:00", "08:30")
    assert _level(held, Moment.TAKE).state is State.CONDITION
    level = _level(held)
    assert level.state is State.FAIL
    assert level.found.endswith("nobody noted as supervisor, 07:00 to 08:30 (90 min)")


def test_one_noted_afterwards_is_read_with_the_knowledge_of_then(ground):
    held = _shot(ground, ground.trainee, "07:00", "08:30")
    with clock_at(f"{DAY} 08:45"):
        before = now_on(ground.job)
    with clock_at(f"{DAY} 09:00"):
        note_presence(
            id=new_id(),
            by=ground.inspector,
            shift=ground.extra["shift"],
            role=PresenceRole.SUPERVISOR,
            from_at=at(f"{DAY} 06:50"),
            operator=ground.operator,
        )
        assert _level(held).state is State.FAIL
        assert _now(ground, held).state is State.CONDITION
        again = hindsight(ground.job).judged(held.first, at=before)
        assert again.verdict.state is State.FAIL


@pytest.mark.parametrize(
    ("part", "state"), [("wall", State.CONDITION), ("soffit", State.FAIL)]
)
def test_a_supervisor_at_another_part_watches_nobody_here(ground, part, state):
    _stands(ground, part=getattr(ground, part).part)
    held = _shot(ground, ground.trainee, "07:00", "08:00")
    assert _level(held).state is state


def test_the_hand_over_names_the_supervisor_it_judges_by(ground):
    _stands(ground, part=ground.soffit.part)
    for moment in (f"{DAY} 07:00", f"{DAY} 07:30"):
        page = handover(
            ground.job,
            ground.extra["places"][0].code,
            at=at(moment),
            known_at=at(f"{DAY} 12:00"),
            for_member=ground.inspector,
        )
        assert page.supervisor == ("" if moment.endswith("07:00") else "Bartosz Ilunga")
        if moment.endswith("07:00"):
            _stands(ground, "07:15")


def test_the_hand_over_names_also_a_supervisor_without_a_place_on_the_job(ground):
    with clock_at(f"{DAY} 06:52"):
        stranger = enter_operator(
            id=new_id(),
            by=ground.qc,
            organization=ground.contractor,
            badge_number="B-077",
            legal_name="Nanami Westergaard",
        )
    _stands(ground, operator=stranger)
    page = handover(
        ground.job,
        ground.extra["places"][0].code,
        at=at(f"{DAY} 07:00"),
        known_at=at(f"{DAY} 12:00"),
        for_member=ground.inspector,
    )
    assert page.supervisor == "Nanami Westergaard"


def test_a_presence_put_right_turns_what_is_known_and_nothing_frozen(ground):
    stood = _stands(ground, "06:55", "08:10")
    held = _shot(ground, ground.trainee, "07:00", "08:30")
    assert _level(held).state is State.FAIL
    with clock_at(f"{DAY} 11:00"):
        correct(
            id=new_id(),
            by=ground.inspector,
            row=stood,
            reason="left at ten to nine",
            to_at=at(f"{DAY} 08:50"),
        )
        assert _now(ground, held).state is State.CONDITION
    assert _level(held).state is State.FAIL


def test_a_time_from_a_paper_note_is_judged_whole(ground):
    _stands(ground, "06:55", "07:40")
    with clock_at(f"{DAY} 12:00"):
        taken, _ = take_nozzle(
            id=new_id(),
            by=ground.inspector,
            placement=ground.extra["places"][0],
            operator=ground.trainee,
            at=at(f"{DAY} 07:00"),
            known_at=at(f"{DAY} 06:40"),
        )
        leave_nozzle(
            by=ground.inspector,
            nozzle_time=taken,
            at=at(f"{DAY} 08:00"),
            known_at=at(f"{DAY} 06:40"),
        )
    held = NozzleTime.objects.get(pk=taken.pk)
    assert _level(held, Moment.TAKE).found.startswith("in training; one named")
    assert "absent 07:40 to 08:00 (20 min)" in _level(held).found
