"""Which nozzle times and panels a fact can reach, and which of them are one's own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from crews.domain.trade_words import PanelKind, PresenceRole
from crews.models import NozzleTime
from crews.queries.hindsight import Hindsight
from crews.queries.panel_hindsight import PanelHindsight
from crews.queries.panels import PanelRow
from crews.queries.shooting import Held, Placed
from inspections.queries.changes import Change
from inspections.queries.work import Work

_Index = defaultdict[UUID | str, set[UUID]]


class OwnWork:
    """The shooting and the panels a member reads of, and which stand for which."""

    def __init__(self, found: Work, *, every: bool) -> None:
        self.every = every
        self.times: dict[UUID, tuple[Placed, Held]] = {
            held.id: (placed, held) for placed in found.placed for held in placed.times
        }
        self.panels: dict[UUID, PanelRow] = {row.id: row for row in found.panels}
        self._ids = {shift.first for shift in found.shifts} | {*self.times}
        self._ids |= {*self.panels, *(one.id for one in found.placed)}
        self._ids |= {placed.row.part_id for placed in found.placed}
        self._panels: defaultdict[UUID, list[str]] = defaultdict(list)
        self._times: defaultdict[UUID, list[UUID]] = defaultdict(list)
        for row in found.ledger.rows:
            panel = row.panel or row.substitute
            if panel is not None:
                self._pair(panel, [held.id for held in row.held])
        for panel in found.panels:
            if panel.id not in self._times:
                self._pair(panel, self._shot_with(panel))

    def _pair(self, panel: PanelRow, times: Iterable[UUID]) -> None:
        for first in times:
            if first not in self._times[panel.id]:
                self._times[panel.id].append(first)
                self._panels[first].append(panel.code)

    def _shot_with(self, panel: PanelRow) -> Iterable[UUID]:
        """Yield the shooting of a panel that no obligation took: what it was shot with."""
        row = panel.row
        people = {row.operator_id, row.shared_with_id} - {None}
        if panel.kind is PanelKind.IN_PLACE:
            named = (row.stands_for or {}).get("nozzle_time", "")
            yield from (first for first in self.times if str(first) == named)
        elif panel.kind is PanelKind.PRODUCTION:
            for first, (placed, held) in self.times.items():
                same_mix = placed.row.mix_revision_id == row.mix_revision_id
                same_day = placed.shift.work_date == row.work_date
                if same_mix and same_day and held.operator.pk in people:
                    yield first

    def panels_of(self, first: UUID) -> list[str]:
        """Return the codes of the panels that stand for a nozzle time."""
        return self._panels.get(first, [])

    def times_of(self, panel: PanelRow) -> list[UUID]:
        """Return the nozzle times that a panel stands for."""
        return self._times.get(panel.id, [])

    def reads(self, row: Any, panels: PanelHindsight) -> bool:
        """Say whether a fact is one's own work, or everybody's."""
        if self.every or row.kind in ("mixrevision", "partrevision", "termsrevision"):
            return True
        if row.kind == "labreport":
            return bool(panels.told_of.get(row.pk, set()) & self.panels.keys())
        named = ("first", "shift_id", "panel_id", "part_id", "about_id")
        return any(getattr(row, name, None) in self._ids for name in named)

    def in_order(self, firsts: Iterable[UUID]) -> list[UUID]:
        """Return those of some nozzle times that are one's own, as they were shot."""
        own = (first for first in firsts if first in self.times)
        return sorted(own, key=lambda first: (self.times[first][1].started_at, first))


