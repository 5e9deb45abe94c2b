"""Recording a shift by the pages: opening, placement, hand-over, leave, presence."""

from __future__ import annotations

from decimal import Decimal

import pytest

from crews.models import Eligibility, NozzleTime, Placement, Presence, Shift
from project.models import AuditEvent, new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, complaints, words
from tests.factories import (
    at,
    clock_at,
    make_operator,
    make_part,
    make_placement,
    make_shift,
    shoot,
    with_mock_up,
)
from tests.support.made_once import made_once

MORNING = "2026-08-04 10:30"


def _on_the_day(member):
    return Visitor(member, at=MORNING)


@made_once
def opened(qualified):
    site = qualified
    with clock_at("2026-08-04 06:50"):
        site.extra["shift"] = make_shift(site.inspector, site.contractor)
        site.extra["placed"] = make_placement(site, site.extra["shift"])
    return site


def test_a_shift_is_opened_once_whoever_is_first(qualified):
    sent = {
        "organization": qualified.contractor.pk,
        "name": "day",
        "starts_at": "2026-08-04T07:00",
    }
    first = _on_the_day(qualified.inspector).post("open_shift", data=sent)
    second = _on_the_day(qualified.qc).post("open_shift", data=sent)
    shift = Shift.objects.get()
    assert (str(shift.work_date), shift.name) == ("2026-08-04", "day")
    assert first.url == second.url
    assert str(shift.first) in first.url


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"starts_at": "2026-08-05T07:00"}, "starts_at", "lies in the future"),
        ({"starts_at": "soon"}, "starts_at", "soon is not a date and time"),
        ({"name": "lunch"}, "name", "lunch is not on this list"),
        ({"organization": ""}, "organization", "required"),
        # 2:30 that morning was skipped by the clocks of the zone (tz database).
        ({"starts_at": "2026-03-08T02:30"}, "starts_at", "was never on the clock"),
    ],
)
def test_a_shift_that_cannot_be_is_refused_by_field(qualified, changes, field, said):
    sent = {
        "organization": qualified.contractor.pk,
        "name": "day",
        "starts_at": "2026-08-04T07:00",
    }
    with nothing_written():
        response = _on_the_day(qualified.inspector).post(
            "open_shift", data=sent | changes
        )
    assert said in " ".join(complaints(response)[field])


def test_a_shift_is_closed_after_it_began(opened):
    shift = opened.extra["shift"]
    eye = _on_the_day(opened.inspector)
    with nothing_written():
        early = eye.post(
            "close_shift", shift.first, data={"stops_at": "2026-08-04T06:00"}
        )
    assert "does not lie after start" in " ".join(complaints(early)["stops_at"])
    sent = {"stops_at": "2026-08-04T10:00"}
    assert eye.post("close_shift", shift.first, data=sent).status_code == 302
    shift.refresh_from_db()
    assert shift.stops_at == at("2026-08-04 10:00")


def test_a_placement_takes_the_planned_mix_and_leads_to_the_hand_over(opened):
    eye = _on_the_day(opened.inspector)
    sent = {
        "part": opened.wall.part.pk,
        "crew": opened.crew.pk,
        "rig": opened.rig.pk,
        "method": "hand",
        "area_0": "12.5",
        "area_1": "ft2",
        "thickness_0": "10",
        "thickness_1": "in",
    }
    response = eye.post("record_placement", opened.extra["shift"].first, data=sent)
    assert response.url == eye.url("take_nozzle", "PL-002")
    placed = Placement.objects.get(code="PL-002")
    assert placed.mix_revision_id == opened.mix.first
    assert (placed.area, placed.area_unit) == (12.5, "ft2")


@pytest.mark.parametrize("field", ["part", "mix", "crew", "rig"])
def test_a_placement_names_no_row_of_another_job_or_firm(opened, elsewhere, field):
    foreign = {
        "part": elsewhere.wall.part.pk,
        "mix": elsewhere.mix.first,
        "crew": opened.other_crew.pk,
        "rig": opened.other_rig.pk,
    }
    sent = {
        "part": opened.wall.part.pk,
        "mix": opened.mix.first,
        "crew": opened.crew.pk,
        "rig": opened.rig.pk,
        "method": "hand",
    }
    with nothing_written():
        response = _on_the_day(opened.inspector).post(
            "record_placement",
            opened.extra["shift"].first,
            data=sent | {field: foreign[field]},
        )
    refused = complaints(response)
    assert list(refused) == [field]
    assert "is not on this list" in refused[field][0]


def test_a_part_without_a_planned_mix_asks_for_one(opened):
    with clock_at("2026-08-04 07:00"):
        part = make_part(opened.admin, "P9", order=9, mix_code="")
    sent = {
        "part": part.part.pk,
        "crew": opened.crew.pk,
        "rig": opened.rig.pk,
        "method": "hand",
    }
    with nothing_written():
        response = _on_the_day(opened.inspector).post(
            "record_placement", opened.extra["shift"].first, data=sent
        )
    assert "No mix is planned for P9" in complaints(response)["mix"][0]


