"""How the demo's panels scatter: on the page, against the statistics module."""

from __future__ import annotations

import re
import statistics
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from crews.charts.strength import strength_chart
from crews.domain.trade_words import PanelKind
from crews.queries.panels import CORED, panels
from crews.queries.strength import MixSeries, strength_series
from project.domain.roles import Role
from project.models import Job
from project.queries.jobs import members_of
from tests.support.demo import SCENARIO


def _seen(job: Job, mix: str) -> str:
    client = Client()
    client.force_login(members_of(job, role=Role.OWNER)[0].user)
    response = client.get(reverse("strength_of", args=[job.code, mix]))
    assert response.status_code == 200
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(unescape(plain).split())


def _series(job: Job, mix: str) -> MixSeries:
    on = SCENARIO.as_of.astimezone(SCENARIO.zone).date()
    rows = panels(job, known_at=SCENARIO.as_of, on=on, kinds=CORED)
    return next(one for one in strength_series(rows) if one.mix == mix)


def _means(series: MixSeries) -> list[float]:
    production = PanelKind.PRODUCTION
    return [float(p.mean) for p in series.points if p.panel.kind is production]


def test_the_page_tells_the_scatter_of_production_panels_and_its_working(demo):
    means = _means(_series(demo, "W-45A rev 2"))
    mean, s = statistics.fmean(means), statistics.stdev(means)
    page = _seen(demo, "W-45A-2")
    assert (
        f"Mean of {len(means)} panels {mean:,.0f} psi, "
        f"standard deviation {s:,.0f} psi, variation {100 * s / mean:.1f} %."
    ) in page
    assert f"{s:.2f} psi" in page.partition("How the panels scatter")[2]


def test_two_panels_are_too_few_for_a_scatter(demo):
    page = _seen(demo, "D-60-1")
    assert "Scatter of the panels: too few, 2 of the 5 it takes." in page
    assert "How the panels scatter" not in page


def test_the_chart_draws_running_means_of_production_panels(demo):
    series = _series(demo, "W-45A rev 2")
    means = _means(series)
    threes = [statistics.fmean(means[n : n + 3]) for n in range(len(means) - 2)]
    running = series.running
    found = [float(mean) for mean in running.values() if mean is not None]
    assert found == pytest.approx(threes)
    assert [code for code, mean in running.items() if mean is None] == [
        "TP-001",
        "TP-002",
    ]
    assert "IP-01" not in running
    lines = [s for s in strength_chart(series).shapes if type(s).__name__ == "Polyline"]
    assert [len(line.points) for line in lines] == [len(threes)]
