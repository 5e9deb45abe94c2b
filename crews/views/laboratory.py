"""The laboratory's desk, its reports, and strength over time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from crews.actions.laboratory import ResultEntry, amend_lab_report, enter_lab_report
from crews.charts.standing import set_shown
from crews.charts.strength import strength_chart
from crews.domain.strength_list import TooFew, reported_statistic
from crews.domain.strength_set import Due
from crews.forms.results import amended_table, result_table
from crews.forms.tables import Table
from crews.queries import choices
from crews.queries.panels import CORED, CoreRow, PanelRow, panel_page, panels
from crews.queries.strength import DueRow, MixSeries, lab_desk, strength_series
from crews.views.common import found, look, posted, posted_id, print_note
from crews.views.panels import panel_url
from project.access import GET_POST, Door, SignedIn, job_view
from project.charts.text import quantity_text
from project.domain.roles import Ability
from project.domain.verdict import State
from project.domain.working import Working

_TAB = "panels"


@job_view(Ability.ENTER_RESULTS, tab=_TAB)
def laboratory(request: SignedIn, door: Door) -> HttpResponse:
    """Show a laboratory's own panels: what is due, what was reported."""
    seen = look(request, door)
    on = door.job.local(seen.at).date()
    desk = lab_desk(door.job, known_at=seen.known_at, on=on, member=door.member)
    waiting = (Due.TODAY, Due.AWAITED, Due.OVERDUE)
    now = [row for row in desk.due if row.due in waiting]
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "due_now": [_waiting(row, on) for row in now],
        "later": [_waiting(row, on) for row in desk.due if row.due not in waiting],
        "reported": [
            (panel, one, set_shown(one, on=on)) for panel, one in desk.reported
        ],
        "reports": choices.reports(
            door.job, known_at=seen.known_at, member=door.member
        ),
    }
    return render(request, "crews/laboratory.html", context, status=seen.status)


def _waiting(row: DueRow, on: Any) -> dict[str, Any]:
    open_cores = [core for core in row.set.cores if core.result is None]
    return {"row": row, "shown": set_shown(row.set, on=on), "open": len(open_cores)}


