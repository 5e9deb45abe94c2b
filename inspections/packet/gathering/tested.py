"""Panels owed and made, cores reported, and the strength of each mix."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.utils.dateformat import format as dated
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from crews.charts.standing import panel_shown, set_shown
from crews.queries.ledger import LedgerRow
from crews.queries.panels import CORED, CoreRow, PanelRow, SetRow
from crews.queries.strength import MixSeries, SetPoint, strength_series
from inspections.packet.gathering.reading import Reading, hundredth, text
from inspections.packet.shape import (
    CoreResult,
    Ledger,
    Mark,
    Owed,
    PanelState,
    Series,
    Setting,
    StrengthSet,
    mark,
)
from project.charts.stamps import strength_stamp
from project.charts.text import (
    NO_BREAK,
    brief,
    number_text,
    signed_units,
    strength_text,
    unit_text,
)
from project.domain.term_kinds import TERM_KINDS
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import State, Verdict
from project.models import Job


def ledger_section(reading: Reading) -> Ledger:
    """Return what the rule asked for this week, what was made, and what came in."""
    week = reading.week.ledger
    to_date = reading.to_date.ledger
    return {
        "rule": _rule(reading),
        "owed": [_owed(reading, row) for row in week.rows],
        "totals": [
            _("This week %(owed)s owed, %(made)s shot.")
            % {"owed": week.owed, "made": week.made},
            _("To date %(owed)s owed, %(made)s shot, %(missing)s missing.")
            % {
                "owed": to_date.owed,
                "made": to_date.made,
                "missing": len(to_date.missing),
            },
        ],
        "results": _results(reading),
        "panels": [_panel(reading, row) for row in _cored(reading)],
    }


def _cored(reading: Reading) -> list[PanelRow]:
    return [row for row in reading.panels if row.kind in CORED]


def _terms(reading: Reading) -> Terms | None:
    dated = [row.facts() for row in reading.terms if row.effective_on <= reading.last]
    return dated[-1] if dated else None


def _rule(reading: Reading) -> str:
    terms = _terms(reading)
    if terms is None:
        return _("No terms are in force: nothing is counted.")
    volume = terms.quantity("panel_volume")
    parts = [
        _("one panel for each %(period)s, %(cell)s")
        % {"period": _word(terms, "panel_period"), "cell": _word(terms, "panel_per")},
        _("not fewer than one for each %(volume)s") % {"volume": text(volume)}
        if volume
        else _("no volume given"),
    ]
    source = terms.source("panel_per") if terms.get("panel_per") else ""
    return f"{'; '.join(parts)}. {source}"


def _word(terms: Terms, name: str) -> str:
    return terms.choice(name) or _("cell not given")


def _owed(reading: Reading, row: LedgerRow) -> Owed:
    panel = row.panel
    shown = mark("missing") if panel is None else _panel_mark(reading, panel)
    if panel is None and row.substitute is not None and row.answered:
        words = _("substitute %(code)s accepted") % {"code": row.substitute.code}
        shown = mark("missing", words)
    return {
        "work_date": row.work_date.isoformat(),
        "mix": row.line.owed.mix,
        "operator": row.held[0].code if row.held else "",
        "volume": hundredth(row.line.owed.volume),
        "panel": panel.code if panel else "",
        "part": ", ".join(row.placements),
        "shot": reading.moment(panel.row.shot_from) if panel else None,
        "flags": [],
        "mark": shown,
    }


def _panel_mark(reading: Reading, panel: PanelRow) -> Mark:
    shown = panel_shown(panel, on=reading.on)
    return mark(shown.stamp.name, shown.words)


def _results(reading: Reading) -> list[CoreResult]:
    found = []
    for panel in _cored(reading):
        for one in panel.sets:
            for core in one.cores:
                result, report = core.result, core.report
                if result and report and reading.in_days(report.received_at):
                    found.append(_result(reading, panel, one, core))
    return found


def _result(
    reading: Reading, panel: PanelRow, one: SetRow, core: CoreRow
) -> CoreResult:
    examined, result, report = core.examined, core.result, core.report
    if result is None or report is None:
        raise ValueError(f"{core.test.core}: no result")
    made = examined.strength if examined else None
    counts = examined.counts if examined else False
    density = (
        Quantity(result.density, result.density_unit)
        if result.density is not None
        else None
    )
    return {
        "panel": panel.code,
        "core": str(core.row.number),
        "mix": str(panel.mix),
        "operator": panel.operator_code,
        "age": text(Quantity(Decimal(one.age), "d")),
        "tested": reading.moment(result.tested_at),
        "strength": text(core.strength),
        "ratio": f"{made.ld.quantize(Decimal('0.001'))}" if made and made.ld else "",
        "density": text(density),
        "report": f"{report.number} {report.letter}",
        "mark": None
        if counts or examined is None
        else mark(strength_stamp(examined.validity.state).name),
    }


def _panel(reading: Reading, row: PanelRow) -> PanelState:
    early = next((one for one in row.sets if one.early), None)
    final = row.decisive
    return {
        "panel": row.code,
        "shot": row.row.work_date.isoformat(),
        "mix": str(row.mix),
        "operator": row.operator_code,
        "part": row.row.part.code if row.row.part else "",
        "early": _mean_or_due(early),
        "final": _mean_or_due(final),
        "mark": _panel_mark(reading, row),
        "verdict": reading.verdict(f"panel/{row.code}", final.verdict)
        if final and final.mean is not None
        else "",
    }


def _mean_or_due(one: SetRow | None) -> str:
    if one is None:
        return ""
    if one.mean is None:
        return _("due %(day)s") % {"day": dated(one.due_on, "j M")}
    unit = one.f_c.unit
    return f"{strength_text(one.mean, unit)}{NO_BREAK}{unit_text(unit)}"


def strength_section(reading: Reading) -> list[Series]:
    """Return each mix revision that was shot, with its reported sets and its limits."""
    cored = _cored(reading)
    reported = {one.mix: one for one in strength_series(cored)}
    by_mix: dict[str, list[PanelRow]] = {}
    for panel in sorted(cored, key=lambda row: row.code):
        if panel.decisive is not None:
            by_mix.setdefault(str(panel.mix), []).append(panel)
    return [
        _series(reading, mix, by_mix[mix], reported.get(mix)) for mix in sorted(by_mix)
    ]


def _series(
    reading: Reading, mix: str, shot: Sequence[PanelRow], made: MixSeries | None
) -> Series:
    points = made.points if made else ()
    running = made.running if made else {}
    last = points[-1].panel if points else shot[-1]
    judged = points[-1].set if points else shot[-1].decisive
    if judged is None:
        raise ValueError(f"{mix}: no set of deciding age")
    terms = last.terms
    return {
        "mix": mix,
        "description": last.mix.description,
        "unit": judged.f_c.unit,
        "specified": number_text(judged.f_c.value),
        "mean_limit": _limit(judged.f_c, terms, "core_average"),
        "least_limit": _limit(judged.f_c, terms, "core_single"),
        "rule": judged.verdict.rule,
        "source": str(terms.source("core_average")) if terms else "",
        "sets": [_set(reading, p, running.get(p.panel.code)) for p in points],
        "early": [
            _figures(reading.job, panel, found)
            for panel in shot
            for found in panel.sets
            if found.early and found.mean is not None
        ],
        "says": _says(points, shot),
        "run": _run(made.run if made else None),
        "settings": _settings(points),
    }


# How a run of panels stands; whatever else it is, it is undecided.
_RUN_WORDS = {
    State.PASS: gettext_lazy("met"),
    State.FAIL: gettext_lazy("not met"),
    State.NOT_ENOUGH_YET: gettext_lazy("not enough panels yet"),
}


def _run(run: Verdict | None) -> str:
    """Say how each three consecutive panels stand, where the terms ask for that."""
    if run is None:
        return ""
    told = run.failed or run.unmet or run.reasons
    found = "; ".join(f"{r.requirement}: {r.found}" for r in told)
    return f"{run.rule}: {_RUN_WORDS.get(run.state, _('undecided'))}. {found}."


def _settings(points: Sequence[SetPoint]) -> list[Setting]:
    """Return the choices between documents that the last set's figures were made under."""
    if not points:
        return []
    last = points[-1].set
    makers = [last.verdict.working]
    makers += [
        core.examined.strength.working
        for core in last.cores
        if core.examined is not None and core.examined.strength is not None
    ]
    used = {u.term: u for make in makers if make is not None for u in make().settings}
    return [
        {
            "name": TERM_KINDS[term].label,
            "value": signed_units(one.value),
            "source": str(one.source),
        }
        for term, one in used.items()
    ]


