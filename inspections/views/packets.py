"""The packets that the owner is told with: list, one packet, its file."""

from __future__ import annotations

import logging
import tempfile
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from crews.views.common import found, short_form
from inspections.actions import packets as acts
from inspections.forms.packets import PrepareForm, ReviewForm, ReviseForm
from inspections.queries.packets import PacketRow, packet_row, packet_rows
from inspections.queries.today import week_without_packet
from inspections.views.common import pdf_file
from project.access import GET_POST, POST, Door, SignedIn, job_view
from project.actions.files import DamagedFile
from project.actions.signatures import prove
from project.domain.identity import derived
from project.domain.roles import Ability

_TAB = "packets"
logger = logging.getLogger(__name__)


def _row(door: Door, number: int, revision: int) -> PacketRow:
    return found(
        packet_row(
            door.job,
            door.member,
            number=number,
            revision=revision,
            known_at=door.known_at,
        ),
        "no such packet",
    )


@job_view(Ability.READ_PACKETS)
def packets(request: SignedIn, door: Door) -> HttpResponse:
    """List the packets, the latest first, and the week that waits for one."""
    rows = packet_rows(door.job, door.member, known_at=door.known_at)
    may_prepare = door.may(Ability.PREPARE_PACKET)
    context = {
        "packets": rows,
        "issued": sum(row.issued is not None for row in rows),
        "may_prepare": may_prepare,
        "week": week_without_packet(door.job, known_at=door.known_at)
        if may_prepare
        else None,
    }
    return render(request, "inspections/packets.html", context)


@job_view(Ability.READ_PACKETS, tab=_TAB)
def packet(request: SignedIn, door: Door, number: int, revision: int) -> HttpResponse:
    """Show one packet: how it stands, its hash, what may happen to it next."""
    row = _row(door, number, revision)
    return render(request, "inspections/packet.html", _context(door, row))


def _context(door: Door, row: PacketRow, **more: Any) -> dict[str, Any]:
    own = row.row.recorded_by.user_id == door.member.user_id
    may_revise = row.state == "issued" and door.may(Ability.PREPARE_PACKET)
    return {
        "one": row,
        "may_review": row.state == "prepared"
        and door.may(Ability.REVIEW_PACKET)
        and not own,
        "may_issue": row.state == "reviewed" and door.may(Ability.ISSUE_PACKET),
        "may_revise": may_revise,
        "changed": _changed(row) if may_revise else "",
        "since_cut_url": _affected(door, row),
        **more,
    }


def _affected(door: Door, row: PacketRow) -> str:
    """Return where to read what was learned since an issued packet's cut."""
    if row.issued is None or not door.may(Ability.READ_SIGNED_SHEETS):
        return ""
    cut = door.job.local(row.row.cut_at).strftime("%Y-%m-%dT%H:%M")
    return f"{reverse('affected', args=[door.job.code])}?{urlencode({'since': cut})}"


def _url(row: PacketRow) -> str:
    packet = row.row
    return reverse("packet", args=[packet.job.code, packet.number, packet.revision])


def _changed(row: PacketRow) -> str:
    """Say how many records of an issued packet read otherwise by now."""
    changed = acts.changed_since_issue(row.row)
    if not changed:
        return _("No record in it reads otherwise since it was issued.")
    return ngettext(
        "%(n)s record reads otherwise since it was issued.",
        "%(n)s records read otherwise since it was issued.",
        changed,
    ) % {"n": changed}


@job_view(Ability.PREPARE_PACKET, methods=GET_POST, tab=_TAB)
def prepare_packet(request: SignedIn, door: Door) -> HttpResponse:
    """Prepare the packet of a week that is over."""
    week = week_without_packet(door.job, known_at=door.known_at)
    form = PrepareForm(
        request.POST if request.method == "POST" else None,
        job=door.job,
        initial={"day": week.first} if week else {},
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            made = acts.prepare_packet(id=data["id"], by=door.member, day=data["day"])
            return redirect("packet", door.job.code, made.number, made.revision)
        except ValidationError as error:
            form.take_errors(error)
    return short_form(
        request,
        form,
        label=_("Packets"),
        title=_("Prepare a week's packet"),
        action_word=_("Prepare packet"),
        cancel_url=reverse("packets", args=[door.job.code]),
    )


@job_view(Ability.REVIEW_PACKET, methods=GET_POST, tab=_TAB)
def review_packet(
    request: SignedIn, door: Door, number: int, revision: int
) -> HttpResponse:
    """Review a packet that somebody else prepared, with the password again."""
    row = _row(door, number, revision)
    form = ReviewForm(
        request.POST if request.method == "POST" else None,
        job=door.job,
        initial={"printed_name": request.user.printed_name},
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            acts.review_packet(
                id=data["id"],
                by=door.member,
                packet=row.row,
                printed_name=data["printed_name"],
                proof=prove(request.user, data["password"]),
            )
            return redirect("packet", door.job.code, number, revision)
        except ValidationError as error:
            form.take_errors(error)
    return short_form(
        request,
        form,
        label=_("Packets"),
        title=_("Review %(packet)s") % {"packet": row.row},
        action_word=_("Put my name to it"),
        cancel_url=_url(row),
    )


@job_view(Ability.ISSUE_PACKET, methods=POST, tab=_TAB)
def issue_packet(
    request: SignedIn, door: Door, number: int, revision: int
) -> HttpResponse:
    """Issue a reviewed packet: its file is drawn, kept by its hash, and told."""
    row = _row(door, number, revision)
    try:
        acts.issue_packet(
            id=derived(row.row.pk, "issue"), by=door.member, packet=row.row
        )
    except ValidationError as error:
        context = _context(door, row, refused=error.messages)
        return render(request, "inspections/packet.html", context, status=422)
    return redirect("packet", door.job.code, number, revision)


@job_view(Ability.PREPARE_PACKET, methods=GET_POST, tab=_TAB)
def revise_packet(
    request: SignedIn, door: Door, number: int, revision: int
) -> HttpResponse:
    """Prepare the next revision of an issued packet, for a reason."""
    row = _row(door, number, revision)
    form = ReviseForm(request.POST if request.method == "POST" else None, job=door.job)
    if form.is_valid():
        data = form.cleaned_data
        try:
            made = acts.prepare_packet(
                id=data["id"],
                by=door.member,
                day=row.row.from_on,
                reason=data["reason"],
            )
            return redirect("packet", door.job.code, made.number, made.revision)
        except ValidationError as error:
            form.take_errors(error)
    return short_form(
        request,
        form,
        label=_("Packets"),
        title=_("Revise %(packet)s") % {"packet": row.row},
        action_word=_("Prepare the revision"),
        cancel_url=_url(row),
        caution=_changed(row) if row.issued else "",
    )


@job_view(Ability.READ_PACKETS, tab=_TAB)
def packet_file(
    request: SignedIn, door: Door, number: int, revision: int
) -> HttpResponse:
    """Send a packet's file: the issued one as it is kept, else a draft drawn now."""
    row = _row(door, number, revision)
    name = f"{door.job.code}-{row.code}-revision-{revision}"
    if row.issued is None:
        return _draft(row, f"{name}-draft.pdf")
    try:
        data = acts.issued_file(row.row)
    except DamagedFile as damaged:
        logger.exception("packet %s", row.code)
        raise Http404(str(damaged)) from damaged
    return pdf_file(data, f"{name}.pdf")


def _draft(row: PacketRow, name: str) -> HttpResponse:
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "draft.pdf"
        acts.draft_of(row.row, out=out)
        return pdf_file(out.read_bytes(), name)
