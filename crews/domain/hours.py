"""Hours on the nozzle: what the nozzle times on record come to, class by class.

A class is a process, a position and a method together, and beside it which card the
operator was known to hold at the take. What was shot in training is nozzle time and
is told apart. Nothing here says that anybody qualifies: the certifying body decides
what counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal

from crews.domain.certification import Card
from crews.domain.trade_words import Level, Method
from project.domain.clocks import (
    Interval,
    day_starts,
    elapsed_minutes,
    in_utc,
    known,
    local_dates,
)
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity
from project.domain.verdict import Known, Ref, Source
from project.domain.working import Named, Step, Working

COUNTING = Source("nozzle time, each whole minute where it ended", known=Known.PRACTICE)

_HOUR = 60
_PROCESSES, _POSITIONS, _METHODS = list(Process), list(Position), list(Method)
# Which card was held, in the order of a table; None: no card known at the take.
LEVELS: tuple[Level | None, ...] = (Level.FULL, Level.IN_TRAINING, None)


@dataclass(frozen=True, slots=True)
class ShotClass:
    """What hours are counted by. Source: ACI CP-60, categories (read).

    >>> str(ShotClass(Process.WET, Position.VERTICAL, Method.HAND))
    'wet vertical hand'
    """

    process: Process
    position: Position
    method: Method

    def __str__(self) -> str:
        return f"{self.process} {self.position} {self.method}"

    @property
    def place(self) -> tuple[int, int, int]:
        """Where it stands in a table: by process, position and method."""
        return (
            _PROCESSES.index(self.process),
            _POSITIONS.index(self.position),
            _METHODS.index(self.method),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldTime:
    """One nozzle time as it is counted: from the take to the leave.

    `stop` is empty while the nozzle is held. `level` is of the card known at the take;
    empty: none was known. `ref` names the version that is counted. Source: project's
    choice.
    """

    shot: ShotClass
    start: datetime
    stop: datetime | None
    level: Level | None
    ref: Ref


@dataclass(frozen=True, slots=True)
class Period:
    """A stretch of local dates, both ends counted in; an open end is unbounded.

    Raises ValueError where the last date lies before the first. Source: project's
    choice; the job's own zone says where a date begins.

    >>> Period(date(2026, 8, 1), date(2026, 7, 31), "America/Denver")
    Traceback (most recent call last):
    ValueError: last day 2026-07-31: allowed is 2026-08-01 or later
    """

    first: date | None
    last: date | None
    zone: str

    def __post_init__(self) -> None:
        if self.first and self.last and self.last < self.first:
            raise ValueError(f"last day {self.last}: allowed is {self.first} or later")

    def cut(self, start: datetime, stop: datetime) -> tuple[datetime, datetime] | None:
        """Return what of a stretch lies in the period, in UTC; nothing where none."""
        begins, ends = in_utc(start), in_utc(stop)
        if self.first is not None:
            begins = max(begins, day_starts(self.first, zone=self.zone))
        if self.last is not None:
            after = self.last + timedelta(days=1)
            ends = min(ends, day_starts(after, zone=self.zone))
        return (begins, ends) if begins < ends else None


@dataclass(frozen=True, slots=True)
class Piece:
    """What of one nozzle time lies in a period: its ends in UTC, minutes and dates.

    Source: as `piece_of`.
    """

    time: HeldTime
    start: datetime
    stop: datetime
    minutes: int
    dates: tuple[date, ...]


def piece_of(time: HeldTime, *, period: Period) -> Piece | None:
    """Return what of a nozzle time that was left lies in a period.

    Minutes are counted from the take, in UTC, and each whole one belongs to the date on
    which it ended: so periods that follow each other add up to the whole. A minute that
    is not full does not count. Nothing for a time outside, or one still held.

    Parameters
    ----------
    time
        From take to leave.
    period
        Local dates of the job's zone.

    Raises ValueError for an instant without a zone. Source: common practice, no
    source; difference in UTC, so a clock change neither makes nor hides a minute.

    >>> from datetime import UTC
    >>> wall = ShotClass(Process.WET, Position.VERTICAL, Method.HAND)
    >>> night = HeldTime(shot=wall, start=datetime(2026, 11, 1, 5, 30, tzinfo=UTC),
    ...     stop=datetime(2026, 11, 1, 9, tzinfo=UTC), level=Level.FULL,
    ...     ref=Ref("nozzletime", "1", "PL-001"))
    >>> day = date(2026, 10, 31)
    >>> piece_of(night, period=Period(day, day, "America/Denver")).minutes
    30
    >>> after = date(2026, 11, 1)
    >>> piece_of(night, period=Period(after, after, "America/Denver")).minutes
    180
    """
    if time.stop is None:
        return None
    found = period.cut(time.start, time.stop)
    if found is None:
        return None
    start, stop = found
    minutes = elapsed_minutes(time.start, stop) - elapsed_minutes(time.start, start)
    dates = local_dates(Interval(start, stop, period.zone))
    return Piece(time, start, stop, minutes, dates)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """Pieces and what they come to. Source: `count`."""

    pieces: tuple[Piece, ...]

    @property
    def minutes(self) -> int:
        """All nozzle time [min]."""
        return _minutes(self.pieces)

    @property
    def full(self) -> int:
        """With a full card known at the take [min]."""
        return self.with_level(Level.FULL)

    @property
    def in_training(self) -> int:
        """In training by the card known at the take [min]."""
        return self.with_level(Level.IN_TRAINING)

    @property
    def no_card(self) -> int:
        """With no card known at the take [min]."""
        return self.with_level(None)

    def with_level(self, level: Level | None) -> int:
        """Return the nozzle time with one level of card [min]; None: no card known."""
        return _minutes(p for p in self.pieces if p.time.level is level)

    @property
    def days(self) -> int:
        """Local dates on which something was shot [d]."""
        return len({day for piece in self.pieces for day in piece.dates})


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassHours(Sum):
    """One class of a period. Source: `count`."""

    shot: ShotClass


@dataclass(frozen=True, slots=True, kw_only=True)
class Month(Sum):
    """What of a period lies in one calendar month, by its first day. Source: `count`."""

    first: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Sum):
    """An operator's nozzle time in a period. Source: `count`."""

    period: Period
    still_on: tuple[HeldTime, ...]

    @property
    def shot_anything(self) -> bool:
        """Whether the operator held the nozzle at all, be it still."""
        return bool(self.pieces or self.still_on)

    @property
    def classes(self) -> tuple[ClassHours, ...]:
        """Each class that was shot, in a table's order."""
        shots = sorted({p.time.shot for p in self.pieces}, key=lambda shot: shot.place)
        return tuple(
            ClassHours(
                shot=shot, pieces=tuple(p for p in self.pieces if p.time.shot == shot)
            )
            for shot in shots
        )

    @property
    def months(self) -> tuple[Month, ...]:
        """Each calendar month of the period in which something was shot."""
        firsts = sorted({day.replace(day=1) for p in self.pieces for day in p.dates})
        return tuple(self._within(first) for first in firsts)

    def _within(self, first: date) -> Month:
        last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
        month = Period(
            max(first, self.period.first or first),
            min(last, self.period.last or last),
            self.period.zone,
        )
        cut = [piece_of(piece.time, period=month) for piece in self.pieces]
        return Month(first=first, pieces=tuple(p for p in cut if p is not None))


