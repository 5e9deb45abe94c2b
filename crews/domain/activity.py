"""How long an operator has not shot: nozzle times, mock-ups, and what was stated before."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from crews.domain.demand import Demand
from crews.domain.waivers import Waiver
from project.domain.clocks import FactVersion, Interval
from project.domain.shooting_words import Process
from project.domain.units import in_days
from project.domain.verdict import Known, Reason, Ref, Source, State

# No published number of days was found; the contract types its own.
IDLE_SOURCE = Source("idle limit", known=Known.CONTRACT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot(FactVersion):
    """One stretch of shooting by a process: a nozzle time, a mock-up, a stated day.

    A mock-up counts as activity, not as acceptance. It counts on the local date on which
    it began, as a shift does. Source: contract practice (project's choice).

    >>> from crews.domain import examples
    >>> examples.shot().on(examples.ZONE)
    datetime.date(2026, 7, 18)
    """

    process: Process
    begun: datetime
    kind: str = "nozzletime"
    name: str = ""

    @property
    def ref(self) -> Ref:
        """The version of the record as evidence."""
        return self._as_evidence(self.kind, self.name)

    def on(self, zone: str) -> date:
        """Return the local date on which it began. Source: the job's own zone."""
        return self.begun.astimezone(ZoneInfo(zone)).date()


@dataclass(frozen=True, slots=True)
class Shooting:
    """What an operator shot around an interval, of the work that counts.

    `last` began last before it; `later` began with it or after, as recorded. Source:
    contract practice (project's choice, no published rule found).

    >>> Shooting(None, ()).later
    ()
    """

    last: Shot | None
    later: tuple[Shot, ...]


def shooting(
    shots: Iterable[Shot], *, process: Process | None, interval: Interval
) -> Shooting:
    """Return the last shooting that began before an interval, and what began later.

    Parameters
    ----------
    shots
        As known at one instant.
    process
        Only this one's; nothing counts every process alike.
    interval
        What is asked about: its own shooting is not what went before it.

    Source: contract practice (project's choice, no published rule found). Raises nothing.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> shooting((), process=Process.WET, interval=take).last is None
    True
    """
    start, last, later = interval.start, None, list[Shot]()
    for shot in shots:
        if process is None or shot.process is process:
            if shot.begun >= start:
                later.append(shot)
            elif last is None or shot.begun > last.begun:
                last = shot
    return Shooting(last, tuple(later))


def ends_on(shot_on: date, *, limit: int) -> date:
    """Return the last date on which a stretch of shooting keeps the gate open.

    Parameters
    ----------
    shot_on
        The local date in the job's zone on which it began.
    limit
        The contract's idle limit, 0 or more [d].

    Raises OverflowError for a date beyond the calendar. Source: the contract's idle
    limit, counted in local dates (project's choice).

    >>> ends_on(date(2026, 7, 18), limit=180)
    datetime.date(2027, 1, 14)
    """
    return shot_on + timedelta(days=limit)


def activity_gate(
    last: Shot | None, demand: Demand, *, on: date, zone: str, waiver: Waiver | None
) -> Reason:
    """Judge whether the operator shot by the process within the contract's limit.

    Parameters
    ----------
    last
        The last shooting of the work that counts, as `shooting` finds it.
    demand
        Under the terms: they give the limit; without one: for information.
    on
        The local date in the job's zone on which the interval asked about begins.
    zone
        The job's.
    waiver
        The engineer's, where one reaches this operator, work and time.

    Exactly at the limit is within it. Nothing on record is not within it. Source: the
    contract; no published number was found.

    >>> from crews.domain import examples
    >>> today = examples.AT.date()
    >>> activity_gate(None, examples.demand(), on=today, zone=examples.ZONE,
    ...               waiver=None).found
    'no wet work on record; no limit given'
    """
    limit, work, days = demand.idle.days, demand.idle.words(demand.process), None
    evidence: tuple[Ref, ...] = ()
    if last is None:
        found = f"no {work} on record"
    else:
        shot_on = last.on(zone)
        days, evidence = (on - shot_on).days, (last.ref,)
        found = f"{days} days since {work} ({last.name}, {shot_on!s})"
    if limit is None:
        state, found = State.INFORMATION, f"{found}; no limit given"
    elif days is not None and days <= limit:
        state = State.PASS
    elif waiver is not None:
        state, found = State.PASS, f"{found}; {waiver.told(zone)}"
        evidence = (*evidence, waiver.ref)
    else:
        state = State.FAIL
    return Reason(
        key="activity",
        requirement="no limit of idle time is given"
        if limit is None
        else f"{work} within {limit} days",
        state=state,
        found=found,
        source=IDLE_SOURCE,
        limit=None if limit is None else in_days(limit),
        margin=None if limit is None or days is None else in_days(limit - days),
        evidence=evidence,
    )
