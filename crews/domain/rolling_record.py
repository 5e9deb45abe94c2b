"""The rolling record of an operator, of a crew, of a rig: what their panels said.

Counts are told always. A mean of fewer than five sets is "too few": each set stands
beside it with its own figure. There is no score: strength says mostly something about
mix, curing and coring, so the same mix shot by others stands beside each figure, and
what was seen of the work is told apart.

Source: project's choice, the last ten sets and five for a mean; no published number was
found. A panel that two operators shot speaks of the mix only, by the project's choice: it
counts for crew and rig, and for nobody.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from crews.domain.strength_list import TooFew, added_up, mean_of
from crews.domain.strength_statistics import (
    FEWEST_SETS,
    PERCENT_ROUNDING,
    reported_percent,
)
from project.domain.showing import short
from project.domain.units import Quantity, to_decimal
from project.domain.verdict import Known, Source, State
from project.domain.working import Named, Step, Working

# A record rolls: of one mix and position the last so many sets are looked at.
LAST_SETS = 10
ROLLING = Source(
    "project", f"the last {LAST_SETS} sets of a mix and position", known=Known.PROJECT
)
_OF_F_C = Source("strength over f_c", known=Known.DERIVED)
_DECIDED = (State.PASS, State.FAIL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """Whose work something belongs to; empty where it is nobody's, or not on record."""

    operator: str
    mix: str
    position: str
    crew: str = ""
    rig: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelSet:
    """The deciding set of one production panel, as its verdict stands.

    `mean` [the unit of f_c] is unrounded and there only once the set is whole; `cores`
    are those that count, each with its unrounded strength in the same unit.
    """

    panel: str
    where: Where
    shot_at: datetime
    f_c: Quantity
    state: State
    mean: Decimal | None = None
    cores: tuple[tuple[str, Decimal], ...] = ()

    @property
    def decided(self) -> bool:
        """Whether the set passed or failed; everything else still waits."""
        return self.state in _DECIDED

    @property
    def failed(self) -> bool:
        """Whether the set failed."""
        return self.state is State.FAIL

    @property
    def share(self) -> Decimal | None:
        """The mean over f_c [percent]; nothing while the set is not whole."""
        return None if self.mean is None else _percent(self._over(self.mean))

    @property
    def lowest(self) -> tuple[str, Decimal] | None:
        """The lowest core that counts, by name, with its strength."""
        return min(self.cores, key=lambda core: core[1], default=None)

    @property
    def lowest_share(self) -> Decimal | None:
        """The lowest core over f_c [percent]."""
        return None if self.lowest is None else _percent(self._over(self.lowest[1]))

    def _over(self, strength: Decimal) -> Fraction:
        return Fraction(strength) / Fraction(self.f_c.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRecord:
    """What the sets of one group said: those looked at, how many came before, what waits.

    `sets` are in the order of shooting, every one of them passed or failed.
    """

    sets: tuple[PanelSet, ...]
    earlier: int = 0
    waiting: int = 0

    @property
    def count(self) -> int:
        """How many sets are looked at."""
        return len(self.sets)

    @property
    def failed(self) -> tuple[PanelSet, ...]:
        """The sets that failed."""
        return tuple(one for one in self.sets if one.failed)

    @property
    def whole(self) -> tuple[PanelSet, ...]:
        """The sets that have a mean."""
        return tuple(one for one in self.sets if one.mean is not None)

    @property
    def lowest(self) -> PanelSet | None:
        """The set with the lowest core over f_c, the earlier one of equals."""
        cored = (one for one in self.sets if one.lowest_share is not None)
        return min(cored, key=lambda one: one.lowest_share or Decimal(0), default=None)

    @property
    def mean(self) -> Decimal | TooFew | None:
        """The mean of the sets' means over f_c [percent]; nothing without any set."""
        if not self.sets:
            return None
        if len(self.whole) < FEWEST_SETS:
            return TooFew(len(self.whole), FEWEST_SETS, "sets")
        shares = [one._over(one.mean) for one in self.whole if one.mean is not None]
        return _percent(mean_of(shares))

    def mean_working(self) -> Working | None:
        """Return how the mean came about; nothing where it is not told."""
        mean = self.mean
        if not isinstance(mean, Decimal):
            return None
        shares = [one.share for one in self.whole if one.share is not None]
        tenths = [reported_percent(share).value for share in shares]
        given = [
            Named(f"{one.panel}, mean", Quantity(_cut(one.mean), one.f_c.unit))
            for one in self.whole
            if one.mean is not None
        ]
        line = f"({added_up(tenths)}) / {len(shares)} = {mean:.3f} %"
        return Working(
            title="Mean of the set averages over f_c",
            inputs=tuple(given),
            steps=(
                *(_over_step(one) for one in self.whole),
                Step("mean, of unrounded shares", line, ROLLING),
            ),
            exact=Quantity(mean, "percent"),
            reported=reported_percent(mean),
            rounding=PERCENT_ROUNDING,
        )

    def lowest_working(self) -> Working | None:
        """Return how the lowest core stands to f_c; nothing without a core."""
        one = self.lowest
        if one is None or one.lowest is None or one.lowest_share is None:
            return None
        name, strength = one.lowest
        share = one.lowest_share
        line = f"{_cut(strength)} / {one.f_c.value:f} × 100 = {share:.3f} %"
        return Working(
            title="Lowest core over f_c",
            inputs=(
                Named(f"core {name}", Quantity(_cut(strength), one.f_c.unit)),
                Named("f_c", one.f_c),
            ),
            steps=(Step("lowest core over f_c", line, _OF_F_C),),
            exact=Quantity(share, "percent"),
            reported=reported_percent(share),
            rounding=PERCENT_ROUNDING,
        )


def failing_run(sets: Iterable[PanelSet]) -> tuple[PanelSet, ...]:
    """Return the sets that failed one after another up to the last that decided.

    Parameters
    ----------
    sets
        Of one operator, mix and position, in any order; what waits breaks no run.

    Source: project's choice: a contract may put the question of re-qualification to
    the engineer after so many, no published number was found. Raises nothing.

    >>> failing_run(())
    ()
    """
    run: list[PanelSet] = []
    for one in sorted(sets, key=lambda one: one.shot_at):
        if one.failed:
            run.append(one)
        elif one.decided:
            run.clear()
    return tuple(run)


def set_record(
    sets: Iterable[PanelSet],
    *,
    last: int | None = LAST_SETS,
    since: datetime | None = None,
) -> SetRecord:
    """Return the record of a group: its last sets that passed or failed.

    Parameters
    ----------
    sets
        Of one group, in any order.
    last
        How many sets are looked at, counted from the latest [1]; nothing for all.
    since
        Sets shot earlier are not looked at: others are compared over the same time.

    Raises ValueError for a `last` below 1. Source: the module's heading.

    >>> from datetime import UTC
    >>> where = Where(operator="OP-01", mix="W-40 rev 1", position="vertical")
    >>> def one(day, state):
    ...     return PanelSet(panel=f"TP-00{day}", where=where, state=state,
    ...                     shot_at=datetime(2026, 8, day, tzinfo=UTC),
    ...                     f_c=Quantity(Decimal(4000), "psi"), mean=Decimal(4400),
    ...                     cores=(("3", Decimal(4100)),))
    >>> record = set_record([one(3, State.FAIL), one(1, State.PASS),
    ...                      one(2, State.NOT_DUE)])
    >>> record.count, len(record.failed), record.waiting, record.mean.words
    (2, 1, 1, 'too few: 2 of the 5 sets it takes')
    >>> str(set_record([one(3, State.PASS)]).lowest.lowest_share)
    '102.5'
    """
    if last is not None and last < 1:
        raise ValueError(f"last {last}: allowed is 1 or more")
    within = [one for one in sets if since is None or one.shot_at >= since]
    within.sort(key=lambda one: (one.shot_at, one.panel))
    decided = [one for one in within if one.decided]
    earlier = 0 if last is None else max(len(decided) - last, 0)
    return SetRecord(
        sets=tuple(decided[earlier:]),
        earlier=earlier,
        waiting=len(within) - len(decided),
    )


def begins(record: SetRecord) -> datetime | None:
    """Return since when others are to be looked at; nothing where all sets are.

    Source: project's choice; a record that left out its beginning is compared with what
    others shot from its first set on.

    >>> begins(SetRecord(sets=())) is None
    True
    """
    return record.sets[0].shot_at if record.earlier else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A part of a whole, side by side with another one: volume beside panels."""

    name: str
    part: Quantity
    whole: Quantity

    @property
    def percent(self) -> Decimal | None:
        """The part over the whole [percent]; nothing where there is no whole."""
        if not self.whole.value:
            return None
        return _percent(Fraction(self.part.value) / Fraction(self.whole.value))

    def working(self) -> Working | None:
        """Return how the share came about; nothing where there is no whole."""
        percent = self.percent
        if percent is None:
            return None
        line = f"{self.part.value:f} / {self.whole.value:f} × 100 = {percent:.3f} %"
        return Working(
            title=f"Share of {self.name}",
            inputs=(
                Named(f"{self.name}, this operator", self.part),
                Named(f"{self.name}, everybody", self.whole),
            ),
            steps=(Step(f"share of {self.name}", line, SHARES_ALONE),),
            exact=Quantity(percent, "percent"),
            reported=reported_percent(percent),
            rounding=PERCENT_ROUNDING,
        )


SHARES_ALONE = Source("project", "no warning from shares alone", known=Known.PROJECT)


def _percent(ratio: Fraction) -> Decimal:
    return to_decimal(100 * ratio)


def _cut(strength: Decimal | None) -> Decimal:
    return Decimal(short(strength or Decimal(0), figures=8))


def _over_step(one: PanelSet) -> Step:
    mean, share = _cut(one.mean), one.share or Decimal(0)
    line = f"{mean} / {one.f_c.value:f} × 100 = {share:.1f} %"
    return Step(f"{one.panel} over f_c", line, _OF_F_C)