@job_view(Ability.ENTER_RESULTS, methods=GET_POST, tab=_TAB)
def enter_results(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Enter a report on a panel's cores: a set on one page, all of it or nothing."""
    row = _own_panel(door, code)
    age = request.GET.get("age", "")
    cores = [
        core.row
        for one in row.sets
        for core in one.cores
        if age in ("", str(one.age)) and (core.result is None or _sent(request, core))
    ]
    if not cores:
        raise Http404("no core of it waits for a result")
    asked = row.terms.choice("conditioning") if row.terms else None
    table = result_table(
        posted(request),
        job=door.job,
        cores=cores,
        conditioning=asked or "",
        at=door.now,
    )
    entered = _entered(
        table,
        lambda results: enter_lab_report(
            id=table.head.cleaned_data["id"],
            by=door.member,
            results=results,
            **table.head.facts(),
        ),
    )
    if entered:
        return redirect(panel_url(door, code))
    return _table(
        request,
        table,
        label=_("Laboratory report on %(panel)s") % {"panel": code},
        title=_("Enter a set of results"),
        action_word=_("Enter the report"),
        cancel_url=reverse("laboratory", args=[door.job.code]),
    )


def _sent(request: SignedIn, core: CoreRow) -> bool:
    """Say whether a row of this core was sent, even if it was reported meanwhile."""
    return any(key.startswith(core.row.first.hex) for key in request.POST)


def _own_panel(door: Door, code: str) -> PanelRow:
    page = panel_page(
        door.job,
        code,
        known_at=door.known_at,
        on=door.local_today(),
        for_member=door.member,
    )
    return found(page, "no such panel").panel


def _entered(table: Table, enter: Callable[[list[ResultEntry]], Any]) -> bool:
    """Enter what a valid table holds; what the action refuses stands in its row."""
    if not (table.is_bound and table.is_valid()):
        return False
    try:
        enter([ResultEntry(**row.facts(table.head)) for row in table.given])
    except ValidationError as error:
        table.take_errors(error, "results")
        return False
    return True


def _table(request: SignedIn, table: Table, **words: str) -> HttpResponse:
    table.mark()
    status = 422 if table.is_bound else 200
    context = {"table": table, **words}
    return render(request, "crews/results.html", context, status=status)


@job_view(Ability.ENTER_RESULTS, methods=GET_POST, tab=_TAB)
def amend_results(request: SignedIn, door: Door, report: UUID) -> HttpResponse:
    """Enter the next letter of one's own report, which supersedes the one before."""
    if choices.report_sent(door.member, posted_id(request)):
        return redirect("laboratory", door.job.code)
    row, results = found(
        choices.report(door.job, report, known_at=door.known_at, member=door.member),
        "no such report",
    )
    table = amended_table(posted(request), job=door.job, results=results)
    entered = _entered(
        table,
        lambda entries: amend_lab_report(
            id=table.head.cleaned_data["id"],
            by=door.member,
            report=row,
            reason=table.head.cleaned_data["reason"],
            results=entries,
            **table.head.facts(),
        ),
    )
    back = panel_url(door, results[0].core.panel.code)
    if entered:
        return redirect(back)
    return _table(
        request,
        table,
        label=_("Laboratory report %(report)s") % {"report": row},
        title=_("Enter the next letter"),
        action_word=_("Enter the next letter"),
        cancel_url=back,
    )


@job_view(Ability.READ_STRENGTH, tab=_TAB)
def strength(request: SignedIn, door: Door, mix: str = "") -> HttpResponse:
    """Draw the sets of one mix against the contract's limits, the figures beside."""
    seen = look(request, door)
    on = door.job.local(seen.at).date()
    rows = panels(
        door.job, known_at=seen.known_at, on=on, for_member=door.member, kinds=CORED
    )
    every = {_key(series): series for series in strength_series(rows)}
    if mix and mix not in every:
        raise Http404("no set of this mix")
    key = mix or next(iter(every), "")
    series = every.get(key)
    context: dict[str, Any] = {
        "look": seen,
        "print_note": print_note(door, seen),
        "series": series,
    }
    if series is not None:
        context |= _series(door, series, on) | _neighbours(door, seen.moved, every, key)
    return render(request, "crews/strength.html", context, status=seen.status)


def _key(series: MixSeries) -> str:
    mix = series.points[-1].panel.mix
    return f"{mix.code}-{mix.revision}"


def _series(door: Door, series: MixSeries, on: Any) -> dict[str, Any]:
    told = {"all": len(series.points)}
    failed = sum(p.set.verdict.state is State.FAIL for p in series.points)
    said = ngettext(
        "%(n)s set of %(all)s fails.", "%(n)s sets of %(all)s fail.", failed
    )
    return {
        "chart": strength_chart(series),
        "sentence": said % (told | {"n": failed}) if failed else _("No set fails."),
        **_scatter(series),
        "run_working": _run_working(series),
        "facts": [
            (_("Specified"), quantity_text(series.f_c)),
            (_("Sets"), str(len(series.points))),
        ],
        "points": [
            {
                "point": point,
                "least": min(value for _name, value in point.set.counted),
                "shown": set_shown(point.set, on=on),
            }
            for point in series.points
        ],
    }


def _run_working(series: MixSeries) -> Working | None:
    build = series.run.working if series.run else None
    return build() if build else None


def _scatter(series: MixSeries) -> dict[str, Any]:
    """Return how the sets scatter, in words and with the working behind them."""
    spread = series.spread
    if isinstance(spread, TooFew):
        words = _("Scatter of the panels: too few, %(have)s of the %(need)s it takes.")
        return {"scatter": words % {"have": spread.have, "need": spread.need}}
    workings = [spread.mean_working(), spread.working(), spread.variation_working()]
    mean, s, variation = (quantity_text(made.reported) for made in workings)
    words = _(
        "Mean of %(n)s panels %(mean)s, standard deviation %(s)s, variation %(v)s."
    )
    means = zip(series.shot, workings[-1].inputs, strict=True)
    return {
        "scatter": words % {"n": spread.n, "mean": mean, "s": s, "v": variation},
        "scatter_working": workings[-1],
        "scatter_given": {
            "heads": (_("Panel"), _("Mean")),
            "rows": [
                (point.panel.code, quantity_text(reported_statistic(input_.quantity)))
                for point, input_ in means
            ],
        },
    }


def _neighbours(
    door: Door, moved: str, every: dict[str, MixSeries], key: str
) -> dict[str, Any]:
    """Return the mixes before and after, to leaf to."""
    keys = list(every)
    here = keys.index(key)
    beside = {"leaf_back": here - 1, "leaf_on": here + 1}
    return {
        name: {
            "url": reverse("strength_of", args=[door.job.code, keys[n]])
            + (f"?{moved}" if moved else ""),
            "name": every[keys[n]].mix,
        }
        for name, n in beside.items()
        if 0 <= n < len(keys)
    }
