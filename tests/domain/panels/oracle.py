"""What is owed and met, found the slow and obvious way.

Nothing of the product is imported here but its plain records: volumes are poured
out one interval at a time, and panels are tried on obligations in every order.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from crews.domain.panel_ledger import Made
from crews.domain.sampling import Cell, Obligation
from project.domain.units import Quantity


def poured(volume: Fraction, limit: Fraction | None) -> int:
    """Count the panels a volume asks for, by pouring it out."""
    panels, left = 0, volume
    while limit is not None and left > 0:
        panels += 1
        left -= limit
    return panels


# A cubic yard is 0.9144 m cubed; a cubic foot is its 27th part.
IN_M3 = {
    "m3": Fraction(1),
    "yd3": Fraction("0.9144") ** 3,
    "ft3": Fraction("0.3048") ** 3,
}


def volume_of(cells: Sequence[Cell]) -> Fraction:
    """Add up what is known, in cubic metres."""
    total = Fraction(0)
    for cell in cells:
        if cell.volume is not None:
            total += Fraction(cell.volume.value) * IN_M3[cell.volume.unit]
    return total


def together(one: Cell, other: Cell, rule: dict[str, object]) -> bool:
    """Whether two cells are counted together."""
    same = one.work_date == other.work_date and one.mix == other.mix
    same = same and one.contractor == other.contractor
    if rule["panel_period"] == "shift":
        same = same and one.shift == other.shift
    if rule["panel_position"]:
        same = same and one.position == other.position
    return same


def in_m3(limit: Quantity | None) -> Fraction | None:
    return None if limit is None else Fraction(limit.value) * IN_M3[limit.unit]


def owed_by_hand(
    cells: Sequence[Cell], rule: dict[str, object], limit: Quantity | None
) -> int:
    """Count every panel owed for some cells."""
    seen: list[Cell] = []
    total = 0
    for cell in cells:
        if any(together(cell, earlier, rule) for earlier in seen):
            continue
        seen.append(cell)
        group = [other for other in cells if together(cell, other, rule)]
        total += _owed_in(group, rule, in_m3(limit))
    return total


def _owed_in(group: list[Cell], rule: dict[str, object], limit: Fraction | None) -> int:
    everything = poured(volume_of(group), limit)
    if rule["panel_per"] == "mix":
        return max(1, everything)
    names = {cell.operator for cell in group}
    if rule["panel_count"] == "global":
        return max(len(names), everything)
    count = 0
    for name in names:
        own = [cell for cell in group if cell.operator == name]
        count += max(1, poured(volume_of(own), limit))
    return count


def agrees(panel: Made, obligation: Obligation, rule: dict[str, object]) -> bool:
    """Whether a panel may meet an obligation, condition by condition."""
    if panel.kind != "production":
        return False
    if panel.shared_with and obligation.operator:
        return False
    for cell in obligation.cells:
        shooters = {panel.operator, panel.shared_with}
        if (
            cell.work_date == panel.work_date
            and cell.mix == panel.mix
            and cell.contractor == panel.contractor
            and cell.shift == panel.shift
            and cell.rig == panel.rig
            and cell.operator in shooters
            and (cell.position == panel.position or not rule["panel_position"])
        ):
            return True
    return False


def most_met(
    owed: Sequence[Obligation], made: Sequence[Made], rule: dict[str, object]
) -> int:
    """Return how many obligations can be met at best, trying everything."""
    if not owed:
        return 0
    first, rest = owed[0], owed[1:]
    best = most_met(rest, made, rule)
    for index, panel in enumerate(made):
        if agrees(panel, first, rule):
            others = [*made[:index], *made[index + 1 :]]
            best = max(best, 1 + most_met(rest, others, rule))
    return best
