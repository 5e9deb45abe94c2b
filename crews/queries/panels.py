"""Panels as known: who shot them, what was decided, their cores and results."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cached_property
from uuid import UUID

from django.db.models import Q

from crews.domain.acceptance import judge_set
from crews.domain.core_facts import CoreTest
from crews.domain.core_validity import Examined, examine
from crews.domain.panel_layout import panel_layout
from crews.domain.panel_size import judge_panel_size
from crews.domain.strength_set import Due, StrengthSet, due
from crews.domain.trade_words import PanelKind
from crews.models import Core, LabReport, LabResult, Panel, PanelJudgement
from crews.queries.core_tests import core_test, is_in_place, panel_shape
from crews.queries.operator_files import own_firm
from crews.queries.shooting import codes_on
from project.domain.roles import Role
from project.domain.terms import Terms, terms_on
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.models import Job, Membership, MixRevision
from project.models.records import as_quantity
from project.queries.jobs import mixes, terms_revisions

# Kinds whose strength is owed; the others have cores only where somebody drilled some.
CORED = (PanelKind.PRODUCTION, PanelKind.IN_PLACE)
_NO_TERMS = Source("contract", known=Known.CONTRACT)


@dataclass(frozen=True)
class CoreRow:
    """A core with its result in force, as the rules read it."""

    row: Core
    result: LabResult | None
    report: LabReport | None
    test: CoreTest
    examined: Examined | None

    @property
    def strength(self) -> Quantity | None:
        """The strength as it is reported; nothing where none can be computed."""
        made = self.examined.strength if self.examined else None
        return made.reported if made else None


@dataclass(frozen=True)
class SetRow:
    """The cores of a panel that are tested at one age, and how they stand."""

    age: int
    due_on: date
    due: Due | None
    early: bool
    f_c: Quantity
    cores: tuple[CoreRow, ...]
    verdict: Verdict

    @property
    def waiting(self) -> bool:
        """Whether a result is still to come; `due` says when."""
        return self.due is not None

    @cached_property
    def counted(self) -> tuple[tuple[str, Decimal], ...]:
        """The cores that count, each with its exact strength in the unit of f_c."""
        return tuple(
            (core.test.core, convert(made.strength.exact, to=self.f_c.unit).value)
            for core in self.cores
            if (made := core.examined) and made.counts and made.strength
        )

    @property
    def complete(self) -> bool:
        """Whether its mean may stand in a run; a set has a working once it is whole."""
        return self.verdict.working is not None

    @property
    def mean(self) -> Decimal | None:
        strengths = [strength for _, strength in self.counted]
        return sum(strengths, Decimal(0)) / len(strengths) if strengths else None


@dataclass(frozen=True)
class PanelRow:
    """A panel with everything that is known of it."""

    row: Panel
    mix: MixRevision
    operator_code: str
    shared_code: str
    sets: tuple[SetRow, ...]
    judgements: tuple[PanelJudgement, ...]
    terms: Terms | None

    @property
    def id(self) -> UUID:
        return self.row.first

    @property
    def code(self) -> str:
        return self.row.code

    @property
    def kind(self) -> PanelKind:
        return PanelKind(self.row.panel_kind)

    @property
    def decisive(self) -> SetRow | None:
        """The set that decides: the first one that is not an early one."""
        return next((one for one in self.sets if not one.early), None)

    @property
    def state(self) -> State:
        """How its strength stands; a mock-up or a sample is judged, not computed."""
        return self.decisive.verdict.state if self.decisive else State.INFORMATION

    @property
    def layout(self) -> Verdict | None:
        """Whether it is as large as the terms ask, and has room for its cores.

        Nothing for cores from the work, a size not given, or days without terms.
        """
        shape = panel_shape(self.row)
        if shape is None or self.terms is None or is_in_place(self.row):
            return None
        aggregate = as_quantity(self.mix.aggregate, self.mix.aggregate_unit)
        ordered = [core.test.diameter for one in self.sets for core in one.cores]
        diameter = next(filter(None, ordered), None)
        diameter = diameter or self.terms.quantity("core_diameter_least")
        if diameter is None:
            return judge_panel_size(shape, aggregate=aggregate, terms=self.terms)
        # No document read says how much stands between two cores.
        return panel_layout(
            shape,
            diameter=diameter,
            between=Quantity(Decimal(0), diameter.unit),
            terms=self.terms,
            aggregate=aggregate,
        )

    @property
    def judgement(self) -> PanelJudgement | None:
        """The last decision that was taken of it."""
        return self.judgements[-1] if self.judgements else None


@dataclass(frozen=True)
class Read:
    """What was read for all panels at once, as known at one instant."""

    job: Job
    on: date
    cores: dict[UUID, list[Core]]
    results: dict[UUID, tuple[LabResult, LabReport]]
    judgements: dict[UUID, list[PanelJudgement]]
    mixes: dict[UUID, MixRevision]
    terms: tuple[Terms, ...]
    codes: dict[UUID, str]


def panels(
    job: Job,
    *,
    known_at: datetime,
    on: date,
    for_member: Membership | None = None,
    kinds: Iterable[PanelKind] | None = None,
    code: str | None = None,
    first: date | None = None,
    last: date | None = None,
) -> tuple[PanelRow, ...]:
    """Return panels by code, each judged for a date. Eight queries.

    A laboratory reads the panels sent to it, a contractor those of its own people.
    """
    rows = Panel.objects.known_at(known_at).filter(job=job)
    if kinds is not None:
        rows = rows.filter(panel_kind__in=list(kinds))
    if code is not None:
        rows = rows.filter(code=code)
    if first is not None:
        rows = rows.filter(work_date__gte=first)
    if last is not None:
        rows = rows.filter(work_date__lte=last)
    firm = own_firm(for_member)
    if for_member is not None and for_member.role == Role.LABORATORY:
        rows = rows.filter(laboratory=firm)
    elif firm is not None:
        rows = rows.filter(Q(shift__organization=firm) | Q(operator__organization=firm))
    rows = rows.select_related(
        "operator",
        "shared_with",
        "rig",
        "laboratory",
        "part",
        "witness__user",
        "shift__organization",
    )
    found = list(rows.order_by("code"))
    read = _read(job, found, known_at=known_at, on=on)
    return tuple(panel_row(panel, read) for panel in found)


def _read(job: Job, found: list[Panel], *, known_at: datetime, on: date) -> Read:
    ids = [panel.first for panel in found]
    cores: dict[UUID, list[Core]] = defaultdict(list)
    for core in (
        Core.objects.known_at(known_at).filter(panel__in=ids).order_by("number")
    ):
        cores[core.panel_id].append(core)
    in_force = {
        report.pk: report
        for report in LabReport.objects.known_at(known_at)
        .filter(job=job)
        .select_related("laboratory")
    }
    drilled = [core.first for rows in cores.values() for core in rows]
    results = {
        result.core_id: (result, in_force[result.report_id])
        for result in LabResult.objects.filter(core__in=drilled)
        if result.report_id in in_force
    }
    judgements: dict[UUID, list[PanelJudgement]] = defaultdict(list)
    decided = PanelJudgement.objects.known_at(known_at).filter(panel__in=ids)
    decided = decided.select_related("recorded_by__user", "signature")
    for judgement in decided.order_by("decided_at", "recorded_at"):
        judgements[judgement.panel_id].append(judgement)
    return Read(
        job=job,
        on=on,
        cores=cores,
        results=results,
        judgements=judgements,
        mixes={mix.first: mix for mix in mixes(job, known_at=known_at)},
        terms=tuple(r.facts() for r in terms_revisions(job, known_at=known_at)),
        codes=codes_on(job),
    )


def panel_row(panel: Panel, read: Read) -> PanelRow:
    """Return a panel with its sets judged, from what was read before."""
    mix = read.mixes[panel.mix_revision_id]
    terms = terms_on(read.terms, on=panel.work_date)
    rows = [_core_row(panel, core, terms, read) for core in read.cores[panel.first]]
    sets = sorted(_sets(panel, mix, terms, rows, read), key=lambda one: one.age)
    return PanelRow(
        row=panel,
        mix=mix,
        operator_code=read.codes.get(panel.operator_id or panel.pk, ""),
        shared_code=read.codes.get(panel.shared_with_id or panel.pk, ""),
        sets=tuple(sets),
        judgements=tuple(read.judgements[panel.first]),
        terms=terms,
    )


def _core_row(panel: Panel, core: Core, terms: Terms | None, read: Read) -> CoreRow:
    result, report = read.results.get(core.first, (None, None))
    test = core_test(panel, core, result, job=read.job)
    examined = None if terms is None else examine(test, terms=terms)
    return CoreRow(row=core, result=result, report=report, test=test, examined=examined)


def _sets(
    panel: Panel,
    mix: MixRevision,
    terms: Terms | None,
    rows: list[CoreRow],
    read: Read,
) -> Iterator[SetRow]:
    """Yield one set for each age: those drilled, and those the contract asks for."""
    by_age: dict[int, list[CoreRow]] = defaultdict(list)
    for core in rows:
        by_age[core.row.planned_age_days].append(core)
    if panel.panel_kind in CORED:
        owed = set(_ages_owed(mix, terms)) if not is_in_place(panel) else set()
        if is_in_place(panel) and not by_age:
            owed = {mix.test_age_days}
        for age in owed:
            by_age.setdefault(age, [])
    shot_on = read.job.local(panel.shot_from).date()
    for age, cores in by_age.items():
        days = [core.row.due_on for core in cores]
        due_on = max(days, default=shot_on + timedelta(days=age))
        yield _set_row(panel, mix, terms, age, due_on, tuple(cores), read.on)


def _ages_owed(mix: MixRevision, terms: Terms | None) -> Iterator[int]:
    yield mix.test_age_days
    early = terms.quantity("early_core_age") if terms else None
    count = terms.decimal("early_core_count") if terms else None
    if early is not None and count:
        yield int(convert(early, to="d").value)


def _set_row(
    panel: Panel,
    mix: MixRevision,
    terms: Terms | None,
    age: int,
    due_on: date,
    cores: tuple[CoreRow, ...],
    on: date,
) -> SetRow:
    f_c = Quantity(mix.f_c, mix.f_c_unit)
    if terms is None:
        verdict, stands = _without_terms(panel), None
    else:
        one = StrengthSet(
            panel.code,
            mix=str(mix),
            f_c=f_c,
            age=age,
            due_on=due_on,
            cores=tuple(core.test for core in cores),
            test_age=mix.test_age_days,
        )
        verdict = judge_set(one, terms=terms, on=on)
        stands = due(due_on, terms=terms, on=on) if _waits(verdict) else None
    return SetRow(
        age=age,
        due_on=due_on,
        due=stands,
        early=age < mix.test_age_days,
        f_c=f_c,
        cores=cores,
        verdict=verdict,
    )


def _waits(verdict: Verdict) -> bool:
    asked = (reason for reason in verdict.reasons if reason.key == "result")
    return any(reason.state is not State.PASS for reason in asked)


def _without_terms(panel: Panel) -> Verdict:
    reason = Reason(
        key="terms",
        requirement="terms of the contract in force on the day of the work",
        state=State.UNDECIDED,
        found=f"none in force on {panel.work_date}",
        source=_NO_TERMS,
    )
    return Verdict(State.UNDECIDED, "no terms, no conclusion", (reason,))


@dataclass(frozen=True)
class PanelPage:
    """One panel with the letters of every report that ever spoke of its cores."""

    panel: PanelRow
    letters: tuple[LabReport, ...]


def panel_page(
    job: Job,
    code: str,
    *,
    known_at: datetime,
    on: date,
    for_member: Membership | None = None,
) -> PanelPage | None:
    """Return one panel by its code, or nothing where it is not to be seen."""
    found = panels(job, known_at=known_at, on=on, for_member=for_member, code=code)
    if not found:
        return None
    rows = LabResult.objects.filter(
        core__panel=found[0].id, recorded_at__lte=known_at
    ).select_related("report__laboratory", "report__certificate")
    letters = {row.report_id: row.report for row in rows}
    in_order = sorted(letters.values(), key=lambda r: (r.number, r.recorded_at))
    return PanelPage(panel=found[0], letters=tuple(in_order))