def _failed(point: SetPoint) -> bool:
    return bool(point.set.verdict.failed)


def _limit(f_c: Quantity, terms: Terms | None, name: str) -> str:
    share = terms.decimal(name) if terms else None
    # Never cut to the unit's step: a mean just under it must not look as if it were on it.
    limit = None if share is None else brief(Quantity(f_c.value * share, f_c.unit))
    return "" if limit is None else number_text(limit.value)


def _says(points: Sequence[SetPoint], shot: Sequence[PanelRow]) -> str:
    """Say in one sentence how the reported sets of a mix stand."""
    failed = [point.panel.code for point in points if _failed(point)]
    if failed:
        return _("%(bad)s of %(n)s sets reported fail: %(codes)s.") % {
            "bad": len(failed),
            "n": len(points),
            "codes": ", ".join(failed),
        }
    if points:
        return ngettext(
            "The one set reported meets both limits.",
            "All %(n)s sets reported meet both limits.",
            len(points),
        ) % {"n": len(points)}
    due = min(panel.decisive.due_on for panel in shot if panel.decisive)
    return _(
        "No set of deciding age has been reported yet; the first is due %(day)s."
    ) % {"day": dated(due, "j M Y")}


def _set(reading: Reading, point: SetPoint, running: Decimal | None) -> StrengthSet:
    one = point.set
    shown = set_shown(one, on=reading.on)
    return {
        **_figures(reading.job, point.panel, one),
        "running": "" if running is None else strength_text(running, one.f_c.unit),
        "mark": mark(shown.stamp.name, shown.words),
        "verdict": reading.verdict(f"panel/{point.panel.code}", one.verdict),
    }


def _figures(job: Job, panel: PanelRow, one: SetRow) -> StrengthSet:
    strengths = [q for core in one.cores if (q := core.strength) is not None]
    mean = one.mean or Decimal(0)
    tested = [core.result.tested_at for core in one.cores if core.result]
    day: date | None = job.local(max(tested)).date() if tested else None
    share = (mean / one.f_c.value * 100).quantize(Decimal("0.1"))
    return {
        "panel": panel.code,
        "place": panel.row.part.code if panel.row.part else "",
        "operator": panel.operator_code,
        "tested": day.isoformat() if day else "",
        "age": text(Quantity(Decimal(one.age), "d")),
        "cores": [number_text(q.value) for q in strengths],
        "mean": strength_text(mean, one.f_c.unit),
        "least": number_text(min(q.value for q in strengths)) if strengths else "",
        "running": "",
        "share": f"{share} %",
        "mark": None,
        "verdict": "",
    }
