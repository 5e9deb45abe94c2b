"""Visits to a curing part, and the stretches of moist time they leave.

Nobody watches a wall for a week. What lies between two visits that both found it moist
is taken as moist. A visit that found it dry ends the moist time where somebody saw it
moist last, and where nobody can tell, at the visit before: the count never takes for
moist what may have been dry. It goes on from the visit that found it moist again, or
from when it is told to have been wetted.

Source: project's choice; the codes say how long, and are silent on visits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from project.domain.clocks import elapsed, in_utc, on_the_clock
from project.domain.units import Quantity


@dataclass(frozen=True, slots=True)
class Visit:
    """One look at a curing part.

    Parameters
    ----------
    at, moist
        When, and whether it was found moist.
    last_seen_moist_at
        Told of a dry one, where anybody knows.
    moist_since
        Told of a moist one that was dry the visit before.
    temperature
        As read [temperature].
    ended
        Whether the curing was taken off.

    Raises ValueError for an instant without a zone or after the visit, and for one told
    of the wrong kind of visit. Source: project's choice.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 8, 24, 12, tzinfo=UTC)
    >>> Visit(noon, moist=True, last_seen_moist_at=noon)
    Traceback (most recent call last):
    ValueError: last_seen_moist_at 2026-08-24 12:00+00:00: allowed of a visit that
        found it dry
    """

    at: datetime
    moist: bool
    last_seen_moist_at: datetime | None = None
    moist_since: datetime | None = None
    temperature: Quantity | None = None
    ended: bool = False

    def __post_init__(self) -> None:
        in_utc(self.at, name="at")
        if self.temperature and self.temperature.dimension != "temperature":
            raise ValueError(f"temperature {self.temperature}: allowed are C, F")
        for name, told, of_moist in (
            ("last_seen_moist_at", self.last_seen_moist_at, False),
            ("moist_since", self.moist_since, True),
        ):
            if told is None:
                continue
            after = elapsed(told, self.at) < timedelta()
            said = f"{name} {on_the_clock(told)}: allowed"
            if self.moist is not of_moist:
                found = "moist" if of_moist else "dry"
                raise ValueError(f"{said} of a visit that found it {found}")
            if after:
                raise ValueError(f"{said} is {on_the_clock(self.at)} or before")


@dataclass(frozen=True, slots=True)
class Stretch:
    """Moist time in one piece. An open one still runs, seen until its last visit.

    `ended_by` says how its end is known. Source: as the module says.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 8, 24, 12, tzinfo=UTC)
    >>> Stretch(noon, seen_until=noon, open=True).length
    datetime.timedelta(0)
    """

    since: datetime
    seen_until: datetime
    open: bool
    ended_by: str = ""

    @property
    def length(self) -> timedelta:
        """What was seen of it."""
        return elapsed(self.since, self.seen_until)


TOLD = "as told"
VISIT_BEFORE = "the visit before, nobody told of a later one"
TAKEN_OFF = "curing taken off"


def moist_stretches(
    visits: Sequence[Visit], *, started_at: datetime
) -> tuple[Stretch, ...]:
    """Return the stretches of moist time from the start of curing on.

    Parameters
    ----------
    visits
        In any order; of two at one instant the dry one stands.
    started_at
        When curing began, an instant with a zone: moist from then.

    Raises ValueError for a visit before the start, and for what is told against an
    earlier visit. Source: as the module says.

    >>> from datetime import UTC
    >>> def on(day, hour):
    ...     return datetime(2026, 8, day, hour, tzinfo=UTC)
    >>> found = moist_stretches([Visit(on(22, 6), moist=True), Visit(on(23, 6), moist=False)],
    ...                         started_at=on(21, 6))
    >>> found[0].seen_until.isoformat(), found[0].ended_by
    ('2026-08-22T06:00:00+00:00', 'the visit before, nobody told of a later one')
    """
    walk = _Walk(started_at)
    for visit in sorted(visits, key=lambda v: (in_utc(v.at), not v.moist)):
        if elapsed(started_at, visit.at) < timedelta():
            begun = on_the_clock(started_at)
            raise ValueError(
                f"at {on_the_clock(visit.at)}: allowed is the start of curing, "
                f"{begun}, or after"
            )
        walk.take(visit)
    return walk.stretches()


class _Walk:
    """The visits walked through in their order."""

    def __init__(self, started_at: datetime) -> None:
        self.closed: list[Stretch] = []
        self.since: datetime | None = in_utc(started_at, name="started_at")
        # The last instant that is settled: seen moist while it runs, dry while not.
        self.settled = started_at

    def take(self, visit: Visit) -> None:
        at = in_utc(visit.at)
        if visit.moist:
            self._moist(visit, at)
            if visit.ended:
                self._close(at, TAKEN_OFF)
        elif self.since is not None:
            self._dry(visit)
        elif visit.last_seen_moist_at is not None:
            self._not_before(visit.last_seen_moist_at, "last_seen_moist_at", dry=True)
        self.settled = visit.at

    def _moist(self, visit: Visit, at: datetime) -> None:
        told = visit.moist_since
        if self.since is None:
            if told is not None:
                self._not_before(told, "moist_since")
            self.since = at if told is None else in_utc(told)
        elif told is not None:
            raise ValueError(
                f"moist_since {on_the_clock(told)}: allowed where the visit before "
                "found it dry"
            )

    def _dry(self, visit: Visit) -> None:
        told = visit.last_seen_moist_at
        if told is None:
            self._close(in_utc(self.settled), VISIT_BEFORE)
        else:
            self._not_before(told, "last_seen_moist_at")
            self._close(in_utc(told), TOLD)

    def _not_before(self, told: datetime, name: str, *, dry: bool = False) -> None:
        before = elapsed(self.settled, told) < timedelta()
        if dry and not before:
            raise ValueError(
                f"{name} {on_the_clock(told)}: no visit found it moist since it was "
                f"dry at {on_the_clock(self.settled)}"
            )
        if not dry and before:
            raise ValueError(
                f"{name} {on_the_clock(told)}: allowed is "
                f"{on_the_clock(self.settled)}, the visit before, or after"
            )

    def _close(self, until: datetime, by: str) -> None:
        assert self.since is not None  # noqa: S101 - closed only while it runs
        self.closed.append(Stretch(self.since, until, open=False, ended_by=by))
        self.since = None

    def stretches(self) -> tuple[Stretch, ...]:
        """Return what was closed and, where it runs, the open one."""
        if self.since is None:
            return tuple(self.closed)
        last = Stretch(self.since, in_utc(self.settled), open=True)
        return (*self.closed, last)
