"""The reviewed requirement set, and terms resolved from it."""

import json
from datetime import date
from decimal import Decimal

import pytest

from project.domain.canonical import canonical
from project.domain.editions import (
    ACI_318_19,
    ACI_506_2_13,
    EDITIONS,
    FHWA_1998,
    IBC_2018,
    METRIC,
    PROJECT,
    UFGS_03371,
    UFGS_03371_METRIC,
    Departure,
    aci_506_2_13_panels,
    departing,
    differences,
    from_plain,
    ibc_section,
    resolve,
    to_plain,
)
from project.domain.editions.shapes import in_full
from project.domain.term_kinds import TERM_KINDS, Shape, check_term
from project.domain.terms import Terms
from project.domain.verdict import Known
from tests.support.outside import outside_rows

ON = date(2026, 7, 1)


def _resolve(**departures):
    return resolve(IBC_2018.key, revision=1, effective_on=ON, departures=departures)


def _spoken_of(key):
    """Return the terms of an edition that have a row with a value of their own."""
    given = f"requirement_set={key}; term="
    return {
        row["given"].removeprefix(given)
        for row in outside_rows()
        if row["given"].startswith(given)
        and not row["expected"].startswith("not given; ")
    }


@pytest.mark.parametrize("key", EDITIONS)
def test_each_value_of_an_edition_has_a_row_and_the_rest_is_not_given(key):
    named = _spoken_of(key)
    for name, term in EDITIONS[key].values.items():
        assert (term.value is None) == (name not in named), name


@pytest.mark.parametrize("key", EDITIONS)
def test_an_edition_speaks_of_every_term_and_says_only_what_it_may(key):
    edition = EDITIONS[key]
    assert edition.key == key
    assert list(edition.values) == list(TERM_KINDS)
    for name, term in edition.values.items():
        if name not in edition.asks:
            check_term(name, term.value, term.unit)
        assert not term.departure
        assert term.source.document


@pytest.mark.parametrize("key", [key for key in EDITIONS if key != METRIC.key])
def test_an_edition_with_choices_of_ours_can_stand_alone(key):
    assert EDITIONS[key].asks == ()
    terms = resolve(key, revision=1, effective_on=ON, departures={})
    assert terms.edition == key
    assert terms.departures == {}


def test_a_document_is_not_said_to_be_read_where_only_its_quotation_was():
    for name, term in ACI_318_19.values.items():
        if term.source.document == "ACI 318":
            assert term.source.known is Known.MEMORY, name
    for name, term in ACI_506_2_13.values.items():
        if term.source.known is Known.READ:
            assert "as " in term.source.section, name


def test_the_metric_set_gives_nothing_and_names_what_it_asks():
    assert METRIC.not_given == tuple(TERM_KINDS)
    required = [name for name, kind in TERM_KINDS.items() if kind.required]
    with pytest.raises(ValueError, match=r"^edition metric: to be given") as caught:
        resolve(METRIC.key, revision=1, effective_on=ON, departures={})
    for name in required:
        assert f"{name}, {TERM_KINDS[name].allowed}" in str(caught.value)


def test_a_contract_that_gives_all_the_metric_set_asks_is_resolved():
    typed = {
        name: Departure(term.value, term.unit, "contract specification")
        for name, term in IBC_2018.values.items()
        if name in METRIC.asks
    }
    typed["panel_volume"] = Departure(Decimal(100), "m3", "contract specification")
    terms = resolve(METRIC.key, revision=1, effective_on=ON, departures=typed)
    assert set(terms.departures) == set(typed)
    assert str(terms.quantity("panel_volume")) == "100 m3"
    assert terms.quantity("restart_gap") is None
    del typed["core_age"]
    with pytest.raises(ValueError, match=r"contract: core_age, a number above 0 in"):
        resolve(METRIC.key, revision=1, effective_on=ON, departures=typed)


def test_a_name_that_is_no_term_has_no_place_in_an_edition():
    with pytest.raises(ValueError, match=r"terms pannel_volume: not in the table"):
        in_full({"pannel_volume": METRIC.values["panel_volume"]}, silent=PROJECT)


@pytest.mark.parametrize("year", [1997, 2001, 2019])
def test_a_year_without_a_printing_is_refused(year):
    with pytest.raises(ValueError, match=rf"^year {year}: no printing of the IBC"):
        ibc_section(year)


