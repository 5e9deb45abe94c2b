"""How long shotcrete was kept moist, and when that will have been long enough.

Hours are counted in UTC and printed on the job's clock. What a visit tells is read by
`curing_visits`, what a pause does by `curing_count`.

Source: IBC 1908.9 (from memory): moist 24 h, then cured 7 d, or 3 d with high early
strength cement; UFGS 03371 (read): moist 3 d at once, 7 d in all. Neither counts
pauses; that is the contract's choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from enum import StrEnum

from inspections.domain.curing_count import Count, Pause, count_moist, policy_of
from inspections.domain.curing_visits import Stretch, Visit, moist_stretches
from inspections.domain.spans import IN_UTC, in_hours
from project.domain.clocks import (
    as_span,
    as_time,
    elapsed,
    in_utc,
    on_the_clock,
    zone_of,
)
from project.domain.showing import beside
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Step, Working

CURING = Source("IBC", "1908.9, and UFGS 03371 on curing")
BETWEEN = Source("between two visits that found it moist: moist", known=Known.PROJECT)
LAST_SEEN = Source("dry: moist until it was last seen moist", known=Known.PROJECT)
TERMS = (
    "moist_first",
    "moist_total",
    "moist_total_high_early",
    "curing_pause",
    "curing_pause_most",
)
_RULE = "Moist time between visits, in elapsed hours; exactly the time asked is enough"
_ROUNDING = "to 0.1 h where it is no whole hour; compared unrounded"


class Standing(StrEnum):
    """How a curing stands; only `COMPLETE` is a pass. Source: project's choice.

    >>> Standing.NOT_ENOUGH.value
    'not enough readings'
    """

    COMPLETE = "complete"
    RUNNING = "running"
    PAUSED = "paused"
    NOT_ENOUGH = "not enough readings"
    NO_REQUIREMENT = "no requirement given"


_STATES = {
    Standing.COMPLETE: State.PASS,
    Standing.RUNNING: State.NOT_DUE,
    Standing.PAUSED: State.INCOMPLETE,
    Standing.NOT_ENOUGH: State.NOT_ENOUGH_YET,
    Standing.NO_REQUIREMENT: State.UNDECIDED,
}


@dataclass(frozen=True, slots=True)
class Asked:
    """One time that the terms ask for: which term, and how long [time].

    Source: the contract's terms.

    >>> Asked("moist_total", Quantity(Decimal(7), "d")).said
    'cured in all, 7 d'
    """

    term: str
    time: Quantity

    @property
    def name(self) -> str:
        """What is asked, in words."""
        return "moist at once" if self.term == "moist_first" else "cured in all"

    @property
    def said(self) -> str:
        """The requirement in words, with its time."""
        return f"{self.name}, {self.time}"


@dataclass(frozen=True, slots=True)
class CuringState:
    """How the curing of a part stands, and what it was concluded from.

    `ends_at` is when it is or will be complete, if nothing changes; absent while it is
    paused, and where nothing is asked. Instants are in UTC, `zone` prints them.
    Source: as the module says; made by `curing_end`, where an example stands.
    """

    standing: Standing
    started_at: datetime
    zone: str
    at: datetime | None
    asked: tuple[Asked, ...]
    stretches: tuple[Stretch, ...]
    count: Count
    ends_at: datetime | None
    terms: Terms

    @property
    def counted(self) -> Quantity:
        """The moist time seen that counts towards the whole [h]."""
        return as_time(self.count.counted, unit="h")

    @property
    def pauses(self) -> tuple[Pause, ...]:
        """The pauses, the last without an end while it lasts."""
        return self.count.pauses

    @property
    def words(self) -> str:
        """How it stands, in one sentence with the job's clock."""
        return f"{self.standing}: {self._because()}"

    def _because(self) -> str:
        seen = self.local(self.count.seen_until)
        if self.standing is Standing.NO_REQUIREMENT:
            if self.asked:
                return "the terms do not say what a pause does"
            return "the terms ask for no moist time"
        if self.standing is Standing.PAUSED:
            return f"last seen moist {seen} ({self.stretches[-1].ended_by})"
        assert self.ends_at is not None  # noqa: S101 - says to the checker what is left
        end = self.local(self.ends_at)
        if self.standing is Standing.RUNNING:
            return f"complete {end} if nothing changes"
        if self.standing is Standing.COMPLETE:
            return f"since {end}"
        if self.at is None or in_utc(self.at) < self.ends_at:
            return f"no visit yet; complete {end} if it is kept moist"
        return f"the time ran out {end}, last seen moist {seen}"

    def local(self, instant: datetime) -> str:
        """Return an instant on the job's clock, with its offset."""
        return on_the_clock(instant.astimezone(zone_of(self.zone)))

    @property
    def verdict(self) -> Verdict:
        """The conclusion with a reason for each time asked, and its working."""
        reasons = tuple(
            self._reason(asked, reached)
            for asked, reached in zip(self.asked, self.count.reached, strict=True)
        )
        if not reasons:
            found, asked = self._because(), "the time the contract asks"
            reasons = (Reason("curing", asked, State.UNDECIDED, found, CURING),)
        return Verdict(
            _STATES[self.standing], _RULE, reasons, working=self.moist_working
        )

    def _reason(self, asked: Asked, reached: datetime | None) -> Reason:
        source = self.terms.source(asked.term)
        if reached is not None and reached <= self.count.seen_until:
            found = f"reached {self.local(reached)}"
            return Reason(asked.term, asked.said, State.PASS, found, source, asked.time)
        missing = self.counted.value - as_time(as_span(asked.time), unit="h").value
        return Reason(
            asked.term,
            asked.said,
            _STATES[self.standing],
            f"{_hours(self.counted)} counted; {self.words}",
            source,
            asked.time,
            Quantity(missing, "h"),
        )

    def moist_working(self) -> Working:
        """Return how the counted moist time came about, stretch by stretch."""
        return Working(
            title="Moist time that counts",
            inputs=(),
            steps=(*self._stretch_steps(), Step("counted", str(_hours(self.counted)))),
            exact=self.counted,
            reported=_hours(self.counted),
            rounding=_ROUNDING,
            settings=self.terms.used(*TERMS),
        )

    def end_working(self) -> Working | None:
        """Return how the end came about, from the start on; nothing without an end."""
        if self.ends_at is None:
            return None
        exact = as_time(elapsed(self.started_at, self.ends_at), unit="h")
        start, end = self.local(self.started_at), self.local(self.ends_at)
        asked = [
            Step(one.name, f"{one.time}: {_by(self, reached)}")
            for one, reached in zip(self.asked, self.count.reached, strict=True)
            if reached is not None
        ]
        line = f"{end} − {start}, in UTC = {_hours(exact)}"
        return Working(
            title=f"From the start of curing to {end}",
            inputs=(),
            steps=(*self._stretch_steps(), *asked, Step("to the end", line, IN_UTC)),
            exact=exact,
            reported=_hours(exact),
            rounding=_ROUNDING,
            settings=self.terms.used(*TERMS),
        )

    def _stretch_steps(self) -> list[Step]:
        steps = []
        for n, stretch in enumerate(self.stretches):
            span = f"{self.local(stretch.since)} to {self.local(stretch.seen_until)}"
            ended = f" ({stretch.ended_by})" if stretch.ended_by else ""
            length = in_hours(stretch.length)
            source = LAST_SEEN if stretch.ended_by else BETWEEN
            steps.append(Step(f"moist {n + 1}", f"{span}{ended} = {length}", source))
            if n < len(self.pauses):
                steps.append(self._pause_step(n + 1, self.pauses[n]))
        return steps

    def _pause_step(self, number: int, pause: Pause) -> Step:
        if pause.until is None or pause.length is None:
            return Step(f"pause {number}", f"since {self.local(pause.since)}")
        span = f"{self.local(pause.since)} to {self.local(pause.until)}"
        length = in_hours(pause.length)
        did = pause.did or "the terms do not say what it does"
        return Step(f"pause {number}", f"{span} = {length}; {did}")


