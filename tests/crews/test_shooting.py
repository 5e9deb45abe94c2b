"""Shifts, presences and placements; crews and rigs of a firm."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from crews.actions.corrections import correct
from crews.actions.crews import (
    accept_rig_equivalence,
    enter_crew,
    enter_crew_member,
    enter_rig,
)
from crews.actions.shooting import (
    close_shift,
    end_presence,
    note_presence,
    open_shift,
    place,
    record_waste,
)
from crews.domain.trade_words import PresenceRole, RigKind, ShiftName, Trade
from crews.models import Placement, Shift
from project.audit import verify_stream
from project.models import new_id
from tests.crews.acts import nothing_written, one_line, refused
from tests.factories import at, clock_at, make_placement, make_shift, q


@pytest.fixture
def morning(site):
    with clock_at("2026-08-04 06:50"):
        yield site


def _shift(site, **facts):
    given = {
        "id": new_id(),
        "by": site.inspector,
        "contractor": site.contractor,
        "work_date": date(2026, 8, 4),
        "name": ShiftName.DAY,
        "starts_at": at("2026-08-04 07:00"),
    }
    return given | facts


def test_opening_a_shift_leaves_one_line(morning):
    with one_line(morning.job, "shift.opened"):
        open_shift(**_shift(morning))


def test_the_second_to_open_a_shift_gets_the_one_that_is_open(morning):
    first = open_shift(**_shift(morning))
    with nothing_written(morning.job):
        second = open_shift(**_shift(morning, by=morning.qc))
    assert second == first
    assert Shift.objects.count() == 1


def test_two_contractors_and_two_names_are_different_shifts(morning):
    one = open_shift(**_shift(morning))
    other = open_shift(**_shift(morning, contractor=morning.other_contractor))
    night = open_shift(**_shift(morning, name=ShiftName.NIGHT))
    assert len({one.pk, other.pk, night.pk}) == 3


def test_a_start_on_another_date_than_the_work_date_is_refused(morning):
    errors = refused(open_shift, **_shift(morning, starts_at=at("2026-08-03 23:00")))
    assert "2026-08-04" in errors["starts_at"][0]


def test_a_shift_of_the_future_is_refused(morning):
    given = _shift(
        morning, work_date=date(2026, 8, 5), starts_at=at("2026-08-05 07:00")
    )
    assert "2026-08-04" in refused(open_shift, **given)["work_date"][0]


def test_a_contractor_opens_only_its_own_shifts(morning):
    with nothing_written(), pytest.raises(PermissionDenied):
        open_shift(**_shift(morning, by=morning.other_qc))


def test_a_night_shift_bears_the_date_on_which_it_began(site):
    with clock_at("2026-09-02 20:30"):
        shift = open_shift(
            **_shift(
                site,
                name=ShiftName.NIGHT,
                work_date=date(2026, 9, 2),
                starts_at=at("2026-09-02 21:00"),
            )
        )
    with clock_at("2026-09-03 05:50"):
        closed = close_shift(
            by=site.inspector, shift=shift, stops_at=at("2026-09-03 05:00")
        )
    assert closed.work_date == date(2026, 9, 2)


def test_closing_a_shift_again_with_the_same_time_changes_nothing(morning):
    shift = make_shift(morning.inspector, morning.contractor)
    with clock_at("2026-08-04 15:30"):
        stops = at("2026-08-04 15:00")
        with one_line(morning.job, "shift.closed"):
            close_shift(by=morning.inspector, shift=shift, stops_at=stops)
        with nothing_written(morning.job):
            close_shift(by=morning.qc, shift=shift, stops_at=stops)
        other = {"by": morning.qc, "shift": shift, "stops_at": at("2026-08-04 14:00")}
        assert "stops_at" in refused(close_shift, **other)


@pytest.mark.parametrize("stop", ["2026-08-04 06:00", "2026-08-04 07:00"])
def test_a_stop_that_is_not_after_the_start_is_refused(morning, stop):
    shift = make_shift(morning.inspector, morning.contractor)
    with clock_at("2026-08-04 15:30"):
        given = {"by": morning.inspector, "shift": shift, "stops_at": at(stop)}
        assert "stops_at" in refused(close_shift, **given)


def _presence(site, shift, **facts):
    given = {
        "id": new_id(),
        "by": site.inspector,
        "shift": shift,
        "role": PresenceRole.BLOWPIPE,
        "from_at": at("2026-08-04 06:45"),
    }
    return given | facts


def test_a_presence_is_noted_and_ended(morning):
    shift = make_shift(morning.inspector, morning.contractor)
    with one_line(morning.job, "presence.noted"):
        stood = note_presence(**_presence(morning, shift, crew_member=morning.blowpipe))
    with (
        clock_at("2026-08-04 12:00"),
        one_line(morning.job, "presence.ended"),
    ):
        end_presence(by=morning.inspector, presence=stood, to_at=at("2026-08-04 11:40"))


def test_a_presence_names_exactly_one_person(morning):
    shift = make_shift(morning.inspector, morning.contractor)
    assert "person" in refused(note_presence, **_presence(morning, shift))
    two = {"crew_member": morning.blowpipe, "operator": morning.operator}
    assert "person" in refused(note_presence, **_presence(morning, shift, **two))


def test_a_person_of_another_firm_is_refused(morning):
    shift = make_shift(morning.inspector, morning.contractor)
    given = _presence(morning, shift, operator=morning.other_operator)
    assert "person" in refused(note_presence, **given)


def test_placements_take_the_next_code_and_the_same_request_one_row(morning):
    shift = make_shift(morning.inspector, morning.contractor)
    id = new_id()
    with one_line(morning.job, "placement.recorded"):
        first = make_placement_with(morning, shift, id=id)
    with nothing_written(morning.job):
        assert make_placement_with(morning, shift, id=id) == first
    second = make_placement(morning, shift)
    assert (first.code, second.code) == ("PL-001", "PL-002")
    assert Placement.objects.count() == 2


def make_placement_with(site, shift, **facts):
    given = {
        "by": site.inspector,
        "shift": shift,
        "part": site.wall.part,
        "mix": site.mix,
        "crew": site.crew,
        "rig": site.rig,
    }
    return place(**given | facts)


def test_a_mix_nobody_approved_is_recorded_all_the_same(morning):
    from project.actions.jobs import revise_mix

    mix = revise_mix(
        id=new_id(),
        by=morning.admin,
        code="W-99",
        revision=1,
        process="wet",
        f_c=q("4000 psi").value,
        f_c_unit="psi",
    )
    shift = make_shift(morning.inspector, morning.contractor)
    placed = make_placement(morning, shift, mix=mix)
    assert placed.mix_revision_id == mix.first


@pytest.mark.parametrize(
    ("field", "foreign"),
    [
        ("part", lambda e: e.wall.part),
        ("mix", lambda e: e.mix),
        ("crew", lambda e: e.crew),
        ("rig", lambda e: e.rig),
    ],
)
def test_rows_of_another_job_or_firm_are_refused_by_field(
    morning, elsewhere, field, foreign
):
    shift = make_shift(morning.inspector, morning.contractor)
    given = {field: foreign(elsewhere), "id": new_id()}
    assert field in refused(make_placement_with, site=morning, shift=shift, **given)


def test_a_rig_of_the_other_contractor_is_refused(morning):
    shift = make_shift(morning.inspector, morning.contractor)
    given = {"id": new_id(), "rig": morning.other_rig}
    assert "rig" in refused(make_placement_with, site=morning, shift=shift, **given)


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"area": q("10 psi")}, "area"),
        ({"area": q("-4 ft2")}, "area"),
        ({"thickness": q("4 ft2")}, "thickness"),
        ({"code": "PL-x"}, "code"),
        ({"code": "TP-001"}, "code"),
    ],
)
def test_a_placement_that_cannot_be_is_refused_by_field(morning, facts, field):
    shift = make_shift(morning.inspector, morning.contractor)
    given = {"id": new_id()} | facts
    assert field in refused(make_placement_with, site=morning, shift=shift, **given)


def test_crews_their_people_and_rigs_are_the_firms_own(site):
    firm = site.contractor
    with one_line(firm, "crew.entered"):
        crew = enter_crew(id=new_id(), by=site.qc, organization=firm, code="A2")
    with one_line(firm, "crew.member_entered"):
        enter_crew_member(
            id=new_id(), by=site.qc, crew=crew, name="Delphine Roux", trade=Trade.PUMP
        )
    with one_line(firm, "rig.entered"):
        enter_rig(
            id=new_id(),
            by=site.qc,
            organization=firm,
            code="RIG-A2",
            kind=RigKind.WET_PUMP,
            hose_diameter=q("2.0 in"),
            hose_length=q("140 ft"),
            air_flow=q("375 cfm"),
        )
    twice = {"id": new_id(), "by": site.qc, "organization": firm, "code": "A2"}
    assert "code" in refused(enter_crew, **twice)


def test_only_the_engineer_accepts_a_rig_as_equivalent(site):
    given = {
        "id": new_id(),
        "rig": site.rig,
        "other": site.other_rig,
        "accepted_at": at("2026-07-16 16:00"),
    }
    with nothing_written(), pytest.raises(PermissionDenied):
        accept_rig_equivalence(by=site.inspector, **given)
    with (
        clock_at("2026-07-17 16:00"),
        one_line(site.job, "rig.accepted_as_equivalent"),
    ):
        row = accept_rig_equivalence(by=site.engineer, **given)
    assert row.facts().rigs == {str(site.rig.pk), str(site.other_rig.pk)}
    same = given | {"id": new_id(), "other": site.rig}
    assert "other" in refused(accept_rig_equivalence, by=site.engineer, **same)


def _waste(site, placement, **told):
    return record_waste(by=site.inspector, placement=placement, **told)


def test_what_is_not_in_place_is_told_once(site):
    with clock_at("2026-08-04 12:00"):
        placement = make_placement(site, make_shift(site.inspector, site.contractor))
        with one_line(site.job, "placement.waste_recorded"):
            _waste(site, placement, line_waste=q("0.3 yd3"), removed=q("0 yd3"))
    with clock_at("2026-08-04 12:30"):
        again = _waste(site, placement, line_waste=q("0.3 yd3"), removed=q("0 yd3"))
        other = refused(
            record_waste,
            by=site.inspector,
            placement=placement,
            line_waste=q("0.4 yd3"),
        )
    assert (again.line_waste, again.removed, again.cuttings) == (
        Decimal("0.3"),
        Decimal(0),
        None,
    )
    assert "Told already, 2026-08-04 12:00" in other["line_waste"][0]


@pytest.mark.parametrize(
    ("told", "field", "words"),
    [
        ({}, "line_waste", "Nothing is given"),
        ({"cuttings": "-0.1 yd3"}, "cuttings", "-0.1 yd3; allowed is 0 or more"),
        ({"removed": "3 in"}, "removed", "3 in is not a volume"),
    ],
)
def test_what_is_no_volume_is_refused_by_name(site, told, field, words):
    with clock_at("2026-08-04 12:00"):
        placement = make_placement(site, make_shift(site.inspector, site.contractor))
        given = {name: q(text) for name, text in told.items()}
        errors = refused(record_waste, by=site.inspector, placement=placement, **given)
    assert words in errors[field][0]


def test_another_firms_placement_takes_no_waste(site, elsewhere):
    with clock_at("2026-08-04 12:00"):
        placement = make_placement(site, make_shift(site.inspector, site.contractor))
        for member in (site.other_qc, elsewhere.inspector):
            with nothing_written(), pytest.raises((PermissionDenied, ValidationError)):
                record_waste(by=member, placement=placement, line_waste=q("0.3 yd3"))


def test_waste_told_wrongly_is_corrected_by_name(site):
    with clock_at("2026-08-04 12:00"):
        placement = make_placement(site, make_shift(site.inspector, site.contractor))
        _waste(site, placement, line_waste=q("3 yd3"))
    with clock_at("2026-08-04 13:00"):
        right = correct(
            id=new_id(),
            by=site.inspector,
            row=placement,
            reason="A point was left out.",
            line_waste=q("0.3 yd3"),
        )
    assert (right.line_waste, right.waste_unit) == (Decimal("0.3"), "yd3")
    assert right.waste_recorded_at == right.recorded_at
    assert verify_stream(site.job.stream) is None
