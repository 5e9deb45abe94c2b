"""The ledger of panels, and one panel with its cores and every reason."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from crews.charts.standing import (
    decision_shown,
    panel_shown,
    rating_shown,
    set_shown,
)
from crews.domain.trade_words import PanelKind
from crews.domain.visual_rating import FEWEST_CORES
from crews.queries.ledger import LedgerRow, PanelLedger, ledger_of
from crews.queries.panels import (
    CORED,
    CoreRow,
    PanelPage,
    PanelRow,
    SetRow,
    panel_page,
)
from crews.queries.panels import (
    panels as panel_rows,
)
from crews.queries.ratings import ratings
from crews.queries.shooting import shooting
from crews.queries.strength import due_rows
from crews.views.common import Look, found, look, print_note
from project.access import Door, SignedIn, job_view
from project.charts.text import when_text
from project.domain.roles import Ability, Role
from project.forms.settings import reinforcement_words

# Results due within these days stand on the ledger's right page.
_AHEAD = timedelta(days=14)


@job_view(Ability.READ_PANELS)
def panels(request: SignedIn, door: Door) -> HttpResponse:
    """Show what is owed, made and missing, what is due, and how the sets stand."""
    seen = look(request, door)
    on = door.job.local(seen.at).date()
    rows = panel_rows(door.job, known_at=seen.known_at, on=on, for_member=door.member)
    sent_here_only = door.role is Role.LABORATORY
    ledger = None if sent_here_only else _ledger(door, seen, rows, on)
    due = due_rows(door.job, rows, until=on + _AHEAD)
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "on": on,
        "ledger": ledger,
        "facts": _ledger_facts(door, seen, ledger),
        "lines": [_line(line, on) for line in ledger.rows] if ledger else [],
        "due": [(row, set_shown(row.set, on=on)) for row in due],
        "others": [
            (row, panel_shown(row, on=on))
            for row in rows
            if sent_here_only or row.kind is not PanelKind.PRODUCTION
        ],
        "may": _may(door),
    }
    return render(request, "crews/panels.html", context, status=seen.status)


def _ledger(
    door: Door, seen: Look, rows: tuple[PanelRow, ...], on: date
) -> PanelLedger:
    """Return the ledger up to the day that is asked for."""
    placed = shooting(door.job, known_at=seen.known_at, for_member=door.member, last=on)
    made = [row for row in rows if row.kind in CORED and row.row.work_date <= on]
    return ledger_of(door.job, placed, made, known_at=seen.known_at)


def _ledger_facts(
    door: Door, seen: Look, ledger: PanelLedger | None
) -> list[tuple[str, str]]:
    facts = [(_("As of"), when_text(seen.at, zone=door.job.zone, form="day"))]
    if ledger is not None:
        facts += [(_("Owed"), str(ledger.owed)), (_("Made"), str(ledger.made))]
    return facts


def _line(line: LedgerRow, on: date) -> dict[str, Any]:
    """Return one obligation with the sets of the panel that met it."""
    sets = line.panel.sets if line.panel else ()
    return {
        "row": line,
        "owed": line.line.owed,
        "early": next((one for one in sets if one.early), None),
        "shown": panel_shown(line.panel, on=on) if line.panel else None,
    }


def _may(door: Door) -> dict[str, bool]:
    """Return what the member may do here, by the words of the template."""
    return {
        "record": door.may(Ability.RECORD_SHOOTING),
        "report": door.may(Ability.ENTER_RESULTS),
        "strength": door.may(Ability.READ_STRENGTH),
        "judge": door.may(Ability.JUDGE_MOCK_UP),
        "judge_sample": door.may(Ability.JUDGE_FINISH_SAMPLE),
        "accept": door.may(Ability.ACCEPT_SUBSTITUTE),
        "sheets": door.may(Ability.READ_SIGNED_SHEETS),
        "audit": door.may(Ability.READ_AUDIT),
    }


@job_view(Ability.READ_PANELS, tab="panels")
def panel(request: SignedIn, door: Door, code: str) -> HttpResponse:
    """Show one panel: facts, cores, the verdict, or the working of one figure."""
    seen = look(request, door)
    on = door.job.local(seen.at).date()
    page = found(
        panel_page(
            door.job,
            code,
            known_at=seen.known_at,
            on=on,
            for_member=door.member,
        ),
        "no such panel",
    )
    row = page.panel
    strength = door.may(Ability.READ_STRENGTH)
    context = {
        "look": seen,
        "print_note": print_note(door, seen),
        "page": page,
        "row": row,
        "title": _title(row),
        "facts": _panel_facts(door, row),
        "shown": panel_shown(row, on=on),
        "bars": reinforcement_words(row.row.reinforcement),
        "sets": [(one, set_shown(one, on=on)) for one in row.sets],
        "decisions": [(one, decision_shown(one.decision)) for one in row.judgements],
        "ratings": [
            (one, rating_shown(one.decision))
            for one in ratings([row.id], known_at=seen.known_at)
        ],
        "letters": _letters(door, page),
        "may": _may(door) | _may_here(door, row),
        "chosen": _chosen(request, row) if strength else None,
    }
    return render(request, "crews/panel.html", context, status=seen.status)


def _title(row: PanelRow) -> str:
    """Name a panel by what it is for, and by the part it belongs to."""
    names = {
        PanelKind.PRODUCTION: _("Production panel"),
        PanelKind.MOCK_UP: _("Mock-up"),
        PanelKind.FINISH_SAMPLE: _("Finish sample"),
        PanelKind.PRECONSTRUCTION_MATERIAL: _("Material panel"),
        PanelKind.IN_PLACE: _("Cores from the work"),
    }
    name = names[row.kind]
    return f"{name}, {row.row.part.code}" if row.row.part else name


def _panel_facts(door: Door, row: PanelRow) -> list[tuple[str, str]]:
    shot = when_text(row.row.shot_from, zone=door.job.zone, form="date")
    facts = [(_("Mix"), str(row.mix)), (_("Shot"), shot)]
    if row.operator_code:
        facts.insert(0, (_("Operator"), row.operator_code))
    return facts


def _may_here(door: Door, row: PanelRow) -> dict[str, bool]:
    """Return what may be done with this very panel."""
    kind = row.kind
    own = row.row.laboratory_id == door.member.organization_id
    sample = kind is PanelKind.FINISH_SAMPLE
    shown = kind in (PanelKind.MOCK_UP, PanelKind.PRECONSTRUCTION_MATERIAL)
    drilled = [core for one in row.sets for core in one.cores]
    untested = [core for core in drilled if core.result is None]
    return {
        "judge": door.may(Ability.JUDGE_MOCK_UP) and shown,
        "judge_sample": door.may(Ability.JUDGE_FINISH_SAMPLE) and sample,
        "rate": door.may(Ability.RATE_CORES) and len(drilled) >= FEWEST_CORES,
        "accept": door.may(Ability.ACCEPT_SUBSTITUTE)
        and kind is PanelKind.IN_PLACE
        and bool(row.row.stands_for)
        and row.judgement is None,
        "drill": door.may(Ability.RECORD_SHOOTING),
        "drill_own": door.may(Ability.ENTER_RESULTS) and own,
        "report": door.may(Ability.ENTER_RESULTS) and own and bool(untested),
    }


def _letters(door: Door, page: PanelPage) -> list[dict[str, Any]]:
    """Return every letter, whether it stands, and whether it may be amended."""
    gone = {letter.supersedes_id for letter in page.letters}
    own = door.member.organization_id if door.may(Ability.ENTER_RESULTS) else None
    return [
        {
            "row": letter,
            "stands": letter.pk not in gone,
            "may_amend": letter.pk not in gone and letter.laboratory_id == own,
        }
        for letter in page.letters
    ]


def _chosen(request: SignedIn, row: PanelRow) -> dict[str, Any] | None:
    """Return the core or the set whose working the address asks for."""
    if "core" in request.GET:
        return _core_chosen(row, request.GET["core"])
    if "age" in request.GET:
        return _set_chosen(row, request.GET["age"])
    return None


def _core_chosen(row: PanelRow, number: str) -> dict[str, Any]:
    cores = {str(core.row.number): core for one in row.sets for core in one.cores}
    if number not in cores:
        raise Http404("no such core")
    core: CoreRow = cores[number]
    made = core.examined.strength if core.examined else None
    return {
        "core": core,
        "working": made.working() if made else None,
        "verdict": core.examined.validity if core.examined else None,
    }


def _set_chosen(row: PanelRow, age: str) -> dict[str, Any]:
    sets = {str(one.age): one for one in row.sets}
    if age not in sets:
        raise Http404("no such set")
    one: SetRow = sets[age]
    build = one.verdict.working
    return {"set": one, "working": build() if build else None}


def panel_url(door: Door, code: str) -> str:
    """Return the page of a panel."""
    return reverse("panel", args=[door.job.code, code])
