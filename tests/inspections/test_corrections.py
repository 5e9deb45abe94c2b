"""Entries put right or taken back: a second version with a reason, never a change."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from inspections.actions.corrections import correct_entry, withdraw_entry
from inspections.actions.reports import record_weather
from inspections.models import Load, Remark
from project.models import new_id
from tests.inspections.hands import find, load, raise_one, remark
from tests.inspections.wall import at, q


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


def test_a_temperature_is_put_right_below_zero_and_beside_its_neighbour(wall):
    row = record_weather(
        id=new_id(),
        by=wall.inspector,
        report=wall.report,
        at=at("06:45"),
        air=q("2", "C"),
        concrete=q("12", "C"),
    )
    fix = {"by": wall.inspector, "entry": row, "reason": "read again"}
    assert correct_entry(id=new_id(), air=q("-2", "C"), **fix).air == Decimal("-2")
    with pytest.raises(ValidationError, match="give it in C like the others"):
        correct_entry(id=new_id(), air=q("28", "F"), **fix)
    both = correct_entry(id=new_id(), air=q("28", "F"), concrete=q("54", "F"), **fix)
    assert (both.air, both.concrete, both.temperature_unit) == (28, 54, "F")


def test_findings_and_reports_are_put_right_by_their_own_firm(wall):
    found = find(wall)
    report = raise_one(wall, found)
    for entry in (found, report):
        with pytest.raises(PermissionDenied):
            correct_entry(
                id=new_id(), by=wall.qc, entry=entry, reason="not so", words="Nothing."
            )
    with pytest.raises(PermissionDenied):
        withdraw_entry(id=new_id(), by=wall.owner, entry=report, reason="not so")
    new = correct_entry(
        id=new_id(),
        by=wall.inspector,
        entry=report,
        reason="the clause was another one",
        requirement="section 03 37 13, 3.4",
    )
    assert (new.number, new.code) == (report.number, report.code)


def test_two_figures_that_share_a_unit_are_put_right_in_one_unit(wall):
    """Given in two units, one would be read in the other's: 20 C as 20 F."""
    read = record_weather(
        id=new_id(),
        by=wall.inspector,
        report=wall.report,
        at=at("09:00"),
        air=q("18", "C"),
        concrete=q("21", "C"),
    )
    given = {"by": wall.inspector, "entry": read, "reason": "misread"}
    with pytest.raises(ValidationError) as refused:
        correct_entry(id=new_id(), air=q("20", "C"), concrete=q("70", "F"), **given)
    assert list(refused.value.message_dict) == ["air"]
    new = correct_entry(id=new_id(), air=q("68", "F"), concrete=q("70", "F"), **given)
    assert (new.air, new.concrete, new.temperature_unit) == (68, 70, "F")
