"""The rolling record with what was seen of the work: ratings, placing deficiencies.

Strength and what was seen are told apart, and never made into one figure. A rate needs
five sets and 50 yd3; below either there are counts and the words "too few". A deficiency
is an operator's where the record says who held the nozzle; otherwise it is nobody's, and
counted for crew and rig alone.

Source: project's choice; no published number was found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from crews.domain.rolling_record import (
    LAST_SETS,
    PanelSet,
    SetRecord,
    Where,
    set_record,
)
from crews.domain.strength_list import added_up
from crews.domain.strength_statistics import FEWEST_SETS
from crews.domain.trade_words import RatingDecision
from project.domain.showing import beside
from project.domain.units import Quantity, convert, to_decimal
from project.domain.verdict import Known, Source
from project.domain.working import Named, Step, Working

FEWEST_VOLUME = Quantity(Decimal(50), "yd3")
PER = 100  # of the job's unit of volume
NEAT = Source(
    "neat volume of each nozzle time, as stated or by minutes", known=Known.PROJECT
)
RATES = Source(
    "project",
    f"a rate from {FEWEST_SETS} sets and {FEWEST_VOLUME} on",
    known=Known.PROJECT,
)

# What the stream leaves in the work, by the catalogue's names. What others owe (panels,
# material, air, curing, safety, still bars, a restart in time) is no placing deficiency.
PLACING = frozenset(
    {
        "place-sequence",
        "place-nozzle-distance",
        "place-nozzle-angle",
        "place-impact-energy",
        "place-encasement",
        "place-shadowing",
        "place-sand-pockets",
        "place-rebound-trapped",
        "place-overspray",
        "place-sloughing",
        "place-dry-spots",
        "place-layer-thickness",
        "place-laminations",
        "place-joint-shape",
        "after-sounding",
        "after-back-face",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One nozzle time: whose, how much, and whether the volume is estimated."""

    where: Where
    placement: str
    started_at: datetime
    stopped_at: datetime | None
    volume: Quantity | None
    estimated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One placing deficiency, with the work it belongs to."""

    code: str
    where: Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Rated:
    """One visual rating in force, with the work it belongs to."""

    panel: str
    where: Where
    rated_at: datetime
    decision: RatingDecision


@dataclass(frozen=True, slots=True, kw_only=True)
class Volume:
    """What a group shot, neat: the sum of what is known, and how many times are not.

    `parts` are the volumes that are known, each under its placement's code.
    """

    total: Quantity
    times: int
    estimated: int
    unknown: int
    parts: tuple[tuple[str, Decimal], ...] = ()

    def working(self) -> Working | None:
        """Return how the sum came about; nothing where no volume is known."""
        if not self.parts:
            return None
        unit = self.total.unit
        line = f"{added_up([part for _, part in self.parts])} = {self.total}"
        return Working(
            title="Volume shot, neat",
            inputs=tuple(Named(n, Quantity(part, unit)) for n, part in self.parts),
            steps=(Step("volume", line, NEAT),),
            exact=self.total,
            reported=Quantity(Decimal(f"{self.total.value:.1f}"), unit),
            rounding=f"once, at the end, to 0.1 {unit}, ties to even",
        )


@dataclass(frozen=True, slots=True)
class NoRate:
    """Why there is no rate: too few, or a volume that is not known."""

    words: str
    too_few: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Placing deficiencies for 100 of a volume."""

    count: int
    volume: Quantity

    @property
    def value(self) -> Decimal:
        """How many for 100 of the volume's unit, unrounded."""
        return to_decimal(Fraction(PER * self.count) / Fraction(self.volume.value))

    def working(self) -> Working:
        """Return how the rate came about."""
        unit, exact = self.volume.unit, Quantity(self.value, "1")
        told = f"{self.value:.3f} for {PER} {unit}"
        line = f"{self.count} / {self.volume.value:f} × {PER} = {told}"
        return Working(
            title=f"Placing deficiencies for {PER} {unit}",
            inputs=(
                Named("placing deficiencies", Quantity(Decimal(self.count), "1")),
                Named("volume shot, neat", self.volume),
            ),
            steps=(Step("rate", line, RATES),),
            exact=exact,
            reported=Quantity(Decimal(f"{self.value:.1f}"), "1"),
            rounding="once, at the end, to 0.1, ties to even",
        )


