"""What would have been concluded of a nozzle time with another instant's knowledge.

Every version of everything the gates ask for is read once; a conclusion is then drawn
as known at any instant, in memory. What was frozen stays as it was frozen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from crews.domain.qualification import RULE, words
from crews.domain.supervision import Stand
from crews.domain.trade_words import Moment, PresenceRole
from crews.models import (
    Eligibility,
    NozzleTime,
    Panel,
    Placement,
    Presence,
    RigEquivalence,
    Shift,
    VisualRating,
    Waiver,
)
from crews.queries.operator_files import Person, people_on
from crews.queries.qualification import Record, file_known
from crews.queries.setbacks import of_ratings
from crews.queries.shooting import Frozen, Held, shooting
from crews.queries.supervision import Time, stand_of, supervisor_of, watch_of
from project.domain.identity import derived
from project.domain.terms import Terms
from project.domain.verdict import State, Verdict
from project.models import Job, MixRevision, PartRevision, TermsRevision
from project.queries.chains import Chains


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
    ratings: Chains[VisualRating]
    # The panels that were ever rated.
    rated: Chains[Panel]
    # The instant whose knowledge whoever recorded the take had, by nozzle time.
    takes: dict[UUID, datetime]

    def record(
        self, *, at: datetime, operators: Iterable[UUID], parts: Iterable[UUID]
    ) -> Record:
        """Return what the gates ask for of some operators and parts, as known."""
        chains = ((part, self.part_chains.get(part)) for part in parts)
        known = (
            (part, self.parts.known(chain, at=at)) for part, chain in chains if chain
        )
        people = [self.people[pk] for pk in operators if pk in self.people]
        mixes = tuple(self.mixes.all_known(at=at))
        again = of_ratings(
            self.ratings.all_known(at=at),
            self.rated.all_known(at=at),
            {mix.first: mix for mix in mixes},
        )
        equal = self.equivalences.all_known(at=at)
        return Record(
            job=self.job,
            known_at=at,
            people=tuple(people),
            files={p.operator.pk: file_known(p, at, again) for p in people},
            parts={part: row for part, row in known if row is not None},
            mixes=mixes,
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
        seen = max(at, self.times.versions(first)[0].recorded_at)
        time = self._time(first, at=seen)
        if time is None:
            return None
        # As at the freeze: a take knew what the wall knew, a leave tells what was seen.
        seen = at if time.stop is None else seen
        stands = self._stands(time.placement.shift_id, at=seen)
        supervisor = supervisor_of(self.job, time, stands)
        others: list[Time] = []
        if supervisor is not None:
            others = self._beside(time, at=seen)
            for shift in {one.placement.shift_id for one in others}:
                stands |= self._stands(shift, at=seen)
        every = [time, *others]
        people = {one.held.operator_id for one in every}
        record = self.record(
            at=at,
            operators=people | ({supervisor} if supervisor else set()),
            parts={one.placement.part_id for one in every},
        )
        verdict = record.placement_standing(
            time.placement,
            operator=time.held.operator,
            start=time.held.started_at,
            stop=time.stop,
            watch=watch_of(record, time, stands=stands, others=others),
        )
        return Judged(time.held, time.placement, verdict)

    def _time(self, first: UUID, *, at: datetime) -> Time | None:
        held = self.times.known(first, at=at)
        if held is None:
            return None
        placement = self.placements.known(held.placement_id, at=at)
        if placement is None:
            return None
        return Time(held, placement, held.as_known("stopped_at", at=at))

    def _beside(self, time: Time, *, at: datetime) -> list[Time]:
        """Return the nozzle times that meet one, as known."""
        every = (self._time(first, at=at) for first in self.times.by_first)
        return [one for one in every if one is not None and one.meets(time)]

    def _stands(self, shift: UUID, *, at: datetime) -> dict[UUID, list[Stand]]:
        """Return the supervisors noted in a shift, as known."""
        noted = (
            self.presences.known(first, at=at) for first in self.watched.get(shift, ())
        )
        return {
            shift: [
                stand_of(row, row.as_known("to_at", at=at))
                for row in noted
                if row is not None and row.role == PresenceRole.SUPERVISOR
            ]
        }


def hindsight(job: Job) -> Hindsight:
    """Read a job's record with every version of it. Eighteen queries."""
    mixes = Chains[MixRevision](MixRevision.objects.filter(job=job))
    times = Chains[NozzleTime](
        NozzleTime.objects.filter(job=job).select_related("operator")
    )
    noted = Presence.objects.filter(job=job, operator__isnull=False)
    presences = Chains[Presence](noted.select_related("part"))
    parts = Chains[PartRevision](
        PartRevision.objects.filter(job=job).select_related("part")
    )
    terms = Chains[TermsRevision](
        TermsRevision.objects.filter(job=job).order_by("number")
    )
    said = VisualRating.objects.filter(job=job)
    watched: dict[UUID, list[UUID]] = defaultdict(list)
    for first, rows in presences.by_first.items():
        for shift in {row.shift_id for row in rows}:
            watched[shift].append(first)
    return Hindsight(
        job=job,
        people={one.operator.pk: one for one in people_on(job, mixes=mixes)},
        parts=parts,
        part_chains={row.part_id: row.first for row in parts},
        mixes=mixes,
        equivalences=Chains(RigEquivalence.objects.filter(job=job)),
        waivers=Chains(
            Waiver.objects.filter(job=job).select_related("part", "recorded_by__user")
        ),
        terms=terms,
        in_terms={row.pk: row.facts() for row in terms},
        placements=Chains(
            Placement.objects.filter(job=job).select_related("rig", "part")
        ),
        times=times,
        watched=watched,
        presences=presences,
        ratings=Chains(said),
        rated=Chains(Panel.objects.filter(job=job, first__in=said.values("panel"))),
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

    Nineteen queries.
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
