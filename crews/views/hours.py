"""Hours on the nozzle: everybody's for a stretch of days, and one operator's log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.dateformat import format as dated
from django.utils.translation import gettext as _

from crews.actions import hours as actions
from crews.domain.hours import (
    Hours,
    Period,
    Piece,
    Sum,
    clock_text,
    hours_working,
)
from crews.domain.hours_told import unverified
from crews.forms.fields import ReasonForm
from crews.forms.hours import CorrectHoursForm, HoursLookForm, VerifyHoursForm
from crews.queries import choices
from crews.queries import hours as queries
from crews.views.common import (
    Look,
    found,
    look,
    posted,
    posted_id,
    print_note,
    short_form,
    tried,
)
from project.access import GET_POST, Door, SignedIn, job_view
from project.charts.text import number_text, when_text
from project.domain.roles import Ability
from project.domain.working import Working

_TAB = "operators"
_KEPT = ("from_on", "to_on", "at", "known")


@dataclass(frozen=True, slots=True)
class Opened:
    """One figure with its working, and the nozzle times that went into it."""

    words: str
    minutes: int
    working: Working
    given: dict[str, Any]


def read_period(request: SignedIn, door: Door) -> tuple[Look, Period | None]:
    """Read the days and instants of an address; no days where they are wrong."""
    seen = look(request, door, HoursLookForm)
    if seen.status != 200:
        return seen, None
    asked = seen.form.cleaned_data if seen.form.is_valid() else {}
    return seen, Period(asked.get("from_on"), asked.get("to_on"), door.job.zone)


def period_words(period: Period) -> str:
    """Say which days are counted."""
    first = when_text(period.first) if period.first else ""
    last = when_text(period.last) if period.last else ""
    told = {"first": first, "last": last}
    if first and last:
        return _("%(first)s to %(last)s") % told
    if first:
        return _("from %(first)s on") % told
    return _("up to %(last)s") % told if last else _("all on record")


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def hours(request: SignedIn, door: Door) -> HttpResponse:
    """Show everybody's nozzle time for a stretch of days, class by class."""
    seen, period = read_period(request, door)
    rows: tuple[queries.OperatorHours, ...] = ()
    if period is not None:
        rows = queries.hours_of_all(
            door.job,
            period=period,
            as_of=seen.at,
            known_at=seen.known_at,
            for_member=door.member,
        )
    every = [piece for row in rows for piece in row.hours.pieces]
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "facts": _facts(door, seen, period),
        "period": period,
        "people": [row for row in rows if row.hours.shot_anything],
        "without": [row for row in rows if not row.hours.shot_anything],
        "total": Sum(pieces=tuple(every)),
        "kept": _kept(request),
    }
    return render(request, "crews/hours.html", context, status=seen.status)


@job_view(Ability.READ_OPERATORS, tab=_TAB)
def operator_hours(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Show one operator's log: each nozzle time, its sums, and who verified them."""
    place = _place(door, code)
    seen, period = read_period(request, door)
    one = None
    if period is not None:
        one = queries.operator_hours(
            door.job,
            place.operator,
            period=period,
            as_of=seen.at,
            known_at=seen.known_at,
            for_member=door.member,
        )
    kept = _kept(request)
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "facts": _facts(door, seen, period),
        "operator": place.operator,
        "code": code,
        "one": one,
        "opened": _opened(door, one.hours) if one else [],
        "may_verify": _may_verify(door, place),
        "letter_url": _letter(door, code, kept),
        "kept": kept,
        "verify_kept": urlencode({k: request.GET[k] for k in _KEPT[:2] if k in kept}),
    }
    return render(request, "crews/operator_hours.html", context, status=seen.status)


def _place(door: Door, code: str) -> Any:
    place = choices.place(
        door.job, code, known_at=door.known_at, for_member=door.member
    )
    return found(place, "no such operator")


def _may_verify(door: Door, place: Any) -> bool:
    own = place.operator.organization_id == door.member.organization_id
    return door.may(Ability.VERIFY_HOURS) and own


def _letter(door: Door, code: str, kept: str) -> str:
    """Return the address of the employer's letter, which a higher app sets."""
    address = reverse("hours_letter", args=[door.job.code, code])
    return f"{address}?{kept}" if kept else address


def _facts(door: Door, seen: Look, period: Period | None) -> list[tuple[str, str]]:
    zone = door.job.zone
    facts = [(_("As known"), when_text(seen.known_at, zone=zone))]
    if period is not None:
        facts.insert(0, (_("Counted"), period_words(period)))
    return facts


def _kept(request: SignedIn) -> str:
    """Return the part of an address that keeps days and instants."""
    return urlencode({k: request.GET[k] for k in _KEPT if request.GET.get(k)})


def _opened(door: Door, counted: Hours) -> list[Opened]:
    """Return every sum of a log with its working: classes, months, and all of it."""
    sums: list[tuple[str, Sum]] = [(str(c.shot), c) for c in counted.classes]
    sums += [(dated(month.first, "F Y"), month) for month in counted.months]
    sums.append((_("All nozzle time"), counted))
    return [
        Opened(
            words=words,
            minutes=one.minutes,
            working=hours_working(words, one.pieces),
            given=_given(door, one.pieces),
        )
        for words, one in sums
    ]


