"""The control chart of one mix: its sets against the limits of the contract."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from crews.queries.strength import MixSeries, SetPoint
from project.charts.control_chart import ChartSet, ChartWords, Limit, control_chart
from project.charts.drawing import Drawing
from project.charts.text import number_text
from project.domain.showing import beside
from project.domain.verdict import State

# Decimals of a mean that is written out, by its unit.
_PLACES = {"MPa": 1}


def strength_chart(
    series: MixSeries, *, width: float = 760, height: float = 420
) -> Drawing:
    """Return the chart of a mix; the same drawing serves the page and the packet.

    Without shares in the terms only f_c is drawn as a limit, thrice.
    """
    f_c, unit = series.f_c.value, series.f_c.unit
    mean = f_c * (series.mean_share or Decimal(1))
    running = series.running
    least = f_c * (series.single_share or Decimal(1))
    return control_chart(
        [
            _set(point, limit=mean, unit=unit, running=running.get(point.panel.code))
            for point in series.points
        ],
        specified=Limit(_("f_c %(value)s") % {"value": _plain(f_c)}, f_c),
        mean_limit=Limit(_("mean %(value)s") % {"value": _plain(mean)}, mean),
        least_limit=Limit(_("each core %(value)s") % {"value": _plain(least)}, least),
        unit=unit,
        words=_words(series),
        width=width,
        height=height,
    )


def _set(
    point: SetPoint, *, limit: Decimal, unit: str, running: Decimal | None
) -> ChartSet:
    part = point.panel.row.part
    return ChartSet(
        code=point.panel.code,
        place=part.code if part else "",
        mean=Decimal(beside(point.mean, limit, places=_PLACES.get(unit, 0))),
        cores=tuple(strength for _name, strength in point.set.counted),
        failed=point.set.verdict.state is State.FAIL,
        running=running,
    )


def _words(series: MixSeries) -> ChartWords:
    failed = [p.panel.code for p in series.points if p.set.verdict.failed]
    told = {
        "mix": series.mix,
        "sets": len(series.points),
        "failed": ", ".join(failed) or _("none"),
    }
    return ChartWords(
        title=_("Strength of %(mix)s") % told,
        description=_("%(sets)s sets in the order of shooting; failed: %(failed)s.")
        % told,
        empty=_("No set tested yet"),
    )


def _plain(value: Decimal) -> str:
    return number_text(Decimal(f"{value.normalize():f}"))
