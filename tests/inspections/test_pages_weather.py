"""The weather on its sheet: what would evaporate, whose limit it meets, its working."""

from __future__ import annotations

import re
from html import unescape

import pytest

from inspections.actions.reports import record_weather
from project.models import new_id
from tests.crews.pages import Visitor, words
from tests.factories import make_mix, make_placement
from tests.inspections.hands import sign
from tests.inspections.wall import DAY, at, q

AFTERNOON = f"{DAY} 15:00"
# The worked day of ACI 305R (from memory): about 0.25 lb/ft2/h by its graph.
READ = {
    "concrete": q("87", "F"),
    "air": q("80", "F"),
    "humidity": q("50", "percent"),
    "wind": q("12", "mph"),
}


@pytest.fixture
def eye(wall):
    return Visitor(wall.inspector, at=AFTERNOON)


def _read(wall, **readings):
    record_weather(
        id=new_id(),
        by=wall.inspector,
        report=wall.report,
        at=at("07:00"),
        **readings,
    )


def _limited(wall, value, unit="lb/ft2/h"):
    """Place a mix revision with a limit of its own on the sheet's shift."""
    mix = make_mix(
        wall.admin,
        wall.engineer,
        code="W-50E",
        evaporation_limit=q(value, unit).value,
        evaporation_limit_unit=unit,
    )
    return make_placement(wall.site, wall.shift, mix=mix)


def _cell(answer):
    """Return what the first reading's cell says, and the address it leads to."""
    page = answer.content.decode()
    cell = re.search(r'data-label="Evaporation">(.*?)</td>', page, re.DOTALL)[1]
    said = " ".join(re.sub(r"<[^>]+>", " ", unescape(cell)).split())
    link = re.search(r'href="([^"]+)"', cell)
    return said.replace("\u00a0", " "), link and unescape(link[1])


def test_an_estimate_opens_its_working_and_names_its_form(wall, eye):
    _read(wall, **READ)
    answer = eye.get("report", 1)
    said, link = _cell(answer)
    assert said == "1.2 kg/m²/h no limit given"
    assert "an estimate by the exact metric form" in words(answer)
    opened = words(eye.client.get(link))
    assert "Evaporation by the exact metric form, an estimate" in opened
    assert "the rounded metric form gives 4.3 % less" in opened


@pytest.mark.parametrize(
    ("limit", "said"),
    [
        ("0.2", "0.24 lb/ft²/h over the limit mix limit 0.2 lb/ft²/h"),
        ("0.3", "0.24 lb/ft²/h mix limit 0.3 lb/ft²/h"),
    ],
)
def test_the_mix_that_was_placed_sets_the_limit(wall, eye, limit, said):
    _limited(wall, limit)
    _read(wall, **READ)
    found, link = _cell(eye.get("report", 1))
    assert found == said
    assert f"not over {limit} lb/ft2/h" in words(eye.client.get(link))


def test_of_two_mixes_the_least_limit_counts(wall, eye):
    _limited(wall, "1.0", "kg/m2/h")
    make_placement(
        wall.site,
        wall.shift,
        mix=make_mix(
            wall.admin,
            wall.engineer,
            code="W-50S",
            evaporation_limit=q("0.1", "lb/ft2/h").value,
            evaporation_limit_unit="lb/ft2/h",
        ),
    )
    _read(wall, **READ)
    assert _cell(eye.get("report", 1))[0].endswith(
        "over the limit mix limit 0.1 lb/ft²/h"
    )


def test_no_wind_reading_is_said_and_nothing_is_guessed(wall, eye):
    _read(wall, **{name: q_ for name, q_ in READ.items() if name != "wind"})
    assert _cell(eye.get("report", 1)) == ("no wind reading", None)


def test_air_too_cold_for_the_equation_is_said(wall, eye):
    _read(wall, **READ | {"air": q("-4", "F")})
    said, link = _cell(eye.get("report", 1))
    assert said == "no estimate: air -4 F: allowed is above 0 F"
    assert link is None


@pytest.mark.usefixtures("sound")
def test_a_signed_sheet_shows_it_beside_what_was_signed(wall, eye):
    _read(wall, **READ)
    sign(wall)
    for page in (("report", 1), ("report_version", 1, 1)):
        assert _cell(eye.get(*page))[0] == "1.2 kg/m²/h no limit given"
