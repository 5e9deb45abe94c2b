"""A calculation's inputs in an address: read, judged, drawn again, and never lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.http import QueryDict

from inspections.domain.calculations import CALCULATIONS
from inspections.forms.working import MORE_ROWS, WorkingForm
from inspections.forms.working_address import (
    MOST_ROWS,
    bare_number,
    example_address,
    with_unit,
)
from inspections.forms.working_boxes import Entry, Table
from project.domain.calculation import Calculation
from project.domain.editions import own_terms
from project.domain.term_kinds import TERM_KINDS, Shape
from project.domain.terms import Terms
from tests.support.every_kind import EVERY_KIND

TODAY = date(2026, 9, 14)
ZONE = "America/Denver"
TERMS = own_terms("ibc-2018-1908", revision=3, effective_on=date(2026, 7, 1))
EXAMPLE = example_address(EVERY_KIND, zone=ZONE)


def form(
    address: str = "",
    *,
    calculation: Calculation = EVERY_KIND,
    terms: Terms | Sequence[Terms] | None = TERMS,
    system: str = "US",
    zone: str = ZONE,
) -> WorkingForm:
    job = SimpleNamespace(zone=zone, unit_system=system)
    revisions = [terms] if isinstance(terms, Terms) else list(terms or ())
    return WorkingForm(
        calculation, QueryDict(address), job=job, revisions=revisions, today=TODAY
    )


def box(made: WorkingForm, key: str) -> Entry:
    for entry in [*made.entries, made.edition, *made.settings]:
        if isinstance(entry, Table):
            for cell in (*entry.heads, *(c for ln in entry.lines for c in ln.cells)):
                if cell.key == key:
                    return cell
        elif entry.key == key:
            return entry
    raise LookupError(key)


def table(made: WorkingForm) -> Table:
    (found,) = [entry for entry in made.entries if isinstance(entry, Table)]
    return found


def test_a_page_that_asks_nothing_is_not_judged():
    blank = form()
    assert not blank.is_asked
    assert (blank.errors, blank.worked) == ({}, None)
    assert len(table(blank).lines) == 4  # two are needed, two more are offered
    assert box(blank, "f_c").units[0][0] == "psi"
    assert not form("edition=metric").is_asked


def test_the_example_fills_the_form_and_makes_its_figure():
    made = form(EXAMPLE)
    assert made.errors == {}
    assert str(made.worked.answer.first.exact) == "3825.00 psi"
    assert box(made, "shot").value == "2026-08-13T07:10"
    assert box(made, "shot").draws == "instant"
    assert box(made, "rows.2.wide").value == "76 mm"  # the column is in inches
    assert len(table(made).lines) == 3
    assert table(made).width == 5
    assert made.example == EXAMPLE


@pytest.mark.parametrize("name", CALCULATIONS)
@pytest.mark.parametrize("zone", [ZONE, "Europe/Istanbul"])
def test_each_example_comes_back_from_its_address(name, zone):
    calculation = CALCULATIONS[name]
    made = form(
        example_address(calculation, zone=zone), calculation=calculation, zone=zone
    )
    assert made.errors == {}
    assert made.worked is not None
    assert made.is_asked


def test_units_of_the_job_s_system_come_first():
    assert [u for u, _ in box(form(system="SI"), "f_c").units][:2] == ["MPa", "psi"]
    assert box(form(system="SI"), "f_c").unit == "MPa"
    assert box(form(system="SI"), "rows.wide").unit == "mm"
    assert box(form(system="SI", terms=None), "settings.load_age").unit == "min"
    assert box(form("f_c.unit=kPa"), "f_c").unit == "kPa"
    assert box(form("f_c.unit=stone"), "f_c").unit == "psi"


def test_every_unit_of_a_term_has_a_usual_one():
    for name, kind in TERM_KINDS.items():
        if kind.shape is Shape.QUANTITY and kind.dimension != "time":
            asks = replace(EVERY_KIND, settings=(name,))
            for system in ("US", "SI"):
                made = form(calculation=asks, terms=None, system=system)
                assert box(made, f"settings.{name}").unit


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("30,000", "30000"),
        ("1,234,567.5", "1234567.5"),
        ("−1.5", "-1.5"),
        ("2,50", "2,50"),
        ("1,2,3", "1,2,3"),
        ("3.06", "3.06"),
    ],
)
def test_a_comma_parts_thousands_or_is_refused(typed, read):
    assert bare_number(typed) == read


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("3.06", ["3.06", "in"]),
        ("3.06 mm", ["3.06", "mm"]),
        ("30,000lbf", ["30000", "lbf"]),
        ("5 yd³", ["5", "yd3"]),
        ("−4 °C", ["-4", "C"]),
        ("95 %", ["95", "percent"]),
        ("1e3", ["1e3", "in"]),
        ("1e999", ["1e999", "in"]),
        ("3 feet", ["3", "feet"]),
        ("three", ["three", "in"]),
    ],
)
def test_a_unit_may_be_typed_behind_its_number(typed, read):
    assert with_unit(typed, "in") == read


def wrong(change: str, *, without: str = "") -> WorkingForm:
    """Return the example's form with something else typed."""
    changed = QueryDict(EXAMPLE, mutable=True)
    for key, value in QueryDict(change).items():
        changed[key] = str(value)
    changed.pop(without, None)
    made = form(changed.urlencode())
    assert made.worked is None
    return made


