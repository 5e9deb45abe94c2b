"""The demo's drawn pictures: one for each scene, the same bytes each time, readable."""

import io
import json
import os
import subprocess
import sys
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from PIL import Image

from inspections.management.demo.pictures import SCENES, draw_picture
from project.actions.pictures import prepare_photograph
from tests.support.scenario import SCENARIO

TAKEN = datetime(2026, 8, 13, 12, 42, tzinfo=ZoneInfo("America/Denver"))
FIRST = {p["depicts"]["scene"]: p for p in reversed(SCENARIO["photos"])}


def drawn(photo, **changed):
    given = {
        "code": photo["id"],
        "scene": photo["depicts"]["scene"],
        "details": photo["depicts"]["details"],
        "caption": photo["caption"],
        "taken_at": TAKEN,
    }
    return draw_picture(**given | changed)


def test_there_is_a_drawing_for_each_scene_of_the_scenario_and_no_other():
    assert set(SCENES) == set(FIRST)


@pytest.mark.parametrize("scene", sorted(FIRST))
def test_each_drawing_is_a_photograph_to_the_program(scene):
    found = prepare_photograph(drawn(FIRST[scene]), name=f"{scene}.jpg")
    assert (found.width, found.height) == (1280, 960)
    assert found.taken_at == TAKEN
    assert found.taken_offset == "-06:00"
    # an invented job lies nowhere: no picture claims a place on earth
    assert found.latitude is None
    assert found.longitude is None
    with Image.open(io.BytesIO(found.derivatives[320].data)) as shown:
        darkest, lightest = shown.convert("L").getextrema()
    assert lightest - darkest > 120


def test_the_same_number_gives_the_same_bytes_and_another_number_others():
    shot = FIRST["shooting"]
    assert drawn(shot) == drawn(shot)
    assert drawn(shot) != drawn(shot, code="PH-999")


AGAIN = """
import hashlib, json, sys
from datetime import datetime
from zoneinfo import ZoneInfo
from inspections.management.demo.pictures import draw_picture
found = {}
for photo in json.load(sys.stdin):
    raw = draw_picture(
        code=photo["id"],
        scene=photo["depicts"]["scene"],
        details=photo["depicts"]["details"],
        caption=photo["caption"],
        taken_at=datetime(2026, 8, 13, 12, 42, tzinfo=ZoneInfo("America/Denver")),
    )
    found[photo["id"]] = hashlib.sha256(raw).hexdigest()
print(json.dumps(found))
"""


def in_another_process(photos, seed):
    done = subprocess.run(
        [sys.executable, "-c", AGAIN],
        input=json.dumps(photos),
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
        env=os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": os.getcwd()},
    )
    return json.loads(done.stdout)


def test_two_processes_draw_the_same_bytes_in_any_order():
    photos = [FIRST[scene] for scene in ("air_meter", "core_face", "rebound_pile")]
    one = in_another_process(photos, "1")
    two = in_another_process(photos[::-1], "2")
    assert one == two
    assert len(set(one.values())) == 3


def test_two_cores_of_one_set_do_not_look_alike():
    faces = [p for p in SCENARIO["photos"] if p["depicts"]["scene"] == "core_face"]
    assert len(faces) == 21
    assert len({drawn(face) for face in faces[:6]}) == 6


def test_the_needle_stands_where_the_caption_says():
    """The dial runs from 0 to 10 over 270 degrees, nought at the lower left."""
    for percent in ("1.0", "4.9", "9.0"):
        raw = drawn(FIRST["air_meter"], caption=f"Truck 3: air meter at {percent} %")
        with Image.open(io.BytesIO(raw)) as shown:
            pixels = shown.convert("RGB").load()
        red = [
            (x, y)
            for x in range(140, 660, 3)
            for y in range(110, 630, 3)
            if pixels[x, y][0] > 110 and pixels[x, y][1] < 70 and pixels[x, y][2] < 70
        ]
        middle = (
            sum(x for x, _ in red) / len(red) - 400,
            370 - sum(y for _, y in red) / len(red),
        )
        value = float(percent)
        assert len(red) > 40
        # left of upright below five, right of it above; upward in the upper half
        assert (middle[0] < 0) is (value < 5)
        assert (middle[1] > 0) is (2 < value < 8)


def test_an_unknown_scene_is_refused_with_what_is_allowed():
    with pytest.raises(ValueError, match="photo PH-001: scene 'moon': allowed are air"):
        drawn(FIRST["ticket"], code="PH-001", scene="moon")


def test_the_camera_writes_wall_time_of_any_zone():
    late = TAKEN.astimezone(ZoneInfo("Asia/Kathmandu"))
    found = prepare_photograph(drawn(FIRST["ticket"], taken_at=late), name="a.jpg")
    assert found.taken_offset == "+05:45"
    assert found.taken_at - TAKEN == timedelta()