def rate_of(count: int, *, volume: Volume, sets: int) -> Rate | NoRate:
    """Return the rate of placing deficiencies, or why there is none.

    Parameters
    ----------
    count
        Placing deficiencies [1].
    volume
        What was shot, neat [volume].
    sets
        Panel sets that passed or failed [1].

    Exactly five sets or 50 yd3 are enough. A nozzle time whose volume is not known
    leaves the rate unknown. Raises ValueError for a negative count.

    Source: project's choice.

    >>> shot = Volume(total=Quantity(Decimal(60), "yd3"), times=4, estimated=0, unknown=0)
    >>> f"{rate_of(3, volume=shot, sets=5).value:f}"
    '5'
    >>> rate_of(3, volume=shot, sets=4).words
    'too few: 4 of the 5 sets it takes'
    """
    if count < 0:
        raise ValueError(f"count {count}: allowed is 0 or more")
    least = convert(FEWEST_VOLUME, to=volume.total.unit)
    lacking = []
    if sets < FEWEST_SETS:
        lacking.append(f"{sets} of the {FEWEST_SETS} sets")
    if volume.total.value < least.value:
        have = beside(volume.total.value, least.value, places=1)
        lacking.append(f"{have} of the {least.value:.4g} {least.unit}")
    if lacking:
        return NoRate(f"too few: {' and '.join(lacking)} it takes")
    if volume.unknown:
        return NoRate(
            f"the volume of {volume.unknown} of {volume.times} nozzle times is not known",
            too_few=False,
        )
    return Rate(count=count, volume=volume.total)


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """Everything that records are drawn from: sets, shooting, ratings, deficiencies."""

    unit: str
    sets: tuple[PanelSet, ...] = ()
    shots: tuple[Shot, ...] = ()
    ratings: tuple[Rated, ...] = ()
    seen: tuple[Seen, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What is on record of one group: strength on one side, what was seen on the other."""

    sets: SetRecord
    volume: Volume
    ratings: tuple[Rated, ...]
    seen: tuple[Seen, ...]

    def rated(self, decision: RatingDecision) -> int:
        """How many ratings say so."""
        return sum(one.decision is decision for one in self.ratings)

    @property
    def rate(self) -> Rate | NoRate:
        """The rate of placing deficiencies, or why there is none."""
        sets = self.sets.count + self.sets.earlier
        return rate_of(len(self.seen), volume=self.volume, sets=sets)


def record_of(
    work: Work,
    *,
    chosen: Callable[[Where], bool],
    last: int | None = LAST_SETS,
    since: datetime | None = None,
) -> Record:
    """Return the record of the work that is chosen.

    Of its sets the `last` so many are looked at [1], and none that was shot before
    `since`; what was seen is counted over all time. Raises ValueError for a `last`
    below 1. Source: the module's heading.

    >>> record_of(Work(unit="yd3"), chosen=lambda where: True).volume.times
    0
    """
    shots = [one for one in work.shots if chosen(one.where)]
    known = [
        (one.placement, convert(one.volume, to=work.unit).value)
        for one in shots
        if one.volume is not None
    ]
    return Record(
        sets=set_record(
            (s for s in work.sets if chosen(s.where)), last=last, since=since
        ),
        volume=Volume(
            total=Quantity(sum((part for _, part in known), Decimal(0)), work.unit),
            times=len(shots),
            estimated=sum(one.estimated for one in shots),
            unknown=len(shots) - len(known),
            parts=tuple(known),
        ),
        ratings=tuple(one for one in work.ratings if chosen(one.where)),
        seen=tuple(one for one in work.seen if chosen(one.where)),
    )


def whose(shots: Sequence[Shot], *, seen_at: datetime) -> Where | None:
    """Return whose work a deficiency is, of the nozzle times it may belong to.

    Whoever held the nozzle when it was seen; else the one operator of all that was shot
    before. Of several the operator stays empty: nobody is blamed by a guess. Crew, rig,
    mix and position stay where all agree. Nothing where nothing was shot before.

    Source: project's choice.

    >>> whose([], seen_at=datetime(2026, 8, 4)) is None
    True
    """
    before = [one for one in shots if one.started_at <= seen_at]
    holding = [
        one for one in before if one.stopped_at is None or seen_at <= one.stopped_at
    ]
    candidates = [one.where for one in (holding or before)]
    if not candidates:
        return None
    first = candidates[0]

    def agreed(name: str) -> str:
        values = {getattr(one, name) for one in candidates}
        return str(getattr(first, name)) if len(values) == 1 else ""

    return Where(
        operator=agreed("operator"),
        mix=agreed("mix"),
        position=agreed("position"),
        crew=agreed("crew"),
        rig=agreed("rig"),
    )


def cells_of(work: Work, *, operator: str) -> tuple[tuple[str, str], ...]:
    """Return each mix and position that something of an operator is on record for.

    Source: the module's heading.

    >>> cells_of(Work(unit="yd3"), operator="OP-01")
    ()
    """
    every: Iterable[PanelSet | Shot | Rated | Seen] = (
        *work.sets,
        *work.shots,
        *work.ratings,
        *work.seen,
    )
    own = {
        (one.where.mix, one.where.position)
        for one in every
        if one.where.operator == operator
    }
    return tuple(sorted(own))