def test_a_shift_of_another_firm_is_not_found(opened):
    eye = _on_the_day(opened.other_qc)
    shift = opened.extra["shift"].first
    for name in ("close_shift", "record_placement", "note_presence"):
        assert eye.get(name, shift).status_code == 404
        assert eye.post(name, shift, data={}).status_code == 404


def test_a_shift_of_another_job_is_not_found(opened, elsewhere):
    eye = _on_the_day(elsewhere.inspector)
    assert eye.get("close_shift", opened.extra["shift"].first).status_code == 404
    assert eye.get("take_nozzle", "PL-001").status_code == 404


# --- The hand-over --------------------------------------------------------------------


def test_the_hand_over_shows_everybody_with_a_stamp_and_a_legend(opened):
    response = _on_the_day(opened.inspector).get("take_nozzle", "PL-001")
    page = response.content.decode()
    assert page.count('class="tile"') == 3
    assert page.count('<ul class="legend">') == 1
    assert "OP-01 only" in words(response)
    assert "Nobody has taken a nozzle yet" in words(response)


def test_who_is_qualified_takes_the_nozzle_with_the_violet_button(opened):
    eye = _on_the_day(opened.inspector)
    page = eye.get("take_nozzle", "PL-001", operator="OP-01")
    assert "OP-01 takes the nozzle" in words(page)
    assert "happened anyway" not in words(page)
    sent = {"operator": opened.operator.pk, "at": "2026-08-04T07:10", "id": new_id()}
    for _ in range(2):  # pressed twice
        response = eye.post("take_nozzle", "PL-001", data=sent)
        assert response.url == eye.url("shift", opened.extra["shift"].first)
    taken = NozzleTime.objects.get()
    assert taken.started_at == at("2026-08-04 07:10")
    assert Eligibility.objects.get().state == "pass"


def test_who_is_not_qualified_is_recorded_and_the_page_says_what_that_opens(opened):
    eye = _on_the_day(opened.inspector)
    page = eye.get("take_nozzle", "PL-001", operator="OP-02", at="2026-08-04T07:10")
    said = words(page)
    assert "Not qualified" in said or "not qualified" in said
    assert "Choose another" in said
    assert "Record that it happened anyway" in said
    assert "proposes a nonconformance report" in said
    assert "an accepted mock-up of the operator's own" in said
    body = page.content.decode()
    assert body.index("Choose another") < body.index("happened anyway")
    sent = {"operator": opened.trainee.pk, "at": "2026-08-04T07:10"}
    assert eye.post("take_nozzle", "PL-001", data=sent).status_code == 302
    assert Eligibility.objects.get().state == "fail"
    line = AuditEvent.objects.filter(stream=opened.job.stream).latest("seq")
    assert "mock-up" in line.payload["words"]["proposes"]


def test_the_take_is_judged_for_the_time_that_is_looked_at(opened):
    """The mock-up was accepted on 29 July 15:10; nobody was qualified before."""
    eye = _on_the_day(opened.inspector)
    before = words(eye.get("take_nozzle", "PL-001", at="2026-07-28T07:00"))
    assert "nobody" in before
    after = words(eye.get("take_nozzle", "PL-001", at="2026-07-30T07:00"))
    assert "OP-01 only" in after


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"at": "2026-08-04T12:00"}, "at", "lies ahead; allowed is now"),
        ({"at": ""}, "at", "required"),
        ({"operator": "nobody"}, "operator", "is not on this list"),
    ],
)
def test_a_take_that_cannot_be_is_refused(opened, changes, field, said):
    sent = {"operator": opened.operator.pk, "at": "2026-08-04T07:10"}
    with nothing_written():
        response = _on_the_day(opened.inspector).post(
            "take_nozzle", "PL-001", data=sent | changes
        )
    assert said in " ".join(complaints(response)[field])


def test_an_operator_of_another_job_cannot_be_posted(opened, elsewhere):
    sent = {"operator": elsewhere.operator.pk, "at": "2026-08-04T07:10"}
    with nothing_written():
        response = _on_the_day(opened.inspector).post(
            "take_nozzle", "PL-001", data=sent
        )
    assert list(complaints(response)) == ["operator"]


def test_one_pair_of_hands_holds_one_nozzle(opened):
    shoot(opened, opened.extra["placed"], opened.operator, "2026-08-04 07:10")
    sent = {"operator": opened.operator.pk, "at": "2026-08-04T08:00"}
    with nothing_written():
        response = _on_the_day(opened.inspector).post(
            "take_nozzle", "PL-001", data=sent
        )
    said = " ".join(complaints(response)["at"])
    assert "on the nozzle of PL-001 2026-08-04 07:10" in said
    assert "Allowed are times that do not overlap." in words(response)
    assert "Bartosz Ilunga" in words(response)  # the chosen answer stays