@pytest.mark.parametrize(
    ("change", "key", "said"),
    [
        ("f_c=NaN", "f_c", "NaN psi; allowed is a number above 0 psi"),
        ("f_c=1e999", "f_c", "1e999 psi; allowed"),
        ("f_c=", "f_c", "not given; needed is a number above 0 psi"),
        ("f_c=0", "f_c", "0 psi; allowed"),
        ("f_c=2,50", "f_c", "2,50 psi; allowed"),
        ("share=1.01", "share", "1.01; allowed is a number at least 0 and at most 1"),
        ("day=2026-02-30", "day", "2026-02-30; allowed is a day as"),
        ("wet=perhaps", "wet", "perhaps; allowed is yes or no"),
        ("shot=soon", "shot", "soon; allowed is an instant with its zone"),
        ("shot=2026-13-01T07:10", "shot", "2026-13-01T07:10; allowed"),
        ("rows.2.wide=40", "rows.2.wide", "40 in; allowed is a number above 0 and at"),
        ("rows.3.times=1", "rows.3.wide", "not given; needed"),
        ("edition=old", "edition", "old; allowed are"),
        (
            "settings.core_average=85",
            "settings.core_average",
            "85; allowed is a number",
        ),
        (
            "settings.load_age=0",
            "settings.load_age",
            "0 s; allowed is a number above 0",
        ),
    ],
)
def test_a_fault_stands_at_its_box_and_what_was_typed_stays(change, key, said):
    made = wrong(change)
    assert list(made.errors) == [key]
    assert box(made, key).error.startswith(said)
    typed = change.partition("=")[2]
    assert box(made, change.partition("=")[0]).value == typed
    assert made.faults == []


def test_rows_left_empty_are_no_rows_and_keep_their_numbers():
    made = wrong("rows.4.times=1&rows.9.wide=40", without="rows.2.wide")
    assert set(made.errors) == {
        "rows.2.wide",
        "rows.4.wide",
        "rows.9.wide",
        "rows.9.times",
    }
    assert len(table(made).lines) == 10
    (line,) = [line for line in table(made).lines if line.number == 9]
    assert [label for label, _why in line.complaints] == ["Width", "How often"]
    few = wrong("", without="rows.2.wide")
    assert box(few, "rows.2.wide").error.startswith("not given")


def test_too_few_rows_are_told_at_the_table():
    made = form("f_c=4500&share=0.5&shot=2026-08-13T07:10&rows.1.wide=3&rows.1.times=1")
    assert made.errors == {"rows": "1 rows; allowed are from 2 to 80 rows"}
    assert table(made).error == made.errors["rows"]


def test_rows_beyond_the_page_are_refused_by_name():
    made = wrong(
        f"rows.{MOST_ROWS + 1}.wide=3&rows.999999999999.wide=3&rows.5000.wide=1"
    )
    assert made.errors["rows"] == f"row 5000; allowed on this page are {MOST_ROWS} rows"
    assert made.faults == [("rows.999999999999.wide", "nothing of this name is asked")]
    assert len(table(made).lines) <= MOST_ROWS


def test_what_is_not_asked_is_told_and_so_is_what_comes_twice():
    made = form(EXAMPLE + "&lenght=3&f_c=4000&rows.1.wdie=2")
    assert made.faults == [
        ("lenght", "nothing of this name is asked"),
        ("rows.1.wdie", "nothing of this name is asked"),
    ]
    assert box(made, "f_c").error == "given more than once"


def test_more_rows_are_drawn_and_nothing_is_judged_yet():
    before = table(form(EXAMPLE)).lines
    grown = form(EXAMPLE + "&more=rows")
    assert grown.errors == {}
    assert grown.worked is None
    assert len(table(grown).lines) == len(before) + MORE_ROWS
    assert box(grown, "rows.1.wide").value == "3.06"
    kept = form(EXAMPLE + "&rows.rows=20")
    assert len(table(kept).lines) == 20
    full = table(form(EXAMPLE + "&rows.rows=5000&more=rows"))
    assert len(full.lines) < MOST_ROWS  # not a number of rows that can be kept
    full = table(form(EXAMPLE + "&rows.rows=999&more=rows"))
    assert (len(full.lines), full.may_grow) == (MOST_ROWS, False)


