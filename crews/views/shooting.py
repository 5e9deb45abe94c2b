"""Recording a shift: its opening, placements, leaves, and who stood beside the nozzle."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions import shooting as actions
from crews.actions.nozzle import leave_nozzle as leave
from crews.domain.trade_words import VolumeBasis
from crews.forms.fields import named
from crews.forms.shooting import (
    CloseShiftForm,
    EndPresenceForm,
    LeaveForm,
    PlacementForm,
    PresenceForm,
    ShiftForm,
)
from crews.queries import choices
from crews.views.common import found, posted, short_form, tried
from project.access import GET_POST, Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability
from project.queries.jobs import mixes, parts

_TAB = "days"


def _shift(door: Door, id: UUID) -> Any:
    """Return the shift that an address names; 404 for another firm's."""
    row = choices.shift(door.job, id, known_at=door.known_at, for_member=door.member)
    return found(row, "no such shift")


def _page(door: Door, shift: UUID) -> str:
    """Return the page of a shift, which a higher app keeps."""
    return reverse("shift", args=[door.job.code, shift])


def _label(shift: Any) -> str:
    day = when_text(shift.work_date, form="day")
    return _("%(day)s, %(name)s shift") % {"day": day, "name": shift.name}


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=_TAB)
def open_shift(request: SignedIn, door: Door) -> HttpResponse:
    """Open a contractor's shift, or go to the one that is open already."""
    firms = choices.contractors(door.job, for_member=door.member)
    form = ShiftForm(
        posted(request),
        job=door.job,
        offers={"organization": named(firms)},
        initial={"starts_at": door.now},
    )
    row = tried(
        form,
        lambda: actions.open_shift(
            contractor=form.cleaned_data["organization"],
            work_date=door.job.local(form.cleaned_data["starts_at"]).date(),
            by=door.member,
            **form.given("id", "name", "starts_at", "no_work_reason"),
        ),
        {"work_date": "starts_at"},
    )
    if row is not None:
        return redirect(_page(door, row.first))
    return short_form(
        request,
        form,
        label=_("Days"),
        title=_("Open a shift"),
        action_word=_("Open shift"),
        cancel_url=reverse("days", args=[door.job.code]),
    )


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=_TAB)
def close_shift(request: SignedIn, door: Door, shift: UUID) -> HttpResponse:
    """Say when a shift stopped."""
    row = _shift(door, shift)
    form = CloseShiftForm(posted(request), job=door.job, initial={"stops_at": door.now})
    closed = tried(
        form,
        lambda: actions.close_shift(
            by=door.member, shift=row, stops_at=form.cleaned_data["stops_at"]
        ),
    )
    if closed is not None:
        return redirect(_page(door, row.first))
    return short_form(
        request,
        form,
        label=_label(row),
        title=_("Say when the shift stopped"),
        action_word=_("Close shift"),
        cancel_url=_page(door, row.first),
    )


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=_TAB)
def record_placement(request: SignedIn, door: Door, shift: UUID) -> HttpResponse:
    """Record what is shot in a shift; the next page hands the nozzle over."""
    row = _shift(door, shift)
    form = PlacementForm(posted(request), job=door.job, offers=_placeable(door, row))
    placed = tried(form, lambda: _place(door, row, form))
    if placed is not None:
        return redirect("take_nozzle", door.job.code, placed.code)
    return short_form(
        request,
        form,
        label=_label(row),
        title=_("Record a placement"),
        action_word=_("Record placement"),
        cancel_url=_page(door, row.first),
    )


def _placeable(door: Door, shift: Any) -> dict[str, Any]:
    job, at, firm = door.job, door.known_at, shift.organization_id
    drawn = parts(job, known_at=at)
    return {
        "part": [
            (p.part, f"{p.code}, {p.revision.name} ({p.revision.mix_code})")
            for p in drawn
        ],
        "coat": [(c, f"{c.part.code}: {c}") for c in choices.coats(job, known_at=at)],
        "mix": named(mixes(job, known_at=at)),
        "crew": named(choices.crews(job, for_member=door.member, firm=firm)),
        "rig": named(choices.rigs(job, for_member=door.member, firm=firm)),
    }


