"""Signing in and out, my jobs, and the theme I read in."""

from __future__ import annotations

from typing import cast

from django.contrib.auth.views import LoginView, LogoutView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from project.access import SignedIn
from project.actions.accounts import choose_theme
from project.queries.jobs import memberships_of

sign_in = LoginView.as_view(redirect_authenticated_user=True)
sign_out = LogoutView.as_view()


@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """Show the jobs a person is a member of; with one job, open it."""
    found = memberships_of(cast(SignedIn, request).user)
    codes = {row.job.code for row in found}
    if len(codes) == 1 and "all" not in request.GET:
        return redirect("today", job=codes.pop())
    return render(request, "project/jobs.html", {"memberships": found})


@require_POST
def set_theme(request: HttpRequest) -> HttpResponse:
    """Keep the theme and go back to the page it was chosen on."""
    try:
        choose_theme(
            by=cast(SignedIn, request).user, theme=request.POST.get("theme", "")
        )
    except ValidationError as error:
        return HttpResponseBadRequest(" ".join(error.messages))
    back = request.POST.get("next", "/")
    known = url_has_allowed_host_and_scheme(
        back, {request.get_host()}, require_https=request.is_secure()
    )
    return redirect(back if known else "/")
