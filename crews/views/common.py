"""What the crew's pages share: a short form's round, the instants, the addresses."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol, TypeVar
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.http.request import QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _

from crews.forms.fields import LookForm
from project.access import Door, SignedIn
from project.charts.text import when_text
from project.domain.roles import Ability
from project.domain.verdict import Ref, State, Verdict
from project.forms.fields import SheetForm

T = TypeVar("T")


class Identified(Protocol):
    """A row on record, known by its identity."""

    pk: Any


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what a form is bound to: nothing before it was sent."""
    return request.POST if request.method == "POST" else None


def posted_id(request: HttpRequest) -> UUID | None:
    """Return the identity of what a sent form will make, or has made already."""
    try:
        return UUID(request.POST.get("id", ""))
    except ValueError:
        return None


def tried(
    form: SheetForm, do: Callable[[], T], names: Mapping[str, str] | None = None
) -> T | None:
    """Do what a valid form asks; what the action refuses stands beside its field.

    `names` gives the form's field where the action names one of its own.
    """
    if not form.is_valid():
        return None
    try:
        return do()
    except ValidationError as error:
        form.take_errors(renamed(error, names or {}))
    return None


def renamed(error: ValidationError, names: Mapping[str, str]) -> ValidationError:
    """Return an error under the form's own names."""
    if not hasattr(error, "error_dict"):
        return error
    return ValidationError({names.get(k, k): v for k, v in error.error_dict.items()})


def short_form(request: SignedIn, form: Any, **words: Any) -> HttpResponse:
    """Draw a short form's page; one that needs another look answers 422.

    Words: label, title, action_word, cancel_url, caution.
    """
    status = 422 if form.is_bound else 200
    wide = bool(getattr(form, "ROWS", ()))
    template = "crews/wide_form.html" if wide else "project/short_form.html"
    return render(request, template, {"form": form, **words}, status=status)


def tell_recorded(request: SignedIn, door: Door, row: Identified) -> None:
    """Say that a fact is on record, and where to read what it turned.

    The page that answers belongs to a higher app: it is named here, not imported.
    """
    if not door.may(Ability.READ_SIGNED_SHEETS):
        return
    address = reverse("affected", args=[door.job.code]) + f"?fact={row.pk}"
    said = format_html(
        '{} <a href="{}">{}</a>',
        _("It is on record."),
        address,
        _("See which nozzle times, panels and packets it affects"),
    )
    messages.success(request, said)


def found(row: T | None, what: str) -> T:
    """Return the row an address names, or say that there is no such page."""
    if row is None:
        raise Http404(what)
    return row


@dataclass(frozen=True, slots=True)
class Look:
    """For which instant a page is read, and with the knowledge of which."""

    form: LookForm
    at: datetime
    known_at: datetime

    @property
    def status(self) -> int:
        return 200 if self.form.is_valid() or not self.form.is_bound else 422

    @property
    def moved(self) -> str:
        """The part of an address that keeps the two instants."""
        asked = QueryDict(mutable=True)
        for name in ("at", "known"):
            if self.form.is_bound and self.form.data.get(name):
                asked[name] = self.form.data[name]
        return asked.urlencode()


def look(
    request: SignedIn, door: Door, form_class: type[LookForm] = LookForm, **kwargs: Any
) -> Look:
    """Read the two instants of a page's address; now, where it names none."""
    form = form_class(request.GET or None, job=door.job, **kwargs)
    data = form.cleaned_data if form.is_valid() else {}
    return Look(
        form=form,
        at=data.get("at") or door.now,
        known_at=data.get("known") or door.known_at,
    )


def print_note(door: Door, seen: Look) -> str:
    """Say at the foot of a printed sheet for which instants it was read."""
    zone = door.job.zone
    told = {
        "at": when_text(seen.at, zone=zone),
        "known": when_text(seen.known_at, zone=zone),
    }
    return _("as of %(at)s, as known %(known)s") % told


def evidence_urls(door: Door, operator: str, verdict: Verdict) -> dict[str, str]:
    """Return the page of each record that a conclusion about an operator names."""
    refs = {ref for reason in verdict.reasons for ref in reason.evidence}
    return {ref.id: url for ref in refs if (url := _url(door, operator, ref))}


def _url(door: Door, operator: str, ref: Ref) -> str:
    job = door.job.code
    if ref.kind == "panel":
        if not door.may(Ability.READ_PANELS):
            return ""
        return reverse("panel", args=[job, ref.name])
    if ref.kind == "operator":
        return reverse("operator", args=[job, ref.name])
    if ref.kind in ("certification", "card", "enrolment", "suspension"):
        return reverse("operator", args=[job, operator]) + f"#{ref.kind}"
    pages = {"mixrevision": "job_settings", "waiver": "waivers"}
    return reverse(pages[ref.kind], args=[job]) if ref.kind in pages else ""


def standing_sentence(door: Door, verdict: Verdict) -> str:
    """Say in one sentence how many gates hold, and what would change the answer."""
    unmet, every = len(verdict.unmet), len(verdict.reasons)
    told: dict[str, object] = {"n": unmet, "all": every}
    if verdict.state is State.PASS:
        said = _("All %(all)s gates hold.") % told
    elif verdict.state is State.CONDITION:
        said = _("%(n)s of %(all)s gates hold under a condition.") % told
    else:
        said = _("%(n)s of %(all)s gates do not hold.") % told
    return f"{said} {_until(door, verdict)}"


def _until(door: Door, verdict: Verdict) -> str:
    if verdict.holds_until is None:
        return _("Nothing on record will change this answer by itself.")
    until = when_text(verdict.holds_until, zone=door.job.zone)
    told = {"until": until, "why": verdict.ends_because}
    return _("The answer stands until %(until)s; then: %(why)s.") % told
