"""Production panels: how many are owed for what was shot.

A cell is one operator shooting one mix revision with one rig in one shift. The
contract says what is counted together (`panel_period`, `panel_per`,
`panel_position`) and how the two counts, one for each who shot and one for so much
volume, are put together (`panel_count`). Nothing here is stored: what is owed is
computed from what was shot, so that no panel is forgotten.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import KW_ONLY, dataclass
from datetime import date
from decimal import Decimal

from project.domain.term_kinds import GLOBAL, PER_CELL, PER_MIX, PER_OPERATOR, SHIFT
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Ref, Source


@dataclass(frozen=True, slots=True)
class Cell:
    """What one operator shot of one mix revision with one rig in one shift.

    `shift` names the shift within its work date and contractor, `mix` the mix
    revision. Cells of one shift may be given piece by piece; they are added up. A
    volume of nothing is not known yet. Raises ValueError for one below zero.
    """

    work_date: date
    _: KW_ONLY
    shift: str
    mix: str
    operator: str
    rig: str = ""
    position: str = ""
    contractor: str = ""
    volume: Quantity | None = None
    evidence: tuple[Ref, ...] = ()

    def __post_init__(self) -> None:
        volume = self.volume
        if volume is not None and (volume.dimension != "volume" or volume.value < 0):
            raise ValueError(f"volume {volume}: a volume of 0 or more is needed")


@dataclass(frozen=True, slots=True)
class Obligation:
    """One panel owed, and the cells it is owed for.

    `operator` is empty where any of those who shot may shoot it. `volume` is the
    sum of what is known, `volume_known` whether that is all of it.
    """

    work_date: date
    _: KW_ONLY
    shift: str
    mix: str
    operator: str
    position: str
    contractor: str
    ordinal: int
    rule: str
    source: Source
    volume: Quantity | None
    volume_known: bool
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Cells that the terms count together. Empty is what they do not part by."""

    work_date: date
    _: KW_ONLY
    shift: str
    contractor: str
    mix: str
    position: str
    cells: tuple[Cell, ...]

    @property
    def shares(self) -> dict[str, tuple[Cell, ...]]:
        """The cells of each operator, in the order of their names."""
        shares: dict[str, tuple[Cell, ...]] = {}
        for cell in self.cells:
            shares[cell.operator] = (*shares.get(cell.operator, ()), cell)
        return dict(sorted(shares.items()))


_Key = tuple[date, str, str, str, str]


def _key(cell: Cell, terms: Terms) -> _Key:
    """Return what is counted together: date, shift, contractor, mix, position."""
    shift = cell.shift if needed(terms, "panel_period") == SHIFT else ""
    position = cell.position if terms.flag("panel_position") else ""
    return (cell.work_date, shift, cell.contractor, cell.mix, position)


def needed(terms: Terms, name: str) -> str:
    """Return a named setting without which no panel can be counted.

    Raises ValueError where it is not given. Source: the terms.

    >>> needed(Terms(1, "", date(2026, 7, 1), {}), "panel_per")
    Traceback (most recent call last):
    ValueError: term panel_per: not given, and no panel can be counted
    """
    value = terms.choice(name)
    if value is None:
        raise ValueError(f"term {name}: not given, and no panel can be counted")
    return value


def counted_together(cells: Iterable[Cell], *, terms: Terms) -> tuple[Group, ...]:
    """Return cells in the groups the terms count them in, in a fixed order.

    Raises ValueError where `panel_period` is not given. Source: as `panels_owed`.

    >>> from project.domain.editions import own_terms
    >>> day = date(2026, 8, 13)
    >>> terms = own_terms("ibc-2018-1908", revision=1, effective_on=day)
    >>> cells = [Cell(day, shift=shift, mix="W-45A rev 2", operator="OP-01")
    ...          for shift in ("night", "day", "night")]
    >>> [(g.shift, len(g.cells)) for g in counted_together(cells, terms=terms)]
    [('day', 1), ('night', 2)]
    """
    groups: dict[_Key, tuple[Cell, ...]] = {}
    for cell in cells:
        key = _key(cell, terms)
        groups[key] = (*groups.get(key, ()), cell)
    return tuple(
        Group(
            work_date,
            shift=shift,
            contractor=contractor,
            mix=mix,
            position=position,
            cells=together,
        )
        for (work_date, shift, contractor, mix, position), together in sorted(
            groups.items(), key=lambda pair: pair[0]
        )
    )


