"""A sheet signed, reviewed by another person, and its flags cleared in between."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS, PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from crews.views.common import found, posted, short_form, tried
from inspections.actions import flags as flag_actions
from inspections.actions import signing as actions
from inspections.forms.signing import ClearFlagForm, ReviewForm, SignForm
from inspections.queries import reports as queries
from inspections.views.common import TAB, back_to_sheet, own_sheet, sheet_url
from inspections.views.summary import rows_of
from project.access import GET_POST, Door, SignedIn, job_view
from project.actions.signatures import prove
from project.domain.roles import Ability

# A sheet that changed meanwhile is said over the form: no field of it is at fault.
STALE = {"content_sha256": NON_FIELD_ERRORS}


def show_anew(form: SignForm, sha256: str) -> None:
    """Let a form that was refused for an old reading sign the one now shown."""
    if form.is_bound and form.non_field_errors():
        form.data = {key: form.data[key] for key in form.data} | {
            "content_sha256": sha256
        }


def sheet_page(door: Door, number: int) -> queries.SheetPage:
    """Return a sheet of the member's firm with everything on it."""
    page = found(
        queries.sheet_page(door.job, door.member, number, known_at=door.known_at),
        "no such sheet",
    )
    if page.sheet.row.organization_id != door.member.organization_id:
        raise PermissionDenied("another firm's sheet")
    return page


@job_view(Ability.SIGN_REPORT, methods=GET_POST, tab=TAB)
def sign_sheet(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Sign one's own sheet; the line of the signature stands where the form stood."""
    page = sheet_page(door, number)
    form = SignForm(
        posted(request),
        job=door.job,
        initial={
            "content_sha256": page.sha256,
            "printed_name": door.member.user.printed_name,
        },
    )
    version = tried(form, lambda: _signed(request, door, page, form), STALE)
    if version is not None:
        return redirect("sign_sheet", door.job.code, number)
    show_anew(form, page.sha256)
    context = {
        "page": page,
        "form": form if page.may_sign or form.is_bound else None,
        "rows": rows_of(page.content),
        "signed": page.sheet.first,
    }
    status = 422 if form.is_bound else 200
    return render(request, "inspections/sign.html", context, status=status)


def _signed(request: SignedIn, door: Door, page: Any, form: SignForm) -> Any:
    data = dict(form.cleaned_data)
    proof = prove(request.user, data.pop("password"))
    return actions.sign_report(
        by=door.member, report=page.sheet.row, proof=proof, **data
    )


@job_view(Ability.REVIEW_REPORT, methods=GET_POST, tab=TAB)
def review_sheet(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Review a signed sheet that another person of the firm wrote."""
    page = sheet_page(door, number)
    form = ReviewForm(
        posted(request),
        job=door.job,
        initial={"printed_name": door.member.user.printed_name},
    )
    moved = tried(form, lambda: _reviewed(request, door, page, form))
    if moved is not None:
        return redirect("review_sheet", door.job.code, number)
    context = {
        "page": page,
        "form": form if page.may_review or form.is_bound else None,
        "rows": rows_of(page.content),
        "signed": page.sheet.last,
        "reviewed": page.sheet.reviewed,
    }
    status = 422 if form.is_bound else 200
    return render(request, "inspections/review.html", context, status=status)


def _reviewed(request: SignedIn, door: Door, page: Any, form: ReviewForm) -> Any:
    data = dict(form.cleaned_data)
    proof = prove(request.user, data.pop("password"))
    return actions.review_report(
        by=door.member, report=page.sheet.row, proof=proof, **data
    )


@job_view(Ability.READ_OWN_SHEETS, methods=GET_POST, tab=TAB)
def clear_flag(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Say what was found behind a contradiction on a sheet."""
    sheet = own_sheet(door, number)
    page = sheet_page(door, number)
    mark = request.POST.get("mark") or request.GET.get("mark", "")
    line = next((line for line in page.flags if line.flag.mark == mark), None)
    form = ClearFlagForm(posted(request), job=door.job, initial={"mark": mark})
    cleared = tried(
        form,
        lambda: flag_actions.clear_flag(
            by=door.member, report=sheet.row, **form.cleaned_data
        ),
    )
    if cleared is not None:
        return back_to_sheet(door, sheet, "flags")
    if line is None and not form.is_bound:
        messages.warning(request, _("This flag is gone: the entries agree by now."))
        return back_to_sheet(door, sheet)
    return short_form(
        request,
        form,
        label=sheet.code,
        title=line.flag.words if line else _("Say what was found"),
        action_word=_("Clear the flag"),
        cancel_url=sheet_url(door, sheet) + "#flags",
    )
