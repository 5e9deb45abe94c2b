"""README.md is true: its commands, its variables, its sign-ins and its pictures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class
from PIL import Image

from inspections.management.demo.contract import email_of
from inspections.management.demo.scenario import Scenario
from inspections.management.demo.world import PASSWORD
from project import settings
from project.domain.roles import Role
from tests.pictures.__main__ import DESK, MOST_BYTES, PICTURES, TABLET, Site

ROOT = Path(__file__).resolve().parent.parent
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_two_commands_call_what_is_there():
    commands = re.findall(r"```sh\n(.+)\n```", TEXT)
    assert len(commands) >= 2, "each is one line"
    assert commands[0].endswith("manage.py demo")
    assert commands[1] == "tests/run"
    for called in ("requirements.txt", "manage.py", "tests/run"):
        assert (ROOT / called).is_file()


def test_its_table_names_every_command_and_each_option_it_takes():
    rows = dict(re.findall(r"^\| `([a-z_]+)([^`]*)` \|.*$", TEXT, re.M))
    apps = get_commands()
    ours = {
        name for name, app in apps.items() if app in ("project", "crews", "inspections")
    }
    assert set(rows) - {"migrate"} == ours
    for name in rows:
        parser = load_command_class(apps[name], name).create_parser("manage.py", name)
        known = {option for one in parser._actions for option in one.option_strings}
        assert set(re.findall(r"--[\w-]+", rows[name])) <= known


def test_its_table_names_every_variable():
    named = re.findall(r"^\| `([A-Z_]+)` \|", TEXT, re.M)
    assert sorted(named) == sorted([*settings.VARIABLES, "DATABASE_URL"])


def test_it_shows_sign_ins_that_the_demo_prints():
    site = Site()
    for line in TEXT.splitlines():
        site.read(line)
    people = {
        email_of(p): p["roles"][0] for p in Scenario()["people"] if "username" in p
    }
    assert site.password == PASSWORD
    assert site.address == "http://127.0.0.1:8000"
    assert site.sign_ins
    for role, email in site.sign_ins.items():
        assert people[email] == role


def test_there_is_one_picture_for_each_role():
    roles = {_ROLES.get(one.role, one.role) for one in PICTURES}
    assert roles == {str(role) for role in Role}
    shown = re.findall(r'<img src="(tests/pictures/[\w-]+\.png)"', TEXT)
    assert sorted(shown) == sorted(f"tests/pictures/{p.name}.png" for p in PICTURES)
    kept = (ROOT / "tests" / "pictures").glob("*.png")
    assert sorted(shown) == sorted(str(file.relative_to(ROOT)) for file in kept)


_ROLES = {"inspection-agency reviewer": "agency reviewer"}


@pytest.mark.parametrize("picture", PICTURES, ids=lambda one: one.name)
def test_a_picture_is_small_and_of_its_device(picture):
    file = ROOT / "tests" / "pictures" / f"{picture.name}.png"
    size = TABLET if picture.tablet else DESK
    assert file.stat().st_size <= MOST_BYTES
    with Image.open(file) as drawn:
        assert (drawn.width, drawn.height) == (size["width"], size["height"])
