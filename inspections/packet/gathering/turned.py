"""Standings that read otherwise now than when they were frozen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from crews.domain.qualification import words
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
    """A nozzle time that reads otherwise than it did: how it stands now, and in a sentence."""

    now: State
    words: str


def turned_in_days(reading: Reading) -> list[Turned]:
    """Return the nozzle times of the packet's days that read otherwise at the cut."""
    found = []
    for placed, held in nozzle_times(reading.week):
        again = reading.hindsight.judged(held.id, at=reading.cut)
        if held.frozen is None or again is None:
            continue
        if again.verdict.state is not held.frozen.state:
            found.append(_turned(placed, held, again.verdict))
    return found


def turned_since(reading: Reading) -> list[Turned]:
    """Return the earlier nozzle times that read otherwise than at the packet before."""
    week = {held.id for _placed, held in nozzle_times(reading.week)}
    found = []
    for placed, held in nozzle_times(reading.to_date):
        if held.id in week:
            continue
        then = reading.hindsight.judged(held.id, at=reading.cut_before)
        again = reading.hindsight.judged(held.id, at=reading.cut)
        if then and again and again.verdict.state is not then.verdict.state:
            found.append(_turned(placed, held, again.verdict))
    return found


def _turned(placed: Placed, held: Held, again: Verdict) -> Turned:
    took = None if held.frozen is None else held.frozen.verdict
    alike = (
        held.take is None
        or held.frozen is None
        or (held.take.state is held.frozen.state)
    )
    told = {
        "operator": held.code,
        "name": held.operator.legal_name,
        "placement": placed.code,
        "part": placed.row.part.code,
        "day": when_text(placed.shift.work_date, form="date"),
        "then": words(took) if took else _("undecided"),
        "of": _("when the nozzle was taken") if alike else _("over the whole time"),
        "now": words(again),
        "why": "; ".join(dict.fromkeys(reason.found for reason in again.unmet)),
    }
    line = _(
        "%(operator)s %(name)s on %(part)s, %(placement)s, %(day)s: %(then)s %(of)s, "
        "%(now)s as known at the cut."
    )
    said = line % told
    return Turned(again.state, f"{said} {told['why']}." if told["why"] else said)
