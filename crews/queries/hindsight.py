"""What would have been concluded of a nozzle time with another instant's knowledge.

Every version of everything the gates ask for is read once; a conclusion is then drawn
as known at any instant, in memory. What was frozen stays as it was frozen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar
from uuid import UUID

from crews.domain.qualification import RULE, words
from crews.domain.trade_words import Moment, PresenceRole
from crews.models import (
    Eligibility,
    NozzleTime,
    Placement,
    Presence,
    RigEquivalence,
    Shift,
    Waiver,
)
from crews.queries.operator_files import Person, people_on
from crews.queries.qualification import Record
from crews.queries.shooting import Frozen, Held, shooting
from project.domain.identity import derived
from project.domain.terms import Terms
from project.domain.verdict import State, Verdict
from project.models import Job, MixRevision, PartRevision, TermsRevision

R = TypeVar("R", bound=Any)


class Chains(Generic[R]):
    """Every version of some facts; which of each chain was in force at an instant.

    A version is superseded once, by one that was recorded later: the last one
    recorded by an instant is in force then, unless it took the fact back.
    """

    def __init__(self, rows: Iterable[R]) -> None:
        self.by_first: dict[UUID, list[R]] = defaultdict(list)
        for row in sorted(rows, key=lambda row: row.recorded_at):
            self.by_first[row.first].append(row)

    def versions(self, first: UUID) -> list[R]:
        """Return every version of one chain, the first one first."""
        return self.by_first.get(first, [])

    def known(self, first: UUID, *, at: datetime) -> R | None:
        """Return the version in force, or nothing."""
        seen = [row for row in self.versions(first) if row.recorded_at <= at]
        return None if not seen or seen[-1].withdrawn else seen[-1]

    def all_known(self, *, at: datetime) -> Iterator[R]:
        """Yield the version in force of each chain that has one."""
        for first in self.by_first:
            row = self.known(first, at=at)
            if row is not None:
                yield row

    def __iter__(self) -> Iterator[R]:
        return (row for rows in self.by_first.values() for row in rows)


@dataclass(frozen=True, slots=True)
class Judged:
    """A nozzle time as it was on record at an instant, and what was to be concluded."""

    held: NozzleTime
    placement: Placement
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Hindsight:
    """A job's record at every instant."""

    job: Job
    people: dict[UUID, Person]
    parts: Chains[PartRevision]
    part_chains: dict[UUID, UUID]
    mixes: Chains[MixRevision]
    equivalences: Chains[RigEquivalence]
    waivers: Chains[Waiver]
    terms: Chains[TermsRevision]
    in_terms: dict[UUID, Terms]
    placements: Chains[Placement]
    times: Chains[NozzleTime]
    watched: dict[UUID, list[UUID]]
    presences: Chains[Presence]
    # The instant whose knowledge whoever recorded the take had, by nozzle time.
    takes: dict[UUID, datetime]

    def record(self, *, at: datetime, operators: Iterable[UUID], part: UUID) -> Record:
        """Return what the gates ask for of some operators and a part, as known."""
        chain = self.part_chains.get(part)
        revision = None if chain is None else self.parts.known(chain, at=at)
        people = [self.people[pk] for pk in operators if pk in self.people]
        equal = self.equivalences.all_known(at=at)
        return Record(
            job=self.job,
            known_at=at,
            people=tuple(people),
            files={p.operator.pk: p.file.known_at(at) for p in people},
            parts={} if revision is None else {part: revision},
            mixes=tuple(self.mixes.all_known(at=at)),
            equivalences=tuple(row.facts() for row in equal),
            waivers=tuple(row.facts() for row in self.waivers.all_known(at=at)),
            revisions=tuple(
                (self.in_terms[row.pk], row) for row in self.terms.all_known(at=at)
            ),
        )

    def judged(self, first: UUID, *, at: datetime) -> Judged | None:
        """Judge a nozzle time as known at an instant.

        One that reached the record later than the knowledge it was judged with is
        judged as it was first recorded. Nothing where it was taken back by then.
        """
        begun = self.times.versions(first)[0].recorded_at
        held = self.times.known(first, at=max(at, begun))
        if held is None:
            return None
        placement = self.placements.known(held.placement_id, at=max(at, begun))
        if placement is None:
            return None
        supervisor = self._supervisor(held, placement, at=at)
        asked_of = {held.operator_id, *([supervisor] if supervisor else [])}
        record = self.record(at=at, operators=asked_of, part=placement.part_id)
        verdict = record.placement_standing(
            placement,
            operator=held.operator,
            start=held.started_at,
            stop=held.as_known("stopped_at", at=max(at, begun)),
            supervisor=supervisor,
        )
        return Judged(held, placement, verdict)

    def _supervisor(
        self, held: NozzleTime, placement: Placement, *, at: datetime
    ) -> UUID | None:
        """Return who was noted as supervisor when the nozzle was taken, as known."""
        noted = []
        for first in self.watched.get(placement.shift_id, ()):
            row = self.presences.known(first, at=at)
            if row is None or row.operator_id in (None, held.operator_id):
                continue
            to = row.as_known("to_at", at=at)
            if row.role != PresenceRole.SUPERVISOR or row.from_at > held.started_at:
                continue
            if to is None or to > held.started_at:
                noted.append(row)
        return min(noted, key=lambda row: row.from_at).operator_id if noted else None


