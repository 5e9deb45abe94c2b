"""A load's age on its sheet: its verdict, the limit that was used, and its working."""

from __future__ import annotations

import re
from html import unescape

import pytest

from inspections.models import Load
from tests.crews.pages import Visitor, words
from tests.factories import make_mix
from tests.inspections.hands import load, sign
from tests.inspections.wall import DAY, at, q

AFTERNOON = f"{DAY} 15:00"
# 25 August of the invented scenario, an hour and more earlier: 112 minutes.
LATE = {"batched_at": at("08:02"), "arrived_at": None, "first_shot_at": None}


@pytest.fixture
def eye(wall):
    return Visitor(wall.inspector, at=AFTERNOON)


@pytest.fixture
def limited(wall):
    """A mix revision with a limit of its own, 90 minutes."""
    return make_mix(
        wall.admin,
        wall.engineer,
        code="W-50L",
        load_age_limit=q("90", "min").value,
        load_age_limit_unit="min",
    )


def _age(answer):
    """Return what the first load's age cell says, and the address it leads to."""
    page = answer.content.decode()
    cell = re.search(r'data-label="Age, min">(.*?)</td>', page, re.DOTALL)[1]
    said = " ".join(re.sub(r"<[^>]+>", " ", unescape(cell)).split())
    link = re.search(r'href="([^"]+)"', cell)
    return said.replace("\u00a0", " "), link and unescape(link[1])


def test_a_late_load_says_by_how_much_and_whose_limit_it_was(wall, eye, limited):
    load(wall, mix_revision=limited, **LATE, last_shot_at=at("09:54"))
    said, link = _age(eye.get("report", 1))
    assert said == "112 over by 22 min mix limit 90 min"
    opened = words(eye.client.get(link))
    assert "112 min: over by 22 min" in opened
    assert "90 − 112" in opened


def test_a_load_exactly_on_its_limit_is_within_it(wall, eye, limited):
    load(wall, mix_revision=limited, **LATE, last_shot_at=at("09:32"))
    said, _link = _age(eye.get("report", 1))
    assert said == "90 0 min left mix limit 90 min"


def test_without_a_limit_the_age_is_on_record_and_nothing_is_judged(wall, eye):
    load(wall, mix_revision=wall.mix, **LATE, last_shot_at=at("09:54"))
    said, link = _age(eye.get("report", 1))
    assert said == "112 no limit given"
    assert "112 min; no limit given" in words(eye.client.get(link))


def test_a_load_still_being_shot_or_shot_too_soon_has_no_age(wall, eye, limited):
    load(wall, mix_revision=limited, **LATE, last_shot_at=None)
    assert _age(eye.get("report", 1)) == ("", None)
    load(wall, ticket="52164", mix_revision=limited, **LATE, last_shot_at=at("07:49"))
    assert "13 min before batched" in words(eye.get("report", 1))
    assert Load.objects.count() == 2


def test_a_mix_known_by_its_print_alone_has_the_contracts_limit_or_none(wall, eye):
    load(wall, mix_as_printed="5000 PSI", **LATE, last_shot_at=at("09:54"))
    assert _age(eye.get("report", 1))[0] == "112 no limit given"


@pytest.mark.usefixtures("sound")
def test_a_signed_sheet_shows_the_age_beside_what_was_signed(wall, eye, limited):
    load(wall, mix_revision=limited, **LATE, last_shot_at=at("09:54"))
    sign(wall)
    for page in (("report", 1), ("report_version", 1, 1)):
        assert "over by 22 min" in _age(eye.get(*page))[0]