class Reach:
    """Nozzle times by whom, where and with what; every version of them counts."""

    def __init__(self, record: Hindsight, panels: PanelHindsight) -> None:
        self.record, self.panels = record, panels
        self.every: set[UUID] = set(record.times.by_first)
        self.by_operator: _Index = defaultdict(set)
        self.watchers: _Index = defaultdict(set)  # who supervised beside an operator
        self.by_place: _Index = defaultdict(set)  # placement, part, rig, shift, mix
        self.codes = {row.first: row.code for row in record.mixes}
        for first, versions in record.times.by_first.items():
            for held in versions:
                self.by_operator[held.operator_id].add(first)
                self._placed(first, held)
        self.panels_by_mix: _Index = defaultdict(set)
        for first, made in panels.panels.by_first.items():
            for panel in made:
                self.panels_by_mix[panel.mix_revision_id].add(first)

    def _placed(self, first: UUID, held: NozzleTime) -> None:
        placement = held.placement_id
        for row in self.record.placements.versions(placement):
            code = self.codes.get(row.mix_revision_id, "")
            for key in (placement, row.part_id, row.rig_id, row.shift_id, code):
                self.by_place[key].add(first)
            # Whoever watched a trainee is asked for beside them.
            for watch in self.record.watched.get(row.shift_id, ()):
                for seen in self.record.presences.versions(watch):
                    if seen.role == PresenceRole.SUPERVISOR and seen.operator_id:
                        self.by_operator[seen.operator_id].add(first)
                        self.watchers[held.operator_id].add(seen.operator_id)

    def times(self, change: Change) -> set[UUID]:
        """Return the nozzle times whose standing a fact may turn."""
        reached: set[UUID] = set()
        for row in filter(None, (change.row, change.before)):
            reached |= _TIMES.get(row.kind, _none)(self, row)
        return reached

    def results(self, change: Change) -> set[UUID]:
        """Return the panels whose strength or rating a fact may turn."""
        reached: set[UUID] = set()
        for row in filter(None, (change.row, change.before)):
            reached |= _PANELS.get(row.kind, _none)(self, row)
        return reached

    def of_people(self, people: Iterable[UUID | None]) -> set[UUID]:
        """Return the nozzle times of some operators, and those watched beside them.

        Who watches one trainee does not watch another: what one of them may do turns
        what the other was watched by.
        """
        named = {pk for pk in people if pk}
        named |= {other for pk in named for other in self.watchers[pk]}
        return {first for pk in named for first in self.by_operator[pk]}

    def of_place(self, *places: UUID | str) -> set[UUID]:
        """Return the nozzle times at some places, and those watched beside them."""
        there = {first for place in places for first in self.by_place[place]}
        people = {h.operator_id for f in there for h in self.record.times.versions(f)}
        watchers = {other for pk in people for other in self.watchers[pk]}
        return there | {first for pk in watchers for first in self.by_operator[pk]}

    def of_mock_up(self, first: UUID) -> set[UUID]:
        """Return the nozzle times of whoever was ever named on a mock-up."""
        versions = self.panels.panels.versions(first)
        return self.of_people(row.operator_id for row in versions)

    def of_activity(self, row: Any) -> set[UUID]:
        """Return the nozzle times that end after another one began, and itself.

        What somebody shot later tells nothing of earlier activity, nor of a watch that
        was over.
        """
        later = {
            first
            for first in self.of_people([row.operator_id])
            if self._ends_after(first, row.started_at)
        }
        return later | {row.first}

    def of_placement(self, row: Any) -> set[UUID]:
        """Return the nozzle times of whoever shot at a placement.

        Another mix may be of another process, and activity is counted by process.
        """
        shot = self.by_place[row.first]
        times = self.record.times
        return self.of_people(
            held.operator_id for first in shot for held in times.versions(first)
        )

    def _ends_after(self, first: UUID, at: datetime) -> bool:
        stops = [held.stopped_at for held in self.record.times.versions(first)]
        return any(stop is None or stop > at for stop in stops)

    def of_waiver(self, row: Any) -> set[UUID]:
        """Return the nozzle times within the scope of a waiver."""
        if row.operator_id is not None:
            return self.of_people([row.operator_id])
        return set(self.every)


def _none(_reach: Reach, _row: Any) -> set[UUID]:
    return set()


def _panel(reach: Reach, row: Any) -> set[UUID]:
    mock_up = row.panel_kind == PanelKind.MOCK_UP
    return reach.of_mock_up(row.first) if mock_up else set()


_TIMES: Mapping[str, Callable[[Reach, Any], set[UUID]]] = {
    "certification": lambda reach, row: reach.of_people([row.operator_id]),
    "enrolment": lambda reach, row: reach.of_people([row.operator_id]),
    "experience": lambda reach, row: reach.of_people([row.operator_id]),
    "suspension": lambda reach, row: reach.of_people([row.operator_id]),
    "panel": _panel,
    "paneljudgement": lambda reach, row: reach.of_mock_up(row.panel_id),
    "visualrating": lambda reach, row: reach.of_mock_up(row.panel_id),
    "waiver": Reach.of_waiver,
    "partrevision": lambda reach, row: reach.of_place(row.part_id),
    "mixrevision": lambda reach, row: reach.of_place(row.code),
    "rigequivalence": lambda reach, row: reach.of_place(row.rig_id, row.other_id),
    "termsrevision": lambda reach, row: set(reach.every),
    "placement": Reach.of_placement,
    "presence": lambda reach, row: reach.by_place[row.shift_id],
    "nozzletime": Reach.of_activity,
}
_PANELS: Mapping[str, Callable[[Reach, Any], set[UUID]]] = {
    "panel": lambda reach, row: {row.first},
    "core": lambda reach, row: {row.panel_id},
    "labreport": lambda reach, row: reach.panels.told_of.get(row.pk, set()),
    "visualrating": lambda reach, row: {row.panel_id},
    "mixrevision": lambda reach, row: reach.panels_by_mix[row.first],
    "termsrevision": lambda reach, row: set(reach.panels.panels.by_first),
}