def test_a_time_that_is_none_is_said_and_nobody_is_judged_for_another(opened):
    response = _on_the_day(opened.inspector).get(
        "take_nozzle", "PL-001", at="noon", operator="OP-01"
    )
    assert response.status_code == 422
    assert "noon is not a date and time" in words(response)
    assert "takes the nozzle" not in words(response).replace("Who takes the nozzle", "")


def test_the_noted_supervisor_turns_a_trainee_conditional(opened):
    """A trainee shoots where the part lets one, beside a named supervisor."""
    with_mock_up(opened, opened.trainee)
    eye = _on_the_day(opened.inspector)
    alone = words(eye.get("take_nozzle", "PL-001", operator="OP-02"))
    assert "one named supervisor" in alone
    sent = {
        "person": opened.operator.pk,
        "role": "supervisor",
        "from_at": "2026-08-04T07:00",
    }
    shift = opened.extra["shift"].first
    assert eye.post("note_presence", shift, data=sent).status_code == 302
    beside = words(eye.get("take_nozzle", "PL-001", operator="OP-02"))
    assert "supervised by OP-01" in beside
    assert "OP-02 takes the nozzle" in beside
    presence = Presence.objects.get()
    ended = {"to_at": "2026-08-04T09:00"}
    assert eye.post("end_presence", presence.first, data=ended).status_code == 302
    later = words(eye.get("take_nozzle", "PL-001", operator="OP-02"))
    assert "supervised by" not in later


def test_an_operator_of_another_firm_stands_apart(opened):
    page = _on_the_day(opened.inspector).get("take_nozzle", "PL-001")
    body = page.content.decode()
    assert body.index("Somebody of another firm") < body.index("Jorunn Achebe")
    own = _on_the_day(opened.qc).get("take_nozzle", "PL-001")
    assert "Jorunn Achebe" not in words(own)


# --- Leaving, and standing beside -----------------------------------------------------


def test_the_nozzle_is_left_with_a_volume_in_the_units_typed(opened):
    held = shoot(opened, opened.extra["placed"], opened.operator, "2026-08-04 07:10")
    eye = _on_the_day(opened.inspector)
    assert "Record the leave first" in words(eye.get("take_nozzle", "PL-001"))
    with nothing_written():
        early = eye.post(
            "leave_nozzle", held.first, data={"stopped_at": "2026-08-04T07:00"}
        )
    assert complaints(early) == {
        "stopped_at": [
            "Stop 2026-08-04 07:00; allowed is later than the start, 2026-08-04 07:10."
        ]
    }
    sent = {
        "stopped_at": "2026-08-04T09:10",
        "volume_0": "7.4",
        "volume_1": "yd3",
        "volume_basis": "loads shared at hand-over",
    }
    assert eye.post("leave_nozzle", held.first, data=sent).status_code == 302
    held.refresh_from_db()
    assert held.stopped_at == at("2026-08-04 09:10")
    assert (held.volume, held.volume_unit) == (Decimal("7.4"), "yd3")
    assert "7.4" in words(eye.get("take_nozzle", "PL-001"))


def test_one_of_the_crew_or_a_member_is_noted_beside_the_nozzle(opened):
    eye = _on_the_day(opened.inspector)
    shift = opened.extra["shift"].first
    people = (opened.blowpipe.pk, opened.inspector.pk)
    for person, role in zip(people, ("blowpipe", "inspector"), strict=True):
        sent = {"person": person, "role": role, "from_at": "2026-08-04T07:00"}
        assert eye.post("note_presence", shift, data=sent).status_code == 302
    found = Presence.objects.order_by("role")
    assert [row.role for row in found] == ["blowpipe", "inspector"]
    assert found[0].crew_member == opened.blowpipe
    assert found[1].membership == opened.inspector


def test_nobody_of_another_firm_or_job_is_noted(opened, elsewhere):
    shift = opened.extra["shift"].first
    for person in (opened.other_operator, elsewhere.operator, elsewhere.inspector):
        sent = {"person": person.pk, "role": "hose", "from_at": "2026-08-04T07:00"}
        with nothing_written():
            response = _on_the_day(opened.inspector).post(
                "note_presence", shift, data=sent
            )
        assert list(complaints(response)) == ["person"]


@pytest.mark.parametrize("key", ["owner", "engineer", "laboratory", "reviewer"])
def test_who_may_not_record_is_refused(opened, key):
    eye = Visitor(opened.members[key])
    shift = opened.extra["shift"].first
    for name, args in (
        ("open_shift", []),
        ("close_shift", [shift]),
        ("record_placement", [shift]),
        ("note_presence", [shift]),
        ("take_nozzle", ["PL-001"]),
    ):
        assert eye.get(name, *args).status_code == 403
        assert eye.post(name, *args, data={}).status_code == 403


def test_a_dozen_operators_more_stand_as_tiles(opened):
    with clock_at("2026-08-01 08:00"):
        for n in range(4):
            make_operator(opened.qc, opened.contractor, f"Person {n}", f"N-{n}")
    page = _on_the_day(opened.qc).get("take_nozzle", "PL-001").content.decode()
    assert page.count('class="tile"') == 6
