"""Nonconformance reports: proposed by the record, raised by a person, told, closed."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.forms.fields import key_of
from crews.views.common import found, posted, short_form, tried
from inspections.actions import deficiencies as actions
from inspections.forms.deficiencies import NonconformanceForm
from inspections.forms.words import MOVES
from inspections.queries import findings
from inspections.queries.about import about_rows
from inspections.queries.proposals import Proposal, proposals_by_now
from inspections.queries.work import work
from inspections.views.common import elapsed_url
from inspections.views.deficiencies import deficiency_row, moved
from inspections.views.entries import part_offers
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability

_TAB = "deficiencies"


@job_view(Ability.READ_SIGNED_SHEETS, tab=_TAB)
def nonconformances(request: SignedIn, door: Door) -> HttpResponse:
    """List the reports with their ages, and what the record proposes to raise."""
    may_raise = door.may(Ability.RAISE_NONCONFORMANCE)
    rows = findings.nonconformances(door.job, door.member, known_at=door.known_at)
    context = {
        "rows": sorted(rows, key=lambda row: (not row.is_open, row.row.number)),
        "open_count": sum(row.is_open for row in rows),
        "proposals": _proposed(door) if may_raise else (),
        "may_raise": may_raise,
    }
    return render(request, "inspections/nonconformances.html", context)


def _proposed(door: Door) -> tuple[Proposal, ...]:
    found_work = work(
        door.job,
        known_at=door.known_at,
        on=door.local_today(),
        for_member=door.member,
    )
    return proposals_by_now(found_work, for_member=door.member)


def _row(door: Door, number: int) -> findings.NonconformanceRow:
    rows = findings.nonconformances(
        door.job, door.member, known_at=door.known_at, number=number
    )
    return found(rows[0] if rows else None, "no such report")


@job_view(Ability.READ_SIGNED_SHEETS, tab=_TAB)
def nonconformance(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Show one report, its ages, its moves and those open to the member."""
    row = _row(door, number)
    moves = [
        {
            "url": reverse("move_nonconformance", args=[door.job.code, number, name]),
            "words": str(MOVES[name]),
        }
        for name in row.next_moves
    ]
    until = row.closed_at or door.now
    context = {
        "row": row,
        "moves": moves,
        "age_url": elapsed_url(
            door, row.row.observed_at, max(until, row.row.observed_at)
        ),
    }
    return render(request, "inspections/nonconformance.html", context)


@job_view(Ability.READ_SIGNED_SHEETS, methods=GET_POST, tab=_TAB)
def move_nonconformance(
    request: SignedIn, door: Door, number: int, move: str
) -> HttpResponse:
    """Tell somebody of a report, or close it; the table of moves says who may."""
    row = _row(door, number)
    done, page = moved(request, door, row, move)
    if done is not None:
        return redirect("nonconformance", door.job.code, number)
    return page(reverse("nonconformance", args=[door.job.code, number]))


@job_view(Ability.RAISE_NONCONFORMANCE, methods=GET_POST, tab=_TAB)
def raise_nonconformance(request: SignedIn, door: Door) -> HttpResponse:
    """Raise a report: from what the record proposes, from a deficiency, or by hand."""
    about, initial, grown = _start(request, door)
    form = NonconformanceForm(
        posted(request),
        job=door.job,
        offers={"about": about, "part": part_offers(door)},
        initial=initial,
    )
    row = tried(
        form,
        lambda: actions.raise_nonconformance(
            by=door.member, deficiencies=grown, **form.cleaned_data
        ),
    )
    if row is not None:
        return redirect("nonconformance", door.job.code, row.number)
    return short_form(
        request,
        form,
        label=_("Nonconformance report"),
        title=_("Raise a nonconformance report"),
        action_word=_("Raise report"),
        cancel_url=reverse("nonconformances", args=[door.job.code]),
    )


def _start(
    request: SignedIn, door: Door
) -> tuple[list[tuple[Any, str]], dict[str, Any], list[Any]]:
    """Return what the report may be about, what it starts with, what it grew from."""
    initial: dict[str, Any] = {"observed_at": door.now}
    if number := request.GET.get("deficiency", ""):
        row = deficiency_row(door, int(number) if number.isdecimal() else 0)
        initial |= {
            "about": key_of(row.row),
            "words": row.row.words,
            "part": str(row.row.part_id or ""),
            "observed_at": row.row.seen_at,
        }
        title = row.item.title.in_language(door.job.language)
        return [(row.row, f"{row.code}, {title}")], initial, [row.row]
    about = about_rows(door.job, door.member, known_at=door.known_at)
    if wanted := request.GET.get("about", ""):
        line = found(
            next((p for p in _proposed(door) if str(p.about_id) == wanted), None),
            "nothing of that kind is proposed",
        )
        parts = {words.split(",")[0]: part for part, words in part_offers(door)}
        part = parts.get(line.part_code)
        initial |= {
            "about": wanted,
            "words": line.words,
            "part": "" if part is None else str(part.pk),
            "observed_at": line.since,
        }
    return about, initial, []
