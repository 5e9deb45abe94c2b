"""Who is qualified on record to shoot a part: every gate, in a fixed order.

All gates are always listed, the open ones too; the worst decides. Nobody is
permitted or forbidden here: the words say what the record shows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from crews.domain.activity import ends_on, idle_days, idle_process, last_shot
from crews.domain.demand import Demand
from crews.domain.gates import gates
from crews.domain.operator_file import OperatorFile
from crews.domain.requalification import lapses
from crews.domain.supervision import Watch
from project.domain.clocks import Interval, day_starts
from project.domain.terms import Terms
from project.domain.verdict import State, Verdict, worst

RULE = "every gate holds on each date touched"

_WORDS = {
    State.PASS: "qualified on record",
    State.CONDITION: "qualified on record under a condition",
    State.FAIL: "not qualified on record",
}


def words(verdict: Verdict) -> str:
    """Return the words of a conclusion about an operator.

    Source: none needed, the words are the product's own. Raises nothing.

    >>> words(Verdict(State.NOT_DUE, RULE))
    'undecided'
    """
    return _WORDS.get(verdict.state, "undecided")


def standing(
    file: OperatorFile,
    demand: Demand,
    *,
    interval: Interval,
    watch: Watch | None,
    terms: Terms | None,
) -> Verdict:
    """Judge one operator for one demand over an interval, as the file knows.

    Every local date that the interval touches counts; an open interval is judged
    for the date of its start. `holds_until` is the last instant at which a fact
    already on record leaves the answer as it is, looking on from the interval.
    Raises ValueError for a scheme that is not in the reviewed list.

    Source: one reason for each gate names its own.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> answer = standing(examples.operator_file(), examples.demand(), interval=take,
    ...                   watch=None, terms=None)
    >>> words(answer), answer.ends_because
    ('qualified on record', 'card WV-0001: last valid day 2028-03-14')
    >>> [f"{reason.key}: {reason.state}" for reason in answer.reasons]
    ['enrolment: pass', 'card: pass', 'level: pass', 'mock-up: pass',
     'activity: information', 'mix: pass', 'suspension: pass']
    """
    demand = demand.under(terms)
    reasons = gates(file, demand, interval=interval, watch=watch, terms=terms)
    state = worst(reasons)
    until, because = _ending(file, demand, interval, watch, terms, state)
    return Verdict(state, RULE, reasons, holds_until=until, ends_because=because)


def possible_supervisors(
    trainee: OperatorFile,
    files: Sequence[OperatorFile],
    demand: Demand,
    *,
    interval: Interval,
    terms: Terms | None,
) -> tuple[OperatorFile, ...]:
    """Return who may be named to supervise: qualified on record, without condition.

    Source: contract practice, a supervisor is himself qualified for the part
    (project's choice, no published rule found). Raises as `standing` does.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> alone = [examples.operator_file()]
    >>> possible_supervisors(alone[0], alone, examples.demand(), interval=take, terms=None)
    ()
    """
    return tuple(
        file
        for file in files
        if file.operator.id != trainee.operator.id
        and worst(gates(file, demand, interval=interval, watch=None, terms=terms))
        is State.PASS
    )


@dataclass(frozen=True, slots=True)
class _Turn:
    """An instant at which a fact on record opens a gate, or shuts one, or may do either."""

    at: datetime
    opens: bool | None
    words: str


def _turns(
    file: OperatorFile, demand: Demand, interval: Interval, terms: Terms | None
) -> Iterator[_Turn]:
    zone = interval.zone
    for card in file.cards:
        if card.is_for(demand.process, demand.method):
            name = f"card {card.number}"
            last = card.last_day(demand)
            after = day_starts(last + timedelta(days=1), zone=zone)
            yield _Turn(after, False, f"{name}: last valid day {last}")
            begins = day_starts(card.issued_on, zone=zone)
            yield _Turn(begins, True, f"{name}: valid from {card.issued_on}")
    for enrolment in file.enrolments:
        approved = enrolment.approved_on or enrolment.from_on
        first = max(enrolment.from_on, approved)
        yield _Turn(day_starts(first, zone=zone), True, f"enrolment: from {first}")
        if enrolment.to_on is not None:
            after = day_starts(enrolment.to_on + timedelta(days=1), zone=zone)
            yield _Turn(after, False, f"enrolment: last day {enrolment.to_on}")
    for setback in file.setbacks:
        yield _Turn(setback.at, False, f"asked again: {setback.words}")
    if demand.asked.lapse:
        for setback in lapses(file.cards, demand, zone=zone):
            yield _Turn(setback.at, None, f"asked again: {setback.words}")
    for mock_up in file.mock_ups:
        for decision in mock_up.decisions:
            name = f"mock-up {mock_up.code}: {decision.outcome}"
            yield _Turn(decision.decided_at, None, name)
    yield from _idle_turns(file, demand, interval, terms)
    for order in file.suspensions:
        if order.concerns(demand):
            yield _Turn(order.from_at, False, f"suspension by {order.ordered_by}")
            if order.until_at is not None:
                yield _Turn(order.until_at, True, "suspension ends")


def _idle_turns(
    file: OperatorFile, demand: Demand, interval: Interval, terms: Terms | None
) -> Iterator[_Turn]:
    """Yield when the idle limit runs out and when shooting begins it anew.

    Of what was shot before the interval the last alone counts.
    """
    limit, process = idle_days(terms), idle_process(demand, terms)
    if limit is None:
        return
    work = f"{process} work" if process else "work"
    last = last_shot(file.shots, process=process, interval=interval)
    counted = [] if last is None else [last]
    for shot in file.shots:
        if process in (None, shot.process) and shot.begun >= interval.start:
            counted.append(shot)
            begins = shot.begun + timedelta(microseconds=1)
            yield _Turn(begins, True, f"{work} on {shot.on(interval.zone)}")
    for shot in counted:
        ends = ends_on(shot, zone=interval.zone, limit=limit)
        after = day_starts(ends + timedelta(days=1), zone=interval.zone)
        told = f"idle limit: no {work} after {shot.on(interval.zone)}"
        yield _Turn(after, False, told)


def _demand_turns(demand: Demand, zone: str) -> Iterator[_Turn]:
    mix = demand.mix
    if mix.approved_on is not None:
        begins = day_starts(mix.approved_on, zone=zone)
        yield _Turn(begins, True, f"{mix}: approved {mix.approved_on}")
    if mix.withdrawn_on is not None:
        ends = day_starts(mix.withdrawn_on, zone=zone)
        yield _Turn(ends, False, f"{mix}: withdrawn from {mix.withdrawn_on}")
    for equal in demand.rig_equivalences:
        yield _Turn(equal.accepted_at, True, "rig accepted as equivalent")
    for waiver in demand.waivers:
        name = f"waiver of the {waiver.gate}"
        yield _Turn(waiver.from_at, True, f"{name} begins")
        yield _Turn(waiver.until_at, False, f"{name} ends")


def _ending(
    file: OperatorFile,
    demand: Demand,
    interval: Interval,
    watch: Watch | None,
    terms: Terms | None,
    state: State,
) -> tuple[datetime | None, str]:
    """Find the first fact already on record that changes the answer by itself.

    Judged again at each turn: a card's end ends nothing when a renewed one follows.
    """
    if watch is not None and watch.noted:
        # What was seen of a watch is over: only what is on record of people can turn.
        watch = replace(watch, noted=False)
        named = gates(file, demand, interval=interval, watch=watch, terms=terms)
        if worst(named) is not state:
            return None, ""
    beside = watch.supervisor if watch else None
    files = (file,) if beside is None else (file, beside)
    turns = [t for f in files for t in _turns(f, demand, interval, terms)]
    turns.extend(_demand_turns(demand, interval.zone))
    last = interval.stop or interval.start
    ahead = sorted(
        {
            t.at
            for t in turns
            if t.at > interval.start and t.at >= last and _may(t, state)
        }
    )
    for at in ahead:
        then = Interval(at, None, interval.zone)
        if (
            worst(gates(file, demand, interval=then, watch=watch, terms=terms))
            is not state
        ):
            because = (t.words for t in turns if t.at == at and _may(t, state))
            return at - timedelta(microseconds=1), "; ".join(dict.fromkeys(because))
    return None, ""


def _may(turn: _Turn, state: State) -> bool:
    """Only an opening can end a refusal, only a shutting one a clear answer."""
    ending = {State.PASS: False, State.FAIL: True}
    return turn.opens is None or turn.opens is ending.get(state, turn.opens)