def count(times: Iterable[HeldTime], *, period: Period, as_of: datetime) -> Hours:
    """Count nozzle times in a period, as of an instant.

    A time that was held at that instant is told as still on the nozzle and is not
    counted; one that was taken later is not there yet.

    Parameters
    ----------
    times
        One operator's, as known at one instant.
    period
        Local dates of the job's zone; a time that crosses an end is cut there.
    as_of
        An instant with a zone.

    Raises ValueError for an instant without a zone. Source: `piece_of`; that an open
    time is no hours yet is common practice, no source.

    >>> from datetime import UTC
    >>> count((), period=Period(None, None, "UTC"),
    ...       as_of=datetime(2026, 9, 14, tzinfo=UTC)).minutes
    0
    """
    at = in_utc(as_of)
    pieces, still_on = [], []
    for time in sorted(times, key=lambda one: (in_utc(one.start), one.ref.id)):
        if in_utc(time.start) > at:
            continue
        if time.stop is None or in_utc(time.stop) > at:
            upto = max(at, in_utc(time.start) + timedelta(microseconds=1))
            if period.cut(time.start, upto):
                still_on.append(time)
        elif (piece := piece_of(time, period=period)) is not None:
            pieces.append(piece)
    return Hours(period=period, pieces=tuple(pieces), still_on=tuple(still_on))


