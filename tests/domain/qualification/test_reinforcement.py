"""Bars as they are stored: read, written back, refused by field and value."""

from __future__ import annotations

import copy
import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from project.domain.bars import BAR_DIAMETERS, thickness_of
from project.domain.reinforcement import (
    BarWay,
    Curtain,
    Mat,
    Reinforcement,
    Splice,
    SpliceKind,
)
from project.domain.units import Quantity

WRITTEN: dict[str, Any] = {
    "mats": [
        {
            "curtain": "nearer the nozzle",
            "way": "vertical",
            "bar": "No. 6",
            "spacing": ["6.00", "in"],
            "existing": True,
            "gap_behind": ["1.0", "in"],
        },
        {
            "curtain": "farther from the nozzle",
            "way": "ties",
            "bar": "No. 5",
            "spacing": ["150", "mm"],
        },
    ],
    "splice": {"kind": "non-contact", "clear": ["2.0", "in"], "staggered": True},
}

_lengths = st.builds(
    Quantity,
    st.decimals("2.3", "40", places=2),  # wider than the largest bar is thick
    st.just("in"),
)
_mats = st.builds(
    Mat,
    st.sampled_from(Curtain),
    st.sampled_from(BarWay),
    st.sampled_from(list(BAR_DIAMETERS)),
    _lengths,
    existing=st.booleans(),
    gap_behind=st.none() | _lengths,
)
_splices = st.builds(
    Splice,
    st.sampled_from(SpliceKind),
    st.none() | _lengths,
    staggered=st.booleans(),
    existing=st.booleans(),
)


def test_bars_are_written_back_as_they_were_typed() -> None:
    read = Reinforcement.from_json(WRITTEN)
    assert read is not None
    assert read.to_json() == WRITTEN
    assert read.curtains == 2
    assert read.mats[0].spacing == Quantity(Decimal("6.00"), "in")


@given(st.builds(Reinforcement, st.tuples(_mats, _mats), st.none() | _splices))
def test_reading_what_was_written_changes_nothing(reinforcement: Reinforcement) -> None:
    assert Reinforcement.from_json(reinforcement.to_json()) == reinforcement


def test_not_given_and_no_bars_are_two_things() -> None:
    assert Reinforcement.from_json({}) is None
    assert Reinforcement.from_json({"mats": []}) == Reinforcement(())
    assert Reinforcement(()).curtains == 0


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("mats",), "No. 5", "mats 'No. 5': a list is needed"),
        (("mats", 0), 5, "mat 5: named values are needed"),
        (("mats", 0, "bar"), "No. 12", "bar 'No. 12': allowed are No. 3"),
        (("mats", 0, "curtain"), "outer", "curtain 'outer': allowed are nearer"),
        (("mats", 0, "way"), None, "way None: allowed are vertical"),
        (("mats", 0, "spacing"), None, "spacing None: a number and a unit"),
        (("mats", 0, "spacing"), ["six", "in"], "spacing 'six': a number is needed"),
        (("mats", 0, "spacing"), ["NaN", "in"], "NaN: a finite number is needed"),
        (("mats", 0, "spacing"), ["0", "in"], "spacing 0 in: more than 0"),
        (("mats", 0, "spacing"), ["-6", "in"], "spacing -6 in: more than 0"),
        (("mats", 0, "spacing"), ["6", "psi"], "spacing 6 psi: a length is needed"),
        (("mats", 0, "spacing"), ["6", "inch"], "unit 'inch': allowed are"),
        (("mats", 0, "spacing"), ["0.75", "in"], "No. 6 needs more than 0.750 in"),
        (("mats", 0, "spacing"), ["19.05", "mm"], "No. 6 needs more than 0.750 in"),
        (("mats", 0, "gap_behind"), ["0", "in"], "gap behind 0 in: more than 0"),
        (("splice",), "lapped", "splice 'lapped': named values are needed"),
        (("splice", "kind"), "welded", "splice 'welded': allowed are none, coupler"),
        (("splice", "clear"), ["0", "in"], "splice clear 0 in: more than 0"),
    ],
)
def test_what_is_wrong_is_named(
    path: tuple[str | int, ...], value: object, words: str
) -> None:
    data: Any = copy.deepcopy(WRITTEN)
    place = data
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    with pytest.raises(ValueError, match=words.replace(".", r"\.")):
        Reinforcement.from_json(data)


@pytest.mark.parametrize("data", [None, [], "bars", 5])
def test_something_else_is_not_reinforcement(data: object) -> None:
    with pytest.raises(ValueError, match="named values are needed"):
        Reinforcement.from_json(data)


def test_a_mat_reads_as_a_person_writes_it() -> None:
    read = Reinforcement.from_json(WRITTEN)
    assert read is not None
    assert str(read.mats[1]) == "No. 5 at 150 mm, ties, farther from the nozzle"


def test_bars_grow_with_their_number() -> None:
    for named in (r"No\. \d+", r"\d+M", r"\d+ mm"):
        family = [bar for bar in BAR_DIAMETERS if re.fullmatch(named, bar)]
        sizes = [thickness_of(bar) for bar in family]
        assert len(sizes) >= 8
        assert sizes == sorted(set(sizes))
