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

from project.domain.term_kinds import PER_CELL, PER_MIX, PER_OPERATOR, SHIFT
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


_Key = tuple[date, str, str, str, str]


def _key(cell: Cell, terms: Terms) -> _Key:
    """Return what is counted together: date, shift, contractor, mix, position."""
    shift = cell.shift if _needed(terms, "panel_period") == SHIFT else ""
    position = cell.position if terms.flag("panel_position") else ""
    return (cell.work_date, shift, cell.contractor, cell.mix, position)


def _needed(terms: Terms, name: str) -> str:
    value = terms.choice(name)
    if value is None:
        raise ValueError(f"term {name}: not given, and no panel can be counted")
    return value


def _grouped(cells: Iterable[Cell], terms: Terms) -> dict[_Key, list[Cell]]:
    groups: dict[_Key, list[Cell]] = {}
    for cell in cells:
        groups.setdefault(_key(cell, terms), []).append(cell)
    return dict(sorted(groups.items()))


def _total(cells: Sequence[Cell], unit: str) -> Quantity:
    """Add up known volumes; unit by unit first, so that 27 ft3 are 1 yd3 exactly."""
    sums: dict[str, Decimal] = {}
    for cell in cells:
        if cell.volume is not None:
            here = cell.volume.unit
            sums[here] = sums.get(here, Decimal(0)) + cell.volume.value
    parts = (convert(Quantity(value, here), to=unit) for here, value in sums.items())
    return Quantity(sum((part.value for part in parts), Decimal(0)), unit)


def _by_volume(cells: Sequence[Cell], limit: Quantity | None) -> int:
    """Return how many panels the volume asks for: one for each begun limit."""
    if limit is None:
        return 0
    whole, rest = divmod(_total(cells, limit.unit).value, limit.value)
    return int(whole) + (1 if rest else 0)


def _operators(cells: Sequence[Cell]) -> dict[str, list[Cell]]:
    shares: dict[str, list[Cell]] = {}
    for cell in cells:
        shares.setdefault(cell.operator, []).append(cell)
    return dict(sorted(shares.items()))


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
    per_operator = _needed(terms, "panel_per") == PER_OPERATOR
    per_cell = _needed(terms, "panel_count") == PER_CELL
    owed: list[Obligation] = []
    for key, group in _grouped(cells, terms).items():
        if not per_operator:
            count = max(1, _by_volume(group, limit))
            owed += _obligations(key, "", group, range(1, count + 1), terms)
            continue
        shares = _operators(group)
        for operator, share in shares.items():
            count = max(1, _by_volume(share, limit)) if per_cell else 1
            owed += _obligations(key, operator, share, range(1, count + 1), terms)
        if not per_cell:
            beyond = range(len(shares) + 1, _by_volume(group, limit) + 1)
            owed += _obligations(key, "", group, beyond, terms)
    return tuple(owed)


def _obligations(
    key: _Key, operator: str, cells: list[Cell], ordinals: range, terms: Terms
) -> Iterator[Obligation]:
    """Yield obligations: the first because somebody shot, others for the volume."""
    work_date, shift, contractor, mix, position = key
    limit = terms.quantity("panel_volume")
    for ordinal in ordinals:
        yield Obligation(
            work_date,
            shift=shift,
            mix=mix,
            operator=operator,
            position=position,
            contractor=contractor,
            ordinal=ordinal,
            rule=_rule(terms, limit, ordinal),
            source=terms.source("panel_per" if ordinal == 1 else "panel_volume"),
            volume=None if limit is None else _total(cells, limit.unit),
            volume_known=all(cell.volume is not None for cell in cells),
            cells=tuple(cells),
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
    per_operator = _needed(terms, "panel_per") == PER_OPERATOR
    per_cell = per_operator and _needed(terms, "panel_count") == PER_CELL
    together = [
        other
        for other in (cell, *others)
        if _key(other, terms) == _key(cell, terms)
        and (not per_cell or other.operator == cell.operator)
    ]
    if limit is None or any(other.volume is None for other in together):
        return None
    least = len(_operators(together)) if per_operator else 1
    count = max(least, _by_volume(together, limit))
    left = count * limit.value - _total(together, limit.unit).value
    return Quantity(left, limit.unit)
