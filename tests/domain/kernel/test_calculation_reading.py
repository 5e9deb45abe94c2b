"""Inputs of a calculation: each fault named by its field, nothing too long worked on."""

from datetime import date
from decimal import Decimal

import pytest

from project.domain.calculation import Answer, Calculation, Field, Given, Kind, by_name
from project.domain.calculation_reading import InputError, read_inputs, read_terms
from project.domain.calculation_running import work
from project.domain.calculation_showing import described, told
from project.domain.editions import EDITIONS, own_terms, to_be_given
from project.domain.units import Quantity
from tests.support.every_kind import EVERY_KIND, EXAMPLE, FIELDS

ON = date(2026, 7, 1)
IBC = "ibc-2018-1908"


def faults(**changed):
    """Return what is refused of the example with some inputs changed."""
    data = {k: v for k, v in (EXAMPLE | changed).items() if v != "leave out"}
    with pytest.raises(InputError) as refused:
        read_inputs(FIELDS, data)
    return refused.value.errors


def test_inputs_are_read_as_they_were_typed():
    given = read_inputs(
        FIELDS, EXAMPLE | {"day": "2026-08-13", "wet": True, "note": "x"}
    )
    assert given.quantity("f_c") == Quantity(Decimal("4500"), "psi")
    assert given.number("share") == Decimal("0.85")
    assert given.instant("shot").isoformat() == "2026-08-13T07:10:00-06:00"
    assert given.instant_or_none("shot") == given.instant("shot")
    assert given.day("day") == given.day_or_none("day") == date(2026, 8, 13)
    assert given.flag("wet") is True
    assert given.word("note") == "x"
    first, second = given.rows("rows")
    assert first.flag("wet") is False
    assert (first.count("times"), first.word("sort")) == (2, "old")
    assert str(second.quantity_or_none("wide")) == "76 mm"
    assert not second.has("wet")
    assert second.word("sort") == ""


def test_what_was_left_out_reads_as_nothing():
    given = Given({})
    assert given.quantity_or_none("a") is None
    assert given.number_or_none("a") is None
    assert given.day_or_none("a") is None
    assert given.instant_or_none("a") is None
    assert given.rows("a") == ()
    assert Given({"a": Decimal(2)}).number_or_none("a") == 2
    with pytest.raises(TypeError, match="input a: Decimal"):
        Given({"a": Decimal(2)}).quantity("a")


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("f_c", "leave out", "not given; needed is a number above 0 psi; units Pa"),
        ("f_c", ["0", "psi"], "0 psi; allowed is a number above 0 psi"),
        ("f_c", ["-1", "psi"], "-1 psi; allowed"),
        ("f_c", ["4500", "in"], "4500 in; allowed"),
        ("f_c", ["4500", "pounds"], "4500 pounds; allowed"),
        ("f_c", "4500", "4500 without a unit; allowed"),
        ("f_c", ["NaN", "psi"], "NaN psi; allowed"),
        ("f_c", ["Infinity", "psi"], "Infinity psi; allowed"),
        ("f_c", ["1e999", "psi"], "1e999 psi; allowed"),
        ("f_c", ["1e999999999", "psi"], "1e999999999 psi; allowed"),
        ("f_c", ["0e-999999", "psi"], "0e-999999 psi; allowed"),
        ("f_c", ["1" * 1000, "psi"], "1" * 60 + "…; allowed"),
        ("f_c", [1.5, "psi"], "1.5 psi; allowed"),
        ("f_c", ["four", "psi"], "four psi; allowed"),
        ("f_c", [True, "psi"], "True psi; allowed"),
        (
            "share",
            "1.0000001",
            "1.0000001; allowed is a number at least 0 and at most 1",
        ),
        ("share", "-0.0000001", "-0.0000001; allowed"),
        ("share", ["1"], "1; allowed"),
        ("shot", "2026-08-13T07:10", "allowed is an instant with its zone, as 2026"),
        ("shot", "0001-01-01T00:00+14:00", "allowed is an instant"),
        ("shot", "soon", "soon; allowed is an instant"),
        ("day", "13/08/2026", "13/08/2026; allowed is a day as 2026-08-13"),
        ("day", "9999-01-01", "9999-01-01; allowed is a day"),
        ("wet", "perhaps", "perhaps; allowed is yes or no"),
        ("note", 4, "4; allowed is words"),
        ("note", "x" * 401, "allowed is words"),
        ("rows", "two", "two; allowed is a list of rows"),
        ("rows", EXAMPLE["rows"][:1], "1 rows; allowed are from 2 to 80 rows"),
        ("rows", [{}] * 100_000, "100000 rows; allowed are from 2 to 80 rows"),
    ],
)
def test_a_fault_is_named_by_field_value_and_what_is_allowed(name, value, said):
    found = faults(**{name: value})
    assert list(found) == [name]
    assert said in found[name]
    assert len(found[name]) < 200


