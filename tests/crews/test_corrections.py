"""Shooting facts put right or taken back, and what is judged again because of it."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import NON_FIELD_ERRORS, PermissionDenied

from crews.actions.corrections import correct, withdraw
from crews.actions.nozzle import leave_nozzle, take_nozzle
from crews.domain.trade_words import PanelKind
from crews.models import Eligibility, NozzleTime, Panel, Placement, Shift
from crews.queries.panels import panels
from crews.queries.qualification import operator_standing
from crews.queries.shooting import shooting
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.factories import (
    at,
    clock_at,
    make_cores,
    make_panel,
    make_placement,
    make_shift,
    q,
    report,
    result,
    shoot,
)
from tests.support.made_once import made_once

LATER = "2026-08-05 09:00"


@made_once
def shot(qualified):
    site = qualified
    with clock_at("2026-08-04 06:50"):
        site.extra["shift"] = make_shift(site.inspector, site.contractor)
        site.extra["placed"] = make_placement(site, site.extra["shift"])
    site.extra["held"] = shoot(
        site,
        site.extra["placed"],
        site.operator,
        "2026-08-04 07:10",
        "2026-08-04 11:40",
    )
    return site


def _fix(site, row, **values):
    given = {"id": new_id(), "by": site.inspector, "reason": "misread"}
    return given | {"row": row} | values


def test_hands_that_a_time_was_taken_from_are_free_again(shot):
    """What another operator's version superseded holds no nozzle any more."""
    site, held = shot, shot.extra["held"]
    with clock_at(LATER):
        correct(**_fix(site, held, operator=site.trainee))
        taken, _ = take_nozzle(
            id=new_id(),
            by=site.inspector,
            placement=held.placement,
            operator=site.operator,
            at=at("2026-08-04 08:00"),
        )
        leave_nozzle(by=site.inspector, nozzle_time=taken, at=at("2026-08-04 09:00"))
        said = refused(correct, **_fix(site, held, operator=site.operator))
    assert "2026-08-04 08:00 – 2026-08-04 09:00 already" in said["stopped_at"][0]


def test_a_time_goes_back_to_the_hands_it_was_taken_from(shot):
    site, held = shot, shot.extra["held"]
    with clock_at(LATER):
        correct(**_fix(site, held, operator=site.trainee))
        back = correct(**_fix(site, held, operator=site.operator))
    assert (back.first, back.operator) == (held.first, site.operator)


def test_a_nozzle_time_put_right_is_judged_again_beside_the_first(shot):
    with clock_at(LATER), one_line(shot.job, "nozzletime.corrected"):
        new = correct(**_fix(shot, shot.extra["held"], operator=shot.trainee))
    assert (new.first, new.stopped_at) == (
        shot.extra["held"].first,
        at("2026-08-04 11:40"),
    )
    rows = Eligibility.objects.filter(nozzle_time=new.first).order_by("recorded_at")
    assert [(row.moment, row.state) for row in rows] == [
        ("take", "pass"),
        ("whole interval", "pass"),
        ("take", "fail"),
        ("whole interval", "fail"),
    ]

    def held(when):
        return shooting(shot.job, known_at=at(when))[0].times[0]

    assert (held("2026-08-04 12:00").code, held(LATER).code) == ("OP-01", "OP-02")
    assert held("2026-08-04 12:00").frozen.state == "pass"
    assert held("2026-08-05 09:01").frozen.state == "fail"


def test_a_time_put_right_may_not_overlap_another(shot):
    shoot(
        shot,
        shot.extra["placed"],
        shot.operator,
        "2026-08-04 12:00",
        "2026-08-04 13:00",
    )
    with clock_at(LATER):
        given = _fix(shot, shot.extra["held"], stopped_at=at("2026-08-04 12:30"))
        assert "stopped_at" in refused(correct, **given)
        wrong = _fix(shot, shot.extra["held"], stopped_at=at("2026-08-04 07:00"))
        assert "stopped_at" in refused(correct, **wrong)
        late = _fix(shot, shot.extra["held"], stopped_at=at("2026-08-05 09:01"))
        assert "stopped_at" in refused(correct, **late)


def test_a_placement_put_right_keeps_its_code_and_its_nozzle_times(shot):
    with clock_at(LATER), one_line(shot.job, "placement.corrected"):
        correct(
            **_fix(
                shot,
                shot.extra["placed"],
                mix_revision=shot.other_mix,
                area=q("16 ft2"),
                thickness=q("12 in"),
            )
        )
    (placed,) = shooting(shot.job, known_at=at("2026-08-06 00:00"))
    assert (placed.code, str(placed.mix), str(placed.neat)) == (
        "PL-001",
        "D-60 rev 1",
        "0.5926 yd3",
    )
    assert len(placed.times) == 1


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"code": "PL-009"}, "code"),
        ({"area": q("16 in")}, "area"),
        ({"area": q("0 ft2")}, "area"),
    ],
)
def test_a_correction_that_cannot_be_is_refused_by_field(shot, values, field):
    with clock_at(LATER):
        assert field in refused(correct, **_fix(shot, shot.extra["placed"], **values))


