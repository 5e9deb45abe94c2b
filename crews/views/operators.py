"""Operators by parts, and one operator's sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.http import HttpResponse
from django.http.request import QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from crews.domain.trade_words import Method
from crews.forms.fields import named
from crews.forms.people import MatrixForm
from crews.queries import choices
from crews.queries.folding import SOON, Fold, bands, ends_soon, folded, folds
from crews.queries.hindsight import then_and_now
from crews.queries.matrix import Matrix, Standing, matrix
from crews.queries.operator_files import Person
from crews.queries.operators import operator_page
from crews.views.common import (
    Look,
    evidence_urls,
    found,
    look,
    print_note,
    standing_sentence,
)
from project.access import Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability
from project.domain.verdict import State
from project.queries.jobs import mixes

_KEPT = ("every", "part", "operator")


@dataclass(frozen=True, slots=True)
class Cell:
    """One square of the matrix: the answer, and its last day if that is soon."""

    code: str
    state: State
    ends: date | None


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the matrix in one band of operators; `chosen` is the one read."""

    fold: Fold
    url: str
    cells: tuple[Cell, ...]
    chosen: str


@job_view(Ability.READ_OPERATORS)
def operators(request: SignedIn, door: Door) -> HttpResponse:
    """Show who is qualified on record for which part, as of and as known when."""
    seen = look(
        request,
        door,
        MatrixForm,
        mixes=named(mixes(door.job, known_at=door.known_at)),
        rigs=named(choices.rigs(door.job, for_member=door.member)),
    )
    asked = seen.form.cleaned_data if seen.form.is_valid() else {}
    table = matrix(
        door.job,
        as_of=seen.at,
        known_at=seen.known_at,
        for_member=door.member,
        mix=asked.get("mix"),
        method=asked.get("method") or Method.HAND,
        rig=asked.get("rig"),
    )
    rows = folds(table, every="every" in request.GET)
    place = _place(request.GET)
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "facts": _head(door, seen),
        "table": table,
        "bands": list(_tables(door, request.GET, rows, table)),
        "every": "every" in request.GET,
        "fold_url": _fold_url(request.GET),
        "asked_for_cell": any(place),
        "answer": _answer(door, table, place),
        "ending": _ending(rows, table),
        "without_place": _without_place(door),
        # Asking for another day keeps the square that is read.
        "keep": {k: request.GET[k] for k in _KEPT if k in request.GET},
        "may_keep": door.may(Ability.KEEP_OPERATORS),
        "may_waive": door.may(Ability.GIVE_WAIVER),
        "records_url": _record_url(door, seen),
    }
    return render(request, "crews/operators.html", context, status=seen.status)


def _head(door: Door, seen: Look) -> list[tuple[str, str]]:
    zone = door.job.zone
    known = _("now")
    if seen.known_at != door.known_at:
        known = when_text(seen.known_at, zone=zone)
    return [
        (_("As of"), when_text(seen.at, zone=zone, form="full")),
        (_("As known"), known),
    ]


def _tables(
    door: Door, asked: QueryDict, rows: Sequence[Fold], table: Matrix
) -> Iterator[tuple[tuple[Person, ...], list[Line]]]:
    """Yield the tables of the page: their operators and a line for each fold."""
    kept = asked.copy()
    for name in ("part", "operator"):
        kept.pop(name, None)
    before = f"?{kept.urlencode()}&" if kept else "?"
    part, operator = _place(asked)
    column = {person.code: n for n, person in enumerate(table.people)}
    chosen = operator if operator in column else ""
    for band in bands(table.people):
        columns = [column[person.code] for person in band]
        # Parts that ask the same share their answers: their squares are made once.
        made: dict[int, tuple[Cell, ...]] = {}
        lines = []
        for fold in rows:
            answers = fold.first.standings
            if id(answers) not in made:
                told = [answers[n] for n in columns]
                made[id(answers)] = _cells(door, told, as_of=table.as_of)
            url = before + urlencode({"part": fold.first.code})
            read = chosen if part in fold.parts else ""
            lines.append(Line(fold, url, made[id(answers)], read))
        yield band, lines


def _cells(
    door: Door, standings: Sequence[Standing], *, as_of: datetime
) -> tuple[Cell, ...]:
    cells = []
    for one in standings:
        until = ends_soon(one, at=as_of)
        ends = door.job.local(until).date() if until else None
        cells.append(Cell(one.code, one.state, ends))
    return tuple(cells)


def _place(asked: QueryDict) -> tuple[str, str]:
    """Return the part and the operator of the square that is read."""
    return asked.get("part", ""), asked.get("operator", "")


def _fold_url(asked: QueryDict) -> str:
    kept = asked.copy()
    if "every" in kept:
        del kept["every"]
    else:
        kept["every"] = "1"
    return f"?{kept.urlencode()}"


def _answer(door: Door, table: Matrix, place: tuple[str, str]) -> dict[str, Any] | None:
    """Return what the right page says of the chosen cell."""
    part, operator = place
    row = next((row for row in table.rows if row.code == part), None)
    person = next((one for one in table.people if one.code == operator), None)
    if row is None or person is None:
        return None
    standing = next(one for one in row.standings if one.code == operator)
    return {
        "row": row,
        "person": person,
        "standing": standing,
        "sentence": standing_sentence(door, standing.verdict),
        "urls": evidence_urls(door, operator, standing.verdict),
    }


def _ending(rows: tuple[Fold, ...], table: Matrix) -> list[dict[str, Any]]:
    """Return the answers that end soon, the first to end on top."""
    found = [
        {"fold": fold, "code": standing.code, "until": until}
        for fold in rows
        for standing in fold.first.standings
        if (until := ends_soon(standing, at=table.as_of))
    ]
    return sorted(found, key=lambda line: line["until"])


def _without_place(door: Door) -> int:
    if not door.may(Ability.KEEP_OPERATORS):
        return 0
    return len(choices.without_place(door.job, for_member=door.member))


@job_view(Ability.READ_OPERATORS, tab="operators")
def operator(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Show one operator with everything on record."""
    seen = look(request, door)
    page = found(
        operator_page(
            door.job,
            code,
            as_of=seen.at,
            known_at=seen.known_at,
            for_member=door.member,
        ),
        "no such operator",
    )
    place = page.enrolments[-1] if page.enrolments else None
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "page": page,
        "again": then_and_now(
            door.job, [held for _placed, held in page.held], at=seen.known_at
        ),
        "folds": folded(page.rows),
        "facts": [
            (_("Badge"), page.operator.badge_number),
            *([(_("Employer"), str(place.employer))] if place else []),
        ],
        "may_keep": door.may(Ability.KEEP_OPERATORS),
        "may_read_panels": door.may(Ability.READ_PANELS),
        "record_url": _record_url(door, seen, page.code),
        "may_waive": door.may(Ability.GIVE_WAIVER),
        "waivers": [
            (page.code if row.operator_id else "", row) for row in page.waivers
        ],
        "today": door.job.local(seen.at).date(),
        "soon": door.job.local(seen.at + SOON).date(),
        "hours": divmod(page.minutes, 60),
    }
    return render(request, "crews/operator.html", context, status=seen.status)


def _record_url(door: Door, seen: Look, code: str = "") -> str:
    """Return an operator's rolling record, or all; it counts what sheets say of work."""
    if not door.may(Ability.READ_SIGNED_SHEETS):
        return ""
    job = door.job.code
    page = reverse("rolling_records", args=[job])
    if code:
        page = reverse("rolling_record", args=[job, code])
    return f"{page}?{seen.moved}" if seen.moved else page
