"""The reviewed requirement set, and terms resolved from it."""

import json
from datetime import date
from decimal import Decimal

import pytest

from project.domain.canonical import canonical
from project.domain.editions import (
    IBC_2018,
    Departure,
    aci_506_2_13_panels,
    departing,
    from_plain,
    resolve,
    to_plain,
)
from project.domain.term_kinds import TERM_KINDS, Shape, check_term, shown
from tests.support.tables import cases, rows

ON = date(2026, 7, 1)


def _resolve(**departures):
    return resolve(IBC_2018.key, revision=1, effective_on=ON, departures=departures)


@cases("ibc_2018_1908")
def test_the_edition_says_what_its_source_says(row):
    term = IBC_2018.values[row["name"]]
    assert shown(term.value, term.unit) == " ".join(
        part for part in (row["value"], row["unit"]) if part
    )
    assert term.source.known == row["known"]


def test_what_the_edition_does_not_say_is_not_given():
    named = {row["name"] for row in rows("ibc_2018_1908")}
    for name, term in IBC_2018.values.items():
        assert (term.value is None) == (name not in named)
    assert str(IBC_2018.values["load_age"].source) == (
        "IBC 2018, 1908 gives no value (from memory)"
    )


def test_every_value_of_the_edition_is_one_the_term_may_have():
    assert set(IBC_2018.values) == set(TERM_KINDS)
    for name, term in IBC_2018.values.items():
        check_term(name, term.value, term.unit)


def test_terms_are_resolved_in_full_and_depart_visibly():
    terms = resolve(
        IBC_2018.key,
        revision=2,
        effective_on=ON,
        departures={
            "idle_limit": Departure(Decimal(180), "d", "no published number"),
            "panel_position": Departure(False, None, "contract specification"),
        },
    )
    assert set(terms.values) == set(TERM_KINDS)
    assert (terms.revision, terms.edition, terms.effective_on) == (
        2,
        "ibc-2018-1908",
        ON,
    )
    assert {n: t.reason for n, t in terms.departures.items()} == {
        "idle_limit": "no published number",
        "panel_position": "contract specification",
    }
    assert terms.flag("panel_position") is False
    assert str(terms.source("idle_limit")) == "contract"
    assert terms.decimal("core_average") == Decimal("0.85")


def test_a_contract_may_take_a_value_away_where_none_is_needed():
    terms = _resolve(restart_gap=Departure(None, None, "not used here"))
    assert terms.quantity("restart_gap") is None
    assert list(terms.departures) == ["restart_gap"]


@pytest.mark.parametrize(
    ("name", "value", "unit", "message"),
    [
        ("core_rounding", "loose", None, "loose; allowed is one of strict, rounded"),
        ("core_rounding", None, None, "not given; allowed is one of strict, rounded"),
        ("core_rounding", "strict", "psi", "strict psi; allowed is one of"),
        ("core_average", Decimal(85), None, "85; allowed is a number from 0.01 to 1"),
        ("core_average", Decimal("1.0001"), None, "1.0001; allowed is a number"),
        ("core_average", Decimal("0.0099"), None, "0.0099; allowed is a number"),
        ("core_average", Decimal("NaN"), None, "NaN; allowed is a number"),
        ("core_average", "0.85", None, "0.85; allowed is a number"),
        ("core_average", True, None, "yes; allowed is a number"),
        ("core_average", Decimal("0.85"), "psi", "0.85 psi; allowed is a number"),
        ("core_count", Decimal("2.5"), None, "2.5; allowed is a whole number from 1"),
        ("core_count", Decimal(0), None, "0; allowed is a whole number from 1"),
        (
            "panel_volume",
            Decimal(0),
            "yd3",
            "0 yd3; allowed is a number above 0 in one",
        ),
        ("panel_volume", Decimal(50), "psi", "50 psi; allowed is a number above 0"),
        ("panel_volume", Decimal(50), None, "50; allowed is a number above 0"),
        ("panel_position", "no", None, "no; allowed is yes or no"),
        ("panel_position", None, None, "not given; allowed is yes or no"),
        ("panel_position", False, "d", "no d; allowed is yes or no"),
        ("idle_limit", None, "d", "not given d; allowed is"),
        ("idle_limit", Decimal("Infinity"), "d", "Infinity d; allowed is"),
    ],
)
def test_a_value_a_term_may_not_have_is_refused(name, value, unit, message):
    with pytest.raises(ValueError, match=r"^term ") as caught:
        _resolve(**{name: Departure(value, unit, "tested")})
    assert str(caught.value).startswith(f"term {name}: {message}")