def level_at(
    cards: Sequence[Card],
    *,
    shot: ShotClass,
    on: date,
    known_at: datetime,
) -> Level | None:
    """Return the level of the card that was known at a take, the better one.

    Parameters
    ----------
    cards
        Every version of the operator's.
    shot
        Its process and method ask; whether a card covers the position is a gate's
        question, not that of hours.
    on
        The local date of the take.
    known_at
        The instant whose knowledge the take had.

    Nothing where no card of the process by this method was known and in force. Raises
    nothing. Source: ACI CP-60, levels (read); the printed day is the last valid one.

    >>> from datetime import UTC
    >>> from crews.domain import examples
    >>> wall = ShotClass(Process.WET, Position.VERTICAL, Method.HAND)
    >>> then = datetime(2026, 8, 4, 13, tzinfo=UTC)
    >>> cards = [examples.card()]
    >>> str(level_at(cards, shot=wall, on=date(2026, 8, 4), known_at=then))
    'full'
    >>> level_at(cards, shot=wall, on=date(2028, 3, 15), known_at=then)
    """
    levels = {
        card.level
        for card in known(cards, at=known_at)
        if card.is_for(shot.process, shot.method)
        and card.issued_on <= on <= card.expires_on
    }
    return next((level for level in Level if level in levels), None)


def clock_text(minutes: int) -> str:
    """Return minutes as hours and minutes.

    Parameters
    ----------
    minutes
        Any whole number of 0 or more [min].

    Raises nothing. Source: project's choice of writing.

    >>> clock_text(1145), clock_text(5), clock_text(60_000)
    ('19:05', '0:05', '1000:00')
    """
    return f"{minutes // _HOUR}:{minutes % _HOUR:02d}"


def in_hours(minutes: int) -> Quantity:
    """Return minutes as hours to two places.

    Parameters
    ----------
    minutes
        Any whole number [min].

    Raises nothing. Source: 60 min are 1 h, exactly; two places are the project's
    choice.

    >>> str(in_hours(1145))
    '19.08 h'
    """
    exact = Decimal(minutes) / _HOUR
    return Quantity(exact.quantize(Decimal("0.01"), ROUND_HALF_EVEN), "h")


def hours_working(title: str, pieces: Sequence[Piece]) -> Working:
    """Return how hours came about: each nozzle time, their sum, and the hours in it.

    Any number of pieces, each in whole minutes [min]. Raises nothing. Source: as
    `piece_of`.

    >>> hours_working("wet vertical hand", ()).reported.unit
    'h'
    """
    minutes = _minutes(pieces)
    terms = " + ".join(str(p.minutes) for p in pieces) or "0"
    dates = sorted({day for piece in pieces for day in piece.dates})
    days = ", ".join(f"{day}" for day in dates) or "none"
    steps = (
        Step("Whole minutes from each take to its leave", f"{terms} = {minutes} min"),
        Step("Local dates on which it was shot", f"{days} = {len(dates)} d"),
        Step("In hours", f"{minutes} min / 60 = {in_hours(minutes)}", COUNTING),
    )
    return Working(
        title=title,
        inputs=tuple(
            Named(p.time.ref.name, Quantity(Decimal(p.minutes), "min")) for p in pieces
        ),
        steps=steps,
        exact=Quantity(Decimal(minutes), "min"),
        reported=in_hours(minutes),
        rounding="to 0.01 h",
    )


def _minutes(pieces: Iterable[Piece]) -> int:
    return sum(piece.minutes for piece in pieces)
