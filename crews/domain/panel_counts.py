"""How many panels are owed by each interpretation of "whichever gives more".

The documents say that the larger of two counts is taken and not over what: over all
who shot the mix, or for each of them. Both are counted; the terms name the one used.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from crews.domain.sampling import (
    Cell,
    Group,
    asked_by_volume,
    counted_together,
    needed,
    panels_in,
    total_volume,
)
from project.domain.term_kinds import GLOBAL, PER_CELL, PER_OPERATOR
from project.domain.terms import Terms
from project.domain.units import Quantity
from project.domain.verdict import Source
from project.domain.working import Named, Step, Working

SETTINGS = (
    "panel_period",
    "panel_per",
    "panel_position",
    "panel_volume",
    "panel_count",
)


@dataclass(frozen=True, slots=True)
class PanelCounts:
    """Panels owed by both interpretations, and which one the terms use.

    `groups` are what is counted together, each with its two counts. Source:
    `panel_counts`.
    """

    used: str
    groups: tuple[tuple[Group, int, int], ...]
    terms: Terms

    @property
    def per_cell(self) -> int:
        """Panels owed where the larger count is taken for each who shot."""
        return sum(here for _, here, _ in self.groups)

    @property
    def over_all(self) -> int:
        """Panels owed where the larger count is taken over all who shot the mix."""
        return sum(here for _, _, here in self.groups)

    @property
    def owed(self) -> int:
        """Panels owed by the interpretation used."""
        return self.by(self.used)

    def by(self, count: str) -> int:
        """Panels owed by one of the two interpretations."""
        return self.per_cell if count == PER_CELL else self.over_all

    @property
    def differ(self) -> bool:
        """Whether the two do not come to the same."""
        return self.per_cell != self.over_all

    @property
    def source(self) -> Source:
        """Where the choice between the two comes from."""
        return self.terms.source("panel_count")

    def __str__(self) -> str:
        counts = ((PER_CELL, self.per_cell), (GLOBAL, self.over_all))
        return ", ".join(
            f"{name} {count}{' (used)' if name == self.used else ''}"
            for name, count in counts
        )

    def working(self, count: str = "") -> Working:
        """Return how one of the counts came about, group by group; else the one used."""
        by = count or self.used
        owed = Quantity(Decimal(self.by(by)), "1")
        each = [
            (group, one if by == PER_CELL else all_) for group, one, all_ in self.groups
        ]
        total = " + ".join(str(number) for _, number in each) or "0"
        return Working(
            title=f"Panels owed, counted {by}",
            inputs=tuple(self._inputs()),
            steps=(
                *(self._step(group, number, by) for group, number in each),
                Step("owed", f"{total} = {owed.value}", self.source),
            ),
            exact=owed,
            reported=owed,
            rounding="none: a count",
            settings=self.terms.used(*SETTINGS),
        )

    def _inputs(self) -> Iterator[Named]:
        for group, _, _ in self.groups:
            for cell in group.cells:
                if cell.volume is not None:
                    yield Named(f"{group.work_date} {cell.operator}", cell.volume)

    def _step(self, group: Group, number: int, by: str) -> Step:
        named = (group.shift, group.contractor, group.mix, group.position)
        name = " ".join((str(group.work_date), *(part for part in named if part)))
        limit = self.terms.quantity("panel_volume")
        line = f"{_parts(group, self.terms, limit, by)} = {number}"
        term = "panel_per" if limit is None else "panel_volume"
        return Step(name, line, self.terms.source(term))


def _parts(group: Group, terms: Terms, limit: Quantity | None, by: str) -> str:
    """Return in words the two counts of a group, the larger of which is taken."""
    if terms.choice("panel_per") != PER_OPERATOR:
        return _larger("1", group.cells, limit)
    if by == PER_CELL:
        shares = group.shares.items()
        return " + ".join(_larger(f"1 ({name})", own, limit) for name, own in shares)
    names = ", ".join(group.shares)
    return _larger(f"{len(group.shares)} who shot ({names})", group.cells, limit)


def _larger(least: str, cells: Sequence[Cell], limit: Quantity | None) -> str:
    if limit is None:
        return least
    total = total_volume(cells, unit=limit.unit)
    asked = asked_by_volume(cells, limit=limit)
    unknown = sum(1 for cell in cells if cell.volume is None)
    more = f", {unknown} volumes not known" if unknown else ""
    return f"the larger of {least} and {asked} for {total} by {limit}{more}"


def panel_counts(cells: Sequence[Cell], *, terms: Terms) -> PanelCounts:
    """Return how many panels are owed by both interpretations.

    Parameters
    ----------
    cells
        What was shot; volumes [volume] in any unit.
    terms
        As `panels_owed`.

    Raises ValueError where a needed term is not given. Source: as `panels_owed`;
    which interpretation is meant is not said there.

    >>> from datetime import date
    >>> from project.domain.editions import own_terms
    >>> day = date(2026, 8, 13)
    >>> terms = own_terms("aci-506.2-2013", revision=1, effective_on=day)
    >>> cells = [Cell(day, shift="day", mix="W-45A rev 2", operator=name,
    ...               volume=Quantity(Decimal(yards), "yd3"))
    ...          for name, yards in (("OP-01", 30), ("OP-02", 70))]
    >>> print(panel_counts(cells, terms=terms))
    per cell 3, global 2 (used)
    >>> panel_counts(cells, terms=terms).working().steps[0].line
    'the larger of 2 who shot (OP-01, OP-02) and 2 for 100 yd3 by 50 yd3 = 2'
    """
    used = needed(terms, "panel_count")
    groups = tuple(
        (
            group,
            panels_in(group, terms=terms, count=PER_CELL),
            panels_in(group, terms=terms, count=GLOBAL),
        )
        for group in counted_together(cells, terms=terms)
    )
    return PanelCounts(used, groups, terms)