def test_a_fault_in_a_row_names_the_row():
    good = EXAMPLE["rows"][0]
    rows = [good, good | {"wide": ["40", "in"], "sort": "blue"}, "three"]
    found = faults(rows=rows)
    assert list(found) == ["rows.2.wide", "rows.2.sort", "rows.3"]
    assert found["rows.2.wide"].startswith("40 in; allowed is a number above 0 and at")
    assert found["rows.2.sort"] == "blue; allowed is one of old, new"
    assert found["rows.3"] == "three; allowed is named values"


def test_all_faults_stand_together_and_unknown_names_among_them():
    found = faults(share="2", f_c="leave out", edge="3")
    assert sorted(found) == ["edge", "f_c", "share"]
    assert found["edge"].startswith("no such input; allowed are f_c, share")
    assert read_faults({"side": "1"}) == {"side": "no such input; it takes none"}


def read_faults(data):
    with pytest.raises(InputError) as refused:
        read_inputs((), data)
    return refused.value.errors


def terms(edition=IBC, **settings):
    return read_terms(EVERY_KIND, edition=edition, settings=settings, effective_on=ON)


def refused_terms(edition=IBC, settings=None):
    with pytest.raises(InputError) as refused:
        read_terms(
            EVERY_KIND,
            edition=edition,
            settings={} if settings is None else settings,
            effective_on=ON,
        )
    return refused.value.errors


def test_an_edition_is_changed_by_name_and_says_so():
    changed = terms(
        core_average="0.9",
        ld_limit="under 1.94",
        load_age=["2", "h"],
        panel_position="no",
    )
    assert changed.decimal("core_average") == Decimal("0.9")
    assert changed.choice("ld_limit") == "under 1.94"
    assert str(changed.quantity("load_age")) == "2 h"
    assert changed.flag("panel_position") is False
    assert str(changed.source("ld_limit")) == "typed for this calculation"
    assert terms(load_age=None).get("load_age") is None


def test_a_contract_s_terms_are_changed_alike_and_keep_their_revision():
    own = own_terms(IBC, revision=7, effective_on=ON)
    changed = terms(own, core_average="0.9")
    assert (changed.revision, changed.edition) == (7, IBC)
    assert changed.source("ld_limit") == own.source("ld_limit")
    assert changed.decimal("core_average") == Decimal("0.9")


@pytest.mark.parametrize(
    ("edition", "settings", "name", "said"),
    [
        ("", {}, "edition", "not given; needed is one of " + IBC[:3]),
        ("code", {}, "edition", "code; allowed are "),
        (["a"], {}, "edition", "a; allowed are "),
        (
            IBC,
            {"load_agee": "1"},
            "load_agee",
            "not asked by this calculation; it asks",
        ),
        (IBC, {"core_average": "85"}, "core_average", "85; allowed is a number from"),
        (IBC, {"core_average": "1e99999999"}, "core_average", "allowed is a number"),
        (IBC, {"core_average": None}, "core_average", "None; allowed is a number"),
        (IBC, {"ld_limit": "1.8"}, "ld_limit", "1.8; allowed is one of 1.75 or less"),
        (IBC, {"load_age": "90"}, "load_age", "90; allowed is a number above 0 in"),
        (IBC, {"load_age": ["90", "in"]}, "load_age", "90 in; allowed is"),
        (IBC, {"panel_position": "maybe"}, "panel_position", "maybe; allowed is yes"),
        (IBC, ["core_average"], "settings", "core_average; allowed is a setting's"),
        ("metric", {}, "core_average", "not given; needed is a number from"),
    ],
)
def test_terms_that_cannot_be_are_refused_by_name(edition, settings, name, said):
    found = refused_terms(edition, settings)
    assert name in found
    assert said in found[name]


def test_two_terms_that_leave_no_range_are_refused():
    cold = Calculation(
        "cold", "", "", "", (), lambda g, t: Answer({}), (), {},
        ("concrete_low", "concrete_high"),
    )  # fmt: skip
    settings = {"concrete_low": ["90", "F"], "concrete_high": ["50", "F"]}
    with pytest.raises(InputError, match="settings: term concrete_low: 90 F; allowed"):
        read_terms(cold, edition=IBC, settings=settings, effective_on=ON)


def bare(run=lambda given, terms: Answer({})):
    return Calculation("bare", "Bare", "None", "Nothing.", (), run, (), {})


def test_a_calculation_that_asks_no_terms_takes_none():
    none = read_terms(bare(), edition="", settings={}, effective_on=ON)
    assert none.values == {}
    with pytest.raises(InputError, match="this calculation asks no contract terms"):
        read_terms(bare(), edition=IBC, settings={}, effective_on=ON)


