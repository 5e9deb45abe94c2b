"""Entries on a sheet: kept once, with one line, or refused by field and not kept."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from inspections.actions.corrections import correct_entry, withdraw_entry
from inspections.actions.loads import (
    finish_load,
    record_fresh_test,
)
from inspections.actions.readings import Measured, record_readings
from inspections.actions.reports import (
    open_report,
    record_weather,
    void_report,
)
from inspections.models import DailyReport, FreshTest, Load, Reading, Remark, Weather
from project.models import new_id
from tests.inspections.hands import load, remark
from tests.inspections.wall import at, q


def test_a_sheet_opened_twice_is_one_sheet_with_one_number(wall, lines):
    before = lines()
    again = open_report(id=new_id(), by=wall.inspector, shift=wall.shift)
    assert again.pk == wall.report.pk
    assert again.code == "DFR-001"
    assert lines() == before


def test_sheets_of_all_firms_share_one_row_of_numbers_without_gaps(wall):
    second = open_report(id=new_id(), by=wall.associate, shift=wall.shift)
    third = open_report(id=new_id(), by=wall.qc, shift=wall.shift)
    void_report(by=wall.associate, report=second, reason="wrong shift")
    fourth = open_report(id=new_id(), by=wall.associate, shift=wall.shift)
    assert [r.number for r in (wall.report, second, third, fourth)] == [1, 2, 3, 4]


def test_a_contractor_opens_no_sheet_on_another_contractors_shift(wall):
    with pytest.raises(PermissionDenied):
        open_report(id=new_id(), by=wall.other_qc, shift=wall.shift)
    assert DailyReport.objects.count() == 1


def test_a_voided_sheet_keeps_its_number_and_takes_nothing_more(wall):
    void_report(by=wall.inspector, report=wall.report, reason="wrong shift")
    with pytest.raises(ValidationError) as refused:
        remark(wall)
    assert "DFR-001 was voided: wrong shift" in str(refused.value)
    assert Remark.objects.count() == 0


def test_an_entry_is_one_row_and_one_line_however_often_it_is_sent(wall, lines):
    before, id = lines(), new_id()
    first = remark(wall, id=id)
    again = remark(wall, id=id)
    assert first.pk == again.pk
    assert Remark.objects.count() == 1
    assert lines() == before + 1


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"kind": "gossip"}, "kind", "gossip is not known; allowed are instruction"),
        ({"words": "  "}, "words", "words are needed"),
        ({"at": at("15:01")}, "at", "2026-08-11 15:01 lies in the future"),
    ],
)
def test_a_bad_remark_is_refused_by_field(wall, lines, changes, field, says):
    before = lines()
    with pytest.raises(ValidationError) as refused:
        remark(wall, **changes)
    assert says in refused.value.message_dict[field][0]
    assert (Remark.objects.count(), lines()) == (0, before)


def test_another_firm_writes_nothing_on_the_sheet(wall):
    with pytest.raises(PermissionDenied):
        remark(wall, by=wall.qc)
    with pytest.raises(PermissionDenied):
        remark(wall, by=wall.owner)


def test_weather_keeps_what_was_read_and_leaves_the_rest_empty(wall, lines):
    before = lines()
    row = record_weather(
        id=new_id(),
        by=wall.inspector,
        report=wall.report,
        at=at("06:45"),
        air=q("72", "F"),
        humidity=q("55", "percent"),
        sky="clear",
    )
    kept = Weather.objects.get(pk=row.pk)
    assert (kept.air, kept.temperature_unit) == (Decimal("72"), "F")
    assert (kept.wind, kept.wind_unit, kept.concrete) == (None, "", None)
    assert lines() == before + 1


@pytest.mark.parametrize(
    ("readings", "field"),
    [
        ({}, "air"),
        ({"humidity": q("101", "percent")}, "humidity"),
        ({"humidity": q("1.5", "1")}, "humidity"),
        ({"wind": q("-1", "mph")}, "wind"),
        ({"air": q("72", "psi")}, "air"),
        ({"air": q("72", "F"), "concrete": q("26", "C")}, "concrete"),
    ],
)
def test_weather_that_cannot_be_is_refused_by_field(wall, readings, field):
    with pytest.raises(ValidationError) as refused:
        record_weather(
            id=new_id(),
            by=wall.inspector,
            report=wall.report,
            at=at("06:45"),
            **readings,
        )
    assert field in refused.value.message_dict
    assert Weather.objects.count() == 0


def test_a_load_comes_in_order_and_its_end_is_filled_once(wall, lines):
    first = load(wall, last_shot_at=None)
    second = load(wall, ticket="52164")
    assert (first.order, second.order) == (1, 2)
    before = lines()
    done = finish_load(
        by=wall.inspector,
        load=first,
        last_shot_at=at("07:49"),
        returned=q("2.7", "ft3"),
    )
    assert done.last_shot_at == at("07:49")
    assert done.returned == Decimal("0.1")  # 2.7 ft3 is 0.1 yd3
    finish_load(by=wall.inspector, load=first, last_shot_at=at("07:49"))
    assert lines() == before + 1
    with pytest.raises(ValidationError) as refused:
        finish_load(by=wall.inspector, load=first, last_shot_at=at("07:50"))
    assert "last_shot_at" in refused.value.message_dict


@pytest.mark.parametrize(
    "changes",
    [
        {"last_shot_at": at("06:20"), "first_shot_at": None},
        {"arrived_at": at("06:10")},
        {"accepted": False, "refused_because": "air 4.9 %"},
    ],
)
def test_what_contradicts_itself_is_kept(wall, changes):
    assert Load.objects.filter(pk=load(wall, **changes).pk).exists()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"volume": q("0", "yd3")}, "volume"),
        ({"volume": q("3", "in")}, "volume"),
        ({"returned": q("3.4", "yd3")}, "returned"),
        ({"returned": q("-1", "yd3")}, "returned"),
        ({"accepted": False}, "refused_because"),
        ({"kind": "boat"}, "kind"),
        ({"last_shot_at": at("15:01")}, "last_shot_at"),
    ],
)
def test_a_load_that_cannot_be_is_refused_by_field(wall, lines, changes, field):
    before = lines()
    with pytest.raises(ValidationError) as refused:
        load(wall, **changes)
    assert field in refused.value.message_dict
    assert (Load.objects.count(), lines()) == (0, before)


def test_a_retest_is_a_second_row(wall):
    came = load(wall)
    for n, value in enumerate(("4.9", "4.8")):
        record_fresh_test(
            id=new_id(),
            by=wall.inspector,
            load=came,
            at=at("10:02"),
            kind="air",
            value=q(value, "percent"),
            retest=bool(n),
        )
    kept = FreshTest.objects.filter(load=came.first).values_list("value", "retest")
    assert sorted(kept) == [(Decimal("4.8"), True), (Decimal("4.9"), False)]
    with pytest.raises(ValidationError, match="percent is not a length"):
        record_fresh_test(
            id=new_id(),
            by=wall.inspector,
            load=came,
            at=at("10:02"),
            kind="slump",
            value=q("2", "percent"),
        )


def test_a_set_of_readings_is_one_act_and_sent_twice_one_set(wall, lines):
    before, id = lines(), new_id()
    for _again in range(2):
        rows = record_readings(
            id=id,
            by=wall.inspector,
            report=wall.report,
            kind="thickness",
            at=at("12:30"),
            placement=wall.placement,
            readings=[
                Measured(q("10.1", "in"), "A1"),
                Measured(q("10.3", "in"), "B2"),
            ],
        )
    assert [row.place for row in rows] == ["A1", "B2"]
    assert Reading.objects.count() == 2
    assert lines() == before + 1


def test_readings_of_the_wrong_kind_leave_none_of_the_set(wall):
    with pytest.raises(ValidationError, match="psi is not a length"):
        record_readings(
            id=new_id(),
            by=wall.inspector,
            report=wall.report,
            kind="thickness",
            at=at("12:30"),
            readings=[Measured(q("10.1", "in")), Measured(q("10", "psi"))],
        )
    assert Reading.objects.count() == 0


def test_a_correction_is_a_second_version_with_its_reason(wall, lines):
    came, before = load(wall), lines()
    new = correct_entry(
        id=new_id(),
        by=wall.inspector,
        entry=came,
        reason="ticket read again",
        volume=q("3.6", "yd3"),
        ticket="52136",
    )
    assert (new.first, new.supersedes_id, new.order) == (came.pk, came.pk, came.order)
    assert (new.volume, new.ticket) == (Decimal("3.6"), "52136")
    assert (new.last_shot_at, new.last_shot_recorded_at) == (
        came.last_shot_at,
        new.recorded_at,
    )
    known = Load.objects.known_at(new.recorded_at)
    assert [row.pk for row in known] == [new.pk]
    assert lines() == before + 1


@pytest.mark.parametrize(
    ("values", "reason", "field"),
    [
        ({"order": 3}, "slip", "order"),
        ({"volume": q("3.3", "in")}, "slip", "volume"),
        ({"volume": q("2.5", "m3")}, "slip", "volume"),
        ({"volume": q("3.6", "yd3")}, " ", "reason"),
        ({"returned": q("4", "yd3")}, "slip", "returned"),
    ],
)
def test_a_bad_correction_changes_nothing(wall, lines, values, reason, field):
    came = load(wall, returned=q("0.1", "yd3"))
    before = lines()
    with pytest.raises(ValidationError) as refused:
        correct_entry(
            id=new_id(), by=wall.inspector, entry=came, reason=reason, **values
        )
    assert field in refused.value.message_dict
    assert (Load.objects.count(), lines()) == (1, before)


def test_an_entry_corrected_by_somebody_else_meanwhile_is_corrected_from_there(wall):
    came = load(wall)
    change = {"by": wall.inspector, "entry": came, "reason": "read again"}
    correct_entry(id=new_id(), ticket="52136", **change)
    last = correct_entry(id=new_id(), truck="2", **change)
    assert (last.ticket, last.truck) == ("52136", "2")


def test_a_withdrawn_entry_is_kept_and_counts_no_more(wall):
    note = remark(wall)
    gone = withdraw_entry(
        id=new_id(), by=wall.inspector, entry=note, reason="other shift"
    )
    assert not Remark.objects.known_at(gone.recorded_at).exists()
    assert Remark.objects.count() == 2
    with pytest.raises(ValidationError, match="was withdrawn"):
        withdraw_entry(id=new_id(), by=wall.inspector, entry=note, reason="again")


def test_nobody_of_another_firm_corrects_an_entry(wall):
    note = remark(wall)
    with pytest.raises(PermissionDenied):
        correct_entry(
            id=new_id(), by=wall.qc, entry=note, reason="not so", words="nobody"
        )


def test_rows_of_another_job_are_refused_by_field(wall):
    # As a page would get it from a posted identity of another job.
    wall.shift.job_id = new_id()
    with pytest.raises(ValidationError) as refused:
        load(wall)
    assert "shift" in refused.value.message_dict
