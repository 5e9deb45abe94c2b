"""Who is qualified on record: one operator for one part, as of and as known when.

Everything the gates ask for is read once, at one instant of knowledge; the
conclusions are then drawn in memory, for as many operators and parts as asked.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from operator import attrgetter
from uuid import UUID

from crews.domain import demand as asked
from crews.domain import waivers as waived
from crews.domain.demand import Demand, MixOnRecord, RevisionMark
from crews.domain.gates import gates
from crews.domain.operator_file import OperatorFile
from crews.domain.qualification import RULE, standing, standings
from crews.domain.requalification import Setback
from crews.domain.supervision import Watch, needs_watch
from crews.domain.trade_words import Method
from crews.models import Operator, Placement, Rig, RigEquivalence
from crews.queries.operator_files import Person, people_on
from crews.queries.setbacks import setbacks
from crews.queries.waivers import in_force
from project.domain.clocks import Interval
from project.domain.reinforcement import stored
from project.domain.shooting_words import Position, Process
from project.domain.terms import Terms, terms_on
from project.domain.verdict import Known, Reason, Ref, Source, State, Verdict
from project.models import (
    ElementPart,
    Job,
    Membership,
    MixRevision,
    PartRevision,
    TermsRevision,
)
from project.models.records import as_quantity
from project.queries.jobs import mix_chains, parts, planned_mix, terms_revisions

# What the gates ask of each table, put together once.
_PARTS = PartRevision.objects.for_facts().order_by()
_EQUIVALENCES = RigEquivalence.objects.for_facts().order_by()
CONTRACT = Source("contract", known=Known.CONTRACT)


@dataclass(frozen=True, slots=True)
class Record:
    """What is on record of a job, as known at one instant, for the gates to judge."""

    job: Job
    known_at: datetime
    people: tuple[Person, ...]
    files: dict[UUID, OperatorFile]
    parts: dict[UUID, PartRevision]
    mixes: tuple[MixRevision, ...]
    equivalences: tuple[asked.RigEquivalence, ...]
    waivers: tuple[waived.Waiver, ...]
    revisions: tuple[tuple[Terms, TermsRevision], ...]

    def terms(self, on: date) -> Terms | None:
        """Return the contract's terms in force on a date."""
        return terms_on([terms for terms, _ in self.revisions], on=on)

    def terms_row(self, on: date) -> TermsRevision | None:
        """Return the row of the terms in force on a date, as evidence."""
        in_force = self.terms(on)
        return next((row for terms, row in self.revisions if terms is in_force), None)

    def mix(self, chain: UUID) -> MixRevision | None:
        """Return the version known of a mix revision, by its chain."""
        return next((mix for mix in self.mixes if mix.first == chain), None)

    def planned_mix(self, part: PartRevision, *, on: date) -> MixRevision | None:
        """Return the mix a part is planned with: in use on a date, else the latest."""
        return planned_mix(self.mixes, part.mix_code, on=on)

    def demand(
        self,
        part: PartRevision,
        mix: MixRevision,
        *,
        method: Method = Method.HAND,
        rig: Rig | None = None,
    ) -> Demand:
        """Return what a part asks of an operator with a mix, by a method."""
        by_contract = part.mockup_by_contract or bool(part.mockup_class)
        return Demand(
            part=Ref(part.kind, str(part.pk), part.part.code),
            position=Position(part.position),
            angle=part.angle_deg,
            method=method,
            mix=self._mix_on_record(mix),
            rig=None if rig is None else rig.ref,
            rig_equivalences=self.equivalences if rig is not None else (),
            reinforcement=stored(part.reinforcement),
            thickness=as_quantity(part.thickness, part.thickness_unit),
            trainee_allowed=part.trainee_allowed,
            mock_up_class=part.mockup_class,
            mock_up_by_contract=CONTRACT if by_contract else None,
            waivers=tuple(
                one
                for one in self.waivers
                if one.part in ("", part.part.code)
                and one.mix in ("", str(mix.first))
                and one.rig in ("", "" if rig is None else str(rig.pk))
            ),
        )

    def _mix_on_record(self, mix: MixRevision) -> MixOnRecord:
        sisters = (row for row in self.mixes if row.code == mix.code)
        return MixOnRecord(
            ref=Ref(mix.kind, str(mix.pk), str(mix)),
            code=mix.code,
            revision=mix.revision,
            process=Process(mix.process),
            approved_on=mix.approved_on,
            withdrawn_on=mix.withdrawn_on,
            aggregate=as_quantity(mix.aggregate, mix.aggregate_unit),
            marks=tuple(
                RevisionMark(row.revision, row.placing_properties_changed)
                for row in sisters
            ),
        )

    def standing(
        self,
        operator: UUID,
        demand: Demand,
        *,
        start: datetime,
        stop: datetime | None = None,
        watch: Watch | None = None,
    ) -> Verdict:
        """Judge one operator for a demand at an instant or over an interval."""
        return standing(
            self.file(operator),
            demand,
            interval=Interval(start, stop, self.job.zone),
            watch=watch,
            terms=self.terms(self.job.local(start).date()),
        )

    def standings(
        self, operator: UUID, demands: Sequence[Demand], *, start: datetime
    ) -> tuple[Verdict, ...]:
        """Judge one operator at an instant, alone, for demands of the same work."""
        return standings(
            self.file(operator),
            demands,
            interval=Interval(start, None, self.job.zone),
            terms=self.terms(self.job.local(start).date()),
        )

    def file(self, operator: UUID) -> OperatorFile:
        """Return an operator's file; of who has no place on the job, an empty one."""
        nobody = Ref("operator", str(operator), str(operator))
        return self.files.get(operator) or OperatorFile(operator=nobody)

    def named(self, supervisor: UUID | None) -> Watch | None:
        """Return the watch of a supervisor who is only named, not yet noted."""
        beside = self.files.get(supervisor) if supervisor else None
        return None if beside is None else Watch(supervisor=beside)

    def placement_standing(
        self,
        placement: Placement,
        *,
        operator: Operator,
        start: datetime,
        stop: datetime | None = None,
        watch: Watch | None = None,
    ) -> Verdict:
        """Judge an operator for a placement's part, mix and rig."""
        demand = self._demand_of(placement)
        if isinstance(demand, Verdict):
            return demand
        return self.standing(operator.pk, demand, start=start, stop=stop, watch=watch)

    def asks_for_watch(
        self, placement: Placement, *, operator: UUID, start: datetime
    ) -> bool:
        """Say whether an operator may not shoot alone at a placement."""
        demand, file = self._demand_of(placement), self.files.get(operator)
        if isinstance(demand, Verdict) or file is None:
            return False
        reasons = gates(
            file,
            demand,
            interval=Interval(start, None, self.job.zone),
            watch=None,
            terms=self.terms(self.job.local(start).date()),
        )
        return needs_watch(reasons)

    def _demand_of(self, placement: Placement) -> Demand | Verdict:
        """Return what a placement asks, or that its part or mix is not on record."""
        part = self.parts.get(placement.part_id)
        mix = self.mix(placement.mix_revision_id)
        if part is None or mix is None:
            return not_on_record("part" if part is None else "mix")
        method = Method(placement.method)
        return self.demand(part, mix, method=method, rig=placement.rig)