def _place(door: Door, shift: Any, form: PlacementForm) -> Any:
    data = dict(form.cleaned_data)
    if data["mix"] is None:
        data["mix"] = choices.planned_mix(
            door.job, data["part"], on=shift.work_date, known_at=door.known_at
        )
    return actions.place(by=door.member, shift=shift, **data)


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=_TAB)
def leave_nozzle(request: SignedIn, door: Door, held: UUID) -> HttpResponse:
    """Say when the nozzle was left, and what was shot where somebody knows it."""
    row = found(
        choices.nozzle_time(
            door.job, held, known_at=door.known_at, for_member=door.member
        ),
        "no such nozzle time",
    )
    form = LeaveForm(posted(request), job=door.job, initial={"stopped_at": door.now})
    left = tried(
        form,
        lambda: leave(
            by=door.member,
            nozzle_time=row,
            at=form.cleaned_data["stopped_at"],
            volume=form.cleaned_data["volume"],
            volume_basis=form.cleaned_data["volume_basis"] or VolumeBasis.LOADS,
        ),
    )
    shift = row.placement.shift
    if left is not None:
        return redirect(_page(door, shift.first))
    taken = when_text(row.started_at, zone=door.job.zone)
    return short_form(
        request,
        form,
        label=f"{row.placement.code}, {row.placement.part.code}",
        title=_("%(who)s leaves the nozzle, taken %(at)s")
        % {"who": row.operator, "at": taken},
        action_word=_("Record the leave"),
        cancel_url=_page(door, shift.first),
    )


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=_TAB)
def note_presence(request: SignedIn, door: Door, shift: UUID) -> HttpResponse:
    """Note who stood where beside the nozzle."""
    row = _shift(door, shift)
    drawn = parts(door.job, known_at=door.known_at)
    form = PresenceForm(
        posted(request),
        job=door.job,
        offers={
            "person": _people(door, row),
            "part": [(p.part, f"{p.code}, {p.revision.name}") for p in drawn],
        },
        initial={"from_at": door.now},
    )
    noted = tried(
        form,
        lambda: actions.note_presence(
            by=door.member,
            shift=row,
            **_person(form.cleaned_data["person"]),
            **form.given("id", "role", "part", "from_at", "to_at"),
        ),
    )
    if noted is not None:
        return redirect(_page(door, row.first))
    return short_form(
        request,
        form,
        label=_label(row),
        title=_("Note who stood beside the nozzle"),
        action_word=_("Note it"),
        cancel_url=_page(door, row.first),
    )


# Under which name the action takes each kind of person.
_NAMES = {"operator": "operator", "crewmember": "crew_member"}


def _person(row: Any) -> dict[str, Any]:
    return {_NAMES.get(row.kind, "membership"): row}


def _people(door: Door, shift: Any) -> list[tuple[Any, str]]:
    """Return the firm's operators and crews, and the members of the job."""
    places = choices.places(door.job, known_at=door.known_at, for_member=door.member)
    firm = shift.organization_id
    crews = choices.crews(door.job, for_member=door.member, firm=firm)
    return [
        *(
            (p.operator, f"{p.code} {p.operator}")
            for p in places
            if p.employer_id == firm
        ),
        *((m, f"{crew.code}: {m}") for crew in crews for m in crew.members.all()),
        *(
            (m, f"{m.user.printed_name}, {m.role}")
            for m in choices.members_present(door.job)
        ),
    ]


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=_TAB)
def end_presence(request: SignedIn, door: Door, presence: UUID) -> HttpResponse:
    """Say until when somebody stood there."""
    row = found(
        choices.presence(
            door.job, presence, known_at=door.known_at, for_member=door.member
        ),
        "nobody noted so",
    )
    form = EndPresenceForm(posted(request), job=door.job, initial={"to_at": door.now})
    ended = tried(
        form,
        lambda: actions.end_presence(
            by=door.member, presence=row, to_at=form.cleaned_data["to_at"]
        ),
    )
    if ended is not None:
        return redirect(_page(door, row.shift.first))
    return short_form(
        request,
        form,
        label=_label(row.shift),
        title=_("Say until when they stood there"),
        action_word=_("Note the end"),
        cancel_url=_page(door, row.shift.first),
    )