def total_volume(cells: Sequence[Cell], *, unit: str) -> Quantity:
    """Return the sum of the volumes that are known [volume].

    Added up unit by unit first, so that 27 ft3 are 1 yd3 exactly. Raises ValueError
    for a unit of another dimension. Source: arithmetic.

    >>> cells = [Cell(date(2026, 8, 13), shift="day", mix="W", operator="A",
    ...               volume=Quantity(Decimal(9), "ft3"))] * 3
    >>> str(total_volume(cells, unit="yd3"))
    '1 yd3'
    """
    sums: dict[str, Decimal] = {}
    for cell in cells:
        if cell.volume is not None:
            here = cell.volume.unit
            sums[here] = sums.get(here, Decimal(0)) + cell.volume.value
    parts = (convert(Quantity(value, here), to=unit) for here, value in sums.items())
    return Quantity(sum((part.value for part in parts), Decimal(0)), unit)


def asked_by_volume(cells: Sequence[Cell], *, limit: Quantity | None) -> int:
    """Return how many panels the volume asks for: one for each begun limit.

    None where no limit is given. Raises ValueError unless the limit is a volume. Source:
    as `panels_owed`.

    >>> cell = Cell(date(2026, 8, 13), shift="day", mix="W", operator="A",
    ...             volume=Quantity(Decimal("50.1"), "yd3"))
    >>> asked_by_volume([cell], limit=Quantity(Decimal(50), "yd3"))
    2
    """
    if limit is None:
        return 0
    total = total_volume(cells, unit=limit.unit).value
    whole, rest = divmod(total, limit.value)
    return int(whole) + (1 if rest else 0)


def panels_in(group: Group, *, terms: Terms, count: str) -> int:
    """Return how many panels a group owes by one interpretation of the larger count.

    Parameters
    ----------
    group
        By `counted_together`.
    terms
        As `panels_owed`; its `panel_count` is not looked at.
    count
        "per cell" or "global".

    Raises ValueError where `panel_per` is not given. Source: as `panels_owed`.

    >>> from project.domain.editions import own_terms
    >>> day = date(2026, 8, 13)
    >>> terms = own_terms("aci-506.2-2013", revision=1, effective_on=day)
    >>> cells = [Cell(day, shift="day", mix="W", operator=name,
    ...               volume=Quantity(Decimal(yards), "yd3"))
    ...          for name, yards in (("A", 30), ("B", 70))]
    >>> (group,) = counted_together(cells, terms=terms)
    >>> [panels_in(group, terms=terms, count=c) for c in ("per cell", "global")]
    [3, 2]
    """
    limit = terms.quantity("panel_volume")
    asked = asked_by_volume(group.cells, limit=limit)
    if needed(terms, "panel_per") != PER_OPERATOR:
        return max(1, asked)
    if count != PER_CELL:
        return max(len(group.shares), asked)
    shares = group.shares.values()
    return sum(max(1, asked_by_volume(share, limit=limit)) for share in shares)


def panels_owed(cells: Sequence[Cell], *, terms: Terms) -> tuple[Obligation, ...]:
    """Return every panel owed for what was shot, in a fixed order.

    Parameters
    ----------
    cells
        What was shot; volumes [volume] in any unit.
    terms
        Give `panel_period`, `panel_per`, `panel_count`, `panel_position` and
        `panel_volume`, the volume in the rule set's own unit; without one only who
        shot is counted.

    With `global` the larger of the two counts is taken over all who shot the mix;
    what the volume asks beyond one for each operator may be shot by any of them.
    With `per cell` the larger is taken for each operator. Raises ValueError where a
    needed term is not given.

    Source: ACI 506.2-13 (read as quoted); IBC 1908.10.1 (2009 read, 2018 from
    memory). Which of the two interpretations is meant is not said there.

    >>> from project.domain.editions import aci_506_2_13_panels, resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures=aci_506_2_13_panels("contract specification"))
    >>> day = date(2026, 8, 13)
    >>> cells = [Cell(day, shift="day", mix="W-45A rev 2", operator=name,
    ...               volume=Quantity(Decimal(yards), "yd3"))
    ...          for name, yards in (("OP-01", "70"), ("OP-02", "40"))]
    >>> [(owed.operator, owed.rule) for owed in panels_owed(cells, terms=terms)]
    [('OP-01', 'one for each operator'), ('OP-02', 'one for each operator'),
     ('', 'one for each 50 yd3')]
    """
    limit = terms.quantity("panel_volume")
    per_operator = needed(terms, "panel_per") == PER_OPERATOR
    per_cell = needed(terms, "panel_count") == PER_CELL
    owed: list[Obligation] = []
    for group in counted_together(cells, terms=terms):
        everyone = range(1, panels_in(group, terms=terms, count=GLOBAL) + 1)
        if not per_operator:
            owed += _obligations(group, "", group.cells, everyone, terms)
            continue
        for operator, share in group.shares.items():
            asked = asked_by_volume(share, limit=limit) if per_cell else 1
            own = range(1, max(1, asked) + 1)
            owed += _obligations(group, operator, share, own, terms)
        if not per_cell:
            beyond = everyone[len(group.shares) :]
            owed += _obligations(group, "", group.cells, beyond, terms)
    return tuple(owed)


