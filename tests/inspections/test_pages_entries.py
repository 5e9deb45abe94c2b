"""Entries of a sheet written, put right and refused on the pages."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inspections.models import FreshTest, Load, Reading, Remark, Weather
from project.models import new_id
from tests.crews.acts import nothing_written
from tests.crews.pages import Visitor, complaints, words
from tests.inspections.hands import load, remark, sign
from tests.inspections.wall import DAY, at

AFTERNOON = f"{DAY} 15:00"
WEATHER = {
    "at": f"{DAY}T07:00",
    "air_0": "61.0",
    "air_1": "F",
    "humidity_0": "55",
    "humidity_1": "percent",
    "wind_0": "",
    "wind_1": "mph",
    "sky": "clear",
}


@pytest.fixture
def eye(wall):
    return Visitor(wall.inspector, at=AFTERNOON)


def _load(wall, **changes):
    usual = {
        "id": new_id(),
        "kind": "truck",
        "ticket": "52163",
        "placement": wall.placement.first,
        "mix_revision": wall.mix.first,
        "volume_0": "7.5",
        "volume_1": "yd3",
        "returned_0": "",
        "water_added_0": "",
        "batched_at": f"{DAY}T08:02",
        "arrived_at": f"{DAY}T08:30",
        "accepted": "yes",
    }
    return usual | changes


@pytest.mark.usefixtures("sound")
def test_a_load_comes_is_tested_and_finished_on_the_pages(wall, eye):
    sent = _load(wall)
    for _ in range(2):  # pressed twice
        answer = eye.post("record_load", 1, data=sent)
        assert answer.url == eye.url("report", 1) + "#loads"
    row = Load.objects.get()
    assert (row.volume, row.volume_unit, row.ticket) == (Decimal("7.5"), "yd3", "52163")
    assert row.placement_id == wall.placement.first
    tests = {
        "id": new_id(),
        "at": f"{DAY}T08:31",
        "slump_0": "2.50",
        "slump_1": "in",
        "air_0": "6.1",
        "air_1": "percent",
        "temperature_0": "",
        "unit_weight_0": "",
        "accelerator_0": "",
    }
    for _ in range(2):
        eye.post("record_test", 1, row.first, data=tests)
    assert sorted(t.test_kind for t in FreshTest.objects.all()) == ["air", "slump"]
    done = {"last_shot_at": f"{DAY}T09:20", "returned_0": "0.5", "returned_1": "yd3"}
    eye.post("finish_load", 1, row.first, data=done)
    row.refresh_from_db()
    assert (row.last_shot_at, row.returned) == (at("09:20"), Decimal("0.5"))
    page = words(eye.get("report", 1))
    assert "slump 2.5 in" in page
    assert "0.5 yd³ went back" in page
    assert " 78 " in page  # minutes from batching to the last shot


def test_a_load_shot_before_it_was_batched_is_kept_and_flagged(wall, eye):
    sent = _load(wall, last_shot_at=f"{DAY}T07:49", arrived_at="")
    answer = eye.post("record_load", 1, data=sent)
    assert answer.status_code == 302
    page = words(eye.get("report", 1))
    assert "Saved, with a flag to be cleared before review" in page
    assert "last shot 13 min before batched" in page
    assert "to be cleared" in page
    second = _load(wall)
    eye.post("record_load", 1, data=second)
    assert "stands on 2 loads" in words(eye.get("report", 1))
    assert Load.objects.count() == 2


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"volume_0": "0"}, "volume", "0 yd3; allowed is more than 0"),
        ({"volume_0": ""}, "volume", "required"),
        ({"volume_0": "much"}, "volume", "much is not a number"),
        ({"volume_1": "psi"}, "volume", "Unit psi; allowed are yd3, ft3, m3"),
        ({"returned_0": "9", "returned_1": "yd3"}, "returned", "9"),
        ({"batched_at": "2026-08-12T08:00"}, "batched_at", "lies ahead"),
        ({"batched_at": "soon"}, "batched_at", "soon is not a date and time"),
        ({"kind": "ship"}, "kind", "ship is not on this list"),
        ({"accepted": "no"}, "refused_because", "needs its reason"),
        ({"placement": str(new_id())}, "placement", "not on this list"),
        ({"mix_revision": "W-45A"}, "mix_revision", "not on this list"),
    ],
)
def test_a_load_that_cannot_be_is_refused_by_its_field(wall, eye, changes, field, said):
    with nothing_written(wall.job):
        answer = eye.post("record_load", 1, data=_load(wall, **changes))
    assert said in " ".join(complaints(answer)[field])
    assert 'value="52163"' in answer.content.decode()  # what was typed is still there


def test_weather_keeps_what_was_read_and_leaves_the_rest_empty(wall, eye):
    eye.post("record_weather", 1, data={"id": new_id(), **WEATHER})
    row = Weather.objects.get()
    assert (row.air, row.humidity, row.wind) == (61, 55, None)
    assert row.temperature_unit == "F"
    page = words(eye.get("report", 1))
    assert "07:00 61 55" in page


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"humidity_0": "120"}, "humidity", "120 percent; allowed is"),
        ({"air_1": "mph"}, "air", "Unit mph; allowed are F, C"),
        ({"at": f"{DAY}T23:00"}, "at", "lies ahead"),
        (
            {"concrete_0": "20", "concrete_1": "C"},
            "concrete",
            "20 C: give it in F like the others",
        ),
        (
            {"air_0": "", "humidity_0": "", "sky": ""},
            "air",
            "Nothing was read; at least one reading is needed",
        ),
    ],
)
def test_weather_that_cannot_be_is_refused(wall, eye, changes, field, said):
    with nothing_written(wall.job):
        answer = eye.post(
            "record_weather", 1, data={"id": new_id(), **WEATHER, **changes}
        )
    assert said in " ".join(complaints(answer)[field])


def _readings(wall, **changes):
    usual = {
        "id": new_id(),
        "kind": "thickness",
        "unit": "in",
        "at": f"{DAY}T10:00",
        "placement": wall.placement.first,
        "place_1": "A1",
        "value_1": "10.25",
        "place_2": "A2",
        "value_2": "9.50",
    }
    return usual | changes


def test_readings_are_kept_together_once(wall, eye):
    sent = _readings(wall)
    for _ in range(2):
        eye.post("record_readings", 1, data=sent)
    rows = Reading.objects.order_by("place")
    assert [(r.place, r.value, r.value_unit) for r in rows] == [
        ("A1", Decimal("10.25"), "in"),
        ("A2", Decimal("9.5"), "in"),
    ]
    assert {row.part for row in rows} == {wall.part}
    assert "A1 10.25 A2 9.5" in words(eye.get("report", 1))


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"unit": "psi"}, "unit", "psi for thickness; allowed are in, mm"),
        ({"value_2": "thick"}, "value_2", "thick is not a number"),
        ({"value_2": "-1"}, "value_2", "-1 in; allowed is at least 0"),
        ({"value_2": ""}, "value_2", "Place A2 has no figure"),
        ({"value_1": "", "place_1": "", "value_2": "", "place_2": ""}, "value_1", "one at"),
        ({"kind": "mood"}, "kind", "mood is not on this list"),
    ],
)  # fmt: skip
def test_one_wrong_reading_keeps_the_whole_set_out(wall, eye, changes, field, said):
    with nothing_written(wall.job):
        answer = eye.post("record_readings", 1, data=_readings(wall, **changes))
    assert said in " ".join(complaints(answer)[field])
    assert not Reading.objects.exists()


def test_an_entry_is_put_right_with_its_reason_and_keeps_the_rest(wall, eye):
    row = load(wall)
    form = eye.get("correct_entry", 1, "load", row.first).context["form"]
    sent = {
        name: bound.value()
        for name in form.fields
        if (bound := form[name]).value() is not None and name not in _QUANTITIES
    }
    sent |= {"batched_at": f"{DAY}T06:25", "arrived_at": f"{DAY}T06:52"}
    sent |= {"first_shot_at": f"{DAY}T06:55", "last_shot_at": f"{DAY}T07:49"}
    sent |= {
        "volume_0": "3.5",
        "volume_1": "yd3",
        "returned_0": "",
        "water_added_0": "",
    }
    with nothing_written(wall.job):
        answer = eye.post("correct_entry", 1, "load", row.first, data=sent)
    assert "required" in " ".join(complaints(answer)["reason"])
    sent["reason"] = "ticket read again"
    answer = eye.post("correct_entry", 1, "load", row.first, data=sent)
    assert answer.url.endswith("#loads")
    now = Load.objects.get(supersedes=row.pk)
    assert (now.volume, now.reason) == (Decimal("3.5"), "ticket read again")
    assert (now.ticket, now.batched_at) == (row.ticket, row.batched_at)
    assert (now.last_shot_at, now.first) == (row.last_shot_at, row.first)


_QUANTITIES = ("volume", "returned", "water_added", "id")


def test_a_figure_is_not_wiped_out_by_leaving_it_empty(wall, eye):
    eye.post("record_weather", 1, data={"id": new_id(), **WEATHER})
    row = Weather.objects.get()
    sent = {**WEATHER, "air_0": "", "reason": "misread", "means": ""}
    with nothing_written(wall.job):
        answer = eye.post("correct_entry", 1, "weather", row.first, data=sent)
    assert "Left empty; allowed is a figure" in " ".join(complaints(answer)["air"])


def test_an_entry_taken_back_is_off_the_sheet_and_still_on_record(wall, eye):
    row = remark(wall)
    sent = {"id": new_id(), "reason": "said of another day"}
    eye.post("withdraw_entry", 1, "remark", row.first, data=sent)
    assert "QA manager" not in words(eye.get("report", 1))
    assert Remark.objects.count() == 2


def test_a_signed_sheet_takes_no_entry_and_says_so(wall, eye):
    sign(wall)
    answer = eye.get("record_load", 1)
    assert answer.url == eye.url("report", 1)
    assert "takes no entries; amend it" in words(eye.get("report", 1))
    with nothing_written(wall.job):
        answer = eye.post("record_load", 1, data=_load(wall))
    who = wall.inspector.user.printed_name
    assert f"was signed by {who}" in " ".join(complaints(answer)["__all__"])


def test_another_firms_hand_finds_no_draft_to_write_on(wall):
    other = Visitor(wall.qc, at=AFTERNOON)
    for name in ("record_load", "record_weather", "add_remark", "sign_sheet"):
        assert other.get(name, 1).status_code == 404  # a draft is nobody else's
    sign(wall)
    assert other.get("report", 1).status_code == 200
    for name in ("record_load", "record_weather", "add_remark", "sign_sheet"):
        assert other.get(name, 1).status_code == 403


def test_a_foreign_identity_is_not_found(wall, eye):
    row = load(wall)
    with nothing_written(wall.job):
        for place in (
            (1, "load", new_id()),
            (1, "ship", row.first),
            (2, "load", row.first),
        ):
            assert eye.get("correct_entry", *place).status_code == 404
            sent = {"id": new_id(), "reason": "not mine to take"}
            answer = eye.post("withdraw_entry", *place, data=sent)
            assert answer.status_code == 404
