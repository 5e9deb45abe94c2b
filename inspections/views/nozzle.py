"""The hand-over: who takes the nozzle, looked at first, recorded whatever it is."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from crews.forms.shooting import TakeForm, TakeLookForm
from crews.queries.handover import Candidate, HandOver, handover
from crews.views.common import evidence_urls, found, posted, standing_sentence, tried
from inspections.actions.nozzle import operator_takes_nozzle
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability
from project.domain.verdict import State


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab="days")
def take_nozzle(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Show who is qualified on record to take the nozzle, and record who took it."""
    looked = TakeLookForm(request.GET or None, job=door.job)
    at = looked.cleaned_data["at"] if looked.is_valid() else None
    page = found(_page(door, code, at or door.now), "no such placement")
    form = TakeForm(
        posted(request),
        job=door.job,
        offers={"operator": _offered(page)},
        initial={"at": page.at},
    )
    taken = tried(
        form,
        lambda: operator_takes_nozzle(
            by=door.member, placement=page.placed.row, **form.cleaned_data
        ),
        {"started_at": "at"},
    )
    if taken is not None:
        return redirect("shift", door.job.code, page.placed.shift.first)
    chosen = None if looked.errors else page.named(_asked(request, form, page))
    context = {
        "page": page,
        "form": form,
        "looked": looked,
        "facts": _facts(page),
        "chosen": chosen,
        "answer": _answer(door, chosen),
        "at": request.GET.get("at", ""),
    }
    status = 422 if form.is_bound or looked.errors else 200
    return render(request, "crews/handover.html", context, status=status)


def _page(door: Door, code: str, at: datetime) -> HandOver | None:
    return handover(
        door.job, code, at=at, known_at=door.known_at, for_member=door.member
    )


def _offered(page: HandOver) -> list[tuple[Any, str]]:
    return [(one.person.operator, one.code) for one in page.candidates]


def _asked(request: SignedIn, form: TakeForm, page: HandOver) -> str:
    """Return the code of the operator who is looked at."""
    sent = form.data.get("operator") if form.is_bound else None
    codes = {str(one.person.operator.pk): one.code for one in page.candidates}
    return codes.get(sent or "", request.GET.get("operator", ""))


def _answer(door: Door, chosen: Candidate | None) -> dict[str, Any] | None:
    if chosen is None:
        return None
    verdict = chosen.standing.verdict
    return {
        "sentence": standing_sentence(door, verdict),
        "urls": evidence_urls(door, chosen.code, verdict),
        "may": chosen.standing.state in (State.PASS, State.CONDITION),
    }


def _facts(page: HandOver) -> list[tuple[str, str]]:
    placed = page.placed
    position = placed.part.position if placed.part else _("not on record")
    return [
        (_("Position"), str(position)),
        (_("Mix"), str(placed.mix)),
    ]
