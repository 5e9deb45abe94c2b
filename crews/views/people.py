"""Entering operators, their cards, their place on the job, and orders about them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions import people as actions
from crews.forms.fields import ReasonForm, named
from crews.forms.people import (
    CardForm,
    CorrectCardForm,
    CorrectPlaceForm,
    EndSuspensionForm,
    OperatorForm,
    OperatorNamesForm,
    PlaceForm,
    SuspendForm,
    as_typed,
)
from crews.queries import choices
from crews.views.common import (
    found,
    posted,
    posted_id,
    short_form,
    tell_recorded,
    tried,
)
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability

_TAB = "operators"


def _firms(door: Door) -> list[tuple[Any, str]]:
    return named(choices.contractors(door.job, for_member=door.member))


def _place(door: Door, code: str) -> Any:
    """Return the operator's place that an address names; 404 for anybody else's."""
    row = choices.place(door.job, code, known_at=door.known_at, for_member=door.member)
    return found(row, "no such operator")


def _sheet(door: Door, code: str) -> str:
    return reverse("operator", args=[door.job.code, code])


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def enter_operator(request: SignedIn, door: Door) -> HttpResponse:
    """Enter a nozzle operator of a firm; the next page gives them a place here."""
    form = OperatorForm(
        posted(request), job=door.job, offers={"organization": _firms(door)}
    )
    row = tried(
        form,
        lambda: actions.enter_operator(
            id=form.cleaned_data["id"],
            by=door.member,
            organization=form.cleaned_data["organization"],
            **form.facts(),
        ),
    )
    if row is not None:
        return redirect("enrol_operator", door.job.code)
    return short_form(
        request,
        form,
        label=_("Operators"),
        title=_("Enter an operator"),
        action_word=_("Enter operator"),
        cancel_url=reverse("operators", args=[door.job.code]),
    )


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def edit_operator(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Correct an operator's names or badge."""
    operator = _place(door, code).operator
    form = OperatorNamesForm(
        posted(request),
        job=door.job,
        initial={
            "legal_name": operator.legal_name,
            "badge_number": operator.badge_number,
            "aliases": ", ".join(operator.aliases),
        },
    )
    row = tried(
        form,
        lambda: actions.edit_operator(
            by=door.member, operator=operator, **form.facts()
        ),
    )
    if row is not None:
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Correct names or badge"),
        action_word=_("Keep the correction"),
        cancel_url=_sheet(door, code),
    )


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def enrol_operator(request: SignedIn, door: Door) -> HttpResponse:
    """Give an operator who has none a place on the job."""
    before = choices.place_sent(door.job, posted_id(request))
    if before is not None:
        return redirect(_sheet(door, before.code))
    waiting = choices.without_place(door.job, for_member=door.member)
    form = PlaceForm(
        posted(request),
        job=door.job,
        offers={
            "operator": [(o, f"{o.legal_name}, {o.organization}") for o in waiting],
            "employer": _firms(door),
        },
        initial={"from_on": door.local_today()},
    )
    row = tried(
        form,
        lambda: actions.enrol_operator(
            id=form.cleaned_data["id"],
            by=door.member,
            operator=form.cleaned_data["operator"],
            code=form.cleaned_data["code"],
            **form.facts(),
        ),
    )
    if row is not None:
        return redirect(_sheet(door, row.code))
    return short_form(
        request,
        form,
        label=_("Operators"),
        title=_("Give an operator a place on this job"),
        action_word=_("Enrol operator"),
        cancel_url=reverse("operators", args=[door.job.code]),
    )


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def correct_place(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Enter that a place was approved, ended, or read wrongly: its next version."""
    place = _place(door, code)
    kept = ("employer", "from_on", "to_on", "submittal", "approved_on", "approved_by")
    form = CorrectPlaceForm(
        posted(request),
        job=door.job,
        offers={"employer": _firms(door)},
        initial={name: getattr(place, name) for name in kept},
    )
    row = tried(
        form,
        lambda: actions.enrol_operator(
            id=form.cleaned_data["id"],
            by=door.member,
            operator=place.operator,
            supersedes=place,
            reason=form.cleaned_data["reason"],
            **form.facts(),
        ),
    )
    if row is not None:
        tell_recorded(request, door, row)
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Place of %(name)s on this job") % {"name": place.operator},
        action_word=_("Keep the new version"),
        cancel_url=_sheet(door, code),
    )


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def record_card(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Record a card as it is read, new or renewed."""
    return _record_card(request, door, code, renewed=None)


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def renew_card(request: SignedIn, door: Door, code: str, card: UUID) -> HttpResponse:
    """Record the card that follows another; the old one still holds its own days."""
    return _record_card(request, door, code, renewed=card)


def _record_card(
    request: SignedIn, door: Door, code: str, *, renewed: UUID | None
) -> HttpResponse:
    place = _place(door, code)
    initial: dict[str, Any] = {}
    if renewed is not None:
        before = choices.card(place.operator, renewed, known_at=door.known_at)
        initial = as_typed(found(before, "no such card"))
        for name in ("expires_on", "verified_by", "verified_on", "verified_how"):
            initial.pop(name)
        initial["issued_on"] = None
    form = CardForm(
        posted(request),
        request.FILES or None,
        job=door.job,
        offers=_verifiers(door),
        initial=initial,
    )
    row = tried(
        form,
        lambda: actions.record_certification(
            id=form.cleaned_data["id"],
            by=door.member,
            operator=place.operator,
            card=actions.CardEntry(**form.facts()),
            scan=form.cleaned_data["scan"],
        ),
    )
    if row is not None:
        tell_recorded(request, door, row)
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=(_("Record the renewed card") if renewed else _("Record a card")),
        action_word=_("Record card"),
        cancel_url=_sheet(door, code),
    )


