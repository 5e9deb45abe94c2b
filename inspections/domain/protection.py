"""Whether fresh shotcrete was kept from the cold as long as the contract asks.

A reading says what was so when it was read. A temperature on the limit is not above
it. What nobody read is not taken for warm: the window is over only with a reading at
its end or after.

Source: UFGS 03371 (read): air against it above 40 F for 3 d; IBC 1908.9 (from memory):
above 40 F through the curing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from inspections.domain.spans import IN_UTC, clock_step
from project.domain.clocks import (
    as_span,
    as_time,
    elapsed,
    in_utc,
    on_the_clock,
    zone_of,
)
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Step, Working

COLD = Source("UFGS 03371", "placing, temperature", "about 2001 to 2006", Known.READ)
NO_REQUIREMENT = "no requirement given"
TERMS = ("protection", "protection_above")
_RULE = (
    "Each reading within the window lies above the limit, and one at its end or after"
)


@dataclass(frozen=True, slots=True)
class WarmReading:
    """A temperature read at the face, or the lowest since the reading before.

    Raises ValueError for an instant without a zone and for what is no temperature.
    Source: project's choice.

    >>> from datetime import UTC
    >>> from decimal import Decimal
    >>> WarmReading(datetime(2026, 8, 5, 12, tzinfo=UTC), Quantity(Decimal(51), "mm"))
    Traceback (most recent call last):
    ValueError: temperature 51 mm: allowed are C, F
    """

    at: datetime
    temperature: Quantity

    def __post_init__(self) -> None:
        in_utc(self.at, name="at")
        if self.temperature.dimension != "temperature":
            raise ValueError(f"temperature {self.temperature}: allowed are C, F")


def kept_warm(
    readings: Sequence[WarmReading],
    *,
    started_at: datetime,
    terms: Terms,
    zone: str = "UTC",
    at: datetime | None = None,
) -> Verdict:
    """Return whether a face was kept above the limit through the window.

    Parameters
    ----------
    readings
        In any order; those before the start or after `at` are not looked at.
    started_at
        When the window begins, an instant with a zone.
    terms
        Read for `protection` [time] and `protection_above` [temperature].
    zone
        The job's, in which instants are printed.
    at
        The instant that is asked about; without it, the last reading.

    A reading in the window on the limit or below fails. Without one to the contrary:
    not due while the window runs, pass with a reading at its end or after, and not
    enough readings otherwise; undecided, "no requirement given", without both terms.
    Raises ValueError for an instant without a zone. Source: UFGS 03371 (read), IBC
    1908.9 (from memory), or the contract.

    >>> from datetime import UTC
    >>> from decimal import Decimal
    >>> from project.domain.editions import own_terms
    >>> ufgs = own_terms("ufgs-03371", revision=1, effective_on=datetime(2026, 7, 1).date())
    >>> cold = WarmReading(datetime(2026, 8, 5, 12, tzinfo=UTC), Quantity(Decimal(40), "F"))
    >>> kept_warm([cold], started_at=datetime(2026, 8, 4, 18, tzinfo=UTC),
    ...           terms=ufgs).state.value
    'fail'
    """
    window = _window(started_at, terms, zone)
    if window is None:
        return _nothing_asked(terms)
    seen = sorted(
        (r for r in readings if elapsed(window.begun, r.at) >= timedelta()),
        key=lambda r: in_utc(r.at),
    )
    if at is not None:
        seen = [r for r in seen if elapsed(r.at, at) >= timedelta()]
    state, found = window.judged(seen, at)
    inside = window.inside(seen)
    reason = Reason(
        "protection",
        f"above {window.limit} for {window.time}",
        state,
        found,
        terms.source("protection"),
        window.limit,
        window.margin(inside),
    )
    working = lambda: window.working(inside, terms)  # noqa: E731 - built when asked
    return Verdict(state, _RULE, (reason,), working=working)


def _nothing_asked(terms: Terms) -> Verdict:
    given = terms.quantity("protection") or terms.quantity("protection_above")
    said = f"{given} alone" if given else "neither a time nor a temperature"
    found = f"{NO_REQUIREMENT}: the terms give {said}"
    asked = "kept above a temperature for a time"
    reason = Reason("protection", asked, State.UNDECIDED, found, COLD)
    return Verdict(State.UNDECIDED, _RULE, (reason,))


def _window(started_at: datetime, terms: Terms, zone: str) -> _Window | None:
    zone_of(zone)
    begun = in_utc(started_at, name="started_at")
    time, limit = terms.quantity("protection"), terms.quantity("protection_above")
    if time is None or limit is None:
        return None
    return _Window(time, limit, begun, begun + as_span(time), zone)


@dataclass(frozen=True, slots=True)
class _Window:
    time: Quantity
    limit: Quantity
    begun: datetime
    ends_at: datetime
    zone: str

    def inside(self, seen: Sequence[WarmReading]) -> list[WarmReading]:
        return [r for r in seen if in_utc(r.at) <= self.ends_at]

    def judged(
        self, seen: Sequence[WarmReading], at: datetime | None
    ) -> tuple[State, str]:
        inside, end = self.inside(seen), self._local(self.ends_at)
        cold = [r for r in inside if self._above(r) <= 0]
        if cold:
            told = (f"{r.temperature} at {self._local(r.at)}" for r in cold)
            return State.FAIL, "; ".join(told)
        if inside and in_utc(seen[-1].at) >= self.ends_at:
            return State.PASS, f"{len(inside)} read, all above, to {end}"
        over = bool(seen) and in_utc(seen[-1].at) >= self.ends_at
        if over or (at is not None and in_utc(at) >= self.ends_at):
            last = self._local(inside[-1].at) if inside else "none"
            found = f"not enough readings: the last within {last}, to be kept to {end}"
            return State.NOT_ENOUGH_YET, found
        if not inside:
            found = f"not enough readings: none yet, to be kept to {end}"
            return State.NOT_ENOUGH_YET, found
        return State.NOT_DUE, f"{len(inside)} read, all above, to be kept to {end}"

    def _above(self, reading: WarmReading) -> int:
        """Return 1 above the limit, 0 on it, -1 below; in the limit's own unit."""
        value = convert(reading.temperature, to=self.limit.unit).value
        return (value > self.limit.value) - (value < self.limit.value)

    def margin(self, inside: Sequence[WarmReading]) -> Quantity | None:
        """Return how far the coldest reading lies above the limit."""
        if not inside:
            return None
        unit = self.limit.unit
        coldest = min(convert(r.temperature, to=unit).value for r in inside)
        return Quantity(coldest - self.limit.value, unit)

    def _local(self, instant: datetime) -> str:
        return on_the_clock(instant.astimezone(zone_of(self.zone)))

    def working(self, inside: Sequence[WarmReading], terms: Terms) -> Working:
        said = {1: "above", 0: "on the limit, not above", -1: "below"}
        end = self._local(self.ends_at)
        steps = [
            clock_step("begins", self.begun.astimezone(zone_of(self.zone))),
            Step("ends", f"{self.time} later, in UTC = {end}", IN_UTC),
        ]
        for number, reading in enumerate(inside, start=1):
            found = f"{said[self._above(reading)]} {self.limit}"
            read = f"{reading.temperature} at {self._local(reading.at)}"
            steps.append(Step(f"reading {number}", f"{read}: {found}"))
        length = as_time(elapsed(self.begun, self.ends_at), unit="h")
        return Working(
            title=f"Window to {end}",
            inputs=(),
            steps=tuple(steps),
            exact=length,
            reported=length,
            rounding="none",
            settings=terms.used(*TERMS),
        )
