"""The calculations of the trade: their list, and one page that is the same for all."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inspections.domain.calculation_list import by_subject
from inspections.domain.calculations import CALCULATIONS
from inspections.forms.working import WorkingForm, edition_name
from project.access import Door, SignedIn, job_view
from project.charts.text import quantity_text
from project.domain.calculation_running import Worked
from project.domain.roles import Ability
from project.domain.term_kinds import kind_of
from project.domain.verdict import Known
from project.domain.working import Used, Working
from project.queries.jobs import terms_revisions

_TAB = "job_settings"


@job_view(Ability.READ_JOB, tab=_TAB)
def workings(request: SignedIn, door: Door) -> HttpResponse:
    """List what can be worked out, those asked most first."""
    context = {"groups": by_subject(CALCULATIONS.values())}
    return render(request, "inspections/workings.html", context)


@job_view(Ability.READ_JOB, tab=_TAB)
def working(request: SignedIn, door: Door, name: str) -> HttpResponse:
    """Show one calculation's form and, where the address gives inputs, its figure."""
    calculation = CALCULATIONS.get(name)
    if calculation is None:
        raise Http404("no such calculation")
    revisions = terms_revisions(door.job, known_at=door.known_at)
    form = WorkingForm(
        calculation,
        request.GET,
        job=door.job,
        revisions=[row.facts() for row in revisions],
        today=door.local_today(),
    )
    context = {
        "calculation": calculation,
        "form": form,
        "print_note": calculation.title,
        "leaf_back": {
            "url": reverse("workings", args=[door.job.code]),
            "name": _("All calculations"),
        },
    }
    if form.worked is not None:
        context |= _answered(form.worked)
    status = 422 if form.errors else 200
    return render(request, "inspections/working.html", context, status=status)


def _answered(worked: Worked) -> dict[str, Any]:
    """Return the answer, under which terms, and the settings no figure names itself."""
    # A figure that is asked for by name and used as well is shown once.
    terms, figures = worked.terms, tuple(dict.fromkeys(worked.answer.figures.values()))
    named = {used.term for figure in figures for used in figure.settings}
    used = terms.used(*worked.calculation.settings)
    return {
        "answer": worked.answer,
        "figures": [(figure, _given(worked, figure)) for figure in figures],
        "edition": edition_name(terms) if worked.calculation.settings else "",
        "terms": terms,
        "changed": _labelled(each for each in used if each.source.known is Known.TYPED),
        "also_used": _labelled(each for each in used if each.term not in named),
    }


def _given(worked: Worked, figure: Working) -> dict[str, Any]:
    """Return a figure's inputs under the words of the form they were typed in."""
    labels = {field.name: field.label for field in worked.calculation.fields}
    rows = [
        (labels.get(given.name, given.name), quantity_text(given.quantity))
        for given in figure.inputs
    ]
    return {"heads": (_("Given"), _("As typed")), "rows": rows}


def _labelled(used: Iterable[Used]) -> list[dict[str, Any]]:
    return [{"label": kind_of(each.term).label, "used": each} for each in used]