def hindsight(job: Job) -> Hindsight:
    """Read a job's record with every version of it. Seventeen queries."""
    times = Chains[NozzleTime](
        NozzleTime.objects.filter(job=job).select_related("operator")
    )
    presences = Chains[Presence](
        Presence.objects.filter(job=job, operator__isnull=False)
    )
    parts = Chains[PartRevision](
        PartRevision.objects.filter(job=job).select_related("part")
    )
    terms = Chains[TermsRevision](
        TermsRevision.objects.filter(job=job).order_by("number")
    )
    watched: dict[UUID, list[UUID]] = defaultdict(list)
    for first, rows in presences.by_first.items():
        for shift in {row.shift_id for row in rows}:
            watched[shift].append(first)
    return Hindsight(
        job=job,
        people={person.operator.pk: person for person in people_on(job)},
        parts=parts,
        part_chains={row.part_id: row.first for row in parts},
        mixes=Chains(MixRevision.objects.filter(job=job)),
        equivalences=Chains(RigEquivalence.objects.filter(job=job)),
        waivers=Chains(
            Waiver.objects.filter(job=job).select_related("part", "recorded_by__user")
        ),
        terms=terms,
        in_terms={row.pk: row.facts() for row in terms},
        placements=Chains(Placement.objects.filter(job=job).select_related("rig")),
        times=times,
        watched=watched,
        presences=presences,
        takes=_takes(job, times),
    )


def _takes(job: Job, times: Chains[NozzleTime]) -> dict[UUID, datetime]:
    rows = Eligibility.objects.filter(job=job, moment=Moment.TAKE)
    known = dict(rows.values_list("pk", "known_at"))
    return {
        first: known.get(derived(first, Moment.TAKE.value), rows[0].recorded_at)
        for first, rows in times.by_first.items()
    }


@dataclass(frozen=True, slots=True)
class ThenAndNow:
    """What was concluded of a nozzle time when it was frozen, and what is by now.

    Nothing is concluded by now of one that is not on record as known.
    """

    held: Held
    now: Verdict | None

    @property
    def frozen(self) -> Frozen | None:
        return self.held.frozen

    @property
    def turned(self) -> bool:
        """Whether the two read otherwise."""
        if self.frozen is None or self.now is None:
            return False
        return self.now.state is not self.frozen.state

    @property
    def words_whole(self) -> str:
        """What was frozen over the whole time, where it reads otherwise than the take."""
        take, whole = self.held.take, self.held.whole
        if take is None or whole is None or take.state is whole.state:
            return ""
        return words(whole.verdict)

    @property
    def words_now(self) -> str:
        return "" if self.now is None else words(self.now)

    @property
    def why_now(self) -> str:
        """What does not hold by now, gate by gate."""
        unmet = self.now.unmet if self.now else ()
        return "; ".join(f"{reason.key}: {reason.found}" for reason in unmet)

    @property
    def words_shown(self) -> str:
        """What a tablet showed when the nozzle was taken; nothing without one."""
        told = self.held.take.row.shown if self.held.take else None
        return words(Verdict(State(told["state"]), RULE)) if told else ""

    @property
    def kit(self) -> str:
        """The name of the tablet, where one was used."""
        told = self.held.take.row.shown if self.held.take else None
        return str(told.get("kit", "")) if told else ""

    @property
    def knew(self) -> datetime | None:
        """The instant whose knowledge the take was judged with, if it came in later."""
        row = self.held.take.row if self.held.take else None
        if row is None or row.known_at == row.recorded_at:
            return None
        return row.known_at


def then_and_now(
    job: Job, held: Iterable[Held], *, at: datetime
) -> dict[UUID, ThenAndNow]:
    """Judge nozzle times again as known at an instant, beside what was frozen of them.

    Seventeen queries.
    """
    record = hindsight(job)
    found = {}
    for one in held:
        again = record.judged(one.id, at=at)
        found[one.id] = ThenAndNow(one, None if again is None else again.verdict)
    return found


def shift_then_and_now(
    job: Job, shift: Shift, *, at: datetime
) -> dict[tuple[str, datetime], ThenAndNow]:
    """Return the nozzle times of a shift by operator's code and start.

    A signed sheet names them so. Twenty queries.
    """
    placed = shooting(job, known_at=at, of_shifts=[shift])
    held = [one for row in placed for one in row.times]
    again = then_and_now(job, held, at=at)
    return {(one.code, one.started_at): again[one.id] for one in held}
