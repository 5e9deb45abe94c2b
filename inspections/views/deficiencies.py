"""Deficiencies: what was not right, whose move it is, and each move."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.views.common import found, posted, short_form, tried
from inspections.actions import deficiencies as actions
from inspections.actions.moves import make_move
from inspections.forms.deficiencies import MOVE_FORMS, DeficiencyForm
from inspections.forms.words import MOVES
from inspections.queries import findings
from inspections.views.common import TAB, elapsed_url, own_sheet
from inspections.views.entries import part_offers, written
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability

_TAB = "deficiencies"
# A move's name in an address, and back.
SLUGS = {name.replace(" ", "-"): name for name in MOVE_FORMS}


@job_view(Ability.READ_SIGNED_SHEETS)
def deficiencies(request: SignedIn, door: Door) -> HttpResponse:
    """List the deficiencies the member may read; open ones, or all that are closed."""
    rows = findings.deficiencies(door.job, door.member, known_at=door.known_at)
    reports = findings.nonconformances(door.job, door.member, known_at=door.known_at)
    closed = "closed" in request.GET
    context = {
        "closed": closed,
        "rows": [row for row in reversed(rows) if row.is_open is not closed],
        "open_count": sum(row.is_open for row in rows),
        "closed_count": sum(not row.is_open for row in rows),
        "reports": [row for row in reports if row.is_open],
        "may_raise": door.may(Ability.RAISE_NONCONFORMANCE),
        "may_write": door.may(Ability.WRITE_SHEET),
    }
    return render(request, "inspections/deficiencies.html", context)


def deficiency_row(door: Door, number: int) -> findings.DeficiencyRow:
    """Return a deficiency the member may read, or say there is no such page."""
    rows = findings.deficiencies(
        door.job, door.member, known_at=door.known_at, number=number
    )
    return found(rows[0] if rows else None, "no such deficiency")


@job_view(Ability.READ_SIGNED_SHEETS, tab=_TAB)
def deficiency(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Show one deficiency, its pictures, its moves and those open to the member."""
    row = deficiency_row(door, number)
    own = row.row.organization_id == door.member.organization_id
    looked_again = ("find right", "find still wrong", "make a nonconformance")
    moves = [name for name in row.next_moves if own or name not in looked_again]
    until = row.closed_at or door.now
    context = {
        "row": row,
        "moves": [_button(door, row, name) for name in moves],
        "own": own,
        "age_url": elapsed_url(door, row.row.seen_at, max(until, row.row.seen_at)),
    }
    return render(request, "inspections/deficiency.html", context)


def _button(door: Door, row: findings.DeficiencyRow, name: str) -> dict[str, str]:
    job, number = door.job.code, row.row.number
    if name == "make a nonconformance":
        url = reverse("raise_nonconformance", args=[job])
        url += f"?deficiency={number}"
    else:
        slug = name.replace(" ", "-")
        url = reverse("move_deficiency", args=[job, number, slug])
    return {"url": url, "words": str(MOVES[name])}


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=_TAB)
def move_deficiency(
    request: SignedIn, door: Door, number: int, move: str
) -> HttpResponse:
    """Make one move on a deficiency; whoever comes second is told of the first."""
    row = deficiency_row(door, number)
    done, page = moved(request, door, row, move)
    if done is not None:
        return redirect("deficiency", door.job.code, number)
    return page(reverse("deficiency", args=[door.job.code, number]))


def moved(
    request: SignedIn, door: Door, row: Any, slug: str
) -> tuple[object | None, Callable[[str], HttpResponse]]:
    """Make a move by its short form; return what was made, or how to draw the form."""
    name = SLUGS.get(slug)
    if name is None or (request.method != "POST" and name not in row.next_moves):
        raise Http404("no such move from here")
    form = MOVE_FORMS[name](
        posted(request),
        job=door.job,
        initial={"at": door.now, "after": len(row.moves)},
    )
    done = tried(
        form,
        lambda: make_move(
            id=form.cleaned_data["id"],
            by=door.member,
            subject=row.row,
            move=name,
            at=form.cleaned_data["at"],
            words=form.cleaned_data["words"],
            evidence=form.evidence(),
            after=form.cleaned_data["after"],
        ),
    )

    def page(cancel_url: str) -> HttpResponse:
        return short_form(
            request,
            form,
            label=row.code,
            title=str(MOVES[name]),
            action_word=str(MOVES[name]),
            cancel_url=cancel_url,
        )

    return done, page


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=_TAB)
def open_late(request: SignedIn, door: Door) -> HttpResponse:
    """Open a deficiency seen after the sheet was signed: it stands by its part."""
    form = DeficiencyForm(
        posted(request),
        job=door.job,
        offers={"part": part_offers(door)},
        initial={"seen_at": door.now},
    )
    row = tried(
        form,
        lambda: actions.open_deficiency(by=door.member, **form.cleaned_data),
    )
    if row is not None:
        return redirect("deficiency", door.job.code, row.number)
    return short_form(
        request,
        form,
        label=_("Seen without a sheet"),
        title=_("Open a deficiency"),
        action_word=_("Open deficiency"),
        cancel_url=reverse("deficiencies", args=[door.job.code]),
    )


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def open_deficiency(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Open a deficiency seen outside a walk."""
    sheet = own_sheet(door, number)
    form = DeficiencyForm(
        posted(request),
        job=door.job,
        offers={"part": part_offers(door)},
        initial={"seen_at": door.now},
    )
    return written(
        request,
        door,
        sheet,
        form,
        lambda: actions.open_deficiency(
            by=door.member, report=sheet.row, **form.cleaned_data
        ),
        anchor="deficient",
        title=_("Open a deficiency"),
        action_word=_("Open deficiency"),
    )
