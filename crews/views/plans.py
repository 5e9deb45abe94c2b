"""Planned placements: the list, one plan, and what people do to it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from crews.actions import plans as actions
from crews.forms.fields import ReasonForm, named
from crews.forms.plans import (
    PEOPLE,
    AssignForm,
    KnownForm,
    MovePlanForm,
    PlanForm,
)
from crews.queries import choices
from crews.queries.plans import PlanPage, plan_list, plan_page
from crews.views.common import (
    evidence_urls,
    found,
    look,
    posted,
    posted_id,
    print_note,
    short_form,
    tried,
)
from project.access import GET_POST, Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability
from project.queries.jobs import mixes, parts

_TAB = "operators"


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def plans(request: SignedIn, door: Door) -> HttpResponse:
    """Show what is planned by its start, and whether each operator still stands."""
    seen = look(request, door)
    rows = plan_list(
        door.job, known_at=seen.known_at, at=seen.at, for_member=door.member
    )
    zone = door.job.zone
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "facts": [
            (_("As of"), when_text(seen.at, zone=zone)),
            (_("As known"), when_text(seen.known_at, zone=zone)),
        ],
        "ahead": [row for row in rows if row.starts_at >= seen.at],
        "begun": [row for row in reversed(rows) if row.starts_at < seen.at],
        "may_plan": door.may(Ability.PLAN_WORK),
    }
    return render(request, "crews/plans.html", context, status=seen.status)


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def plan(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Show one plan: who is assigned, who was refused and why, who could be instead."""
    seen = look(request, door, KnownForm)
    page = found(
        plan_page(door.job, code, known_at=seen.known_at, for_member=door.member),
        "no such plan",
    )
    ahead = page.plan.starts_at > door.now
    own = page.plan.row.organization_id == door.member.organization_id
    context = {
        "look": seen,
        # A plan is always read as of its own start.
        "print_note": print_note(door, replace(seen, at=page.plan.starts_at)),
        "facts": [(_("As known"), when_text(seen.known_at, zone=door.job.zone))],
        "page": page,
        "plan": page.plan,
        "urls": _evidence(door, page),
        "may_plan": door.may(Ability.PLAN_WORK) and own,
        "ahead": ahead,
    }
    return render(request, "crews/plan.html", context, status=seen.status)


def _evidence(door: Door, page: PlanPage) -> dict[str, str]:
    told = [(one.code, one.verdict) for one in page.plan.refused]
    told += [(one.code, one.verdict) for one in page.plan.operators]
    return {
        id: url
        for code, verdict in told
        for id, url in evidence_urls(door, code, verdict).items()
    }


def _plan(door: Door, code: str) -> Any:
    """Return the plan of one's own firm that an address names."""
    row = choices.plan(door.job, code, known_at=door.known_at, for_member=door.member)
    return found(row, "no such plan")


def _page(door: Door, code: str) -> str:
    return reverse("plan", args=[door.job.code, code])


def _offers(door: Door) -> dict[str, Any]:
    job, at = door.job, door.known_at
    firm = door.member.organization_id
    places = choices.places(job, known_at=at, for_member=door.member)
    people = [
        (p.operator, f"{p.code} {p.operator}") for p in places if p.employer_id == firm
    ]
    drawn = parts(job, known_at=at)
    named_people = {f"operator_{n}": people for n in PEOPLE}
    return {
        "part": [
            (p.part, f"{p.code}, {p.revision.name} ({p.revision.mix_code})")
            for p in drawn
        ],
        "mix": named(mixes(job, known_at=at)),
        "rig": named(choices.rigs(job, for_member=door.member, firm=firm)),
        "operator": people,
        "supervisor": people,
        **named_people,
        **{f"supervisor_{n}": people for n in PEOPLE},
    }


@job_view(Ability.PLAN_WORK, methods=GET_POST, tab=_TAB)
def plan_placement(request: SignedIn, door: Door) -> HttpResponse:
    """Plan a placement and assign operators; who is refused is told on its page."""
    form = PlanForm(posted(request), job=door.job, offers=_offers(door))
    names = {
        f"operators.{line}.{field}": f"{field}_{line}"
        for line in PEOPLE
        for field in ("operator", "supervisor")
    }
    made = tried(form, lambda: _planned(door, form), names)
    if made is not None:
        _tell(request, made)
        return redirect(_page(door, made.planned.code))
    return short_form(
        request,
        form,
        label=_("Planned placements"),
        title=_("Plan a placement"),
        action_word=_("Plan placement"),
        cancel_url=reverse("plans", args=[door.job.code]),
    )


