"""What the frame round every sheet needs: the job, the member, the index."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from project import clock
from project.domain.roles import Ability

# The thumb index: word, page, the ability that shows it. Pages of higher apps are
# named here, not imported: the frame is the one place that knows the whole book.
_INDEX = (
    (gettext_noop("Today"), "today", Ability.READ_JOB),
    (gettext_noop("Days"), "days", Ability.READ_SIGNED_SHEETS),
    (gettext_noop("Operators"), "operators", Ability.READ_OPERATORS),
    (gettext_noop("Panels"), "panels", Ability.READ_PANELS),
    (gettext_noop("Deficiencies"), "deficiencies", Ability.READ_SIGNED_SHEETS),
    (gettext_noop("Packets"), "packets", Ability.READ_PACKETS),
    (gettext_noop("The job"), "job_settings", Ability.READ_JOB),
)


def _working_url(door: Any) -> str:
    if not door.may(Ability.READ_JOB):
        return ""
    return reverse("workings", args=[door.job.code])


def _affected_url(door: Any) -> str:
    """Return where to read what was learned later, for who follows the work."""
    if not door.may(Ability.READ_SIGNED_SHEETS):
        return ""
    return reverse("affected", args=[door.job.code])


def frame(request: HttpRequest) -> dict[str, Any]:
    """Return the frame's context; outside a job there is none but the clock."""
    door = getattr(request, "door", None)
    moved = {"clock_is_moved": clock.is_moved(), "now": clock.now()}
    if door is None:
        return moved
    match = request.resolver_match
    open_tab = getattr(match.func, "tab", match.url_name) if match else ""
    tabs = [
        {
            "word": _(word),
            "url": reverse(page, args=[door.job.code]),
            "current": page == open_tab,
        }
        for word, page, ability in _INDEX
        if door.may(ability)
    ]
    return {
        **moved,
        "job": door.job,
        "member": door.member,
        "now": door.now,
        "home_url": reverse("today", args=[door.job.code]),
        "working_url": _working_url(door),
        "affected_url": _affected_url(door),
        "index_tabs": tabs,
    }