def test_an_hour_that_came_twice_is_asked_back_and_one_that_never_was_is_refused():
    twice = wrong("shot=2026-11-01T01:30")
    assert twice.errors["shot"] == (
        "2026-11-01 01:30 came twice on the clock of America/Denver; allowed is"
        " 2026-11-01T01:30:00-06:00 or 2026-11-01T01:30:00-07:00"
    )
    assert box(twice, "shot").draws == "words"
    never = wrong("shot=2026-03-08T02:30")
    assert "was never on the clock of America/Denver" in never.errors["shot"]
    second = QueryDict(EXAMPLE, mutable=True)
    second["shot"] = "2026-11-01T01:30:00-07:00"
    assert form(second.urlencode()).errors == {}
    assert box(form(second.urlencode()), "shot").draws == "words"
    in_the_hour = replace(
        EVERY_KIND, example=EVERY_KIND.example | {"shot": "2026-11-01T01:30-07:00"}
    )
    assert "01%3A30%3A00-07%3A00" in example_address(in_the_hour, zone=ZONE)


def test_an_example_may_say_yes_and_name_a_day():
    more = EVERY_KIND.example | {"wet": True, "day": "2026-08-13"}
    address = example_address(replace(EVERY_KIND, example=more), zone=ZONE)
    assert "wet=yes&" in address
    assert "day=2026-08-13&" in address


def test_the_contract_s_terms_are_the_default_and_say_their_revision():
    made = form(EXAMPLE)
    assert made.edition.choices[0] == (
        "",
        "this contract's of today, revision 3, from IBC 2018 s.1908",
    )
    assert (made.worked.terms.revision, made.worked.terms.edition) == (
        3,
        "ibc-2018-1908",
    )
    other = form(EXAMPLE + "&edition=ibc-2009-1913")
    assert other.worked.terms.edition == "ibc-2009-1913"
    without = form(EXAMPLE, terms=None)
    assert without.errors["edition"].startswith("not given; needed is one of ")
    assert without.edition.choices[0][1].startswith("no terms are in force")


def test_a_setting_left_alone_is_the_one_in_force():
    made = form(EXAMPLE + "&settings.core_average=&settings.ld_limit=")
    assert made.worked.terms.values["core_average"] == TERMS.values["core_average"]
    ld_limit = box(made, "settings.ld_limit")
    assert ld_limit.choices[0] == ("", "as in force: 1.75 or less")
    assert "from memory" in ld_limit.hint
    assert box(made, "settings.core_average").hint.startswith("as in force: 0.85, IBC")
    metric = box(form("edition=metric"), "settings.ld_limit")
    assert metric.choices[0][1] == "as in force: not given"


def test_a_setting_may_be_changed_or_taken_away():
    made = form(
        EXAMPLE
        + "&settings.core_average=0.9&settings.load_age=2&settings.load_age.unit=h"
        "&settings.panel_position=yes"
    )
    terms = made.worked.terms
    assert terms.decimal("core_average") == Decimal("0.9")
    assert str(terms.quantity("load_age")) == "2 h"
    assert terms.flag("panel_position") is True
    away = form(EXAMPLE + "&settings.load_age=not given")
    assert away.worked.terms.get("load_age") is None


def test_settings_lie_open_where_they_are_few_or_changed():
    many = replace(EVERY_KIND, settings=(*EVERY_KIND.settings, "core_single"))
    assert form().shows_settings
    assert not form(calculation=many).shows_settings
    assert form("settings.core_single=0.8", calculation=many).shows_settings


def test_a_calculation_without_terms_asks_for_none():
    none = replace(EVERY_KIND, settings=())
    assert form(EXAMPLE, calculation=none).errors == {}
    asked = form(EXAMPLE + "&edition=metric", calculation=none)
    assert asked.faults == [("edition", "this calculation asks no contract terms")]


def test_a_fault_between_fields_has_no_box():
    made = wrong("share=0.25")
    assert box(made, "share").error == "and rows do not go together"
    nowhere = wrong("share=0")
    assert nowhere.faults[0][1].startswith("these inputs together lead to no number")


def test_a_figure_is_made_under_the_terms_of_the_day_it_names():
    """Two revisions; the earlier one governs the work of its own time."""
    later = replace(TERMS, revision=4, effective_on=date(2026, 9, 1))
    then, now = TERMS.effective_on.isoformat(), TODAY.isoformat()
    both = (TERMS, replace(later, effective_on=TODAY))
    made = form(f"{EXAMPLE}&terms_on={then}", terms=both)
    assert made.terms is TERMS
    assert made.worked is not None
    assert made.worked.terms.revision == 3
    assert f"of {then}, revision 3" in box(made, "edition").choices[0][1]
    assert form(f"{EXAMPLE}&terms_on={now}", terms=both).worked.terms.revision == 4
    assert form(EXAMPLE, terms=both).worked.terms.revision == 4


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("2026-13-01", "2026-13-01 is no date; allowed is one such as 2026-08-13"),
        ("soon", "soon is no date"),
        ("1999-01-01", "1999-01-01: no terms were in force then"),
    ],
)
def test_a_day_without_terms_is_told_and_no_figure_is_made(typed, told):
    made = form(f"{EXAMPLE}&terms_on={typed}")
    assert made.worked is None
    assert told in made.errors["terms_on"]
    assert made.terms_day.value == typed
    assert told in made.terms_day.error
