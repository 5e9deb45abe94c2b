"""Affected work: what reads otherwise since it was concluded, frozen or told.

Nothing is stored and nothing rewritten. At each instant at which a fact was recorded,
the nozzle times and panels it can reach are judged as known just before and with it;
where the answer turned, the line says which work and which packets rested on it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from crews.queries.hindsight import Hindsight, hindsight
from crews.queries.panel_hindsight import PanelHindsight, panel_hindsight
from inspections.domain.affected import (
    gates_turned,
    standing_turned,
    strength_turned,
)
from inspections.models import Nonconformance
from inspections.queries.affected_lines import Line, TurnedPanel, TurnedTime
from inspections.queries.affected_packets import Telling, telling
from inspections.queries.affected_reach import OwnWork, Reach
from inspections.queries.changes import Change, recorded
from inspections.queries.scope import nonconformances_for, only_own_work
from inspections.queries.work import Work, work
from project.domain.verdict import State, Verdict
from project.models import Job, Membership
from project.models.records import Version

# Before any record of any job: everything that was learned is asked for.
BEGINNING = datetime(1900, 1, 1, tzinfo=UTC)
_JUST_BEFORE = timedelta(microseconds=1)


def affected_work(
    job: Job,
    *,
    since: datetime,
    until: datetime,
    for_member: Membership | None = None,
) -> tuple[Line, ...]:
    """Return what facts recorded after `since` and by `until` turned, the latest first.

    Reports and packets count as known at `until`. A contractor reads of its own work.
    Fifty-two queries, however many rows.
    """
    on = job.local(until).date()
    found = work(job, known_at=until, on=on, for_member=for_member)
    return affected_in(found, since=since, for_member=for_member)


def affected_in(
    found: Work, *, since: datetime, for_member: Membership | None = None
) -> tuple[Line, ...]:
    """Return affected work of a member's whole work, read before, as known then.

    Thirty-three queries.
    """
    job, until = found.job, found.known_at
    own = OwnWork(found, every=for_member is None or not only_own_work(for_member))
    record = hindsight(job)
    walk = _Walk(record, panel_hindsight(record), own, since, until)
    drafts = list(walk.lines())
    records = [pk for line in drafts for pk in walk.told_by(line)]
    told = telling(job, records, until=until)
    raised = _raised(job, until, for_member)
    lines = [_finished(line, walk, told, raised) for line in drafts]
    stand = [line for line in lines if line.judged or line.packets]
    return tuple(sorted(stand, key=lambda line: line.found_at, reverse=True))


def affected_by(
    fact: Version, *, job: Job, until: datetime, for_member: Membership | None = None
) -> tuple[Line, ...]:
    """Return what one fact turned: the lines of the act that recorded it."""
    since = fact.recorded_at - _JUST_BEFORE
    lines = affected_work(job, since=since, until=until, for_member=for_member)
    return tuple(line for line in lines if fact.pk in line.fact_ids)


class _Walk:
    """One pass over the facts of a stretch of time."""

    def __init__(
        self,
        record: Hindsight,
        panels: PanelHindsight,
        own: OwnWork,
        since: datetime,
        until: datetime,
    ) -> None:
        self.record, self.panels, self.own = record, panels, own
        self.since, self.until = since, until
        self.reach = Reach(record, panels)

    def lines(self) -> Iterator[Line]:
        """Yield a line for each instant at which something turned, or was superseded.

        Its packets and reports are still to be read.
        """
        changes = recorded(
            self.record, self.panels, after=self._floor(), until=self.until
        )
        for at, facts in changes.items():
            turned: dict[datetime, list[TurnedTime]] = defaultdict(list)
            for found_at, one in self._times(at, facts):
                turned[found_at].append(one)
            results = list(self._results(at, facts)) if self._within(at) else []
            superseded = any(self._reads(change.before) for change in facts)
            if results or (superseded and self._within(at)):
                turned.setdefault(at, [])
            for found_at, times in turned.items():
                here = results if found_at == at else []
                yield self._line(facts, found_at, times, here)

    def _floor(self) -> datetime:
        """Return since when facts matter: before `since`, for what came in late.

        A nozzle time from a tablet was judged with what the tablet knew. What was
        recorded between that and its arrival turns it when it arrives.
        """
        came = [f for f in self.own.times if self._within(self._begun(f))]
        return min([self.since, *(self.record.takes[first] for first in came)])

    def _begun(self, first: UUID) -> datetime:
        return self.record.times.versions(first)[0].recorded_at

    def _within(self, at: datetime) -> bool:
        return self.since < at <= self.until

    def _times(
        self, at: datetime, facts: Sequence[Change]
    ) -> Iterator[tuple[datetime, TurnedTime]]:
        reached = set().union(*(self.reach.times(change) for change in facts))
        for first in self.own.in_order(reached):
            knew, found_at = self.record.takes[first], max(at, self._begun(first))
            if at <= knew or not self._within(found_at):
                continue
            before = self.record.judged(first, at=max(at - _JUST_BEFORE, knew))
            after = self.record.judged(first, at=at)
            if before is None or after is None:
                continue  # taken back: the fact itself is told, nothing is left to judge
            if standing_turned(before.verdict, after.verdict):
                placed, held = self.own.times[first]
                gates = gates_turned(before.verdict, after.verdict)
                yield (
                    found_at,
                    TurnedTime(placed, held, before.verdict, after.verdict, gates),
                )

    def _results(self, at: datetime, facts: Sequence[Change]) -> Iterator[TurnedPanel]:
        reached = set().union(*(self.reach.results(change) for change in facts))
        for first in sorted(reached & self.own.panels.keys()):
            earlier = at - _JUST_BEFORE
            rated = (self.panels.rated(first, at=i) for i in (earlier, at))
            for before, after in filter(None, (self._sets(first, at), tuple(rated))):
                if strength_turned(before, after):
                    gates = gates_turned(before, after)
                    yield TurnedPanel(self.own.panels[first], before, after, gates)

    def _sets(self, first: UUID, at: datetime) -> tuple[Verdict, Verdict] | None:
        """Judge the deciding set just before and with a fact, for the same date.

        Judging is dear, and nothing is settled before a first result.
        """
        on, earlier = self.record.job.local(at).date(), at - _JUST_BEFORE
        if not self.panels.tested(first, at=at):
            return None
        after = self.panels.strength(first, at=at, on=on)
        waits = not self.panels.tested(first, at=earlier)
        if after is None or (waits and after.state is not State.FAIL):
            return None
        before = self.panels.strength(first, at=earlier, on=on)
        return None if before is None else (before, after)

    def _line(
        self,
        facts: Sequence[Change],
        found_at: datetime,
        turned: Sequence[TurnedTime],
        results: Sequence[TurnedPanel],
    ) -> Line:
        ids = [one.held.id for one in turned]
        panels = [code for first in ids for code in self.own.panels_of(first)]
        for one in results:
            ids += self.own.times_of(one.panel)
        return Line(
            facts=tuple(self._telling_facts(facts, turned, results)),
            found_at=found_at,
            turned=tuple(turned),
            results=tuple(results),
            times=tuple(self.own.times[first] for first in dict.fromkeys(ids)),
            panels=tuple(dict.fromkeys([*panels, *(one.name for one in results)])),
        )

    def _telling_facts(
        self,
        facts: Sequence[Change],
        turned: Sequence[TurnedTime],
        results: Sequence[TurnedPanel],
    ) -> Iterator[Change]:
        """Yield the facts of an act that could have turned what did."""
        times = {one.held.id for one in turned}
        panels = {one.panel.id for one in results}
        for change in facts:
            reached = times & self.reach.times(change)
            if (
                reached
                or panels & self.reach.results(change)
                or (not times and not panels and self._reads(change.before))
            ):
                yield change

    def _reads(self, row: Any) -> bool:
        """Say whether a superseded version is the member's to be told of."""
        return row is not None and self.own.reads(row, self.panels)

    def told_by(self, line: Line) -> set[UUID]:
        """Return the versions under which a packet may have told of a line's work."""
        told = {change.before.pk for change in line.facts if change.before}
        for one in line.turned:
            told |= {row.pk for row in self.record.times.versions(one.held.id)}
        for result in line.results:
            told |= {row.pk for row in self.panels.panels.versions(result.panel.id)}
        return told

    def about(self, line: Line) -> set[UUID]:
        """Return the records by which a report may name a line's work."""
        named = {change.row.first for change in line.facts}
        for placed, held in line.times:
            named |= {held.id, placed.id}
        return named | {one.panel.id for one in line.results}


def _raised(
    job: Job, until: datetime, member: Membership | None
) -> list[tuple[Nonconformance, datetime]]:
    """Return the reports as known, each with when it got its number. Two queries."""
    rows = (
        Nonconformance.objects.known_at(until).filter(job=job)
        if member is None
        else nonconformances_for(member, known_at=until)
    )
    found = list(rows.order_by("number"))
    firsts = Nonconformance.objects.filter(pk__in=[row.first for row in found])
    raised = dict(firsts.values_list("pk", "recorded_at"))
    return [(row, raised[row.first]) for row in found]


def _finished(
    line: Line,
    walk: _Walk,
    told: Telling,
    raised: Sequence[tuple[Nonconformance, datetime]],
) -> Line:
    about = walk.about(line)
    return replace(
        line,
        packets=told.told(walk.told_by(line), found_at=line.found_at),
        reports=tuple(
            row for row, at in raised if row.about_id in about and at >= line.found_at
        ),
    )
