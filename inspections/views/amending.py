"""A signed sheet amended: one entry put right or taken back, and signed anew.

First the amendment is read as the sheet would say it, nothing kept; then it is signed,
and the entry and the next version are kept in one act or not at all.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from crews.forms.fields import ReasonForm
from crews.views.common import posted, tried
from inspections.actions import corrections as entry_actions
from inspections.actions import signing as actions
from inspections.forms.corrections import correction_form
from inspections.forms.signing import SignForm
from inspections.queries.content import content_now
from inspections.queries.differences import Difference, differences
from inspections.queries.reports import Sheet
from inspections.views.common import TAB, own_sheet, sheet_url
from inspections.views.corrections import entry_of, offers
from inspections.views.sheets import lines_with_records
from inspections.views.signing import STALE, show_anew
from project.access import GET_POST, Door, SignedIn, job_view
from project.actions.signatures import prove
from project.domain.identity import derived
from project.domain.roles import Ability

_ACTS = ("correct", "withdraw")


@job_view(Ability.SIGN_REPORT, tab=TAB)
def amend_sheet(request: SignedIn, door: Door, number: int) -> HttpResponse:
    """Show the entries of one's own signed sheet, to choose what changes."""
    sheet = _own_signed(door, number)
    content = content_now(sheet.row, known_at=door.known_at)
    context = {
        "sheet": sheet,
        "lines": lines_with_records(door, sheet, content),
        "day": content["shift"]["work_date"],
    }
    return render(request, "inspections/amend.html", context)


def _own_signed(door: Door, number: int) -> Sheet:
    sheet = own_sheet(door, number)
    if not sheet.versions:
        raise Http404("a draft is written on, not amended")
    return sheet


@job_view(Ability.SIGN_REPORT, methods=GET_POST, tab=TAB)
def amend_entry(
    request: SignedIn, door: Door, number: int, kind: str, entry: UUID, act: str
) -> HttpResponse:
    """Change one entry of a signed sheet: read the amendment first, then sign it."""
    sheet = _own_signed(door, number)
    row = entry_of(door, sheet, kind, entry)
    if act not in _ACTS or (kind == "round" and act == "correct"):
        raise Http404("no such amendment")
    form = _form(request, door, sheet, kind, row, act)
    change = _change(door, row, form, act)
    read = tried(form, lambda: _read(door, sheet, form, change))
    asked = "password" in request.POST and read is not None
    signing = SignForm(
        request.POST if asked else None,
        job=door.job,
        initial={
            "content_sha256": read[1] if read else "",
            "printed_name": door.member.user.printed_name,
        },
    )
    signing.fields.pop("id")  # the version's derives from the entry's
    if asked:
        done = tried(
            signing,
            lambda: _amended(request, door, sheet, form, change, signing),
            STALE,
        )
        if done is not None:
            return redirect(sheet_url(door, sheet) + "#signatures")
        show_anew(signing, read[1] if read else "")
    context = {
        "sheet": sheet,
        "title": _title(row, act),
        "form": form,
        "signing": signing if read else None,
        "differences": read[0] if read else (),
        "cancel_url": sheet_url(door, sheet),
    }
    status = 422 if form.errors or signing.errors else 200
    return render(request, "inspections/amend_entry.html", context, status=status)


def _title(row: Any, act: str) -> str:
    words = {
        "correct": _("Amend: put %(entry)s right"),
        "withdraw": _("Amend: take %(entry)s back"),
    }
    return words[act] % {"entry": row}


def _form(
    request: SignedIn, door: Door, sheet: Sheet, kind: str, row: Any, act: str
) -> Any:
    if act == "withdraw":
        return ReasonForm(posted(request), job=door.job)
    given = offers(door, sheet, kind)
    return correction_form(row, posted(request), job=door.job, offers=given)


def _change(door: Door, row: Any, form: Any, act: str) -> Callable[[], object]:
    def correct() -> object:
        return entry_actions.correct_entry(
            by=door.member, entry=row, **form.given("id", "reason"), **form.changes()
        )

    def withdraw() -> object:
        data = form.cleaned_data
        return entry_actions.withdraw_entry(
            by=door.member, entry=row, id=data["id"], reason=data["reason"]
        )

    return correct if act == "correct" else withdraw


def _read(
    door: Door, sheet: Sheet, form: Any, change: Callable[[], object]
) -> tuple[tuple[Difference, ...], str]:
    """Return what the amendment changes on the sheet, and the hash to be signed."""
    content, digest = actions.preview_amendment(
        by=door.member,
        report=sheet.row,
        reason=form.cleaned_data["reason"],
        changes=change,
    )
    before = content_now(sheet.row, known_at=door.known_at)
    changed = differences(before, content)
    if not changed:
        raise ValidationError(_("Nothing on the sheet would change."))
    return changed, digest


def _amended(
    request: SignedIn,
    door: Door,
    sheet: Sheet,
    form: Any,
    change: Callable[[], object],
    signing: SignForm,
) -> object:
    data = dict(signing.cleaned_data)
    proof = prove(request.user, data.pop("password"))
    return actions.amend_report(
        by=door.member,
        report=sheet.row,
        changes=change,
        proof=proof,
        id=derived(form.cleaned_data["id"], "version"),
        reason=form.cleaned_data["reason"],
        **data,
    )
