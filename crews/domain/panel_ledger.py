"""Which panels meet what is owed, what is missing, and what met nothing.

Nothing here is stored: hide a panel or correct a nozzle time, and the ledger is
another one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass
from datetime import date, datetime

from crews.domain.sampling import Cell, Obligation
from crews.domain.trade_words import PanelKind
from project.domain.term_kinds import PER_OPERATOR
from project.domain.terms import Terms


@dataclass(frozen=True, slots=True)
class StandsFor:
    """The shooting whose missing panel cores from the work stand for."""

    work_date: date
    mix: str
    operator: str


@dataclass(frozen=True, slots=True)
class Made:
    """A panel as shot, or cores from the work that stand for one.

    A panel two operators shot names both; it proves the mix and neither of them.
    `accepted_at` is when the engineer accepted cores from the work as a substitute.
    """

    panel: str
    _: KW_ONLY
    kind: str
    work_date: date
    mix: str
    operator: str
    shift: str = ""
    rig: str = ""
    position: str = ""
    contractor: str = ""
    shared_with: str = ""
    stands_for: StandsFor | None = None
    accepted_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One obligation with the panel that met it, or with a substitute if any."""

    owed: Obligation
    panel: Made | None
    substitute: Made | None

    @property
    def missing(self) -> bool:
        """Whether no panel was shot for it. A substitute does not undo that."""
        return self.panel is None

    @property
    def answered(self) -> bool:
        """Whether a panel met it or the engineer accepted a substitute."""
        substitute = self.substitute
        accepted = substitute is not None and substitute.accepted_at is not None
        return not self.missing or accepted


@dataclass(frozen=True, slots=True)
class Idle:
    """A production panel that meets no obligation, and why."""

    panel: Made
    because: str


@dataclass(frozen=True, slots=True)
class Ledger:
    """Every panel owed with what met it, and every panel that met nothing."""

    lines: tuple[Line, ...]
    idle: tuple[Idle, ...]

    @property
    def met(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if not line.missing)

    @property
    def missing(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.missing)


def discharge(
    owed: Sequence[Obligation], made: Sequence[Made], *, terms: Terms
) -> Ledger:
    """Return which panels meet which obligations, what is missing, what is idle.

    A production panel meets an obligation when operator, mix revision, rig, work
    date and shift agree and, where `panel_position` asks it, the position. It meets
    one at most; a panel two operators shot meets none that is owed by an operator.
    Cores from the work stand beside a missing panel and do not undo it.

    Source: project's choice; ACI 506.2-13 and IBC 1908.10 name who shoots and where.

    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> day, mix = date(2026, 8, 27), "W-50F rev 1"
    >>> from crews.domain.sampling import panels_owed
    >>> cells = [Cell(day, shift="day", mix=mix, operator="OP-07", rig="RIG-BW")]
    >>> panel = Made("TP-018", kind="production", work_date=day, mix=mix,
    ...              operator="OP-07", shift="day", rig="RIG-BD")
    >>> ledger = discharge(panels_owed(cells, terms=terms), [panel], terms=terms)
    >>> len(ledger.missing), ledger.idle[0].because
    (1, 'nothing was shot with its rig')
    """
    panels = sorted(made, key=lambda panel: panel.panel)
    free = [panel for panel in panels if panel.kind == PanelKind.PRODUCTION]
    met: dict[int, Made] = {}
    # An operator's own first: whatever meets one of these would also meet one that
    # is open to all, so that no panel is used up in the wrong place.
    for index in sorted(range(len(owed)), key=lambda n: not owed[n].operator):
        panel = next((p for p in free if _fits(p, owed[index], terms)), None)
        if panel is not None:
            met[index] = panel
            free.remove(panel)
    substitutes = [panel for panel in panels if panel.kind == PanelKind.IN_PLACE]
    lines = []
    for index, obligation in enumerate(owed):
        substitute = None
        if index not in met:
            substitute = _taken(obligation, substitutes)
        lines.append(Line(obligation, met.get(index), substitute))
    idle = tuple(Idle(panel, _because(panel, owed, terms)) for panel in free)
    return Ledger(tuple(lines), idle)


def _taken(obligation: Obligation, substitutes: list[Made]) -> Made | None:
    """Take the first substitute that stands for an obligation, so that none does twice."""
    for panel in substitutes:
        if panel.stands_for is not None and _stands(panel.stands_for, obligation):
            substitutes.remove(panel)
            return panel
    return None


def _stands(stands_for: StandsFor, obligation: Obligation) -> bool:
    return any(
        (cell.work_date, cell.mix, cell.operator)
        == (stands_for.work_date, stands_for.mix, stands_for.operator)
        for cell in obligation.cells
    )


def _fits(panel: Made, obligation: Obligation, terms: Terms) -> bool:
    if panel.shared_with and obligation.operator:
        return False
    return any(not _apart(panel, cell, terms) for cell in obligation.cells)


# What must agree, in the order in which a difference is worth telling, and its words.
_AGREE = {
    "work_date": "on its work date",
    "contractor": "by its contractor",
    "mix": "of its mix revision",
    "operator": "by its operator",
    "shift": "in its shift",
    "rig": "with its rig",
    "position": "in its position",
}


def _apart(panel: Made, cell: Cell, terms: Terms) -> str:
    """Return the first thing in which a panel and a cell differ, or nothing."""
    for name in _AGREE:
        if name == "position" and not terms.flag("panel_position"):
            continue
        here = {getattr(panel, name)}
        if name == "operator" and panel.shared_with:
            here.add(panel.shared_with)
        if getattr(cell, name) not in here:
            return name
    return ""


def _because(panel: Made, owed: Sequence[Obligation], terms: Terms) -> str:
    """Say why a panel meets nothing: the closest shooting it differs from, or none."""
    apart = {
        _apart(panel, cell, terms) for obligation in owed for cell in obligation.cells
    }
    if "" in apart:
        if panel.shared_with and terms.choice("panel_per") == PER_OPERATOR:
            return "shot by two operators: each still owes one"
        return "no further panel is owed"
    closest = max(apart, key=list(_AGREE).index, default="work_date")
    return f"nothing was shot {_AGREE[closest]}"