def _given(door: Door, pieces: tuple[Piece, ...]) -> dict[str, Any]:
    zone = door.job.zone
    return {
        "heads": [_("Placement"), _("From"), _("To"), _("min")],
        "rows": [
            [
                piece.time.ref.name,
                when_text(piece.start, zone=zone),
                when_text(piece.stop, zone=zone, form="time"),
                number_text(piece.minutes),
            ]
            for piece in pieces
        ],
    }


def _log(door: Door, code: str) -> str:
    return reverse("operator_hours", args=[door.job.code, code]) + "#verified"


@job_view(Ability.VERIFY_HOURS, methods=GET_POST, tab=_TAB)
def verify_hours(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Keep some days' hours as a named person verifies them."""
    place = _place(door, code)
    initial, facts = _unverified(request, door, place)
    form = VerifyHoursForm(posted(request), job=door.job, initial=initial)
    row = tried(
        form,
        lambda: actions.verify_hours(
            by=door.member, operator=place.operator, **form.cleaned_data
        ),
    )
    if row is not None:
        return redirect(_log(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Verify the hours of %(name)s") % {"name": place.operator},
        facts=facts,
        action_word=_("Verify hours"),
        cancel_url=_log(door, code),
    )


def _unverified(
    request: SignedIn, door: Door, place: Any
) -> tuple[dict[str, date], list[tuple[str, str]]]:
    """Offer the days that nobody has verified yet, with what they come to now."""
    _seen, period = read_period(request, door)
    one = _counted_now(door, place, period or Period(None, None, door.job.zone))
    verified = [(said.row.from_on, said.row.to_on) for said in one.statements]
    left = Sum(pieces=unverified(one.hours, verified=verified))
    dates = [day for piece in left.pieces for day in piece.dates]
    if not dates:
        return {}, []
    days = {"from_on": min(dates), "to_on": max(dates)}
    told = Period(days["from_on"], days["to_on"], door.job.zone)
    return days, [(period_words(told), clock_text(left.minutes))]


def _counted_now(door: Door, place: Any, period: Period) -> queries.OperatorHours:
    return queries.operator_hours(
        door.job,
        place.operator,
        period=period,
        as_of=door.now,
        known_at=door.known_at,
        for_member=door.member,
    )


@job_view(Ability.VERIFY_HOURS, methods=GET_POST, tab=_TAB)
def correct_hours(
    request: SignedIn, door: Door, code: str, statement: UUID
) -> HttpResponse:
    """Verify days anew, as the record counts them now."""
    place = _place(door, code)
    if queries.hours_statement_sent(place.operator, posted_id(request)):
        return redirect(_log(door, code))
    row = _statement(door, place, statement)
    names = ("from_on", "to_on", "verified_by", "words")
    form = CorrectHoursForm(
        posted(request),
        job=door.job,
        initial={name: getattr(row, name) for name in names},
    )
    corrected = tried(
        form,
        lambda: actions.correct_hours(
            by=door.member, statement=row, **form.cleaned_data
        ),
    )
    if corrected is not None:
        return redirect(_log(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Verify the hours of %(name)s anew") % {"name": place.operator},
        facts=_then_and_now(door, place, row),
        action_word=_("Keep the new version"),
        cancel_url=_log(door, code),
    )


def _then_and_now(door: Door, place: Any, row: Any) -> list[tuple[str, str]]:
    one = _counted_now(door, place, Period(None, None, door.job.zone))
    said = found(
        next((said for said in one.statements if said.row.pk == row.pk), None),
        "no such verified days",
    )
    return [
        (_("As verified"), clock_text(said.minutes)),
        (_("As counted now"), clock_text(said.now.minutes)),
    ]


@job_view(Ability.VERIFY_HOURS, methods=GET_POST, tab=_TAB)
def withdraw_hours(
    request: SignedIn, door: Door, code: str, statement: UUID
) -> HttpResponse:
    """Take back that some days were verified."""
    place = _place(door, code)
    if queries.hours_statement_sent(place.operator, posted_id(request)):
        return redirect(_log(door, code))
    row = _statement(door, place, statement)
    form = ReasonForm(posted(request), job=door.job)
    gone = tried(
        form,
        lambda: actions.withdraw_hours(
            by=door.member, statement=row, **form.cleaned_data
        ),
    )
    if gone is not None:
        return redirect(_log(door, code))
    return short_form(
        request,
        form,
        label=_("Operator %(code)s") % {"code": code},
        title=_("Take back the hours verified by %(who)s") % {"who": row.verified_by},
        action_word=_("Withdraw"),
        cancel_url=_log(door, code),
    )


def _statement(door: Door, place: Any, id: UUID) -> Any:
    return found(
        queries.hours_statement(door.job, place.operator, id, known_at=door.known_at),
        "no such verified days",
    )
