"""How sheets and reports are stamped, and how kept figures and times are written."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest

from inspections.domain.load_age import load_age
from inspections.domain.week import ReportTiming
from inspections.queries.load_ages import LoadAge
from inspections.templatetags import sheet as tags
from project.domain.terms import Terms, TermValue
from project.domain.units import Quantity
from project.domain.verdict import Source, State

NOW = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)
JOB = SimpleNamespace(zone="America/Denver")


def word(stamp: str) -> str:
    return re.sub(r"<[^>]+>", "", str(stamp))


def _timing(state: State, minutes: int) -> ReportTiming:
    return ReportTiming(NOW, state, late_minutes=minutes, days_after_shift=1)


def _sheet(state: str, timing: ReportTiming | None = None, *, signed: bool = False):
    first = object() if signed else None
    return SimpleNamespace(state=state, timing=timing, first=first)


@pytest.mark.parametrize(
    ("state", "minutes", "said"),
    [
        ("draft", 0, "draft"),
        ("draft", 59, "draft, 59 min late"),
        ("draft", 180, "draft, 3 h late"),
        ("draft", 2 * 24 * 60, "draft, 2 days late"),
        ("signed", 0, "signed, not yet reviewed"),
        ("amended", 0, "amended, not yet reviewed"),
        ("reviewed", 0, "reviewed"),
        ("void", 0, "void"),
    ],
)
def test_a_sheet_is_stamped_by_its_state_and_a_draft_by_its_day(state, minutes, said):
    timing = _timing(State.FAIL if minutes else State.NOT_DUE, minutes)
    assert word(tags.sheet_stamp(_sheet(state, timing))) == said


def test_a_draft_without_a_deadline_is_never_late():
    assert word(tags.sheet_stamp(_sheet("draft", None))) == "draft"


def test_lateness_stays_with_a_sheet_that_was_signed_late():
    late = _sheet("reviewed", _timing(State.FAIL, 600), signed=True)
    assert word(tags.late_stamp(late)) == "signed 10 h late"
    assert tags.late_stamp(_sheet("signed", _timing(State.PASS, 0), signed=True)) == ""
    assert tags.late_stamp(_sheet("draft", _timing(State.FAIL, 600))) == ""
    assert tags.late_stamp(_sheet("signed", None, signed=True)) == ""


@pytest.mark.parametrize(
    ("due", "state", "said"),
    [
        (date(2026, 8, 31), "notified", "open, answer 14 days late"),
        (date(2026, 9, 13), "notified", "open, answer 1 day late"),
        (date(2026, 9, 14), "notified", "open"),
        (None, "notified", "open"),
        (None, "raised", "open, nobody told"),
        (date(2026, 8, 31), "closed", "closed"),
    ],
)
def test_a_report_is_stamped_late_from_the_day_after_its_answer_was_due(
    due, state, said
):
    row = SimpleNamespace(is_open=state != "closed", response_due=due, state=state)
    assert word(tags.nonconformance_stamp(row, NOW, JOB)) == said


def test_kept_figures_are_written_as_typed_with_their_unit():
    assert tags.kept(["2.50", "in"]) == "2.50\N{NO-BREAK SPACE}in"
    assert tags.kept(None) == ""
    assert tags.figure(["90", "F"], "F") == "90"
    assert tags.figure(["32", "C"], "F") == "32\N{NO-BREAK SPACE}°C"
    rows = [{"air": ["90", "F"]}, {"air": None}]
    assert tags.common_unit(rows, "air") == "F"
    assert tags.common_unit([*rows, {"air": ["32", "C"]}], "air") == ""


def test_a_neat_volume_is_rounded_half_to_even_at_one_place():
    # Half to even, as the record itself rounds: inspections.domain.placing.
    assert tags.tenths_bare(Quantity(Decimal("10.25"), "yd3")) == "10.2"
    assert tags.tenths_bare(Quantity(Decimal("10.35"), "yd3")) == "10.4"
    assert tags.tenths(None) == ""


def test_a_time_of_the_next_day_carries_its_date():
    late = {"utc": "2026-09-03T07:10:00Z", "local": "2026-09-03 01:10 MDT"}
    assert word(tags.kept_clock(late, "2026-09-02")) == "3 Sep, 01:10"
    assert word(tags.kept_clock(late, "2026-09-03")) == "01:10"
    assert tags.kept_clock(None) == ""


@pytest.mark.parametrize(
    ("mix", "contract", "last", "minutes", "words", "limit"),
    [
        (
            90,
            None,
            "15:54",
            "112",
            "over by 22 min",
            "mix limit 90 min",
        ),
        (90, 60, "15:32", "90", "0 min left", "mix limit 90 min"),
        (None, 95, "15:32", "90", "5 min left", "contract limit 95 min"),
        (None, None, "15:32", "90", "no limit given", ""),
        (90, None, "14:01", "", "", ""),
    ],
)
def test_the_age_of_a_load_says_its_limit_and_whose_it_is(
    mix, contract, last, minutes, words, limit
):
    batched = datetime(2026, 8, 25, 14, 2, tzinfo=UTC)
    shot = datetime.fromisoformat(f"2026-08-25T{last}Z")
    mix_limit = None if mix is None else Quantity(Decimal(mix), "min")
    held = {}
    if contract is not None:
        held["load_age"] = TermValue(Decimal(contract), "min", Source("contract"))
    terms = Terms(1, "", batched.date(), held)
    verdict = load_age(batched, last_shot_at=shot, terms=terms, mix_limit=mix_limit)
    age = LoadAge(batched, shot, mix_limit, verdict)
    assert tags.age_minutes(age) == minutes
    assert tags.age_words(age).replace("\u00a0", " ") == words
    assert tags.age_limit(age).replace("\u00a0", " ") == limit


def test_a_load_without_an_age_says_nothing_of_one():
    said = [tags.age_minutes(None), tags.age_words(None), tags.age_limit(None)]
    assert said == ["", "", ""]


def test_what_was_sent_back_is_not_added_up():
    loads = [
        {"volume": ["6.0", "yd3"], "accepted": True},
        {"volume": ["6.1", "yd3"], "accepted": False},
        {"volume": ["1.5", "yd3"], "accepted": True},
    ]
    assert tags.delivered(loads) == "7.5"
    assert tags.delivered([*loads, {"volume": ["1", "m3"], "accepted": True}]) == ""