def not_on_record(what: str) -> Verdict:
    """Conclude nothing about a part or a mix that nobody had entered yet."""
    reason = Reason(
        key=what,
        requirement=f"the {what} is on record",
        state=State.UNDECIDED,
        found=f"no {what} on record as known then",
        source=CONTRACT,
    )
    return Verdict(State.UNDECIDED, RULE, (reason,))


def _parts(
    job: Job, known_at: datetime, only: Collection[UUID] | None
) -> dict[UUID, PartRevision]:
    if only is None:
        return {row.part.pk: row.revision for row in parts(job, known_at=known_at)}
    rows = _PARTS.known_at(known_at).filter(job=job, part__in=only)
    return {row.part_id: row for row in rows}


def _equivalences(job: Job, known_at: datetime) -> tuple[asked.RigEquivalence, ...]:
    rows = _EQUIVALENCES.known_at(known_at).filter(job=job)
    by_time = sorted(rows, key=attrgetter("accepted_at"))
    return tuple(row.facts() for row in by_time)


def file_known(
    person: Person, at: datetime, again: Mapping[UUID, tuple[Setback, ...]]
) -> OperatorFile:
    """Return an operator's file as known, with what asks them to be accepted again."""
    file = person.file.known_at(at)
    theirs = again.get(person.operator.pk)
    return replace(file, setbacks=theirs) if theirs else file


def qualification_record(
    job: Job,
    *,
    known_at: datetime,
    for_member: Membership | None = None,
    operators: Iterable[Operator] | None = None,
    only: Collection[UUID] | None = None,
    rigs: bool = True,
) -> Record:
    """Read everything the gates ask for. Fourteen queries at most, however many rows.

    `only` names the parts that are asked about; without it all are read. Where no rig
    is asked about, `rigs` leaves unread which stand for which.
    """
    mixes = mix_chains(job)
    in_order = attrgetter("code", "revision")
    known_mixes = tuple(sorted(mixes.all_known(at=known_at), key=in_order))
    again = setbacks(job, known_at=known_at, mixes=known_mixes)
    people = people_on(job, for_member=for_member, operators=operators, mixes=mixes)
    return Record(
        job=job,
        known_at=known_at,
        people=tuple(people),
        files={p.operator.pk: file_known(p, known_at, again) for p in people},
        parts=_parts(job, known_at, only),
        mixes=known_mixes,
        equivalences=_equivalences(job, known_at) if rigs else (),
        waivers=in_force(job, known_at=known_at),
        revisions=tuple(
            (row.facts(), row) for row in terms_revisions(job, known_at=known_at)
        ),
    )


def operator_standing(
    job: Job,
    *,
    operator: Operator,
    part: ElementPart,
    start: datetime,
    known_at: datetime,
    stop: datetime | None = None,
    mix: MixRevision | None = None,
    method: Method = Method.HAND,
    rig: Rig | None = None,
    supervisor: Operator | None = None,
) -> Verdict:
    """Judge one operator for one part; without a mix, for the one it is planned with.

    Undecided where the part, or a mix for it, is not on record as known.
    """
    asked_of = [person for person in (operator, supervisor) if person is not None]
    record = qualification_record(
        job,
        known_at=known_at,
        operators=asked_of,
        only=[part.pk],
        rigs=rig is not None,
    )
    revision = record.parts.get(part.pk)
    if revision is None:
        return not_on_record("part")
    on = job.local(start).date()
    used = record.mix(mix.first) if mix else record.planned_mix(revision, on=on)
    if used is None:
        return not_on_record("mix")
    return record.standing(
        operator.pk,
        record.demand(revision, used, method=method, rig=rig),
        start=start,
        stop=stop,
        watch=record.named(supervisor.pk if supervisor else None),
    )
