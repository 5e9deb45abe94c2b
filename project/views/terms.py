"""The contract's terms: a revision read in full, a departure, another edition."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from project.access import GET_POST, Door, SignedIn, job_view
from project.actions import jobs as actions
from project.domain.editions import Departure, departing, differences, edition_of
from project.domain.roles import Ability
from project.domain.term_kinds import TERM_KINDS
from project.domain.terms import Terms, TermValue
from project.forms.terms import EditionChooser, EditionForm, TermChooser, TermForm
from project.queries import jobs as queries

_TAB = "job_settings"


@job_view(Ability.READ_JOB, tab=_TAB)
def terms(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Show one revision of the terms in full, each value with its source."""
    revisions = queries.terms_revisions(door.job, known_at=door.known_at)
    found = next((row for row in revisions if row.number == number), None)
    if found is None:
        raise Http404("no such revision")
    facts = found.facts()
    latest = found.number == revisions[-1].number
    groups = _groups(facts.values)
    context = {
        "revision": found,
        "pages": _two_pages(groups),
        "edition": edition_of(found.edition).name,
        "silent": sum(len(group["silent"]) for group in groups),
        "departures": len(facts.departures),
        "may_depart": latest and door.may(Ability.MANAGE_SETTINGS),
    }
    return render(request, "project/terms.html", context)


def _groups(values: Mapping[str, TermValue]) -> list[dict[str, Any]]:
    """Return terms by group: those given as rows, the rest by name.

    A term younger than the revision has no value in it and stands with the rest.
    """
    groups: dict[str, dict[str, Any]] = {}
    for name, kind in TERM_KINDS.items():
        group = groups.setdefault(
            kind.group, {"name": kind.group, "rows": [], "silent": []}
        )
        term = values.get(name)
        row = {"name": name, "kind": kind, "term": term}
        # A value that the contract took away is a departure and keeps its row.
        stands = term is not None and (term.value is not None or term.departure)
        group["rows" if stands else "silent"].append(row)
    return list(groups.values())


def _two_pages(groups: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    """Open the groups as two facing pages of about one length."""
    lines = [len(group["rows"]) + 2 for group in groups]
    near = min(
        range(1, len(groups)), key=lambda n: abs(sum(lines[:n]) - sum(lines[n:]))
    )
    return [groups[:near], groups[near:]]


@job_view(Ability.MANAGE_SETTINGS, methods=GET_POST, tab=_TAB)
def revise_terms(request: SignedIn, door: Door) -> HttpResponse:
    """Depart from the terms in force by one value: the next revision."""
    latest = _latest(door)
    if latest is None:
        raise Http404("no terms to depart from")
    asked = request.POST if request.method == "POST" else request.GET
    name = asked.get("term", "")
    if name not in TERM_KINDS:
        return _choose(request, name)
    now = latest.values.get(name)
    form = TermForm(
        request.POST if request.method == "POST" else None,
        job=door.job,
        term=name,
        now=now,
        initial={"effective_on": door.local_today()},
    )
    if form.is_valid():
        term, departure = form.departure()
        departures = _kept(latest) | {term: departure}
        saved = _revise(door, form, latest, latest.edition, departures)
        if saved is not None:
            return saved
    kind = TERM_KINDS[name]
    context = {
        "form": form,
        "kind": kind,
        "stands": now,
        "own": edition_of(latest.edition).values[name],
        "edition": edition_of(latest.edition).name,
    }
    status = 422 if form.is_bound else 200
    return render(request, "project/revise_terms.html", context, status=status)


def _choose(request: SignedIn, name: str) -> HttpResponse:
    """Draw the list of terms; a name that is none of them is said."""
    form = TermChooser({"term": name} if name else None)
    context = {
        "form": form,
        "label": _("Terms"),
        "title": _("Depart from the terms in force"),
        "action_word": _("Go on"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "project/choose_term.html", context, status=status)


@job_view(Ability.MANAGE_SETTINGS, methods=GET_POST, tab=_TAB)
def change_edition(request: SignedIn, door: Door) -> HttpResponse:
    """Start from another requirement set, or let a job's terms begin with one."""
    latest = _latest(door)
    asked = request.POST if request.method == "POST" else request.GET
    chooser = EditionChooser(
        {"edition": asked["edition"]} if "edition" in asked else None
    )
    context: dict[str, Any] = {"chooser": chooser, "latest": latest}
    if latest is not None:
        context["from_edition"] = edition_of(latest.edition).name
    if not chooser.is_valid():
        status = 422 if chooser.is_bound else 200
        return render(request, "project/change_edition.html", context, status=status)
    edition = edition_of(chooser.cleaned_data["edition"])
    kept = departing(edition.key, _kept(latest)) if latest else {}
    form = EditionForm(
        request.POST if request.method == "POST" else None,
        job=door.job,
        asked=[name for name in edition.asks if name not in kept],
        initial={"effective_on": door.local_today()},
    )
    if form.is_valid():
        given = kept | form.departures()
        saved = _revise(door, form, latest, edition.key, given)
        if saved is not None:
            return saved
    departed = {
        name: TermValue(each.value, each.unit, each.source, True, each.reason)
        for name, each in kept.items()
    }
    context |= {
        "form": form,
        "edition": edition,
        "kept": [{"kind": TERM_KINDS[n], "term": t} for n, t in departed.items()],
        "changes": [
            {"kind": TERM_KINDS[each.name], "before": each.before, "after": each.after}
            for each in differences(
                latest.values if latest else {}, after={**edition.values, **departed}
            )
        ],
    }
    status = 422 if form.is_bound else 200
    return render(request, "project/change_edition.html", context, status=status)


def _latest(door: Door) -> Terms | None:
    revisions = queries.terms_revisions(door.job, known_at=door.known_at)
    return revisions[-1].facts() if revisions else None


def _kept(latest: Terms) -> dict[str, Departure]:
    return {
        name: Departure(term.value, term.unit, term.reason, term.source)
        for name, term in latest.departures.items()
    }


def _revise(
    door: Door,
    form: TermForm | EditionForm,
    latest: Terms | None,
    edition: str,
    departures: Mapping[str, Departure],
) -> HttpResponse | None:
    """Put the next revision in force, or show what was refused."""
    try:
        row = actions.revise_terms(
            id=form.cleaned_data["id"],
            by=door.member,
            number=latest.revision + 1 if latest else 1,
            edition=edition,
            effective_on=form.cleaned_data["effective_on"],
            departures=departures,
        )
    except ValidationError as error:
        form.take_errors(error)
        return None
    return redirect("job_terms", door.job.code, row.number)