def _obligations(
    group: Group,
    operator: str,
    cells: tuple[Cell, ...],
    ordinals: range,
    terms: Terms,
) -> Iterator[Obligation]:
    """Yield obligations: the first because somebody shot, others for the volume."""
    limit = terms.quantity("panel_volume")
    for ordinal in ordinals:
        yield Obligation(
            group.work_date,
            shift=group.shift,
            mix=group.mix,
            operator=operator,
            position=group.position,
            contractor=group.contractor,
            ordinal=ordinal,
            rule=_rule(terms, limit, ordinal),
            source=terms.source("panel_per" if ordinal == 1 else "panel_volume"),
            volume=None if limit is None else total_volume(cells, unit=limit.unit),
            volume_known=all(cell.volume is not None for cell in cells),
            cells=cells,
        )


def _rule(terms: Terms, limit: Quantity | None, ordinal: int) -> str:
    if ordinal > 1:
        return f"one for each {limit}"
    per_mix = terms.choice("panel_per") == PER_MIX
    return f"one for each {terms.choice('panel_period') if per_mix else 'operator'}"


def next_panel_after(
    cell: Cell, *, terms: Terms, others: Sequence[Cell] = ()
) -> Quantity | None:
    """Return how much more may be shot before one more panel is owed.

    Parameters
    ----------
    cell
        What an operator has shot so far [volume].
    others
        The other cells known; those counted together with this one are added.

    Returns a volume in the unit of `panel_volume`, 0 where anything more asks for a
    panel; nothing without a volume limit or while a volume is not known.

    Source: as `panels_owed`.

    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> cell = Cell(date(2026, 8, 13), shift="day", mix="W-45A rev 2",
    ...             operator="OP-01", volume=Quantity(Decimal("37.6"), "yd3"))
    >>> print(next_panel_after(cell, terms=terms))
    12.4 yd3
    """
    limit = terms.quantity("panel_volume")
    together = shot_together(cell, terms=terms, others=others)
    if limit is None or any(other.volume is None for other in together):
        return None
    per_operator = needed(terms, "panel_per") == PER_OPERATOR
    least = len({other.operator for other in together}) if per_operator else 1
    count = max(least, asked_by_volume(together, limit=limit))
    left = count * limit.value - total_volume(together, unit=limit.unit).value
    return Quantity(left, limit.unit)


def shot_together(
    cell: Cell, *, terms: Terms, others: Sequence[Cell] = ()
) -> tuple[Cell, ...]:
    """Return a cell and those of others whose volumes the terms count with its own.

    Parameters
    ----------
    cell
        What an operator has shot.
    others
        The other cells known.
    terms
        As `panels_owed`.

    Raises ValueError where a needed term is not given. Source: as `panels_owed`.

    >>> from project.domain.editions import own_terms
    >>> day = date(2026, 8, 13)
    >>> terms = own_terms("aci-318-2019", revision=1, effective_on=day)
    >>> one, two = (Cell(day, shift="day", mix="W", operator=name) for name in "AB")
    >>> len(shot_together(one, terms=terms, others=[two]))
    1
    """
    per_operator = needed(terms, "panel_per") == PER_OPERATOR
    per_cell = per_operator and needed(terms, "panel_count") == PER_CELL
    key = _key(cell, terms)
    (group,) = counted_together(
        [other for other in (cell, *others) if _key(other, terms) == key], terms=terms
    )
    return group.shares[cell.operator] if per_cell else group.cells
