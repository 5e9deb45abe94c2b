"""Recording panels and cores, and deciding on them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.actions.cores import CoreEntry
from crews.actions.cores import drill_cores as drill
from crews.actions.panels import PanelSize, accept_substitute, judge_panel, shoot_panel
from crews.domain.trade_words import DecisionOutcome, PanelKind
from crews.forms.cores import drill_table
from crews.forms.fields import named
from crews.forms.panels import DecisionForm, PanelForm, SubstituteForm
from crews.forms.tables import Table
from crews.queries import choices
from crews.queries.ledger import ledger
from crews.queries.panels import PanelRow, panel_page
from crews.queries.shooting import shifts
from crews.views.common import found, posted, short_form, tell_recorded, tried
from crews.views.panels import panel_url
from project.access import GET_POST, Door, SignedIn, job_view
from project.actions.signatures import prove
from project.domain.roles import Ability
from project.domain.units import convert
from project.queries.jobs import mixes, parts

_TAB = "panels"
_KINDS = {kind.value.replace(" ", "-"): kind for kind in PanelKind}


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=_TAB)
def shoot(request: SignedIn, door: Door, kind: str) -> HttpResponse:
    """Record a panel as it was shot, or cores taken from the work."""
    if kind not in _KINDS:
        raise Http404("no such kind of panel")
    form = PanelForm(
        posted(request),
        job=door.job,
        panel_kind=_KINDS[kind],
        offers=_offers(door),
        initial=_initial(request, door),
    )
    row = tried(form, lambda: _shoot(door, _KINDS[kind], form))
    if row is not None:
        return redirect(panel_url(door, row.code))
    return short_form(
        request,
        form,
        label=_("Panels"),
        title=_("Record a panel: %(kind)s") % {"kind": _KINDS[kind]},
        action_word=_("Record panel"),
        cancel_url=reverse("panels", args=[door.job.code]),
    )


def _shoot(door: Door, kind: PanelKind, form: PanelForm) -> Any:
    sides = form.sides()
    size = PanelSize(**sides) if sides else None
    return shoot_panel(by=door.member, kind=kind, size=size, **form.facts())


def _offers(door: Door) -> dict[str, Any]:
    """Return the rows a panel may name: the job's, and of one's own firm."""
    job, at, member = door.job, door.known_at, door.member
    places = choices.places(job, known_at=at, for_member=member)
    people = [(p.operator, f"{p.code} {p.operator}") for p in places]
    drawn = parts(job, known_at=at)
    worked = shifts(job, known_at=at, for_member=member)
    return {
        "placement": [
            (p, f"{p.code}, {p.part.code}, {p.shift.work_date}")
            for p in choices.placements(job, known_at=at, for_member=member)
        ],
        "operator": people,
        "shared_with": people,
        "supervisor": people,
        "mix": named(mixes(job, known_at=at)),
        "rig": named(choices.rigs(job, for_member=member)),
        "shift": [(s, f"{s}, {s.organization}") for s in reversed(worked)],
        "part": [(p.part, f"{p.code}, {p.revision.name}") for p in drawn],
        "bars_of": [(p.revision, p.code) for p in drawn],
        "stands_for": _missing(door),
        "laboratory": named(choices.laboratories(job)),
        "witness": [(m, m.user.printed_name) for m in choices.members_present(job)],
    }


def _missing(door: Door) -> Iterable[tuple[Any, str]]:
    """Return the nozzle times whose panel is missing."""
    found = ledger(
        door.job,
        known_at=door.known_at,
        on=door.local_today(),
        for_member=door.member,
    )
    return [
        (held.row, f"{held.code}, {', '.join(row.placements)}, {row.work_date}")
        for row in found.missing
        for held in row.held
    ]


def _initial(request: SignedIn, door: Door) -> dict[str, Any]:
    """Start from the placement and the operator that the address names."""
    initial: dict[str, Any] = {"shot_from": door.now}
    row = choices.placement(
        door.job,
        request.GET.get("placement", ""),
        known_at=door.known_at,
        for_member=door.member,
    )
    if row is not None:
        initial |= {"placement": row, "mix": row.mix_revision, "rig": row.rig}
        drawn = parts(door.job, known_at=door.known_at)
        part = next((p.revision for p in drawn if p.part.pk == row.part_id), None)
        if part is not None:
            initial["position"] = part.position
    place = choices.place(
        door.job,
        request.GET.get("operator", ""),
        known_at=door.known_at,
        for_member=door.member,
    )
    if place is not None:
        initial["operator"] = place.operator
    return initial


def _panel(door: Door, code: str) -> PanelRow:
    """Return the panel that an address names; 404 where it is not to be seen."""
    page = panel_page(
        door.job,
        code,
        known_at=door.known_at,
        on=door.local_today(),
        for_member=door.member,
    )
    return found(page, "no such panel").panel


@job_view(Ability.RECORD_SHOOTING, methods=GET_POST, tab=_TAB)
def drill_cores(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Record the cores drilled from a panel."""
    return _drill(request, door, code)


