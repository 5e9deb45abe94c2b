"""The job's settings: mixes, elements and parts, members."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from project.access import GET_POST, Door, SignedIn, job_view
from project.actions import accounts as people
from project.actions import jobs as actions
from project.domain.editions import edition_of
from project.domain.roles import Ability, Role
from project.forms.settings import (
    ApproveMixForm,
    ElementForm,
    EndMemberForm,
    MemberForm,
    MixForm,
    PartForm,
    reinforcement_words,
)
from project.queries import accounts as people_found
from project.queries import jobs as queries

_TAB = "job_settings"


@job_view(Ability.READ_JOB)
def job_settings(request: SignedIn, door: Door) -> HttpResponse:
    """Show what the contract says: terms in force, mixes, parts, members."""
    revisions = queries.terms_revisions(door.job, known_at=door.known_at)
    terms = queries.terms_in_force(
        door.job, on=door.local_today(), known_at=door.known_at
    )
    context = {
        "terms": terms,
        "edition": edition_of(terms.edition).name if terms else "",
        "departures": terms.departures if terms else {},
        "revisions": revisions,
        "mixes": queries.mixes(door.job, known_at=door.known_at),
        "elements": queries.elements(door.job),
        "parts": queries.parts(door.job, known_at=door.known_at),
        "members": queries.members_of(door.job),
        "may_set": door.may(Ability.MANAGE_SETTINGS),
        "may_let_in": door.may(Ability.MANAGE_MEMBERS),
        "may_approve": door.may(Ability.APPROVE_MIX),
        "may_audit": door.may(Ability.READ_AUDIT),
    }
    return render(request, "project/job_settings.html", context)


@job_view(Ability.MANAGE_SETTINGS, methods=GET_POST, tab=_TAB)
def add_mix(request: SignedIn, door: Door) -> HttpResponse:
    """Enter a revision of a mix design."""
    form = MixForm(request.POST if request.method == "POST" else None, job=door.job)
    if form.is_valid():
        data = form.cleaned_data
        try:
            actions.revise_mix(
                id=data["id"],
                by=door.member,
                code=data["code"],
                revision=data["revision"],
                **form.facts(),
            )
            return redirect(_TAB, door.job.code)
        except ValidationError as error:
            form.take_errors(error)
    return _form(
        request,
        form,
        label=_("Mixes"),
        title=_("Enter a mix revision"),
        action_word=_("Enter mix revision"),
    )


@job_view(Ability.APPROVE_MIX, methods=GET_POST, tab=_TAB)
def approve_mix(
    request: SignedIn, door: Door, code: str, revision: int
) -> HttpResponse:
    """Put the engineer's approval on a mix revision."""
    rows = queries.mixes(door.job, known_at=door.known_at)
    mix = next((m for m in rows if m.code == code and m.revision == revision), None)
    if mix is None:
        raise Http404("no such mix revision")
    form = ApproveMixForm(
        request.POST if request.method == "POST" else None,
        job=door.job,
        initial={"on": door.local_today()},
    )
    if form.is_valid():
        try:
            actions.approve_mix(
                id=form.cleaned_data["id"],
                by=door.member,
                mix=mix,
                on=form.cleaned_data["on"],
                placing_properties_changed=form.changed(),
            )
            return redirect(_TAB, door.job.code)
        except ValidationError as error:
            form.take_errors(error)
    return _form(
        request,
        form,
        label=_("Mixes"),
        title=_("Approve %(mix)s") % {"mix": mix},
        action_word=_("Approve %(mix)s") % {"mix": mix},
    )


@job_view(Ability.MANAGE_SETTINGS, methods=GET_POST, tab=_TAB)
def add_element(request: SignedIn, door: Door) -> HttpResponse:
    """Name an element of the drawings."""
    form = ElementForm(request.POST if request.method == "POST" else None, job=door.job)
    if form.is_valid():
        order = len(queries.elements(door.job)) + 1
        try:
            actions.add_element(by=door.member, order=order, **form.cleaned_data)
            return redirect(_TAB, door.job.code)
        except ValidationError as error:
            form.take_errors(error)
    return _form(
        request,
        form,
        label=_("Elements"),
        title=_("Name an element"),
        action_word=_("Add element"),
    )