def _planned(door: Door, form: PlanForm) -> actions.Outcome:
    given = form.given("id", "part", "starts_at", "rig", "method", "mix")
    if given["mix"] is None:
        on = door.job.local(given["starts_at"]).date()
        given["mix"] = choices.planned_mix(
            door.job, given["part"], on=on, known_at=door.known_at
        )
    people = [actions.Asked(who, beside) for _n, who, beside in form.people()]
    return actions.plan_placement(by=door.member, operators=people, **given)


def _tell(request: SignedIn, made: actions.Outcome) -> None:
    """Say who was refused: it is kept with every reason."""
    for row in made.refused:
        told = _("%(who)s was not assigned: the record says why.")
        messages.warning(request, told % {"who": row.operator})
    if made.assigned:
        n = len(made.assigned)
        words = ngettext(
            "%(n)s operator is assigned.", "%(n)s operators are assigned.", n
        )
        messages.success(request, words % {"n": n})


@job_view(Ability.PLAN_WORK, methods=GET_POST, tab=_TAB)
def assign_operator(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Assign one more operator to a plan."""
    row = _plan(door, code)
    form = AssignForm(
        posted(request),
        job=door.job,
        offers=_offers(door),
        initial={"operator": _asked_for(request, door)},
    )
    made = tried(
        form,
        lambda: actions.assign_operator(
            by=door.member, planned=row, **form.cleaned_data
        ),
    )
    if made is not None:
        _tell(request, made)
        return redirect(_page(door, code))
    return _short(request, door, form, code, _("Assign an operator"), _("Assign"))


def _asked_for(request: SignedIn, door: Door) -> Any:
    """Start from the operator that the address names."""
    place = choices.place(
        door.job,
        request.GET.get("operator", ""),
        known_at=door.known_at,
        for_member=door.member,
    )
    return place.operator if place else None


@job_view(Ability.PLAN_WORK, methods=GET_POST, tab=_TAB)
def take_off_plan(
    request: SignedIn, door: Door, code: str, assigned: UUID
) -> HttpResponse:
    """Take an operator off a plan, with a reason."""
    _plan(door, code)
    if choices.plan_sent(door.job, posted_id(request)):
        return redirect(_page(door, code))
    row = found(
        choices.on_plan(door.job, code, assigned, known_at=door.known_at),
        "nobody assigned so",
    )
    form = ReasonForm(posted(request), job=door.job)
    gone = tried(
        form,
        lambda: actions.take_off_plan(
            by=door.member, assigned=row, **form.cleaned_data
        ),
    )
    if gone is not None:
        return redirect(_page(door, code))
    title = _("Take %(who)s off the plan") % {"who": row.operator}
    return _short(request, door, form, code, title, _("Take off the plan"))


@job_view(Ability.PLAN_WORK, methods=GET_POST, tab=_TAB)
def move_plan(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Put planned work at another time, or with another mix, rig or method."""
    row = _plan(door, code)
    known = {mix.first: mix for mix in mixes(door.job, known_at=door.known_at)}
    form = MovePlanForm(
        posted(request),
        job=door.job,
        offers=_offers(door),
        initial={
            "starts_at": row.starts_at,
            "mix": known.get(row.mix_revision_id),
            "rig": row.rig,
            "method": row.method,
        },
    )
    made = tried(
        form,
        lambda: actions.move_plan(by=door.member, planned=row, **form.cleaned_data),
    )
    if made is not None:
        _tell(request, made)
        return redirect(_page(door, code))
    return _short(request, door, form, code, _("Move the plan"), _("Move the plan"))


@job_view(Ability.PLAN_WORK, methods=GET_POST, tab=_TAB)
def withdraw_plan(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Take a plan back, with a reason."""
    if choices.plan_sent(door.job, posted_id(request)):
        return redirect(reverse("plans", args=[door.job.code]))
    row = _plan(door, code)
    form = ReasonForm(posted(request), job=door.job)
    gone = tried(
        form,
        lambda: actions.withdraw_plan(by=door.member, planned=row, **form.cleaned_data),
    )
    if gone is not None:
        return redirect(reverse("plans", args=[door.job.code]))
    title = _("Take the plan back")
    return _short(request, door, form, code, title, _("Take the plan back"))


def _short(
    request: SignedIn, door: Door, form: Any, code: str, title: str, action_word: str
) -> HttpResponse:
    return short_form(
        request,
        form,
        label=_("Plan %(code)s") % {"code": code},
        title=title,
        action_word=action_word,
        cancel_url=_page(door, code),
    )
