"""One core, one mean: what the demo job's verdicts hang on, and that the page says so.

The settings are where documents part: a percent compared strictly or rounded
(ACI committee manual 11.6.7, as quoted, read), shares of 0.85 and 0.75 or of 1.00 and
0.85 (IBC 2009 1913.10.3 and UFGS 03371, read), and the mean of three consecutive panels
(ACI 318-19, 26.12.4, from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from django.test import Client
from django.urls import reverse

from crews.domain.trade_words import PanelKind
from crews.queries.panels import CORED, panel_page, panels
from crews.queries.strength import MixSeries, strength_series
from project.actions.jobs import revise_terms
from project.domain.editions import Departure
from project.domain.identity import derived
from project.domain.roles import Role
from project.domain.units import Quantity
from project.domain.verdict import State
from project.models import Job
from project.queries.jobs import members_of, terms_revisions
from tests.support.demo import SCENARIO

ON = SCENARIO.as_of.astimezone(SCENARIO.zone).date()


@contextmanager
def _terms(job: Job, **changed: Any) -> Iterator[None]:
    """Put a revision in force from the last one's day on, and take it back after."""
    last = max(terms_revisions(job, known_at=SCENARIO.as_of), key=lambda r: r.number)
    facts = last.facts()
    given = {
        name: Departure(term.value, term.unit, term.reason, term.source)
        for name, term in facts.departures.items()
    }
    given |= {
        name: Departure(value.value, value.unit, "asked by the engineer")
        if isinstance(value, Quantity)
        else Departure(value, None, "asked by the engineer")
        for name, value in changed.items()
    }
    (manager, *_) = members_of(job, role=Role.JOB_ADMINISTRATOR)
    with transaction.atomic():
        revise_terms(
            id=derived(last.pk, "tried"),
            by=manager,
            number=last.number + 1,
            edition=facts.edition,
            effective_on=facts.effective_on,
            departures=given,
        )
        yield
        transaction.set_rollback(True)


def _seen(job: Job, name: str, *args: str, **asked: str) -> str:
    """Return a page as an engineer reads it, its words without the marks."""
    client = Client()
    client.force_login(members_of(job, role=Role.ENGINEER)[0].user)
    response = client.get(reverse(name, args=[job.code, *args]), asked)
    assert response.status_code == 200
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(unescape(plain).split())


def _state(job: Job, code: str) -> str:
    page = panel_page(job, code, known_at=SCENARIO.as_of, on=ON)
    assert page is not None
    return page.panel.state.value


def test_a_percent_rounded_or_not_decides_the_one_low_core(demo):
    assert _state(demo, "TP-010") == "fail"
    strict = _seen(demo, "panel", "TP-010", age="28")
    assert "Shares are compared strict" in strict
    with _terms(demo, core_rounding="rounded"):
        assert _state(demo, "TP-010") == "pass"
        assert "Shares are compared rounded" in _seen(demo, "panel", "TP-010", age="28")
    assert _state(demo, "TP-010") == "fail"


def test_shares_of_one_document_or_the_other_decide_a_weak_panel(demo):
    """TP-008: 3,673 psi in the mean, 3,310 the lowest; f_c is 4,500."""
    assert _state(demo, "TP-008") == "fail"
    assert "Shares are of f_c" in _seen(demo, "panel", "TP-008", age="28")
    ufgs = {
        "strength_basis": "required core strength",
        "required_core_strength": Quantity(Decimal(3600), "psi"),
        "core_average": Decimal("1.00"),
        "core_single": Decimal("0.85"),
    }
    with _terms(demo, **ufgs):
        assert _state(demo, "TP-008") == "pass"
        page = _seen(demo, "panel", "TP-008", age="28")
    assert "Shares are of required core strength" in page
    assert "Mean of the set, share 1.00" in page
    ufgs["required_core_strength"] = None
    with (
        pytest.raises(ValidationError, match="required_core_strength: not given"),
        _terms(demo, **ufgs),
    ):
        pass


def test_where_terms_ask_it_the_run_of_panels_stands_beside_the_sets(demo):
    mix = "W-45A-2"
    assert "Three consecutive panels" not in _seen(demo, "strength_of", mix)
    with _terms(demo, core_three_mean=Decimal("1.00")):
        page = _seen(demo, "strength_of", mix)
        (series,) = [s for s in _series(demo) if s.mix == "W-45A rev 2"]
    production = [p for p in series.points if p.panel.kind is PanelKind.PRODUCTION]
    means = [point.mean for point in production]
    threes = [sum(means[n : n + 3]) / 3 for n in range(len(means) - 2)]
    found = [r for r in series.run.reasons if r.key == "three panels"]
    assert len(found) == len(threes) == 6
    low = any(three < series.f_c.value for three in threes)
    assert series.run.state is (State.FAIL if low else State.PASS)
    assert "Three consecutive panels" in page
    assert "Mean of three consecutive panels of a mix, share 1.00" in page


def _series(job: Job) -> tuple[MixSeries, ...]:
    return strength_series(panels(job, known_at=SCENARIO.as_of, on=ON, kinds=CORED))


def test_which_count_is_the_larger_decides_what_is_owed_and_both_are_shown(demo):
    """Source: ACI 506.2-13, whichever gives most panels (read as quoted): over what?"""
    assert "both interpretations of the larger count owe 28" in _seen(demo, "panels")
    four = Quantity(Decimal(4), "yd3")  # small enough that two shifts part them
    with _terms(demo, panel_volume=four):
        over_all = _seen(demo, "panels")
    with _terms(demo, panel_volume=four, panel_count="per cell"):
        each = _seen(demo, "panels")
    found = re.search(r"per cell (\d+), global (\d+) \(used\)", over_all)
    assert found is not None
    per_cell, globally = int(found[1]), int(found[2])
    assert per_cell > globally > 28
    assert f"Owed to date {globally}" in over_all
    assert f"per cell {per_cell} (used), global {globally}" in each
    assert f"Owed to date {per_cell}" in each
    assert "The larger count is taken per cell" in each


def test_the_code_alone_owes_less_than_the_contract(demo):
    with _terms(demo, panel_per="mix", panel_period="shift"):
        page = _seen(demo, "panels")
    assert "Owed to date 26" in page
    assert "At least one for each mix" in page
