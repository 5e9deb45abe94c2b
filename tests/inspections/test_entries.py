"""Entries on a sheet: kept once, with one line, or refused by field and not kept."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from inspections.actions.corrections import correct_entry, withdraw_entry
from inspections.actions.loads import (
    finish_load,
    record_fresh_test,
    record_load,
)
from inspections.actions.readings import Measured, record_readings
from inspections.actions.reports import (
    open_report,
    record_weather,
    void_report,
)
from inspections.actions.rounds import Walk, correct_round, record_round
from inspections.domain.catalogue import HEARTS, AnswerState, RoundKind
from inspections.domain.rounds import RoundAnswer
from inspections.models import DailyReport, FreshTest, Load, Reading, Remark, Weather
from project import clock
from project.models import new_id
from tests.factories import make_placement, make_shift
from tests.inspections.hands import find, load, raise_one, remark, truck
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


@pytest.mark.usefixtures("sound")
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


@pytest.mark.usefixtures("sound")
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


def test_rows_of_another_job_are_refused_by_field(wall):
    # As a page would get it from a posted identity of another job.
    wall.shift.job_id = new_id()
    with pytest.raises(ValidationError) as refused:
        load(wall)
    assert "shift" in refused.value.message_dict


@pytest.mark.parametrize("changes", [{"report": "other"}, {"placement": "other"}])
def test_a_load_of_another_shift_is_refused_by_field(wall, changes):
    with clock.set_to(at("2026-08-12 07:00")):
        shift = make_shift(
            wall.inspector, wall.site.contractor, date(2026, 8, 12), starts="06:30"
        )
        others = {
            "report": open_report(id=new_id(), by=wall.inspector, shift=shift),
            "placement": make_placement(wall.site, shift),
        }
        (field,) = changes
        with pytest.raises(ValidationError) as refused:
            record_load(
                id=new_id(),
                by=wall.inspector,
                shift=wall.shift,
                load=truck(),
                **{field: others[field]},
            )
    assert "is not of the shift" in refused.value.message_dict[field][0]


def everything_sent(wall) -> dict:
    """Return every entry with an identity of its own, ready to be sent twice."""
    note, came, found = remark(wall), load(wall), find(wall)
    walk = Walk(
        kinds=[RoundKind.ROUND],
        at=at("08:00"),
        edition="1.0.0",
        answers=[RoundAnswer(key, AnswerState.RIGHT) for key in HEARTS],
        part=wall.part,
    )
    late = record_round(id=new_id(), by=wall.inspector, report=None, walk=walk)
    by = {"by": wall.inspector}
    on = by | {"report": wall.report, "at": at("09:00")}
    fix = by | {"reason": "read again"}
    return {
        "sheet": lambda id: open_report(id=id, by=wall.qc, shift=wall.shift),
        "remark": lambda id: remark(wall, id=id),
        "weather": lambda id: record_weather(id=id, **on, sky="clear"),
        "surface": lambda id: record_readings(
            id=id,
            **on,
            kind="surface temperature",
            readings=[Measured(q("-2", "C"))],
        ),
        "load": lambda id: record_load(
            id=id, **by, shift=wall.shift, load=truck(ticket="1")
        ),
        "test": lambda id: record_fresh_test(
            id=id,
            **by,
            load=came,
            at=at("09:00"),
            kind="temperature",
            value=q("81", "F"),
        ),
        "finding": lambda id: find(wall, id=id),
        "report": lambda id: raise_one(wall, came, id=id),
        "correction": lambda id: correct_entry(
            id=id, **fix, entry=came, mix_revision=wall.mix
        ),
        "late walk put right": lambda id: correct_round(
            id=id, **fix, round=late, walk=walk
        ),
        "finding put right": lambda id: correct_entry(
            id=id, **fix, entry=found, volume_removed=q("2", "ft3")
        ),
        "withdrawal": lambda id: withdraw_entry(id=id, **fix, entry=note),
    }


@pytest.mark.usefixtures("sound")
def test_whatever_is_sent_twice_is_kept_once(wall, lines):
    for name, send in everything_sent(wall).items():
        before, id = lines(), new_id()
        first = send(id)
        assert send(id) == first, name
        assert lines() == before + 1, name


def test_a_sheet_voided_twice_is_void_once_and_no_number_is_lost(wall, lines):
    void = {"by": wall.inspector, "report": wall.report}
    first = void_report(**void, reason="wrong shift")
    before = lines()
    assert void_report(**void, reason="again").voided_reason == first.voided_reason
    assert lines() == before


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"readings": []}, "readings"), ({"report": None}, "part")],
)
def test_readings_of_nothing_are_refused_by_field(wall, changes, field):
    facts = {
        "report": wall.report,
        "kind": "thickness",
        "at": at("12:30"),
        "readings": [Measured(q("10.1", "in"))],
    }
    with pytest.raises(ValidationError) as refused:
        record_readings(id=new_id(), by=wall.inspector, **(facts | changes))
    assert field in refused.value.message_dict
    assert Reading.objects.count() == 0