def test_the_ends_of_a_range_are_allowed():
    for value in ("0.01", "1"):
        terms = _resolve(core_average=Departure(Decimal(value), None, "tested"))
        assert terms.decimal("core_average") == Decimal(value)
    zero = _resolve(report_sign_within=Departure(Decimal(0), None, "same day"))
    assert zero.decimal("report_sign_within") == 0


@pytest.mark.parametrize(
    "call",
    [
        lambda given: resolve(
            IBC_2018.key, revision=1, effective_on=ON, departures=given
        ),
        lambda given: departing(IBC_2018.key, given),
    ],
    ids=["resolve", "departing"],
)
def test_an_unknown_term_is_refused_with_the_names_there_are(call):
    with pytest.raises(ValueError, match=r"^term pannel_volume: not a term; allowed"):
        call({"pannel_volume": Departure(Decimal(50), "yd3", "tested")})


def test_an_unknown_edition_is_refused_with_the_keys_there_are():
    with pytest.raises(ValueError, match=r"'ibc-1908': allowed are ibc-2018-1908"):
        resolve("ibc-1908", revision=1, effective_on=ON, departures={})


@pytest.mark.parametrize("reason", ["", "   "])
def test_a_departure_without_a_reason_is_refused(reason):
    with pytest.raises(ValueError, match=r"term panel_position: a departure .+ reason"):
        _resolve(panel_position=Departure(False, None, reason))


@pytest.mark.parametrize(
    ("low", "high", "fine"),
    [
        (("50", "F"), ("90", "F"), True),
        (("50", "F"), ("10.0001", "C"), True),
        (("50", "F"), ("10", "C"), False),
        (("90", "F"), ("50", "F"), False),
    ],
)
def test_a_range_runs_upwards_in_whatever_units(low, high, fine):
    given = {
        "concrete_low": Departure(Decimal(low[0]), low[1], "submitted"),
        "concrete_high": Departure(Decimal(high[0]), high[1], "submitted"),
    }
    if fine:
        assert len(_resolve(**given).departures) == 2
        return
    with pytest.raises(
        ValueError, match=r"term concrete_low: .+ less than concrete_high"
    ):
        _resolve(**given)


def test_aci_506_2_13_counts_by_operator_over_all_who_shot():
    """Source: ACI 506.2-13, as quoted (read): 50 yd3, mixture, operator, work day."""
    terms = _resolve(**aci_506_2_13_panels("contract specification"))
    counted = {name: terms.values[name].value for name in terms.departures}
    assert counted == {
        "panel_period": "work date",
        "panel_per": "mix and operator",
        "panel_position": False,
        "panel_volume": Decimal(50),
        "panel_count": "global",
    }
    reasons = {term.reason for term in terms.departures.values()}
    assert reasons == {"contract specification"}


def test_plain_terms_survive_json_and_canonical_text():
    terms = _resolve(
        thickness_low=Departure(Decimal("-0.25"), "in", "specified"),
        panel_count=Departure("global", None, "specified"),
    )
    stored = json.loads(json.dumps(to_plain(terms.values)))
    assert from_plain(stored) == dict(terms.values)
    assert canonical(stored) == canonical(to_plain(terms.values))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"value": "many"}, "term core_count: 'many' is not a number"),
        ({"source": "IBC"}, "term core_count: source 'IBC' has no parts"),
    ],
)
def test_stored_terms_that_are_spoilt_are_refused(change, message):
    stored = to_plain({"core_count": IBC_2018.values["core_count"]})
    with pytest.raises(ValueError, match=message):
        from_plain({"core_count": {**stored["core_count"], **change}})


def test_a_form_can_be_drawn_from_the_table():
    for name, kind in TERM_KINDS.items():
        assert kind.group, name
        assert kind.label, name
        assert bool(kind.choices) is (kind.shape is Shape.CHOICE), name
        assert bool(kind.units) is (kind.shape is Shape.QUANTITY), name
