"""A panel that can come from no load of its shift is flagged, and only that one."""

from datetime import UTC, datetime, timedelta

import pytest

from inspections.domain.delivery import LoadFacts
from inspections.domain.panel_flags import panel_flags
from project.domain.verdict import Ref

PANEL = Ref("panel", "p-1", "TP-009")
SEVEN = datetime(2026, 8, 13, 7, tzinfo=UTC)


def load(first: int | None, last: int | None) -> LoadFacts:
    """Return a load first and last shot so many minutes after seven."""
    begun, ended = (
        None if minutes is None else SEVEN + timedelta(minutes=minutes)
        for minutes in (first, last)
    )
    ref = Ref("load", f"l-{first}", "load 1")
    return LoadFacts(ref, "", "", None, None, None, begun, ended, None, True)


LOADS = [load(120, 170), load(0, 50)]


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, ""),  # with the first shot of the first load
        (-1, "shot 1 min before the first load of its mix"),
        (170, ""),  # with the last shot of the last load
        (171, "shot 1 min after the last load of its mix"),
        (80, ""),  # between two loads
    ],
)
def test_a_panel_lies_between_the_first_and_the_last_load(minutes, words):
    """Source: a panel may be shot before, between or after the work (project's choice)."""
    shot = SEVEN + timedelta(minutes=minutes)
    flags = panel_flags(PANEL, shot_from=shot, of_mix=LOADS, others=True)
    said = [f"TP-009: {words} in its shift"] if words else []
    assert [flag.words for flag in flags] == said
    assert all(flag.records == (PANEL,) for flag in flags)


@pytest.mark.parametrize("open_load", [load(None, None), load(180, None)])
def test_nothing_is_said_while_a_load_is_still_open(open_load):
    late = SEVEN + timedelta(hours=9)
    loads = [*LOADS, open_load]
    assert panel_flags(PANEL, shot_from=late, of_mix=loads, others=True) == ()


def test_a_shift_without_loads_says_nothing_and_one_of_other_mixes_does():
    assert panel_flags(PANEL, shot_from=SEVEN, of_mix=(), others=False) == ()
    (flag,) = panel_flags(PANEL, shot_from=SEVEN, of_mix=(), others=True)
    assert flag.mark == "panel from no load:p-1"
