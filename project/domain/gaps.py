"""When nobody was there: what a set of presences leaves open of a stretch of time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from project.domain.clocks import elapsed_minutes, in_utc


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch of time that nothing covers.

    Source: project's choice.

    >>> from datetime import UTC
    >>> Gap(datetime(2026, 8, 18, 16, 30, tzinfo=UTC),
    ...     datetime(2026, 8, 18, 17, 20, tzinfo=UTC)).minutes
    50
    """

    start: datetime
    stop: datetime

    @property
    def minutes(self) -> int:
        """Whole minutes that truly passed [min]. Source: difference in UTC."""
        return elapsed_minutes(self.start, self.stop)


def gaps(
    start: datetime,
    stop: datetime,
    *,
    covers: Iterable[tuple[datetime, datetime | None]],
) -> tuple[Gap, ...]:
    """Return what presences leave open between two instants, in order.

    Parameters
    ----------
    start, stop
        The stretch, with zones; nothing is open where the stop is not later.
    covers
        Presences, from and to; one without an end covers all that follows.

    Raises ValueError for an instant without a zone. Source: difference in UTC, so a
    clock change neither makes nor hides a gap.

    >>> from datetime import UTC
    >>> at = lambda hour: datetime(2026, 8, 18, hour, tzinfo=UTC)
    >>> [(g.start.hour, g.stop.hour) for g in gaps(at(7), at(13), covers=[
    ...     (at(6), at(9)), (at(8), at(10)), (at(12), None)])]
    [(10, 12)]
    """
    reached, end = in_utc(start, name="start"), in_utc(stop, name="stop")
    spans = sorted(
        (in_utc(begin, name="from"), end if to is None else in_utc(to, name="to"))
        for begin, to in covers
    )
    found = []
    for begin, to in spans:
        if begin >= end:
            break
        if begin > reached:
            found.append(Gap(reached, begin))
        reached = max(reached, to)
    if reached < end:
        found.append(Gap(reached, end))
    return tuple(found)
