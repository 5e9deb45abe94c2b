"""Figures, units and times as they are written."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.template import Context, Template

from project.charts.text import number_text, quantity_text, unit_text, when_text
from project.domain.units import UNITS, Quantity

NOON = datetime(2026, 9, 14, 15, 10, tzinfo=UTC)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("2.50", "2.50"),  # as typed: the last nought was measured
        ("1234567.8", "1,234,567.8"),
        ("-151.8", "−151.8"),
        ("-0", "0"),
        ("1E+3", "1,000"),
    ],
)
def test_number(typed, shown):
    assert number_text(Decimal(typed)) == shown


def test_quantity_is_never_parted_from_its_unit():
    assert quantity_text(Quantity(Decimal("10.7"), "yd3")) == "10.7\u00a0yd³"
    assert quantity_text(Quantity(Decimal("0.96"), "1")) == "0.96"


def test_no_unit_is_shown_with_a_bare_power():
    assert not [unit for unit in UNITS if unit_text(unit)[-1:] in {*"0123456789"}]


def test_an_instant_is_shown_in_the_jobs_zone():
    # 15:10 UTC is 09:10 in Denver in September (daylight time, six hours behind).
    assert when_text(NOON, zone="America/Denver") == "14 Sep 2026, 09:10"
    assert when_text(NOON, zone="America/Denver", form="zone").endswith("09:10 MDT")
    assert when_text(NOON, zone="Pacific/Auckland", form="day") == "Tue 15 Sep 2026"


def test_a_date_stays_that_date_in_every_zone():
    assert when_text(date(2026, 9, 14), zone="Pacific/Auckland") == "14 Sep 2026"


@pytest.mark.parametrize(
    ("moment", "form", "named"),
    [
        (NOON.replace(tzinfo=None), "", "needs a zone"),
        (date(2026, 9, 14), "time", "a date without a time"),
        (NOON, "long", "allowed are date, day"),
    ],
)
def test_what_cannot_be_meant_is_refused(moment, form, named):
    with pytest.raises(ValueError, match=named):
        when_text(moment, form=form)


def test_tags_write_nothing_for_what_is_not_there():
    text = "{% load look %}[{% when x job %}{% quantity x 'in' %}{% number x %}]"
    assert Template(text).render(Context({"x": None, "job": "UTC"})) == "[]"