def test_a_correction_brings_nothing_in_from_elsewhere(shot, elsewhere):
    placed = shot.extra["placed"]
    with clock_at(LATER):
        for field, row in (
            ("mix_revision", elsewhere.mix),
            ("part", elsewhere.wall.part),
            ("rig", shot.other_rig),
        ):
            assert field in refused(correct, **_fix(shot, placed, **{field: row}))
        with nothing_written(), pytest.raises(PermissionDenied):
            correct(**_fix(shot, placed, extent="all") | {"by": shot.other_qc})
        foreign = _fix(elsewhere, placed, extent="all")
        assert "row" in refused(correct, **foreign)


def test_the_second_to_correct_a_row_starts_from_what_the_first_left(shot):
    placed = shot.extra["placed"]
    with clock_at(LATER):
        correct(**_fix(shot, placed, extent="left half"))
        again = correct(**_fix(shot, placed, area=q("209 ft2")))
    assert (again.extent, again.area) == ("left half", q("209 ft2").value)
    assert Placement.objects.filter(first=placed.first).count() == 3


def test_what_others_hang_on_is_taken_back_last(shot):
    placed, held = shot.extra["placed"], shot.extra["held"]
    with clock_at(LATER):
        told = refused(withdraw, **_fix(shot, shot.extra["shift"]))["row"][0]
        assert "PL-001" in told
        assert "row" in refused(withdraw, **_fix(shot, placed))
        with one_line(shot.job, "nozzletime.withdrawn"):
            withdraw(**_fix(shot, held))
        withdraw(**_fix(shot, placed))
        withdraw(**_fix(shot, shot.extra["shift"]))
        gone = _fix(shot, held, operator=shot.trainee)
        assert NON_FIELD_ERRORS in refused(correct, **gone)
    assert shooting(shot.job, known_at=at("2026-08-06 00:00")) == ()
    assert len(shooting(shot.job, known_at=at("2026-08-04 12:00"))) == 1


def test_a_withdrawn_time_leaves_its_operator_free(shot):
    with clock_at(LATER):
        withdraw(**_fix(shot, shot.extra["held"]))
    taken = shoot(
        shot,
        shot.extra["placed"],
        shot.operator,
        "2026-08-05 10:00",
        "2026-08-05 11:00",
    )
    assert NozzleTime.objects.filter(first=taken.first).count() == 1


def test_a_core_put_right_is_judged_where_it_really_was(shot):
    panel = make_panel(shot, placement=shot.extra["placed"])
    cores = make_cores(shot, panel)
    with clock_at("2026-08-11 09:00"), one_line(shot.job, "core.corrected"):
        correct(**_fix(shot, cores[2], x=q("3 in")) | {"by": shot.technician})
    report(
        shot,
        "L-1",
        "2026-09-01 15:00",
        [result(core, "2026-09-01 10:00") for core in cores[2:]],
    )
    one = panels(
        shot.job, known_at=at("2026-09-02 00:00"), on=at("2026-09-02 00:00").date()
    )[-1].decisive
    assert [name for name, _ in one.counted] == ["TP-001/4", "TP-001/5"]
    with clock_at("2026-09-02 09:00"):
        assert "row" in refused(withdraw, **_fix(shot, cores[2]))


def test_a_mock_up_of_somebody_else_speaks_for_its_first_operator_no_more(shot):
    (mock_up,) = Panel.objects.filter(panel_kind="mock-up")
    asked = {
        "part": shot.wall.part,
        "start": at(LATER),
        "known_at": at("2026-08-05 09:01"),
    }
    with clock_at(LATER):
        correct(**_fix(shot, mock_up, operator=shot.trainee))
    stands = {
        person.legal_name: operator_standing(shot.job, operator=person, **asked)
        for person in (shot.operator, shot.trainee)
    }
    gates = [
        {reason.key: str(reason.state) for reason in verdict.reasons}["mock-up"]
        for verdict in stands.values()
    ]
    assert gates == ["fail", "pass"]
    before = operator_standing(
        shot.job, operator=shot.operator, **asked | {"known_at": at("2026-08-05 08:59")}
    )
    assert before.state == "pass"


def test_a_panel_without_a_shift_keeps_the_date_on_which_it_was_shot(site):
    panel = make_panel(site, PanelKind.MOCK_UP, shot="2026-07-20 08:30")
    with clock_at(LATER):
        new = correct(**_fix(site, panel, shot_from=at("2026-07-21 08:30")))
    assert new.work_date == date(2026, 7, 21)


def test_a_shift_taken_back_is_opened_again_in_its_chain(site):
    """Its day and name stay its own: without this no work of that day could be kept."""
    with clock_at("2026-08-04 06:50"):
        first = make_shift(site.inspector, site.contractor)
    with clock_at("2026-08-04 07:00"):
        withdraw(**_fix(site, first))
    with clock_at("2026-08-04 07:10"), one_line(site.job, "shift.opened"):
        opened = make_shift(site.inspector, site.contractor)
    assert (opened.first, opened.withdrawn) == (first.pk, False)
    with clock_at("2026-08-04 07:20"), nothing_written(site.job):
        assert make_shift(site.inspector, site.contractor) == opened
    for when, there in (("06:55", 1), ("07:05", 0), ("07:15", 1)):
        known = Shift.objects.known_at(at(f"2026-08-04 {when}"))
        assert known.filter(job=site.job).count() == there
