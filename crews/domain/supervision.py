"""Who stands beside an operator who may not shoot alone, and whether the watch held.

One named supervisor is there the whole time, does not shoot, and watches no more
trainees at once than the contract lets. Every minute that this did not hold is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

from crews.domain.operator_file import OperatorFile
from project.domain.clocks import Interval, in_utc
from project.domain.gaps import Gap, gaps
from project.domain.terms import Terms
from project.domain.verdict import Reason, Ref, State

# No published ratio was found: one at a time is the project's choice.
AT_ONCE = 1
SUPERVISED = "one named supervisor, present the whole time, not shooting"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """A supervisor as noted in a shift; no part: at whatever part is shot.

    Source: project's choice.

    >>> from crews.domain import examples
    >>> Stand(operator="op-2", start=examples.AT).reaches("R1", examples.AT)
    True
    """

    operator: str
    start: datetime
    stop: datetime | None = None
    part: str = ""
    ref: Ref | None = None

    def reaches(self, part: str, at: datetime) -> bool:
        """Say whether it covers a part at an instant. Source: project's choice."""
        return (
            self.at(part) and self.start <= at and (self.stop is None or at < self.stop)
        )

    def at(self, part: str) -> bool:
        """Say whether it is at a part. Source: project's choice."""
        return self.part in ("", part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Elsewhere:
    """A nozzle time that takes a supervisor away: their own, or another one watched.

    `operator` names who shot; an open stop lasts. Source: project's choice.

    >>> from crews.domain import examples
    >>> Elsewhere(operator=examples.OPERATOR, start=examples.AT).stop is None
    True
    """

    operator: Ref
    start: datetime
    stop: datetime | None = None
    ref: Ref | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """Who is named to stand beside an operator, and what is on record of it.

    `stands` and `elsewhere` are asked only where the watch was `noted`: planned work
    names a supervisor whom nobody has seen yet. Source: project's choice.
    """

    supervisor: OperatorFile | None
    noted: bool = False
    stands: tuple[Stand, ...] = ()
    elsewhere: tuple[Elsewhere, ...] = ()


def named_supervisor(
    stands: Iterable[Stand], *, part: str, apart_from: str, interval: Interval
) -> str:
    """Return the identity of the one supervisor of a nozzle time, or "".

    Parameters
    ----------
    stands
        Supervisors noted in the shift, as known at one instant.
    part
        The code of the part that is shot.
    apart_from
        The operator who shoots: nobody watches himself.
    interval
        From the take; open as long as the nozzle is held.

    Whoever was there at the take, of several the one who came first; else the first
    who came before the leave. Source: project's choice. Raises nothing.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> named_supervisor([Stand(operator="op-2", start=examples.AT)], part="R1",
    ...                  apart_from="op-1", interval=take)
    'op-2'
    """
    fitting = [s for s in stands if s.at(part) and s.operator != apart_from]
    there = [s for s in fitting if s.reaches(part, interval.start)]
    if not there and interval.stop is not None:
        there = [s for s in fitting if interval.start < s.start < interval.stop]
    first = min(there, key=lambda s: (s.start, s.operator), default=None)
    return "" if first is None else first.operator


@dataclass(frozen=True, slots=True)
class Breach:
    """A stretch in which the watch did not hold, and why.

    Source: project's choice.

    >>> from datetime import timedelta
    >>> from crews.domain import examples
    >>> gap = Gap(examples.AT, examples.AT + timedelta(minutes=50))
    >>> Breach("OP-02 absent", gap).told(examples.ZONE)
    'OP-02 absent 07:10 to 08:00 (50 min)'
    """

    words: str
    gap: Gap
    ref: Ref | None = None

    def told(self, zone: str) -> str:
        """Return it in words, its times on a job's clock. Source: project's choice."""
        start = self.gap.start.astimezone(ZoneInfo(zone))
        stop = self.gap.stop.astimezone(ZoneInfo(zone))
        if self.gap.start == self.gap.stop:
            return f"{self.words} at {start:%H:%M}"
        end = (
            f"{stop:%H:%M}" if stop.date() == start.date() else f"{stop:%Y-%m-%d %H:%M}"
        )
        return f"{self.words} {start:%H:%M} to {end} ({self.gap.minutes} min)"


def trainees_at_once(terms: Terms | None) -> int:
    """Return how many trainees one supervisor may watch at once [count].

    Source: the contract; without a term one (project's choice, no published ratio
    found). Raises nothing.

    >>> trainees_at_once(None)
    1
    """
    most = terms.decimal("trainee_ratio") if terms else None
    return AT_ONCE if most is None else int(most)


def breaches(
    watch: Watch, *, part: str, interval: Interval, most: int = AT_ONCE
) -> tuple[Breach, ...]:
    """Return each stretch of a nozzle time in which its watch did not hold.

    Parameters
    ----------
    watch
        Whose supervisor is named; one that nobody noted yet breaks nothing.
    part
        The code of the part that is shot.
    interval
        From the take to the leave. An open one is asked only for its start, and
        presence at the start is what named the supervisor.
    most
        Trainees that one supervisor may watch at once [count], at least 1.

    Source: contract practice (project's choice, no published rule found). Raises
    ValueError for an instant without a zone.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> watch = Watch(supervisor=examples.operator_file(), noted=True)
    >>> breaches(watch, part="R1", interval=take)
    ()
    """
    if watch.supervisor is None or not watch.noted:
        return ()
    start = in_utc(interval.start)
    stop = start if interval.stop is None else in_utc(interval.stop)
    own = watch.supervisor.operator
    found = []
    if stop > start:
        theirs = [s for s in watch.stands if s.operator == own.id and s.at(part)]
        open_ = gaps(start, stop, covers=[(s.start, s.stop) for s in theirs])
        found += [Breach(f"{own.name} absent", gap) for gap in open_]
    spans = [(e, gap) for e in watch.elsewhere for gap in _meeting(e, start, stop)]
    for one, gap in spans:
        if one.operator.id == own.id:
            found.append(Breach(f"{own.name} on the nozzle", gap, one.ref))
    others = [(one, gap) for one, gap in spans if one.operator.id != own.id]
    for beside, gap in _crowded(others, most):
        names = ", ".join(one.operator.name for one in beside)
        found.append(Breach(f"{own.name} watches {names} too", gap, beside[0].ref))
    return tuple(sorted(found, key=lambda b: (b.gap.start, b.words)))


def needs_watch(reasons: Iterable[Reason]) -> bool:
    """Say whether gates judged without a watch show one who may not shoot alone.

    Also where the level lets the operator shoot no such part at all. Source: project's
    choice. Raises nothing.

    >>> needs_watch(())
    False
    """
    return any(
        reason.state is State.CONDITION
        or (reason.key == "level" and reason.state is State.FAIL)
        for reason in reasons
    )


def condition(
    watch: Watch | None,
    *,
    shut: str = "",
    part: str,
    interval: Interval,
    terms: Terms | None,
) -> tuple[State, str, tuple[Ref, ...]]:
    """Return whether the condition "supervised" is kept, its words and its evidence.

    Parameters
    ----------
    watch
        Nothing where nobody is named: then somebody is asked for.
    shut
        Why the supervisor may not be one, in words; "" where every gate holds.
    part
        The code of the part that is shot.
    interval
        From the take to the leave, or open.
    terms
        In force on the day of the take.

    A nozzle time that is over with nobody noted has had no supervisor. Source: as `breaches`. Raises as `breaches` does.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> condition(None, part="R1", interval=take, terms=None)[1]
    'one named supervisor, present the whole time, not shooting'
    """
    if watch is None or watch.supervisor is None:
        if watch is None or not watch.noted or interval.stop is None:
            return State.CONDITION, SUPERVISED, ()
        alone = Breach(
            "nobody noted as supervisor,", Gap(interval.start, interval.stop)
        )
        return State.FAIL, alone.told(interval.zone), ()
    person = watch.supervisor.operator
    stands = (s.ref for s in watch.stands if s.operator == person.id and s.at(part))
    named = (person, *(ref for ref in stands if ref))
    most = trainees_at_once(terms)
    broken = breaches(watch, part=part, interval=interval, most=most)
    away = tuple(one.ref for one in broken if one.ref)
    told = ", ".join(one.told(interval.zone) for one in broken)
    if shut:
        found = f"{shut}; {told}" if told else shut
        return State.FAIL, found, (*named, *away)
    if broken:
        found = f"supervised by {person.name}, but not the whole time: {told}"
        return State.FAIL, found, (*named, *away)
    found = f"supervised by {person.name}, qualified on record; {SUPERVISED}"
    return State.CONDITION, found, named


def _meeting(one: Elsewhere, start: datetime, stop: datetime) -> Iterator[Gap]:
    """Yield what it has of a stretch of time; of an instant, the instant itself."""
    begun = in_utc(one.start)
    ended = max(stop, begun) if one.stop is None else in_utc(one.stop)
    at_instant = (
        start == stop and begun <= start and (one.stop is None or ended > start)
    )
    begin, end = max(start, begun), min(stop, ended)
    if begin < end or at_instant:
        yield Gap(begin, end)


def _crowded(
    spans: Sequence[tuple[Elsewhere, Gap]], most: int
) -> Iterator[tuple[list[Elsewhere], Gap]]:
    """Yield the stretches in which too many are watched, with the others."""
    edges = sorted({e for _one, gap in spans for e in (gap.start, gap.stop)})
    pairs = list(pairwise(edges)) or [(edge, edge) for edge in edges]
    for begin, end in pairs:
        beside = [one for one, g in spans if g.start <= begin and g.stop >= end]
        if len(beside) >= most:
            yield beside, Gap(begin, end)