def _verifiers(door: Door) -> dict[str, list[tuple[Any, str]]]:
    return {"verified_by": named(choices.people(door.job))}


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def correct_card(request: SignedIn, door: Door, code: str, card: UUID) -> HttpResponse:
    """Read a card again: what was read wrongly, or verified since."""
    operator = _place(door, code).operator
    if choices.card_sent(operator, posted_id(request)):
        return redirect(_sheet(door, code))
    row = found(choices.card(operator, card, known_at=door.known_at), "no such card")
    form = CorrectCardForm(
        posted(request),
        request.FILES or None,
        job=door.job,
        offers=_verifiers(door),
        initial=as_typed(row),
    )
    corrected = tried(
        form,
        lambda: actions.record_certification(
            id=form.cleaned_data["id"],
            by=door.member,
            operator=operator,
            card=actions.CardEntry(**form.facts(), scan=row.scan),
            supersedes=row,
            reason=form.cleaned_data["reason"],
            scan=form.cleaned_data["scan"],
        ),
    )
    if corrected is not None:
        tell_recorded(request, door, corrected)
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Correct card %(number)s") % {"number": row.number},
        action_word=_("Keep the new version"),
        cancel_url=_sheet(door, code),
    )


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def withdraw_card(request: SignedIn, door: Door, code: str, card: UUID) -> HttpResponse:
    """Take a card back; what it opened is judged without it from now on."""
    operator = _place(door, code).operator
    if choices.card_sent(operator, posted_id(request)):
        return redirect(_sheet(door, code))
    row = found(choices.card(operator, card, known_at=door.known_at), "no such card")
    form = ReasonForm(posted(request), job=door.job)
    gone = tried(
        form,
        lambda: actions.withdraw_certification(
            id=form.cleaned_data["id"],
            by=door.member,
            card=row,
            reason=form.cleaned_data["reason"],
        ),
    )
    if gone is not None:
        tell_recorded(request, door, gone)
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Withdraw card %(number)s") % {"number": row.number},
        action_word=_("Withdraw card"),
        cancel_url=_sheet(door, code),
    )


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def suspend_operator(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Record an order that an operator shall not shoot."""
    operator = _place(door, code).operator
    form = SuspendForm(posted(request), job=door.job, initial={"from_at": door.now})
    row = tried(
        form,
        lambda: actions.suspend_operator(
            by=door.member, operator=operator, **form.cleaned_data
        ),
    )
    if row is not None:
        tell_recorded(request, door, row)
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Record an order that %(name)s shall not shoot") % {"name": operator},
        action_word=_("Record the order"),
        cancel_url=_sheet(door, code),
    )


@job_view(Ability.KEEP_OPERATORS, methods=GET_POST, tab=_TAB)
def end_suspension(
    request: SignedIn, door: Door, code: str, order: UUID
) -> HttpResponse:
    """Say until when an order stands."""
    operator = _place(door, code).operator
    row = found(
        choices.suspension(door.job, operator, order, known_at=door.known_at),
        "no such order",
    )
    form = EndSuspensionForm(
        posted(request), job=door.job, initial={"until_at": door.now}
    )
    ended = tried(
        form,
        lambda: actions.end_suspension(
            by=door.member, suspension=row, **form.cleaned_data
        ),
    )
    if ended is not None:
        tell_recorded(request, door, ended)
        return redirect(_sheet(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Say until when the order stands"),
        action_word=_("End the order"),
        cancel_url=_sheet(door, code),
    )
