"""The pages of the contract's terms: read, departed from, begun from another set."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from project import clock
from project.actions.jobs import revise_terms
from project.domain.editions import EDITIONS, METRIC, Departure, to_plain
from project.domain.term_kinds import TERM_KINDS
from project.domain.verdict import Known, Source
from project.models import TermsRevision, new_id
from tests.project.conftest import START

_C1140 = Source("ASTM C1140", "distance of cores from the edge", known=Known.MEMORY)
# What a contract might give where the metric set gives nothing.
_TYPED = {
    "panel_period": "work date",
    "panel_per": "mix and operator",
    "panel_position": "yes",
    "panel_count": "per cell",
    "core_count": "3",
    "core_age_0": "28",
    "core_age_1": "d",
    "strength_unit": "MPa",
    "ld_limit": "under 1.94",
    "strength_basis": "f_c",
    "core_average": "0.90",
    "set_mean_met": "at least",
    "core_single": "0.80",
    "core_rounding": "strict",
    "card_last_day_inclusive": "yes",
    "trainee_parts": "no part",
    "continuous_inspection": "no",
    "associate_signs_alone": "no",
    "packet_prepared_by": "inspection agency",
}
_WHEN = {"effective_on": "2026-08-01", "reason": "section 3.4"}


@pytest.fixture
def bare(book):
    """A client signed in on a job that has no terms yet."""
    book.client = Client()
    book.client.force_login(book.user)
    with clock.set_to(START):
        yield book


@pytest.fixture
def pages(bare):
    """The same with a first revision and two departures."""
    revise_terms(
        id=new_id(),
        by=bare.admin,
        number=1,
        edition="ibc-2018-1908",
        effective_on=date(2026, 7, 1),
        departures={
            "edge_zone_add": Departure(Decimal(1), "in", "section 2.1", _C1140),
            "panel_depth_least": Departure(Decimal("3.5"), "in", "section 2.2"),
        },
    )
    return bare


def _get(pages, page, /, *args, **asked):
    address = reverse(page, args=[pages.job.code, *args])
    answer = pages.client.get(address, asked)
    return answer.status_code, unescape(answer.content.decode())


def _post(pages, page, /, **data):
    address = reverse(page, args=[pages.job.code])
    answer = pages.client.post(address, data)
    return answer.status_code, unescape(answer.content.decode())


def test_a_revision_tells_what_is_given_and_what_neither_gives(pages):
    status, page = _get(pages, "job_terms", 1)
    assert status == 200
    assert "There are 2 departures." in page
    silent = [
        name
        for name, term in TermsRevision.objects.get().facts().values.items()
        if term.value is None
    ]
    assert f"{len(silent)} terms are not given by either" in page
    for name in silent:
        assert TERM_KINDS[name].label in page
    assert "?term=core_average" in page
    assert "?term=load_age" not in page


def test_a_revision_older_than_a_term_lists_it_as_not_given(pages, monkeypatch):
    def before(terms):
        young = ("lap_rule", "air_high")
        return {n: v for n, v in to_plain(terms.values).items() if n not in young}

    monkeypatch.setattr(TermsRevision, "values_of", staticmethod(before))
    data = _WHEN | {"term": "core_rounding", "value": "rounded"}
    assert _post(pages, "revise_terms", **data)[0] == 302
    assert "lap_rule" not in TermsRevision.objects.get(number=2).values
    status, page = _get(pages, "job_terms", 2)
    assert status == 200
    assert "?term=lap_rule" not in page
    assert TERM_KINDS["lap_rule"].label in page
    assert _get(pages, "revise_terms", term="lap_rule")[0] == 200


def test_the_chooser_offers_every_term_and_says_a_wrong_one(pages):
    status, page = _get(pages, "revise_terms")
    assert status == 200
    for name in TERM_KINDS:
        assert f'value="{name}"' in page
    status, page = _get(pages, "revise_terms", term="re_entry_strength")
    assert status == 422
    assert "re_entry_strength is not one of the available choices" in page


@pytest.mark.parametrize(
    ("term", "offered", "not_offered"),
    [
        ("curing_pause", ['value="the count begins again" selected', 'value=""'], []),
        ("core_rounding", ['value="rounded"'], ['<option value="">']),
        ("continuous_inspection", ['value="yes" selected', 'value="no"'], []),
        ("panel_volume", ['value="50"', 'value="yd3" selected'], ['value="psi"']),
        ("air_high", ['value="F"', 'value=""'], ['value="psi"']),
    ],
)
def test_a_term_is_asked_for_in_its_own_words(pages, term, offered, not_offered):
    status, page = _get(pages, "revise_terms", term=term)
    assert status == 200
    for text in offered:
        assert text in page
    form = page.split("<form", 1)[1]
    for text in not_offered:
        assert text not in form


def test_a_departure_keeps_the_sources_of_those_before_it(pages):
    data = _WHEN | {"term": "air_high", "value": "95", "unit": "F"}
    assert _post(pages, "revise_terms", **data)[0] == 302
    terms = TermsRevision.objects.get(number=2).facts()
    assert str(terms.quantity("air_high")) == "95 F"
    assert terms.source("edge_zone_add") == _C1140
    empty = _WHEN | {"term": "restart_gap", "value": "", "unit": "min"}
    assert _post(pages, "revise_terms", **empty)[0] == 302
    assert TermsRevision.objects.get(number=3).facts().quantity("restart_gap") is None


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"term": "air_high", "value": "95"}, "95; allowed is a number in one of C, F"),
        ({"term": "air_high", "value": "95", "unit": "K"}, "K; allowed are C, F"),
        ({"term": "air_high", "value": "10", "unit": "F"} , "less than air_high, 10 F"),
        ({"term": "air_high", "value": "1e99", "unit": "F"}, "1E+99 F; allowed is"),
        ({"term": "air_high", "value": "9" * 61, "unit": "F"}, "at most 60 characters"),
        ({"term": "core_average", "value": "NaN"}, "NaN; allowed is a number from"),
        ({"term": "largest_bar", "value": "No. 12"}, "allowed is one of No. 3, No. 4"),
    ],
)  # fmt: skip
def test_a_wrong_value_is_said_with_what_is_allowed(pages, wrong, said):
    low = _WHEN | {"term": "air_low", "value": "40", "unit": "F"}
    assert _post(pages, "revise_terms", **low)[0] == 302
    status, page = _post(pages, "revise_terms", **(_WHEN | wrong))
    assert status == 422
    assert said in page
    assert TermsRevision.objects.count() == 2


@pytest.mark.parametrize("key", EDITIONS)
def test_each_set_shows_what_would_change(pages, key):
    status, page = _get(pages, "change_edition", edition=key)
    assert status == 200
    assert EDITIONS[key].name in page
    stays = EDITIONS[key].values["edge_zone_add"].value != Decimal(1)
    assert ("section 2.1" in page) is stays
    assert ("No value changes." in page) is key.startswith("ibc-")


def test_a_set_that_is_none_is_said(pages):
    status, page = _get(pages, "change_edition", edition="aci-506.2-2016")
    assert status == 422
    assert "aci-506.2-2016" in page


def test_another_set_keeps_the_departures_that_still_depart(pages):
    """ACI 318-19 itself asks the C1140 edge zone and depth: no departure is left."""
    status, _ = _post(pages, "change_edition", edition="aci-318-2019", **_WHEN)
    assert status == 302
    terms = TermsRevision.objects.get(number=2).facts()
    assert terms.edition == "aci-318-2019"
    assert terms.departures == {}
    assert terms.decimal("core_three_mean") == 1
    status, _ = _post(pages, "change_edition", edition="ufgs-03371", **_WHEN)
    assert status == 302
    assert TermsRevision.objects.get(number=3).facts().departures == {}


def test_the_metric_set_asks_for_each_value_and_saves_nothing_without(pages):
    data = _WHEN | _TYPED | {"edition": METRIC.key}
    assert sorted(METRIC.asks) == sorted(n.split("_0")[0] for n in _TYPED if n[-2:] != "_1")  # fmt: skip
    for name in METRIC.asks:
        without = {k: v for k, v in data.items() if k not in (name, f"{name}_0")}
        status, page = _post(pages, "change_edition", **without)
        assert status == 422, name
        assert "One entry needs another look." in page
    for wrong, said in (
        ({"core_average": "90"}, "90; allowed is a number from 0.01 to 1"),
        ({"core_count": "2.5"}, "2.5; allowed is a whole number from 1"),
        ({"core_single": "most"}, "most is not a number; allowed is a number from"),
        ({"core_age_0": "0"}, "0 d; allowed is more than 0"),
    ):
        status, page = _post(pages, "change_edition", **(data | wrong))
        assert (status, said in page) == (422, True), page
    assert TermsRevision.objects.count() == 1
    assert _post(pages, "change_edition", **data)[0] == 302
    terms = TermsRevision.objects.get(number=2).facts()
    assert terms.choice("strength_unit") == "MPa"
    assert terms.flag("continuous_inspection") is False
    assert str(terms.quantity("core_age")) == "28 d"
    assert set(terms.departures) == {*METRIC.asks, "edge_zone_add", "panel_depth_least"}


def test_a_job_without_terms_begins_with_a_set(bare):
    status, page = _get(bare, "job_settings")
    assert status == 200
    assert reverse("change_edition", args=[bare.job.code]) in page
    assert _get(bare, "revise_terms")[0] == 404
    assert _get(bare, "change_edition")[0] == 200
    data = _WHEN | {"edition": "ibc-2009-1913", "id": str(new_id())}
    assert _post(bare, "change_edition", **data)[0] == 302
    assert _post(bare, "change_edition", **data)[0] == 302
    row = TermsRevision.objects.get()
    assert (row.number, row.edition) == (1, "ibc-2009-1913")
