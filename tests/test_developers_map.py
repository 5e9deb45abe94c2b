"""DEVELOPERS.md is true: its map, the files and names it mentions, and its shell lines."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from project.domain.roles import Ability, Role, may
from project.models import Membership
from project.queries.jobs import job_by_code

ROOT = Path(__file__).resolve().parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
HOUSE = ("project", "crews", "inspections", "templates", "tests")
# Rooms that every app has and nobody looks for.
UNNAMED = {"migrations", "locale"}
# Files of an app's own folder that Django asks for by name.
PLAIN_FILES = {"__init__.py", "apps.py"}


def mapped(text: str) -> set[str]:
    """Return every path that the map names; a room's depth is its indentation."""
    drawn = re.search(r"## The map\n\n```\n(.*?)```", text, re.S)
    assert drawn is not None
    rooms: list[str] = []
    found: set[str] = set()
    for line in drawn[1].splitlines():
        depth, names = (len(line) - len(line.lstrip())) // 2, line.split()
        for name in names:
            if not re.fullmatch(r"[\w.]+(/|\.py)", name):
                break  # the words about it begin
            found.add("/".join([*rooms[:depth], name]).replace("//", "/").rstrip("/"))
            if name.endswith("/"):
                rooms[depth:] = [name.rstrip("/")]
    return found


def standing() -> set[str]:
    """Return every room that holds something, and the files of the apps' own folders."""
    rooms = {
        folder.relative_to(ROOT)
        for top in HOUSE
        for file in (ROOT / top).rglob("*")
        if file.is_file() and "__pycache__" not in file.parts
        for folder in file.parents
        if folder.is_relative_to(ROOT / top)
    }
    files = {
        file.relative_to(ROOT)
        for app in ("project", "crews", "inspections")
        for file in (ROOT / app).glob("*.py")
        if file.name not in PLAIN_FILES
    }
    return {str(p) for p in rooms | files if not UNNAMED & set(p.parts)}


def test_a_map_is_read_by_its_indentation():
    text = (
        "## The map\n\n```\n"
        "a/          words\n  b/        words/of it\n    c/      deep\n  d.py e.py two\n"
        "            a second line of words\nf/  last\n```\n"
    )
    assert mapped(text) == {"a", "a/b", "a/b/c", "a/d.py", "a/e.py", "f"}


def test_the_map_names_every_room_and_no_other():
    drawn, there = mapped(TEXT), standing()
    assert sorted(drawn - there) == [], "named in the map and not there"
    assert sorted(there - drawn) == [], "there and not in the map"


PATHS = sorted({*re.findall(r"`((?:\w[\w.-]*/)+[\w.-]*)`", TEXT)})
NAMES = sorted({*re.findall(r"`([\w/]+\.py)`\s+`(\w+)`", TEXT)})


@pytest.mark.parametrize("path", PATHS)
def test_a_file_it_mentions_is_there(path):
    places = [ROOT / path, *(ROOT / app / path for app in ("project", "inspections"))]
    assert any(place.exists() for place in places)


@pytest.mark.parametrize(("path", "name"), NAMES)
def test_a_name_it_mentions_stands_in_that_file(path, name):
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    said = {one.name for one in tree.body if hasattr(one, "name")}
    said |= {
        target.id
        for one in tree.body
        if isinstance(one, ast.Assign)
        for target in one.targets
        if isinstance(target, ast.Name)
    }
    assert name in said


def test_it_follows_a_request_and_is_looked_at_at_all():
    assert len(NAMES) >= 12
    assert len(PATHS) >= 20


def test_decisions_are_numbered_in_order_each_with_its_three_lines():
    found = re.findall(
        r"\*\*(\d+)\. [^*]+\.\*\* (\d{4}-\d\d-\d\d)\n"
        r"- Context: .+\n- Decision: .+\n- Consequence: .+\n",
        TEXT,
    )
    numbers = [int(number) for number, _ in found]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) == len(re.findall(r"^\*\*\d+\.", TEXT, re.M)) > 20


@pytest.mark.django_db
def test_its_shell_lines_begin_a_job():
    (lines,) = re.findall(r"```python\n# manage.py shell\n(.*?)```", TEXT, re.S)
    exec(compile(lines, "DEVELOPERS.md", "exec"), {})
    job = job_by_code("JOB-1")
    assert job is not None
    member = Membership.objects.get(job=job)
    assert member.user.check_password("a passphrase of their own")
    assert may(Role(member.role), Ability.MANAGE_MEMBERS)
