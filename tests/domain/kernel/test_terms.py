"""Terms read by name: absent is not given, and never another kind of value."""

from datetime import date
from decimal import Decimal

import pytest

from project.domain.terms import Terms, TermValue, terms_on
from project.domain.units import Quantity
from project.domain.verdict import Known, Source

CONTRACT = Source("contract", known=Known.CONTRACT)
VALUES = {
    "core_count": TermValue(Decimal(3), None, CONTRACT),
    "panel_volume": TermValue(Decimal(50), "yd3", CONTRACT),
    "core_rounding": TermValue("strict", None, CONTRACT),
    "panel_position": TermValue(False, None, CONTRACT, True, "specified"),
    "load_age": TermValue(None, None, CONTRACT),
}
READERS = ("decimal", "quantity", "choice", "flag")


def _terms(revision=1, effective_on=date(2026, 7, 1)):
    return Terms(revision, "an edition", effective_on, VALUES)


def test_each_kind_is_read_by_its_own_reader():
    terms = _terms()
    assert terms.decimal("core_count") == 3
    assert terms.quantity("panel_volume") == Quantity(Decimal(50), "yd3")
    assert terms.choice("core_rounding") == "strict"
    assert terms.flag("panel_position") is False


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("name", ["load_age", "no such term"])
def test_what_is_not_given_reads_as_nothing(reader, name):
    assert getattr(_terms(), reader)(name) is None
    assert _terms().get(name) is None


@pytest.mark.parametrize(
    ("reader", "name", "message"),
    [
        ("decimal", "core_rounding", "term core_rounding: 'strict' is not a number"),
        ("decimal", "panel_position", "term panel_position: False is not a number"),
        ("quantity", "core_count", "term core_count: no unit given"),
        ("choice", "core_count", "is not a named setting"),
        ("flag", "core_count", "is not yes or no"),
    ],
)
def test_another_kind_of_value_is_refused(reader, name, message):
    with pytest.raises(ValueError, match=message):
        getattr(_terms(), reader)(name)


def test_departures_and_sources_are_named():
    assert list(_terms().departures) == ["panel_position"]
    assert _terms().source("load_age") == CONTRACT
    with pytest.raises(KeyError):
        _terms().source("no such term")


def test_a_term_younger_than_the_revision_says_so():
    assert _terms().get("air_high") is None
    assert str(_terms().source("air_high")) == (
        "contract, the term is younger than this revision (contract)"
    )


@pytest.mark.parametrize(
    ("on", "revision"),
    [
        (date(2026, 6, 30), None),
        (date(2026, 7, 1), 1),
        (date(2026, 8, 2), 1),
        (date(2026, 8, 3), 3),
    ],
)
def test_the_revision_in_force_is_the_latest_begun_and_then_the_higher(on, revision):
    august = date(2026, 8, 3)
    revisions = [_terms(), _terms(3, august), _terms(2, august)]
    found = terms_on(revisions, on=on)
    assert (found and found.revision) == revision
