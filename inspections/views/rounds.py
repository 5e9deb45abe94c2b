"""Walks: what is looked at is chosen first, then every item is answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from crews.views.common import found, posted, tried
from inspections.actions import rounds as actions
from inspections.domain.catalogue import RoundKind
from inspections.domain.rounds import photographs_owed
from inspections.forms.rounds import ChooseWalkForm, WalkForm
from inspections.forms.words import ROUND_WHEN, SEVERITIES
from inspections.queries import entries, findings
from inspections.queries.reports import Sheet
from inspections.queries.round_screen import RoundScreen, round_screen
from inspections.queries.walking import nozzle_now, walk_of
from inspections.views.common import TAB, back_to_sheet, own_sheet, sheet_url
from inspections.views.entries import only, part_offers, placement_offers
from project.access import GET_POST, Door, SignedIn, job_view
from project.domain.roles import Ability


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def walk(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Choose a walk, then answer its items; sent twice it is one walk."""
    return _walked(request, door, own_sheet(door, number))


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def walk_late(request: SignedIn, door: Door) -> HttpResponse:
    """Walk a part after its sheet was signed: the walk stands without a sheet."""
    return _walked(request, door, None)


def _walked(request: SignedIn, door: Door, sheet: Sheet | None) -> HttpResponse:
    placements = [] if sheet is None else placement_offers(door, sheet)
    parts = part_offers(door)
    choice = ChooseWalkForm(
        request.GET or None,
        job=door.job,
        offers={"placement": placements, "part": parts},
        part_needed=sheet is None,
        initial={
            "kind": [RoundKind.VISIT if sheet is None else RoundKind.ROUND],
            "placement": only(placements),
        },
    )
    if not choice.is_valid():
        return _choose(request, door, sheet, choice)
    screen = _screen(door, sheet, choice)
    form = WalkForm(
        posted(request),
        job=door.job,
        screen=screen,
        open_rows=_open_rows(door, screen),
        initial={"at": door.now},
    )
    row = tried(
        form,
        lambda: actions.record_round(
            id=form.cleaned_data["id"],
            by=door.member,
            report=None if sheet is None else sheet.row,
            walk=_walk(form, screen, choice.cleaned_data["part"]),
        ),
    )
    if row is None:
        return _draw(request, door, sheet, form, screen)
    _say(request, form, row)
    return redirect(_back(door, sheet, "rounds"))


def _back(door: Door, sheet: Sheet | None, anchor: str = "") -> str:
    """Return where a walk leads back to: its sheet, or the days where it is listed."""
    if sheet is None:
        return reverse("days", args=[door.job.code])
    return sheet_url(door, sheet) + (f"#{anchor}" if anchor else "")


def _choose(
    request: SignedIn, door: Door, sheet: Sheet | None, choice: ChooseWalkForm
) -> HttpResponse:
    context = {
        "sheet": sheet,
        "form": choice,
        "when": ROUND_WHEN,
        "back_url": _back(door, sheet),
    }
    status = 422 if choice.is_bound else 200
    return render(request, "inspections/choose_walk.html", context, status=status)


def _screen(door: Door, sheet: Sheet | None, choice: ChooseWalkForm) -> RoundScreen:
    data = choice.cleaned_data
    return round_screen(
        door.job,
        None if sheet is None else sheet.row,
        kinds=choice.kinds(),
        known_at=door.known_at,
        at=door.now,
        placement=data["placement"],
        part=data["part"],
    )


def _open_rows(
    door: Door, screen: RoundScreen
) -> Mapping[str, Sequence[findings.DeficiencyRow]]:
    """Return the firm's open deficiencies of the part, by the item they are about."""
    part = screen.ground.part
    by_item: dict[str, list[findings.DeficiencyRow]] = {}
    if part is None:
        return by_item
    rows = findings.deficiencies(door.job, door.member, known_at=door.known_at)
    for row in rows:
        own = row.row.organization_id == door.member.organization_id
        if own and row.is_open and row.row.part_id == part.pk:
            by_item.setdefault(row.row.item, []).append(row)
    return by_item


def _walk(form: WalkForm, screen: RoundScreen, part: Any) -> actions.Walk:
    data = form.cleaned_data
    return actions.Walk(
        kinds=screen.kinds,
        at=data["at"],
        edition=screen.edition.version,
        answers=data["answers"],
        part=part if screen.placement is None else None,
        placement=screen.placement,
        rest=data["rest"],
        language=get_language() or "en",
        findings={
            item: actions.Finding(
                place=one.place,
                words=one.words,
                severity=one.severity,
                already=None if one.already is None else one.already.row,
            )
            for item, one in data["found"].items()
        },
    )


def _draw(
    request: SignedIn,
    door: Door,
    sheet: Sheet | None,
    form: WalkForm,
    screen: RoundScreen,
) -> HttpResponse:
    names = {part.pk: words for part, words in part_offers(door)}
    where = screen.ground.part
    context = {
        "sheet": sheet,
        "form": form,
        "screen": screen,
        "where": "" if where is None else names.get(where.pk, where.code),
        "kinds": [str(kind) for kind in screen.kinds],
        "nozzle": nozzle_now(door.job, screen, known_at=door.known_at, at=door.now),
        "back_url": _back(door, sheet),
        "walk_number": len(screen.walked) + 1,
        "severities": list(SEVERITIES.items()),
    }
    status = 422 if form.is_bound else 200
    return render(request, "inspections/walk.html", context, status=status)


def _say(request: SignedIn, form: WalkForm, row: Any) -> None:
    """Tell what the walk opened, and of what a picture is still asked for."""
    answers = form.cleaned_data["answers"]
    owed = photographs_owed(answers, edition=form.edition)
    wrong = len(form.cleaned_data["found"])
    if not wrong:
        messages.success(request, _("The round is on record."))
        return
    told = ngettext(
        "The round is on record with %(n)s deficient item.",
        "The round is on record with %(n)s deficient items.",
        wrong,
    ) % {"n": wrong}
    if owed:
        titles = ", ".join(form.edition.item(key).title.en for key in owed)
        told += " " + _("A photograph is asked of: %(items)s.") % {"items": titles}
    messages.success(request, told)


@job_view(Ability.WRITE_SHEET, methods=GET_POST, tab=TAB)
def correct_round(
    request: SignedIn, door: Door, number: int, walked: UUID
) -> HttpResponse:
    """Put another version of a walk over the one in force, with a reason."""
    sheet = own_sheet(door, number)
    row: Any = found(
        entries.entry_of(sheet.row, "round", walked, known_at=door.known_at),
        "no such walk",
    )
    placement = walk_of(row, known_at=door.known_at)
    screen = round_screen(
        door.job,
        sheet.row,
        kinds=[RoundKind(kind) for kind in row.round_kinds],
        known_at=door.known_at,
        at=row.at,
        placement=placement,
        part=row.part,
    )
    form = WalkForm(
        posted(request),
        job=door.job,
        screen=screen,
        open_rows=_open_rows(door, screen),
        answered={one["item"]: one for one in row.answers},
        initial={"at": row.at},
    )
    done = tried(
        form,
        lambda: actions.correct_round(
            id=form.cleaned_data["id"],
            by=door.member,
            round=row,
            walk=_walk(form, screen, row.part),
            reason=form.cleaned_data["reason"],
        ),
    )
    if done is None:
        return _draw(request, door, sheet, form, screen)
    return back_to_sheet(door, sheet, "rounds")