def test_sets_differ_by_value_and_unit_and_not_by_source():
    def only(name, edition):
        return {name: edition.values[name]}

    same = differences(
        only("core_average", IBC_2018), after=only("core_average", ACI_318_19)
    )
    assert same == ()
    one = only("panel_volume", UFGS_03371)
    other = only("panel_volume", UFGS_03371_METRIC)
    (found,) = differences(one, after=other)
    assert (found.name, found.before, found.after) == (
        "panel_volume",
        one["panel_volume"],
        other["panel_volume"],
    )
    (gone,) = differences(one, after={})
    assert gone.after is None
    silent = only("panel_volume", FHWA_1998)
    assert differences(silent, after={}) == ()


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
        ("idle_limit", Decimal("1E+999999"), "d", "1E+999999 d; allowed is"),
        ("idle_limit", Decimal("1E+13"), "d", "1E+13 d; allowed is"),
        ("idle_limit", Decimal("1E-13"), "d", "1E-13 d; allowed is"),
        ("idle_limit", Decimal("1." + "0" * 20), "d", "1.00000000000000000000 d; "),
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


# Source: project's choice of what a form takes in, so that a slip is told.
_SHARE = ("0.01", "1")
_BOUNDS = {
    "core_count": ("1", None),
    "early_core_count": ("0", None),
    "edge_zone_depths": ("0", "10"),
    "core_average": _SHARE,
    "core_single": _SHARE,
    "core_three_mean": _SHARE,
    "cube_average": _SHARE,
    "cube_single": _SHARE,
    "trainee_ratio": ("1", None),
    "card_vertical_from": ("0", "180"),
    "card_overhead_from": ("0", "180"),
    "mockup_vertical_from": ("0", "180"),
    "mockup_overhead_from": ("0", "180"),
    "requalify_failing_sets": ("1", None),
    "clear_diameters": ("0", "100"),
    "clear_nearer_diameters": ("0", "100"),
    "report_sign_within": ("0", None),
}


def test_every_plain_number_has_its_bounds():
    numbers = {n for n, kind in TERM_KINDS.items() if kind.shape is Shape.NUMBER}
    assert numbers == set(_BOUNDS)


@pytest.mark.parametrize("name", _BOUNDS)
def test_a_bound_is_allowed_and_the_next_number_is_not(name):
    step = Decimal(1) if TERM_KINDS[name].whole else Decimal("0.0001")
    low, high = _BOUNDS[name]
    check_term(name, Decimal(low))
    with pytest.raises(ValueError, match=f"^term {name}: "):
        check_term(name, Decimal(low) - step)
    if high is None:
        check_term(name, Decimal(1000))
        return
    check_term(name, Decimal(high))
    with pytest.raises(ValueError, match=f"^term {name}: "):
        check_term(name, Decimal(high) + step)


@pytest.mark.parametrize(
    ("name", "zero"),
    [
        ("clear_least", False),
        ("moist_first", False),
        ("required_core_strength", False),
        ("air_high", True),
        ("protection_above", True),
        ("thickness_low", True),
    ],
)
def test_a_size_is_above_zero_and_a_temperature_need_not_be(name, zero):
    unit = TERM_KINDS[name].units[0]
    check_term(name, Decimal("0.0001"), unit)
    for value in (Decimal(0), Decimal("-0.0001")):
        if zero:
            check_term(name, value, unit)
            continue
        with pytest.raises(ValueError, match="allowed is a number above 0"):
            check_term(name, value, unit)


def test_a_revision_older_than_a_term_still_reads():
    """Its shares were of f_c, for so they were called; nothing else is read into it."""
    young = ("set_mean_met", "strength_basis", "clear_least", "load_age_waivable")
    stored = {n: row for n, row in to_plain(IBC_2018.values).items() if n not in young}
    terms = Terms(1, IBC_2018.key, ON, from_plain(stored))
    assert terms.choice("strength_basis") == "f_c"
    assert str(terms.source("strength_basis")) == (
        "shares were of f_c before this was a term (contract)"
    )
    assert terms.choice("set_mean_met") == "at least"
    assert terms.quantity("clear_least") is None
    assert terms.flag("load_age_waivable") is None
    assert terms.used("clear_least") == ()
    alone = to_plain({"core_count": IBC_2018.values["core_count"]})
    assert list(from_plain(alone)) == ["core_count"]


def test_a_form_can_be_drawn_from_the_table():
    for name, kind in TERM_KINDS.items():
        assert kind.group, name
        assert kind.label, name
        assert bool(kind.choices) is (kind.shape is Shape.CHOICE), name
        assert bool(kind.units) is (kind.shape is Shape.QUANTITY), name
