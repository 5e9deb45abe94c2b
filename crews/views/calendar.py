"""What ends next in a member's own calendar: its addresses, and the file they read."""

from __future__ import annotations

from hashlib import sha256
from uuid import UUID

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response, patch_cache_control
from django.views.decorators.http import require_safe

from crews.actions import calendar as actions
from crews.charts.calendar import MEDIA_TYPE, calendar_file
from crews.queries.calendar import address_of, addresses_of, calendar_of, reader_of
from crews.views.common import found, posted
from project.access import POST, Door, SignedIn, job_view
from project.domain.roles import Ability
from project.forms.fields import SheetForm

_TAB = "operators"


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def calendar_addresses(request: SignedIn, door: Door) -> HttpResponse:
    """Show one's own addresses, without their secrets."""
    return _addresses(request, door, SheetForm(job=door.job))


@job_view(Ability.READ_OPERATORS, methods=POST, tab=_TAB)
def make_calendar_address(request: SignedIn, door: Door) -> HttpResponse:
    """Make an address and show it, this once; it is in no later page and in no log."""
    form = SheetForm(posted(request), job=door.job)
    if not form.is_valid():
        return _addresses(request, door, form, status=422)
    try:
        _row, secret = actions.make_calendar_address(
            id=form.cleaned_data["id"], by=door.member
        )
    except ValidationError as error:
        form.take_errors(error)
        return _addresses(request, door, form, status=422)
    made = ""
    if secret:
        path = reverse("calendar_feed", args=[door.job.code, secret])
        made = request.build_absolute_uri(path)
    response = _addresses(request, door, SheetForm(job=door.job), made=made)
    response["Cache-Control"] = "no-store"
    return response


@job_view(Ability.READ_OPERATORS, methods=POST, tab=_TAB)
def revoke_calendar_address(
    request: SignedIn, door: Door, address: UUID
) -> HttpResponse:
    """Let nobody read under one of one's own addresses any more."""
    row = found(address_of(door.job, request.user, address), "no such address")
    actions.revoke_calendar_address(by=door.member, address=row)
    return redirect("calendar_addresses", door.job.code)


def _addresses(
    request: SignedIn, door: Door, form: SheetForm, *, made: str = "", status: int = 200
) -> HttpResponse:
    rows = addresses_of(door.job, request.user)
    context = {
        "form": form,
        "made": made,
        "most": actions.MOST,
        "standing": [row for row in rows if row.revoked_at is None],
        "revoked": [row for row in rows if row.revoked_at is not None],
    }
    return render(request, "crews/calendar_addresses.html", context, status=status)


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, job: str, secret: str) -> HttpResponseBase:
    """Give a calendar its file: the secret is the key, no session is asked or opened.

    Whatever is wrong with an address, the answer is the same and tells nothing.
    """
    member = reader_of(job, secret)
    if member is None:
        return _private(
            HttpResponse("Not found.\n", content_type="text/plain", status=404)
        )
    page = request.build_absolute_uri(reverse("ends_next", args=[job]))
    content = calendar_file(calendar_of(member), address=page)
    etag = f'"{sha256(content).hexdigest()}"'
    response = HttpResponse(content, content_type=MEDIA_TYPE, headers={"ETag": etag})
    response["Content-Disposition"] = 'inline; filename="what-ends-next.ics"'
    answer = get_conditional_response(request, etag=etag, response=response)
    return _private(answer or response)


def _private(response: HttpResponseBase) -> HttpResponseBase:
    """Keep what a secret opens out of shared caches, search engines and referrers."""
    patch_cache_control(response, private=True, no_cache=True)
    response["X-Robots-Tag"] = "noindex"
    response["Referrer-Policy"] = "no-referrer"
    return response
