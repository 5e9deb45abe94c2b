"""The one door to a job's pages.

A stranger finds nothing there (404), a member without the ability is refused (403),
and nobody who has not signed in comes this far. What a view gets is the `Door`: the
job, the membership through which the person came, and the instant the page is read at.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import wraps
from typing import Any, Concatenate, ParamSpec, Protocol, cast

from django.core.exceptions import PermissionDenied
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseNotAllowed,
)

from project import clock
from project.domain.roles import Ability, Role, may
from project.models import Job, Membership, User
from project.queries.jobs import memberships_on, now_on
from project.queries.reading import one_reading

P = ParamSpec("P")
GET = ("GET", "HEAD")
GET_POST = (*GET, "POST")
POST = ("POST",)


@dataclass(frozen=True, slots=True)
class Door:
    """Whose job, who came in, and as known when."""

    job: Job
    member: Membership
    roles: tuple[Role, ...]
    known_at: datetime
    now: datetime

    @property
    def role(self) -> Role:
        return Role(self.member.role)

    def may(self, ability: Ability) -> bool:
        """Say whether the person may do this through any of their roles."""
        return any(may(role, ability) for role in self.roles)

    def local_today(self) -> Any:
        """Return the date on the job's clock."""
        return self.job.local(self.now).date()


class SignedIn(HttpRequest):
    """A request whose person is known; the middleware lets no other through."""

    user: User
    door: Door


class JobView(Protocol):
    """A view behind the door, which says what opens it."""

    ability: Ability
    methods: tuple[str, ...]

    def __call__(
        self, request: HttpRequest, *args: Any, **kwargs: Any
    ) -> HttpResponseBase: ...


def job_view(
    ability: Ability, *, methods: tuple[str, ...] = GET, tab: str = ""
) -> Callable[
    [Callable[Concatenate[SignedIn, Door, P], HttpResponse | HttpResponseBase]], JobView
]:
    """Put a view behind the door: `view(request, door, …)` at `…/<job>/…`.

    `tab` names the page of the thumb index that the view lies under, if not its own.
    """

    def behind_door(
        view: Callable[Concatenate[SignedIn, Door, P], HttpResponse | HttpResponseBase],
    ) -> JobView:
        @wraps(view)
        def opened(
            request: HttpRequest, job: str, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponseBase:
            signed_in = cast(SignedIn, request)
            signed_in.door = open_door(signed_in.user, job, ability)
            if request.method not in methods:
                return HttpResponseNotAllowed(methods)
            if request.method == "POST":
                return view(signed_in, signed_in.door, *args, **kwargs)
            with one_reading():
                return view(signed_in, signed_in.door, *args, **kwargs)

        opened.ability = ability  # type: ignore[attr-defined]
        opened.methods = methods  # type: ignore[attr-defined]
        if tab:
            opened.tab = tab  # type: ignore[attr-defined]
        return cast(JobView, opened)

    return behind_door


def open_door(user: User, code: str, ability: Ability) -> Door:
    """Return the door to a job, or refuse: 404 to a stranger, 403 to the rest."""
    found = memberships_on(user, code=code)
    if not found:
        raise Http404("no such job for this person")
    fitting = [row for row in found if may(Role(row.role), ability)]
    if not fitting:
        raise PermissionDenied(ability.value)
    job = fitting[0].job
    return Door(
        job=job,
        member=fitting[0],
        roles=tuple(Role(row.role) for row in found),
        known_at=now_on(job),
        now=clock.now(),
    )
