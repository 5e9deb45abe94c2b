"""How long an operator has not shot: nozzle times, mock-ups, and what was stated before."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from crews.domain.demand import Demand
from crews.domain.waivers import Waiver
from project.domain.clocks import FactVersion, Interval
from project.domain.shooting_words import Process
from project.domain.terms import Terms
from project.domain.units import convert, in_days
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
        return Ref(self.kind, str(self.id), self.name)

    def on(self, zone: str) -> date:
        """Return the local date on which it began. Source: the job's own zone."""
        return self.begun.astimezone(ZoneInfo(zone)).date()


def last_shot(
    shots: Iterable[Shot], *, process: Process | None, interval: Interval
) -> Shot | None:
    """Return the last stretch of shooting that began before an interval.

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
    >>> last_shot((), process=Process.WET, interval=take) is None
    True
    """
    last: Shot | None = None
    for shot in shots:
        before = shot.begun < interval.start and process in (None, shot.process)
        if before and (last is None or shot.begun > last.begun):
            last = shot
    return last


def idle_process(demand: Demand, terms: Terms | None) -> Process | None:
    """Return the process that idle time is counted by; nothing: all together.

    Source: the contract's term; counted by process where it does not say.

    >>> from crews.domain import examples
    >>> idle_process(examples.demand(), None)
    <Process.WET: 'wet'>
    """
    together = terms is not None and terms.flag("idle_per_process") is False
    return None if together else demand.process


def idle_days(terms: Terms | None) -> int | None:
    """Return the contract's idle limit in whole days [d]; nothing where none is given.

    Source: the contract's term; part of a day beyond whole ones is no day more.

    >>> idle_days(None) is None
    True
    """
    term = None if terms is None else terms.get("idle_limit")
    if terms is None or term is None:
        return None
    if term.unit == "d" and isinstance(term.value, Decimal):
        return int(term.value)
    limit = terms.quantity("idle_limit")
    return None if limit is None else int(convert(limit, to="d").value)


def ends_on(shot: Shot, *, zone: str, limit: int) -> date:
    """Return the last date on which a stretch of shooting keeps the gate open.

    Parameters
    ----------
    zone
        The job's: shooting counts on its local date.
    limit
        The contract's idle limit, 0 or more [d].

    Raises OverflowError for a date beyond the calendar. Source: the contract's idle limit, counted in local dates (project's choice).

    >>> from crews.domain import examples
    >>> ends_on(examples.shot(), zone=examples.ZONE, limit=180)
    datetime.date(2027, 1, 14)
    """
    return shot.on(zone) + timedelta(days=limit)


def activity_gate(
    shots: Iterable[Shot],
    demand: Demand,
    *,
    interval: Interval,
    terms: Terms | None,
    waiver: Waiver | None,
) -> Reason:
    """Judge whether the operator shot by the process within the contract's limit.

    Parameters
    ----------
    shots
        Everything on record, as known.
    demand, interval
        What is asked of the operator, and when; the local date it begins on counts.
    terms
        Give `idle_limit` and `idle_per_process`; without a limit: for information.
    waiver
        The engineer's, where one reaches this operator, work and time.

    Exactly at the limit is within it. Nothing on record is not within it. Source: the
    contract; no published number was found.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> activity_gate((), examples.demand(), interval=take, terms=None, waiver=None).found
    'no wet work on record; no limit given'
    """
    process, limit = idle_process(demand, terms), idle_days(terms)
    last = last_shot(shots, process=process, interval=interval)
    work = f"{process} work" if process else "work"
    today = interval.start.astimezone(ZoneInfo(interval.zone)).date()
    days = None if last is None else (today - last.on(interval.zone)).days
    if last is None:
        found = f"no {work} on record"
    else:
        found = f"{days} days since {work} ({last.name}, {last.on(interval.zone)})"
    evidence: tuple[Ref, ...] = () if last is None else (last.ref,)
    if limit is None:
        state, found = State.INFORMATION, f"{found}; no limit given"
    elif days is not None and days <= limit:
        state = State.PASS
    elif waiver is not None:
        state, found = State.PASS, f"{found}; {waiver.told(interval.zone)}"
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
