"""What a pause does to the count of moist time: the contract's choice of three.

Source: IBC 1908.9 (from memory) and UFGS 03371 (read) ask for continuous moisture and
are silent on a pause; the three readings are the project's, the choice the contract's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from inspections.domain.curing_visits import Stretch
from project.domain.clocks import as_span, elapsed
from project.domain.term_kinds import PAUSE_BEGINS_AGAIN, PAUSE_NOT_COUNTED, PAUSE_UP_TO
from project.domain.terms import Terms


@dataclass(frozen=True, slots=True)
class Policy:
    """What a pause does; `most` is the longest that is as continuous [time span].

    Raises ValueError for another word, and where "as continuous up to" has no time.
    Source: as the module says.

    >>> Policy("as continuous up to")
    Traceback (most recent call last):
    ValueError: curing_pause_most: not given; needed with "as continuous up to"
    """

    word: str
    most: timedelta | None = None

    def __post_init__(self) -> None:
        allowed = (PAUSE_NOT_COUNTED, PAUSE_BEGINS_AGAIN, PAUSE_UP_TO)
        if self.word not in allowed:
            raise ValueError(
                f"curing_pause {self.word}: allowed are {', '.join(allowed)}"
            )
        if self.word == PAUSE_UP_TO and self.most is None:
            raise ValueError(
                f'curing_pause_most: not given; needed with "{PAUSE_UP_TO}"'
            )

    def after(self, counted: timedelta, pause: timedelta) -> timedelta:
        """Return the count at the end of a pause; exactly the longest is continuous.

        A pause longer than that begins the count again.
        """
        if self.word == PAUSE_NOT_COUNTED:
            return counted
        if self.most is not None and self.word == PAUSE_UP_TO and pause <= self.most:
            return counted + pause
        return timedelta()

    def said(self, pause: timedelta) -> str:
        """Return in words what one pause did."""
        if self.word != PAUSE_UP_TO:
            return self.word
        kept = self.after(timedelta(), pause) == pause
        return "as continuous" if kept else PAUSE_BEGINS_AGAIN


def policy_of(terms: Terms) -> Policy | None:
    """Return what the terms say of a pause; nothing where that is not enough.

    Source: the contract's `curing_pause` and `curing_pause_most`.

    >>> from datetime import date
    >>> policy_of(Terms(1, "none", date(2026, 7, 1), {}))
    """
    word, most = terms.choice("curing_pause"), terms.quantity("curing_pause_most")
    if word is None or (word == PAUSE_UP_TO and most is None):
        return None
    return Policy(word, None if most is None else as_span(most))


@dataclass(frozen=True, slots=True)
class Pause:
    """Dry time between two moist stretches, or since the last one, and what it did.

    `until` is absent while it lasts. Source: as the module says.

    >>> from datetime import UTC
    >>> Pause(datetime(2026, 8, 24, tzinfo=UTC), None, "").length is None
    True
    """

    since: datetime
    until: datetime | None
    did: str

    @property
    def length(self) -> timedelta | None:
        return None if self.until is None else elapsed(self.since, self.until)


@dataclass(frozen=True, slots=True)
class Count:
    """How far the count is, and when each time asked for is or will be reached.

    `counted` is seen; an instant of `reached` after `seen_until` holds only if nothing
    changes. `undecided` says that a pause came and nobody says what it does. Source: as
    the module says.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 8, 24, 12, tzinfo=UTC)
    >>> Count(timedelta(hours=3), noon, (noon,), (), runs=True, undecided=False).runs
    True
    """

    counted: timedelta
    seen_until: datetime
    reached: tuple[datetime | None, ...]
    pauses: tuple[Pause, ...]
    runs: bool
    undecided: bool


def count_moist(
    stretches: Sequence[Stretch],
    *,
    asked: Sequence[timedelta],
    policy: Policy | None,
) -> Count:
    """Return the count over moist stretches, and when it reaches each time asked.

    Parameters
    ----------
    stretches
        One or more, in order, as `moist_stretches` gives them.
    asked
        Times to be reached; one that was reached stays reached.
    policy
        What a pause does; nothing where the terms do not say.

    Raises ValueError without a stretch. Source: as the module says.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 8, 24, 12, tzinfo=UTC)
    >>> runs = Stretch(noon, seen_until=noon, open=True)
    >>> found = count_moist([runs], asked=[timedelta(hours=24)], policy=None)
    >>> found.reached[0].isoformat()
    '2026-08-25T12:00:00+00:00'
    """
    if not stretches:
        raise ValueError("stretches: none; allowed is one or more")
    made = _Counting(len(asked))
    for index, stretch in enumerate(stretches):
        if index:
            made.pause(stretches[index - 1].seen_until, stretch.since, policy)
        made.moist(stretch, asked)
    last = stretches[-1]
    pauses = [*made.pauses]
    if not last.open:
        pauses.append(Pause(last.seen_until, None, ""))
    return Count(
        made.counted,
        last.seen_until,
        tuple(made.reached),
        tuple(pauses),
        runs=last.open,
        undecided=made.undecided,
    )


class _Counting:
    def __init__(self, asked: int) -> None:
        self.counted = timedelta()
        self.reached: list[datetime | None] = [None] * asked
        self.pauses: list[Pause] = []
        self.undecided = False

    def pause(self, since: datetime, until: datetime, policy: Policy | None) -> None:
        length = elapsed(since, until)
        self.pauses.append(Pause(since, until, policy.said(length) if policy else ""))
        if policy is None:
            self.undecided = True
            return
        self.counted = policy.after(self.counted, length)

    def moist(self, stretch: Stretch, asked: Sequence[timedelta]) -> None:
        if self.undecided:
            return
        for index, time in enumerate(asked):
            left = max(time - self.counted, timedelta())
            if self.reached[index] is not None:
                continue
            if stretch.open or left <= stretch.length:
                self.reached[index] = stretch.since + left
        self.counted += stretch.length
