"""Hours beside other people's words: stated before this record, and verified by name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from crews.domain.hours import (
    LEVELS,
    Hours,
    Period,
    Piece,
    ShotClass,
    Sum,
    clock_text,
    in_hours,
    piece_of,
)
from crews.domain.schemes import LevelRule, Scheme, scheme_of
from crews.domain.trade_words import Level, Method
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity
from project.domain.verdict import Known, Ref, Source
from project.domain.working import Named, Step, Working

STATED = Source("hours stated before this record", known=Known.PRACTICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """Hours [h] that somebody states were shot before this record began."""

    process: Process
    method: Method
    hours: Decimal
    stated_by: str
    stated_on: date
    ref: Ref


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally(Sum):
    """One process by one method to date: on record, stated beside it, and both.

    `together` is empty where adding the two could count an hour twice; `because` then
    says why. `rules` are the scheme's own words on hours, for the reader to hold beside
    the figures: no verdict is drawn from them. Source: `tallies`.
    """

    process: Process
    method: Method
    stated: tuple[Stated, ...]
    because: str

    @property
    def together(self) -> Quantity | None:
        """On record and stated [h]."""
        if self.because:
            return None
        return Quantity(self.stated[0].hours + in_hours(self.minutes).value, "h")

    @property
    def scheme(self) -> Scheme:
        """The scheme whose words on hours are shown."""
        return scheme_of(self.method)

    @property
    def rules(self) -> tuple[LevelRule, ...]:
        """The levels of the scheme that say something of hours."""
        return tuple(rule for rule in self.scheme.levels if rule.note)

    def working(self) -> Working | None:
        """Return how the sum came about, where there is one."""
        together = self.together
        if together is None:
            return None
        one, record = self.stated[0], in_hours(self.minutes)
        line = f"{one.hours} h + {record} = {together}"
        return Working(
            title=f"{self.process}, {self.method}: on record and stated",
            inputs=(
                Named(
                    f"stated by {one.stated_by} on {one.stated_on}",
                    Quantity(one.hours, "h"),
                ),
                Named(f"on record, {clock_text(self.minutes)}", record),
            ),
            steps=(Step("Stated and on record", line, STATED),),
            exact=together,
            reported=together,
            rounding="to 0.01 h",
        )


def tallies(to_date: Hours, *, stated: Iterable[Stated]) -> tuple[Tally, ...]:
    """Return each process by method with what is on record and what is stated.

    Parameters
    ----------
    to_date
        All that is on record from its beginning up to a date.
    stated
        What is stated of hours before this record, any number of 0 or more [h].

    The two are added only where one statement stands and none of the record is older
    than it: any other sum could count an hour twice, or choose between two people's
    words. Raises nothing. Source: project's choice; hours are stated as common practice
    has it, no source.

    >>> from datetime import UTC, datetime
    >>> from crews.domain.hours import Period, count
    >>> none = count((), period=Period(None, None, "UTC"),
    ...              as_of=datetime(2026, 9, 14, tzinfo=UTC))
    >>> word = Stated(process=Process.WET, method=Method.HAND, hours=Decimal(310),
    ...     stated_by="Idris Halloran", stated_on=date(2026, 7, 18),
    ...     ref=Ref("experience", "1", "wet"))
    >>> [tally] = tallies(none, stated=[word])
    >>> str(tally.together)
    '310.00 h'
    """
    words = list(stated)
    kinds = {(p.time.shot.process, p.time.shot.method) for p in to_date.pieces}
    kinds |= {(one.process, one.method) for one in words}
    found = []
    for process, method in sorted(kinds, key=_place):
        said = tuple(w for w in words if (w.process, w.method) == (process, method))
        pieces = tuple(
            p
            for p in to_date.pieces
            if (p.time.shot.process, p.time.shot.method) == (process, method)
        )
        first = min((day for piece in pieces for day in piece.dates), default=None)
        found.append(
            Tally(
                pieces=pieces,
                process=process,
                method=method,
                stated=said,
                because=_apart(said, first),
            )
        )
    return tuple(found)


def _place(kind: tuple[Process, Method]) -> tuple[int, int]:
    return list(Process).index(kind[0]), list(Method).index(kind[1])


def _apart(stated: Sequence[Stated], first: date | None) -> str:
    """Say why what is stated is not added to the record; nothing where it is."""
    if not stated:
        return "nothing is stated"
    if len(stated) > 1:
        return f"stated {len(stated)} times; the record does not choose between them"
    if first is not None and stated[0].stated_on > first:
        return (
            f"stated on {stated[0].stated_on}, after shooting on this record began on"
            f" {first}: it may hold some of the same hours"
        )
    return ""


@dataclass(frozen=True, slots=True)
class VerifiedClass:
    """Nozzle time [min] of one class and level as somebody verified it, on evidence.

    `level` is empty where no card was known at the take; `evidence` holds the
    identities of the versions that were counted. Source: `frozen_classes`.
    """

    shot: ShotClass
    level: Level | None
    minutes: int
    evidence: tuple[str, ...]


def frozen_classes(hours: Hours) -> tuple[VerifiedClass, ...]:
    """Return hours as they are kept when somebody verifies them. Source: `count`.

    >>> from datetime import UTC, datetime
    >>> from crews.domain.hours import Period, count
    >>> frozen_classes(count((), period=Period(None, None, "UTC"),
    ...                      as_of=datetime(2026, 9, 14, tzinfo=UTC)))
    ()
    """
    found = []
    for line in hours.classes:
        for level in LEVELS:
            pieces = [p for p in line.pieces if p.time.level is level]
            if pieces:
                minutes = sum(p.minutes for p in pieces)
                ids = tuple(p.time.ref.id for p in pieces)
                found.append(VerifiedClass(line.shot, level, minutes, ids))
    return tuple(found)


def as_plain(classes: Iterable[VerifiedClass]) -> list[list[object]]:
    """Return verified classes as plain data: words, minutes and identities.

    Source: project's choice.

    >>> wall = ShotClass(Process.WET, Position.VERTICAL, Method.HAND)
    >>> as_plain([VerifiedClass(wall, None, 5, ("a",))])
    [['wet', 'vertical', 'hand', '', 5, ['a']]]
    """
    return [
        [
            one.shot.process.value,
            one.shot.position.value,
            one.shot.method.value,
            one.level.value if one.level else "",
            one.minutes,
            list(one.evidence),
        ]
        for one in classes
    ]


def from_plain(rows: Iterable[Sequence[Any]]) -> tuple[VerifiedClass, ...]:
    """Return verified classes from plain data. Source: `as_plain`.

    >>> [one.minutes for one in from_plain([["wet", "vertical", "hand", "", 5, []]])]
    [5]
    """
    found = []
    for process, position, method, level, minutes, evidence in rows:
        shot = ShotClass(Process(process), Position(position), Method(method))
        held = Level(level) if level else None
        found.append(VerifiedClass(shot, held, minutes, tuple(evidence)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Change:
    """A class and level whose minutes read otherwise than when they were verified.

    Source: `changes`.
    """

    shot: ShotClass
    level: Level | None
    then: int
    now: int


def changes(verified: Iterable[VerifiedClass], *, now: Hours) -> tuple[Change, ...]:
    """Return what the record says now otherwise than when it was verified [min].

    Parameters
    ----------
    verified
        As it was kept, any whole minutes.
    now
        The same days, counted as known now.

    Raises nothing. Source: project's choice; nothing verified is rewritten.

    >>> from datetime import UTC, datetime
    >>> from crews.domain.hours import Period, count
    >>> none = count((), period=Period(None, None, "UTC"),
    ...              as_of=datetime(2026, 9, 14, tzinfo=UTC))
    >>> wall = ShotClass(Process.WET, Position.VERTICAL, Method.HAND)
    >>> [(c.then, c.now) for c in changes([VerifiedClass(wall, None, 5, ())], now=none)]
    [(5, 0)]
    """
    before = {(one.shot, one.level): one.minutes for one in verified}
    after = {(one.shot, one.level): one.minutes for one in frozen_classes(now)}
    keys = sorted(
        before.keys() | after.keys(), key=lambda k: (k[0].place, LEVELS.index(k[1]))
    )
    return tuple(
        Change(shot, level, before.get((shot, level), 0), after.get((shot, level), 0))
        for shot, level in keys
        if before.get((shot, level), 0) != after.get((shot, level), 0)
    )


def unverified(
    hours: Hours, *, verified: Iterable[tuple[date, date]]
) -> tuple[Piece, ...]:
    """Return what of the hours nobody has verified by name.

    Parameters
    ----------
    hours
        Of a period.
    verified
        Stretches of local dates, both ends counted in, none over another.

    Raises nothing. Source: project's choice; each date is verified or it is not.

    >>> from datetime import UTC, datetime
    >>> from crews.domain.hours import Period, count
    >>> none = count((), period=Period(None, None, "UTC"),
    ...              as_of=datetime(2026, 9, 14, tzinfo=UTC))
    >>> unverified(none, verified=[])
    ()
    """
    days = list(verified)
    found = []
    for piece in hours.pieces:
        for day in piece.dates:
            if not any(first <= day <= last for first, last in days):
                cut = piece_of(piece.time, period=Period(day, day, hours.period.zone))
                found += [cut] if cut is not None else []
    return tuple(found)
