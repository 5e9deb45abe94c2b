"""Standings that read otherwise now than when the nozzle was taken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from crews.domain.qualification import words
from crews.queries.qualification import Record, qualification_record
from crews.queries.shooting import Held, Placed
from inspections.packet.gathering.reading import Reading
from inspections.queries.work import Work
from project.charts.text import when_text
from project.domain.verdict import State, Verdict


def nozzle_times(work: Work) -> Iterator[tuple[Placed, Held]]:
    """Yield each nozzle time with its placement."""
    for placed in work.placed:
        for held in placed.times:
            yield placed, held


@dataclass(frozen=True, slots=True)
class Turned:
    """A take that reads otherwise than it did: how it stands now, and in a sentence."""

    now: State
    words: str


def turned_in_days(reading: Reading) -> list[Turned]:
    """Return the takes of the packet's days that read otherwise as known at the cut."""
    record = qualification_record(reading.job, known_at=reading.cut)
    return [
        _turned(placed, held, again)
        for placed, held, again in _again(record, nozzle_times(reading.week))
        if held.take is not None and again.state is not held.take.state
    ]


def turned_since(reading: Reading) -> list[Turned]:
    """Return the earlier takes that read otherwise than at the packet before."""
    week = {held.id for _placed, held in nozzle_times(reading.week)}
    earlier = [
        (placed, held)
        for placed, held in nozzle_times(reading.to_date)
        if held.id not in week
    ]
    before = qualification_record(reading.job, known_at=reading.cut_before)
    then = {held.id: again.state for _p, held, again in _again(before, earlier)}
    record = qualification_record(reading.job, known_at=reading.cut)
    return [
        _turned(placed, held, again)
        for placed, held, again in _again(record, earlier)
        if again.state is not then.get(held.id, again.state)
    ]


def _again(
    record: Record, times: Iterable[tuple[Placed, Held]]
) -> Iterator[tuple[Placed, Held, Verdict]]:
    """Judge takes anew; what stands under a condition asks who stood beside it."""
    for placed, held in times:
        again = record.placement_standing(
            placed.row, operator=held.operator, start=held.started_at
        )
        if again.state is not State.CONDITION:
            yield placed, held, again


def _turned(placed: Placed, held: Held, again: Verdict) -> Turned:
    took = held.take.verdict if held.take is not None else None
    told = {
        "operator": held.code,
        "name": held.operator.legal_name,
        "placement": placed.code,
        "part": placed.row.part.code,
        "day": when_text(placed.shift.work_date, form="date"),
        "then": words(took) if took else _("undecided"),
        "now": words(again),
        "why": "; ".join(dict.fromkeys(reason.found for reason in again.unmet)),
    }
    line = _(
        "%(operator)s %(name)s on %(part)s, %(placement)s, %(day)s: %(then)s when the "
        "nozzle was taken, %(now)s as known at the cut."
    )
    said = line % told
    return Turned(again.state, f"{said} {told['why']}." if told["why"] else said)