@job_view(Ability.MANAGE_SETTINGS, methods=GET_POST, tab=_TAB)
def add_part(request: SignedIn, door: Door, element: str) -> HttpResponse:
    """Add a part to an element."""
    rows = queries.elements(door.job)
    found = next((row for row in rows if row.code == element), None)
    if found is None:
        raise Http404("no such element")
    mixes = queries.mixes(door.job, known_at=door.known_at)
    codes = sorted({mix.code for mix in mixes})
    form = PartForm(
        request.POST if request.method == "POST" else None,
        job=door.job,
        mix_codes=codes,
    )
    parts = queries.parts(door.job, known_at=door.known_at)
    if form.is_valid():
        data = form.cleaned_data
        try:
            actions.add_part(
                id=data["id"],
                by=door.member,
                element=found,
                code=data["code"],
                order=sum(row.element == found for row in parts) + 1,
                **form.facts(),
            )
            return redirect("part", door.job.code, data["code"])
        except ValidationError as error:
            form.take_errors(error)
    return _form(
        request,
        form,
        label=_("Element %(code)s") % {"code": element},
        title=_("Add a part"),
        action_word=_("Add part"),
    )


@job_view(Ability.READ_JOB, tab=_TAB)
def part(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Show what the drawings ask of a part."""
    found = queries.part_by_code(door.job, code, known_at=door.known_at)
    if found is None:
        raise Http404("no such part")
    bars = reinforcement_words(found.revision.reinforcement)
    context = {
        "row": found,
        "revision": found.revision,
        "bars": bars,
        "tolerances": [
            {**line, "low": Decimal(line["low"]), "high": Decimal(line["high"])}
            for line in found.revision.tolerances
        ],
    }
    return render(request, "project/part.html", context)


@job_view(Ability.MANAGE_MEMBERS, methods=GET_POST, tab=_TAB)
def let_in(request: SignedIn, door: Door) -> HttpResponse:
    """Let a person in who has an account here."""
    firms = people_found.firms_on(door.job)
    form = MemberForm(
        request.POST if request.method == "POST" else None,
        job=door.job,
        firms=[(str(firm.pk), firm.name) for firm in firms],
        initial={"from_on": door.local_today()},
    )
    if form.is_valid():
        data = form.cleaned_data
        person = people_found.person_by_email(data["email"])
        try:
            if person is None:
                message = _("%(email)s: nobody signs in with this address.")
                params = {"email": data["email"]}
                raise ValidationError(
                    {"email": ValidationError(message, params=params)}
                )
            people.grant_membership(
                id=data["id"],
                by=door.member,
                job=door.job,
                user=person,
                role=Role(data["role"]),
                organization=next(
                    firm for firm in firms if str(firm.pk) == data["organization"]
                ),
                from_on=data["from_on"],
            )
            return redirect(_TAB, door.job.code)
        except ValidationError as error:
            form.take_errors(error)
    return _form(
        request,
        form,
        label=_("Members"),
        title=_("Let a person in"),
        action_word=_("Let in"),
    )


@job_view(Ability.MANAGE_MEMBERS, methods=GET_POST, tab=_TAB)
def let_out(request: SignedIn, door: Door, member: str) -> HttpResponse:
    """End a membership from a day on."""
    rows = queries.members_of(door.job)
    found = next((row for row in rows if str(row.pk) == str(member)), None)
    if found is None:
        raise Http404("no such member")
    form = EndMemberForm(
        request.POST if request.method == "POST" else None,
        job=door.job,
        initial={"to_on": door.local_today()},
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            people.end_membership(
                by=door.member,
                membership=found,
                on=data["to_on"],
                reason=data["reason"],
            )
            return redirect(_TAB, door.job.code)
        except ValidationError as error:
            form.take_errors(error)
    return _form(
        request,
        form,
        label=_("Members"),
        title=_("Let %(name)s out") % {"name": found.user.printed_name},
        action_word=_("End the membership"),
    )


def _form(request: SignedIn, form: Any, **words: str) -> HttpResponse:
    """Draw a short form's page; one that needs another look answers 422."""
    status = 422 if form.is_bound else 200
    context = {"form": form, **words}
    return render(request, "project/short_form.html", context, status=status)