@job_view(Ability.ENTER_RESULTS, methods=GET_POST, tab=_TAB)
def drill_own_cores(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Record the cores that the laboratory drilled from a panel sent to it."""
    return _drill(request, door, code)


def _drill(request: SignedIn, door: Door, code: str) -> HttpResponse:
    row = _panel(door, code)
    drilled = [core.row.number for one in row.sets for core in one.cores]
    table = drill_table(
        posted(request),
        job=door.job,
        ages=() if drilled else _ages(row),
        first=max(drilled, default=0) + 1,
        at=door.now,
    )
    if table.is_bound and table.is_valid() and _drilled(door, row, table):
        return redirect(panel_url(door, code))
    table.mark()
    context = {
        "row": row,
        "table": table,
        "cancel_url": panel_url(door, code),
    }
    status = 422 if table.is_bound else 200
    return render(request, "crews/drill.html", context, status=status)


def _drilled(door: Door, row: PanelRow, table: Table) -> bool:
    try:
        drill(
            by=door.member,
            panel=row.row,
            cores=[CoreEntry(**one.facts(table.head)) for one in table.given],
        )
    except ValidationError as error:
        table.take_errors(error, "cores")
        return False
    return True


def _ages(row: PanelRow) -> list[int]:
    """Return the ages of the cores that the contract asks for, one for each core."""
    terms, ages = row.terms, []
    early = terms.quantity("early_core_age") if terms else None
    count = terms.decimal("early_core_count") if terms else None
    if early is not None and count:
        ages += [int(convert(early, to="d").value)] * int(count)
    cores = terms.decimal("core_count") if terms else None
    return ages + [row.mix.test_age_days] * int(cores or 3)


@job_view(Ability.JUDGE_FINISH_SAMPLE, methods=GET_POST, tab=_TAB)
def judge(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Judge a mock-up or a material panel (engineer), or a finish sample (either)."""
    row = _panel(door, code)
    if row.kind in (PanelKind.PRODUCTION, PanelKind.IN_PLACE):
        raise Http404("its cores judge it")
    if row.kind is not PanelKind.FINISH_SAMPLE and not door.may(Ability.JUDGE_MOCK_UP):
        raise PermissionDenied(Ability.JUDGE_MOCK_UP.value)
    earlier = [
        (one, _("a correction of: %(decision)s") % {"decision": one.decision})
        for one in row.judgements
    ]
    form = DecisionForm(
        posted(request),
        job=door.job,
        panel_kind=row.kind,
        offers={"supersedes": earlier},
        initial=_signer(door),
    )
    decided = tried(form, lambda: _judge(door, row, form))
    if decided is not None:
        tell_recorded(request, door, decided)
        return redirect(panel_url(door, code))
    return short_form(
        request,
        form,
        label=f"{row.kind}, {row.operator_code}".rstrip(", "),
        title=_("Decide on %(panel)s") % {"panel": code},
        action_word=_("Sign the decision on %(panel)s") % {"panel": code},
        cancel_url=panel_url(door, code),
    )


def _signer(door: Door) -> dict[str, Any]:
    name = door.member.user.printed_name
    return {"decided_at": door.now, "printed_name": name}


def _judge(door: Door, row: PanelRow, form: DecisionForm) -> Any:
    data = form.cleaned_data
    return judge_panel(
        id=data["id"],
        by=door.member,
        panel=row.row,
        decision=DecisionOutcome(data["decision"]),
        decided_at=data["decided_at"],
        words=data["words"],
        proof=prove(door.member.user, data["password"]),
        printed_name=data["printed_name"],
        supersedes=data.get("supersedes"),
        reason=data.get("reason", ""),
    )


@job_view(Ability.ACCEPT_SUBSTITUTE, methods=GET_POST, tab=_TAB)
def accept(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Accept cores from the work in place of a panel that was not shot."""
    row = _panel(door, code)
    if row.kind is not PanelKind.IN_PLACE or not row.row.stands_for:
        raise Http404("it stands for no missing panel")
    form = SubstituteForm(posted(request), job=door.job, initial=_signer(door))
    decided = tried(
        form,
        lambda: accept_substitute(
            id=form.cleaned_data["id"],
            by=door.member,
            panel=row.row,
            decided_at=form.cleaned_data["decided_at"],
            words=form.cleaned_data["words"],
            proof=prove(door.member.user, form.cleaned_data["password"]),
            printed_name=form.cleaned_data["printed_name"],
        ),
    )
    if decided is not None:
        return redirect(panel_url(door, code))
    return short_form(
        request,
        form,
        label=_("Cores from the work, %(panel)s") % {"panel": code},
        title=_("Accept %(panel)s in place of a missing panel") % {"panel": code},
        action_word=_("Sign the acceptance of %(panel)s") % {"panel": code},
        cancel_url=panel_url(door, code),
    )