def _by(state: CuringState, reached: datetime) -> str:
    seen = reached <= state.count.seen_until
    return f"{'reached' if seen else 'will be reached'} {state.local(reached)}"


def _hours(time: Quantity) -> Quantity:
    value = time.value
    if value == value.to_integral_value():
        return Quantity(value.quantize(Decimal(1)), "h")
    return Quantity(Decimal(beside(value, Decimal(round(value)), places=1)), "h")


def times_asked(terms: Terms, *, high_early: bool = False) -> tuple[Asked, ...]:
    """Return the moist times that the terms ask for, as far as they are given.

    Parameters
    ----------
    terms
        Read for `moist_first`, `moist_total` and `moist_total_high_early`.
    high_early
        Whether the cement is of high early strength; without a time of its own the
        ordinary one stands.

    Source: IBC 1908.9 (from memory), UFGS 03371 (read), or the contract.

    >>> from datetime import date
    >>> times_asked(Terms(1, "none", date(2026, 7, 1), {}))
    ()
    """
    total = "moist_total"
    if high_early and terms.quantity("moist_total_high_early") is not None:
        total = "moist_total_high_early"
    found = ((name, terms.quantity(name)) for name in ("moist_first", total))
    return tuple(Asked(name, time) for name, time in found if time is not None)


