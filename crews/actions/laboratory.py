"""What the laboratory reports: one report with its results is one act."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.utils.translation import gettext as _

from crews.actions.checks import (
    in_force,
    measured,
    not_after_today,
    not_later,
    positive,
    possible,
    rekeyed,
    shown,
)
from crews.domain.trade_words import CoreReinforcement
from crews.models import Core, LabReport, LabResult, Panel
from project.actions.abilities import require
from project.actions.checks import (
    of_job,
    refuse,
    sent_before,
)
from project.audit import Deed, act
from project.domain.roles import Ability
from project.domain.units import Quantity, convert
from project.models import Attachment, Job, Membership

# Outside these a figure is asked back, since a load typed as a strength, or the
# reverse, mostly lands there; confirmed, it is kept as given (project's choice).
ASK_BELOW = Quantity(Decimal(10), "MPa")
ASK_ABOVE = Quantity(Decimal(150), "MPa")
PI = Decimal("3.14159265358979323846")


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultEntry:
    """One core as the laboratory tested it, in its own units.

    `confirmed` says that a figure which was asked back is meant as it stands.
    """

    id: UUID
    core: Core
    tested_at: datetime
    d1: Quantity | None = None
    d2: Quantity | None = None
    length_drilled: Quantity | None = None
    length_tested: Quantity | None = None
    breaking_load: Quantity | None = None
    strength: Quantity | None = None
    conditioning: str = ""
    reinforcement: CoreReinforcement | None = None
    damage: str = ""
    fracture: str = ""
    density: Quantity | None = None
    lab_number: str = ""
    confirmed: bool = False


def enter_lab_report(
    *,
    id: UUID,
    by: Membership,
    number: str,
    results: Sequence[ResultEntry],
    received_at: datetime | None = None,
    issued_on: date | None = None,
    test_method: str = "",
    authorised_by: str = "",
    remarks: str = "",
    certificate: Attachment | None = None,
) -> LabReport:
    """Enter a laboratory's own report and its results, all of it or nothing.

    A core too short to be tested is kept: that it does not count is computed.
    Without a date of issue the day it was received stands for it.
    """
    require(by, Ability.ENTER_RESULTS)
    job = by.job
    of_job(job, certificate=certificate)
    number = number.strip()
    with act(on=job, by=by, verb="results.entered") as deed:
        own = {"job_id": job.pk, "laboratory_id": by.organization_id}
        before = sent_before(deed, LabReport, id, **own)
        if before is not None:
            return before
        _number_free(by, number)
        received = received_at or deed.at
        report = LabReport(
            id=id,
            job=job,
            laboratory=by.organization,
            number=number,
            letter="A",
            test_method=test_method,
            authorised_by=authorised_by,
            issued_on=issued_on or job.local(received).date(),
            received_at=received,
            remarks=remarks,
            certificate=certificate,
        )
        _check_dates(deed, report)
        deed.add(report)
        _add_results(deed, by, report, results)
        return report


def amend_lab_report(
    *,
    id: UUID,
    by: Membership,
    report: LabReport,
    reason: str,
    results: Sequence[ResultEntry],
    received_at: datetime | None = None,
    issued_on: date | None = None,
    authorised_by: str = "",
    remarks: str = "",
    certificate: Attachment | None = None,
) -> LabReport:
    """Enter the next letter of a report, which supersedes the one before whole."""
    require(by, Ability.ENTER_RESULTS)
    job = by.job
    of_job(job, report=report, certificate=certificate)
    if report.laboratory_id != by.organization_id:
        raise PermissionDenied("a report is amended by its own laboratory")
    with act(on=job, by=by, verb="results.amended") as deed:
        own = {"job_id": job.pk, "laboratory_id": by.organization_id}
        before = sent_before(deed, LabReport, id, **own)
        if before is not None:
            return before
        received = received_at or deed.at
        new = report.revised(
            id=id,
            letter=_next_letter(report.letter),
            received_at=received,
            issued_on=issued_on or job.local(received).date(),
            authorised_by=authorised_by or report.authorised_by,
            remarks=remarks,
            certificate=certificate,
        )
        _check_dates(deed, new)
        deed.supersede(report, new, reason=reason)
        _add_results(deed, by, new, results)
        return new


def _number_free(by: Membership, number: str) -> None:
    if not number:
        refuse("number", _("The report's number is needed."))
    named = LabReport.objects.filter(job=by.job, laboratory=by.organization)
    if named.filter(number=number).exists():
        message = _(
            "Report %(number)s is on record; allowed is a new number, or the next "
            "letter of that report."
        )
        refuse("number", message, number=number)


def _next_letter(letter: str) -> str:
    """Return the letter after another: A, B, …, Z, then AA."""
    if set(letter) == {"Z"}:
        return "A" * (len(letter) + 1)
    head, last = letter[:-1], letter[-1]
    if last == "Z":
        return _next_letter(head) + "A"
    return head + chr(ord(last) + 1)


def _check_dates(deed: Deed, report: LabReport) -> None:
    job = report.job
    not_later("received_at", report.received_at, than=deed.at, job=job)
    not_after_today("issued_on", report.issued_on, at=deed.at, job=job)


def _add_results(
    deed: Deed, by: Membership, report: LabReport, results: Sequence[ResultEntry]
) -> None:
    if not results:
        refuse("results", _("No result given; allowed is one or more."))
    reported = _reported_cores(report)
    for index, entry in enumerate(results):
        with rekeyed(f"results.{index}"):
            core = in_force(entry.core)
            panel = _own_panel(by, core)
            if core.first in reported:
                message = _("%(core)s is reported already, in %(report)s.")
                refuse("core", message, core=core, report=reported[core.first])
            reported[core.first] = report
            _check_times(deed, panel, core, entry)
            _check_figures(entry)
            deed.add(_result(report, core, entry))


def _reported_cores(report: LabReport) -> dict[UUID, LabReport]:
    """Return the cores that other reports in force speak of."""
    rows = LabResult.objects.filter(job=report.job).select_related("report")
    gone = set(
        LabReport.objects.filter(job=report.job, supersedes__isnull=False).values_list(
            "supersedes_id", flat=True
        )
    )
    return {row.core_id: row.report for row in rows if row.report_id not in gone}


def _own_panel(by: Membership, core: Core) -> Panel:
    of_job(by.job, core=core)
    panel = in_force(core.panel)
    if panel.laboratory_id != by.organization_id:
        refuse("core", _("%(panel)s was not sent to your laboratory."), panel=panel)
    return panel


def _check_times(deed: Deed, panel: Panel, core: Core, entry: ResultEntry) -> None:
    job: Job = panel.job
    not_later("tested_at", entry.tested_at, than=deed.at, job=job)
    begun, what = panel.shot_from, _("it was shot")
    if core.drilled_at is not None:
        begun, what = core.drilled_at, _("it was drilled")
    if entry.tested_at < begun:
        message = _("Tested %(tested)s; allowed is after %(what)s, %(begun)s.")
        times = {"tested": shown(entry.tested_at, job), "begun": shown(begun, job)}
        refuse("tested_at", message, what=what, **times)


def _check_figures(entry: ResultEntry) -> None:
    """Refuse what no core can have, and ask back what is mostly a slip."""
    if entry.breaking_load is None and entry.strength is None:
        refuse("breaking_load", _("A breaking load or a strength is needed."))
    positive(
        d1=entry.d1,
        d2=entry.d2,
        length_drilled=entry.length_drilled,
        length_tested=entry.length_tested,
        breaking_load=entry.breaking_load,
        strength=entry.strength,
        density=entry.density,
    )
    possible("d1", entry.d1)
    possible("d2", entry.d2)
    possible("length_drilled", entry.length_drilled)
    possible("length_tested", entry.length_tested, measure="length")
    possible("breaking_load", entry.breaking_load, measure="load")
    possible("strength", entry.strength)
    if entry.breaking_load is not None:
        for field in ("d1", "d2"):
            if getattr(entry, field) is None:
                refuse(field, _("With a breaking load both diameters are needed."))
    if not entry.confirmed:
        _ask_back(entry)


def _ask_back(entry: ResultEntry) -> None:
    load, d1, d2 = entry.breaking_load, entry.d1, entry.d2
    if load is not None and d1 is not None and d2 is not None:
        stress = _stress(load, d1, d2)
        if not ASK_BELOW.value <= stress <= ASK_ABOVE.value:
            message = _(
                "%(load)s on this core would be %(stress)s MPa. Is it a strength? "
                "Then give it as one; if it is the breaking load, confirm it."
            )
            refuse("breaking_load", message, load=load, stress=f"{stress:.1f}")
    if entry.strength is not None:
        stress = convert(entry.strength, to="MPa").value
        if stress > ASK_ABOVE.value:
            message = _(
                "%(strength)s is more than %(most)s. Is it a breaking load? Then give "
                "it as one; if it is the strength, confirm it."
            )
            refuse("strength", message, strength=entry.strength, most=ASK_ABOVE)


def _stress(load: Quantity, d1: Quantity, d2: Quantity) -> Decimal:
    """Return load over area in MPa, good enough to know a slip by."""
    mean = (convert(d1, to="mm").value + convert(d2, to="mm").value) / 2
    return convert(load, to="N").value / (PI * mean * mean / 4)


def _result(report: LabReport, core: Core, entry: ResultEntry) -> LabResult:
    return LabResult(
        id=entry.id,
        job=report.job,
        report=report,
        core_id=core.first,
        lab_number=entry.lab_number,
        tested_at=entry.tested_at,
        conditioning=entry.conditioning,
        reinforcement=entry.reinforcement or "",
        damage=entry.damage,
        fracture=entry.fracture,
        **measured("length", unit="diameter_unit", d1=entry.d1, d2=entry.d2),
        **measured(
            "length",
            unit="length_unit",
            length_drilled=entry.length_drilled,
            length_tested=entry.length_tested,
        ),
        **measured(
            "force", unit="breaking_load_unit", breaking_load=entry.breaking_load
        ),
        **measured("pressure", unit="strength_unit", strength=entry.strength),
        **measured("density", unit="density_unit", density=entry.density),
    )