def made(**changed):
    settings = changed.pop("settings", {})
    return work(
        EVERY_KIND, EXAMPLE | changed, edition=IBC, settings=settings, effective_on=ON
    )


def test_faults_of_inputs_and_settings_stand_together():
    with pytest.raises(InputError) as refused:
        made(share="2", settings={"core_average": "85"})
    assert sorted(refused.value.errors) == ["settings.core_average", "share"]
    with pytest.raises(InputError) as refused:
        work(EVERY_KIND, EXAMPLE, edition="", settings={}, effective_on=ON)
    assert list(refused.value.errors) == ["edition"]


@pytest.mark.parametrize(
    ("share", "name", "said"),
    [
        ("0.5", "share", "0.5: allowed is another one"),
        ("0.25", "share", "and rows do not go together"),
        ("0", "", "these inputs together lead to no number; look at their sizes"),
    ],
)
def test_what_the_rule_itself_refuses_hangs_on_its_field(share, name, said):
    with pytest.raises(InputError) as refused:
        made(share=share)
    assert list(refused.value.errors) == [name]
    assert refused.value.errors[name].startswith(said)


def test_what_a_rule_says_of_no_field_has_no_name():
    def _refuse(given, terms):
        raise ValueError("nothing adds up")

    def _ask_back(given, terms):
        raise InputError({"side": "too short"})

    for run, said in (
        (_refuse, {"": "nothing adds up"}),
        (_ask_back, {"side": "too short"}),
    ):
        with pytest.raises(InputError) as refused:
            work(bare(run), {}, edition="", settings={}, effective_on=ON)
        assert refused.value.errors == said
    assert str(InputError({"": "nothing adds up"})) == "nothing adds up"


def test_an_answer_is_told_with_all_that_stands_behind_it():
    said = told(made(settings={"ld_limit": "under 1.94"}))
    assert said["value"] == ["3820", "psi"]
    assert said["exact"] == ["3825.00", "psi"]
    assert said["words"] == "Not all of it."
    (reason,) = said["verdict"]["reasons"]
    assert said["verdict"]["state"] == reason["state"] == "fail"
    assert (reason["name"], reason["limit"], reason["margin"]) == (
        "share", ["4500", "psi"], None,
    )  # fmt: skip
    figure = said["figures"]["share"]
    assert figure["steps"][0]["line"] == "4500 × 0.85 = 3825.00 psi"
    assert figure["steps"][0]["source"] == "A test 2026, 1 (project's choice)"
    assert figure["inputs"][0] == {"name": "f_c", "value": ["4500", "psi"]}
    assert figure["settings"][0]["name"] == "core_average"
    used = {each["name"]: each for each in said["settings"]}
    assert used["ld_limit"]["value"] == "under 1.94"
    assert used["ld_limit"]["source"] == "typed for this calculation"
    assert said["edition"] == IBC
    assert said["caution"] == "Nobody is to trust this."


def test_a_description_holds_every_input_and_setting():
    said = described(EVERY_KIND)
    by = {line["name"]: line for line in said["inputs"]}
    assert list(by) == [field.name for field in FIELDS]
    assert by["f_c"]["unit"] == by["f_c"]["units"][0] == "psi"
    assert by["day"]["note"] == "on the job's calendar"
    assert by["rows"]["allowed"] == "from 2 to 80 rows"
    cells = {line["name"]: line for line in by["rows"]["columns"]}
    assert cells["sort"]["choices"] == ["old", "new"]
    settings = {line["name"]: line for line in said["settings"]}
    assert settings["ld_limit"]["choices"] == ["1.75 or less", "under 1.94"]
    assert "note" in settings["load_age"]


def test_two_calculations_of_one_name_are_refused():
    assert list(by_name((EVERY_KIND,))) == ["every-kind"]
    with pytest.raises(ValueError, match="calculation every-kind: named twice"):
        by_name((EVERY_KIND,), (EVERY_KIND,))


def test_a_field_says_what_it_allows():
    count = Field("n", "N", Kind.COUNT, least=Decimal(1))
    assert count.allowed == "a whole number at least 1"
    assert count.units == ()
    assert Field("x", "X", Kind.NUMBER).allowed == "a number"
    assert Field("q", "Q", Kind.QUANTITY, unit="F").units[0] == "F"


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_edition_may_be_asked_and_asks_only_what_is_needed(edition):
    left = to_be_given(own_terms(edition, revision=1, effective_on=ON))
    asked = {name for name in EVERY_KIND.settings if name in left}
    if asked:
        assert set(refused_terms(edition)) == asked
    else:
        assert terms(edition).edition == edition
