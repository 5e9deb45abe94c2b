"""Strength over time by mix, and results that are due."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from crews.domain.control_series import running_means
from crews.domain.panel_run import PanelMean, judge_means
from crews.domain.strength_list import STRENGTH_UNITS, TooFew
from crews.domain.strength_set import Due
from crews.domain.strength_statistics import Spread, mix_spread
from crews.domain.trade_words import PanelKind
from crews.queries.panels import CORED, PanelRow, SetRow, panels
from project.domain.units import Quantity, convert
from project.domain.verdict import Verdict
from project.models import Job, Membership


@dataclass(frozen=True, slots=True)
class SetPoint:
    """One reported set in the order of shooting."""

    panel: PanelRow
    set: SetRow
    mean: Decimal


@dataclass(frozen=True, slots=True)
class MixSeries:
    """The reported sets of one mix revision, with the limits in the unit of f_c."""

    mix: str
    f_c: Quantity
    mean_share: Decimal | None
    single_share: Decimal | None
    points: tuple[SetPoint, ...]
    run: Verdict | None = None

    @property
    def shot(self) -> tuple[SetPoint, ...]:
        """The sets of production panels; cores in place speak of one spot."""
        production = PanelKind.PRODUCTION
        return tuple(p for p in self.points if p.panel.kind is production)

    @property
    def running(self) -> dict[str, Decimal | None]:
        """By panel the mean of its set and the two before it, once there are three."""
        means = running_means([point.mean for point in self.shot])
        return {p.panel.code: m for p, m in zip(self.shot, means, strict=True)}

    @property
    def spread(self) -> Spread | TooFew:
        """How these sets scatter; below five of them only their count."""
        unit = self.f_c.unit if self.f_c.unit in STRENGTH_UNITS else STRENGTH_UNITS[-1]
        means = [Quantity(point.mean, self.f_c.unit) for point in self.shot]
        return mix_spread([convert(mean, to=unit) for mean in means])


def strength_series(rows: Iterable[PanelRow]) -> tuple[MixSeries, ...]:
    """Return the deciding sets by mix revision; those without a result are left out."""
    by_mix: dict[str, list[SetPoint]] = defaultdict(list)
    in_order = sorted(rows, key=lambda one: (one.row.shot_from, one.code))
    for panel in in_order:
        one = panel.decisive
        if panel.kind in CORED and one is not None and one.mean is not None:
            by_mix[str(panel.mix)].append(SetPoint(panel, one, one.mean))
    series = []
    for mix in sorted(by_mix):
        points = by_mix[mix]
        terms = points[-1].panel.terms
        series.append(
            MixSeries(
                mix=mix,
                f_c=points[-1].set.f_c,
                mean_share=terms.decimal("core_average") if terms else None,
                single_share=terms.decimal("core_single") if terms else None,
                points=tuple(points),
                run=_run([row for row in in_order if str(row.mix) == mix]),
            )
        )
    return tuple(series)


def _run(rows: list[PanelRow]) -> Verdict | None:
    """Judge each three consecutive panels of a mix, where its terms ask for that.

    Each panel's mean is the one it was judged by, under the terms of its own day.
    """
    sets = [
        (row, one)
        for row in rows
        if row.kind is PanelKind.PRODUCTION and (one := row.decisive) is not None
    ]
    terms = sets[-1][0].terms if sets else None
    if terms is None or terms.decimal("core_three_mean") is None:
        return None
    means = [
        PanelMean(
            row.code,
            row.row.work_date,
            Quantity(one.mean, one.f_c.unit)
            if one.complete and one.mean is not None
            else None,
        )
        for row, one in sets
    ]
    return judge_means(means, f_c=sets[-1][1].f_c, terms=terms)


@dataclass(frozen=True, slots=True)
class DueRow:
    """A set whose result is still to come."""

    panel: PanelRow
    set: SetRow
    due: Due
    day_off: str

    @property
    def due_on(self) -> date:
        return self.set.due_on


def due_rows(
    job: Job, rows: Iterable[PanelRow], *, until: date | None = None
) -> tuple[DueRow, ...]:
    """Return what is due, the earliest first; a day off beside the day it falls on."""
    days_off = job.days_off()
    found = [
        DueRow(panel, one, one.due, _day_off(one.due_on, days_off))
        for panel in rows
        for one in panel.sets
        if one.due is not None and (until is None or one.due_on <= until)
    ]
    return tuple(sorted(found, key=lambda row: (row.due_on, row.panel.code)))


def _day_off(day: date, days_off: dict[date, str]) -> str:
    if day in days_off:
        return days_off[day]
    return f"{day:%A}" if day.weekday() >= 5 else ""


def results_due(
    job: Job,
    *,
    known_at: datetime,
    on: date,
    days: int = 7,
    for_member: Membership | None = None,
) -> tuple[DueRow, ...]:
    """Return results overdue or due within some days. Eight queries."""
    rows = panels(job, known_at=known_at, on=on, for_member=for_member)
    return due_rows(job, rows, until=on + timedelta(days=days))


@dataclass(frozen=True, slots=True)
class LabDesk:
    """A laboratory's own panels: what is due, what is drilled, what was reported."""

    due: tuple[DueRow, ...]
    reported: tuple[tuple[PanelRow, SetRow], ...]


def lab_desk(job: Job, *, known_at: datetime, on: date, member: Membership) -> LabDesk:
    """Return the desk of a member of a laboratory. Eight queries."""
    rows = panels(job, known_at=known_at, on=on, for_member=member)
    reported = [
        (panel, one)
        for panel in rows
        for one in panel.sets
        if not one.waiting and one.cores
    ]
    reported.sort(key=lambda pair: (pair[1].due_on, pair[0].code), reverse=True)
    return LabDesk(due=due_rows(job, rows), reported=tuple(reported))
