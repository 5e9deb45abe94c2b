"""One text for each value, whatever order, machine or zone it came from."""

import hashlib
import json
import math
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import Enum, IntEnum, StrEnum
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from project.domain.canonical import canonical, sha256_of


class Word(StrEnum):
    PASS = "pass"


class OldWord(str, Enum):  # noqa: UP042 - the older spelling must be read too
    FAIL = "fail"


class Day(IntEnum):
    MONDAY = 0


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, "null"),
        (True, "true"),
        (3, "3"),
        (10**30, "1" + "0" * 30),
        (Decimal("2.50"), '"2.50"'),
        (Decimal("1E+3"), '"1000"'),
        (Decimal("1E-7"), '"0.0000001"'),
        (Word.PASS, '"pass"'),
        (OldWord.FAIL, '"fail"'),
        (Day.MONDAY, "0"),
        (date(2026, 8, 4), '"2026-08-04"'),
        (datetime(2026, 8, 4, 13, 10, tzinfo=UTC), '"2026-08-04T13:10:00.000000Z"'),
        (
            datetime(2026, 8, 4, 7, 10, 0, 1, tzinfo=ZoneInfo("America/Denver")),
            '"2026-08-04T13:10:00.000001Z"',
        ),
        (
            UUID("2ED6657D-E927-568B-95E1-2665A8AEA6A2"),
            '"2ed6657d-e927-568b-95e1-2665a8aea6a2"',
        ),
        ({"b": [], "a": ()}, '{"a":[],"b":[]}'),
        ({"é": 1, "z": "\u2028", "Z": "\n"}, '{"Z":"\\n","z":"\u2028","é":1}'),
    ],
)
def test_canonical_text(value, text):
    assert canonical(value) == text


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@given(VALUES)
def test_a_json_reader_gets_the_same_value_back(value):
    """Source: RFC 8259, by Python's json module."""
    assert json.loads(canonical(value)) == value


@given(st.dictionaries(st.text(), st.integers(), min_size=2), st.randoms())
def test_the_order_of_writing_does_not_show(value, random):
    names = list(value)
    random.shuffle(names)
    assert canonical({name: value[name] for name in names}) == canonical(value)


def test_one_instant_in_two_zones_is_one_text():
    instant = datetime(2026, 11, 1, 8, 30, tzinfo=UTC)
    there = instant.astimezone(timezone(timedelta(hours=-7)))
    assert canonical(there) == canonical(instant)


@pytest.mark.parametrize(
    "value",
    [0.5, math.nan, {"a": [1.0]}, {1, 2}, b"bytes", {1: "a"}, {None: 1}, object()],
    ids=repr,
)
def test_what_has_no_certain_text_is_refused(value):
    with pytest.raises(TypeError):
        canonical(value)


@pytest.mark.parametrize(
    "value",
    [datetime(2026, 8, 4, 7), Decimal("NaN"), Decimal("Infinity")],  # noqa: DTZ001
)
def test_what_is_not_certain_is_refused(value):
    with pytest.raises(ValueError, match="is needed"):
        canonical(value)


def test_the_hash_is_of_the_text_in_utf_8():
    """Source: FIPS 180-4, the digest of "abc" (from memory), and Python's hashlib."""
    assert hashlib.sha256(b"abc").hexdigest().startswith("ba7816bf8f01cfea")
    assert sha256_of("é") == hashlib.sha256(b'"\xc3\xa9"').hexdigest()


def test_half_a_character_pair_has_no_hash():
    with pytest.raises(UnicodeEncodeError):
        sha256_of("\ud800")
