"""Which rebound is usual by surface and process: advice, never acceptance.

The sources differ by age and by what they count, so all of them are shown.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum

from inspections.domain.usual import PRACTICE, Usual
from project.domain.shooting_words import Position, Process
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Source, State, Verdict

OLDER = Source("ACI 506R", "rebound, older practice", known=Known.READ)
GUIDE_1990 = Source("ACI 506R", "rebound", "1990", Known.MEMORY)
EM_1993 = Source("EM 1110-2-2005", "rebound; also ACI 506R-90", "1993", Known.MEMORY)
GUIDE_2005 = Source("ACI 506R", "all losses", "2005", Known.READ)
_RULE = "Usual rebound by surface and process; advice, never acceptance"


class Surface(StrEnum):
    """Which way the face lies, as the sources part it. Source: ACI 506R, older practice."""

    FLOOR = "floor or slab"
    WALL = "wall or slope"
    OVERHEAD = "overhead"


# Where each position of a part belongs; one not classified belongs nowhere.
SURFACES: Mapping[Position, Surface] = {
    Position.HORIZONTAL: Surface.FLOOR,
    Position.VERTICAL: Surface.WALL,
    Position.SLOPED: Surface.WALL,
    Position.OVERHEAD: Surface.OVERHEAD,
}


def _usual(name: str, low: int, high: int, source: Source) -> Usual:
    low_end, high_end = (Quantity(Decimal(end), "percent") for end in (low, high))
    return Usual(name, low_end, high_end, source)


BY_SURFACE: Mapping[str, tuple[Usual, ...]] = {
    "dry, floor or slab": (_usual("older practice", 5, 15, OLDER),),
    "dry, wall or slope": (
        _usual("older practice", 15, 30, OLDER),
        _usual("guide of 1990", 15, 25, GUIDE_1990),
    ),
    "dry, overhead": (_usual("older practice", 25, 50, OLDER),),
    "wet, floor or slab": (_usual("older practice", 0, 5, EM_1993),),
    "wet, wall or slope": (_usual("older practice", 5, 10, EM_1993),),
    "wet, overhead": (_usual("older practice", 10, 20, EM_1993),),
}
# Dampened before the gun, with a good nozzle; by mass, 10 % in the mean.
DRY_NEWER: tuple[Usual, ...] = (
    _usual("newer practice, dampened before the gun", 5, 15, PRACTICE),
)
ALL_LOSSES: tuple[Usual, ...] = (_usual("all losses, any surface", 10, 30, GUIDE_2005),)


def usual_rebound(surface: Surface, process: Process) -> tuple[Usual, ...]:
    """Return every range that sources give for a surface and a process [share].

    Source: ACI 506R of older practice and 2005 (read); the rest from memory or common
    practice, as each range says.

    >>> [str(each) for each in usual_rebound(Surface.WALL, Process.WET)]
    ['5 to 10 percent', '10 to 30 percent']
    """
    newer = DRY_NEWER if process is Process.DRY else ()
    return BY_SURFACE[f"{process}, {surface}"] + newer + ALL_LOSSES


def rebound_advice(
    surface: Surface, process: Process, *, share: Quantity | None = None
) -> Verdict:
    """Return where a share of what was shot lies beside what is usual.

    Parameters
    ----------
    surface, process
        Of the placement.
    share
        Rebound or loss over volume shot [share]; nothing to ask only what is usual.

    Always information: it neither passes nor fails. On an end is inside. Raises
    ValueError for a share outside 0 to 100 %. Source: as `usual_rebound`.

    >>> made = rebound_advice(Surface.WALL, Process.WET,
    ...                       share=Quantity(Decimal(12), "percent"))
    >>> made.reasons[0].found
    '12 percent: above what is usual, 5 to 10 percent'
    """
    if share is not None:
        is_share = share.dimension == "share"
        if not is_share or not 0 <= convert(share, to="1").value <= 1:
            raise ValueError(f"share {share}: allowed is 0 to 100 percent")
    ranges = usual_rebound(surface, process)
    reasons = tuple(each.reason(share) for each in ranges)
    return Verdict(State.INFORMATION, _RULE, reasons)