def curing_end(
    visits: Sequence[Visit],
    *,
    started_at: datetime,
    terms: Terms,
    zone: str = "UTC",
    high_early: bool = False,
    at: datetime | None = None,
) -> CuringState:
    """Return how a curing stands, and when it will be complete if nothing changes.

    Parameters
    ----------
    visits
        All of them, in any order; those after `at` are not looked at.
    started_at
        When curing began, an instant with a zone.
    terms
        Of the work date: the times asked and what a pause does.
    zone
        The job's, in which instants are printed.
    high_early
        Whether the cement is of high early strength.
    at
        The instant that is asked about; without it, the last visit.

    Complete only where a visit found it moist at the end or after; where the time ran
    out after the last look, "not enough readings". Raises ValueError for an instant
    without a zone, an instant before the start, and visits that contradict each other.
    Source: IBC 1908.9 (from memory), UFGS 03371 (read), or the contract.

    >>> from datetime import UTC
    >>> from project.domain.editions import own_terms
    >>> ufgs = own_terms("ufgs-03371", revision=1, effective_on=datetime(2026, 7, 1).date())
    >>> begun = datetime(2026, 8, 4, 18, 42, tzinfo=UTC)
    >>> curing_end([Visit(datetime(2026, 8, 6, 12, 1, tzinfo=UTC), moist=True)],
    ...            started_at=begun, terms=ufgs, zone="America/Denver").words
    'running: complete 2026-08-11 12:42-06:00 if nothing changes'
    """
    zone_of(zone)
    if at is not None and elapsed(started_at, at) < timedelta():
        raise ValueError(f"at {on_the_clock(at)}: before started_at")
    seen = [v for v in visits if at is None or elapsed(v.at, at) >= timedelta()]
    stretches = moist_stretches(seen, started_at=started_at)
    asked = times_asked(terms, high_early=high_early)
    count = count_moist(
        stretches,
        asked=[as_span(one.time) for one in asked],
        policy=policy_of(terms),
    )
    ends_at = None
    if asked and None not in count.reached:
        ends_at = max(reached for reached in count.reached if reached is not None)
    return CuringState(
        standing=_standing(asked, count, ends_at, at=at, looked=bool(seen)),
        started_at=in_utc(started_at),
        zone=zone,
        at=at,
        asked=asked,
        stretches=stretches,
        count=count,
        ends_at=ends_at,
        terms=terms,
    )


def _standing(
    asked: Sequence[Asked],
    count: Count,
    ends_at: datetime | None,
    *,
    at: datetime | None,
    looked: bool,
) -> Standing:
    if not asked:
        return Standing.NO_REQUIREMENT
    if ends_at is not None and ends_at <= count.seen_until:
        return Standing.COMPLETE
    if not count.runs:
        return Standing.PAUSED
    if count.undecided or ends_at is None:
        return Standing.NO_REQUIREMENT
    ran_out = at is not None and ends_at <= in_utc(at)
    return Standing.NOT_ENOUGH if ran_out or not looked else Standing.RUNNING
