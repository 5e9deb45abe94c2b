"""Who is qualified on record to shoot a part: every gate, in a fixed order.

All gates are always listed, the open ones too; the worst decides. Nobody is
permitted or forbidden here: the words say what the record shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby
from operator import attrgetter

from crews.domain.demand import Demand
from crews.domain.gates import GATES, gate, gates
from crews.domain.operator_file import OperatorFile
from crews.domain.question import Question, question
from crews.domain.supervision import Watch
from crews.domain.turns import Turn, turns_ahead
from project.domain.clocks import Interval
from project.domain.terms import Terms
from project.domain.verdict import Reason, State, Verdict, worst, worst_state

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
    asked = question(file, demand, interval=interval, watch=watch, terms=terms)
    return _answered(asked, _ahead(asked))


def standings(
    file: OperatorFile,
    demands: Sequence[Demand],
    *,
    interval: Interval,
    terms: Terms | None,
) -> tuple[Verdict, ...]:
    """Judge one operator, alone, for demands of the same work: what they share once.

    Each answer is the one `standing` gives. Raises as it does, and ValueError for
    demands of different work (`Demand.work`). Source: as `standing`.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> thicker = replace(examples.demand(), thickness=None)
    >>> asked = (examples.demand(), thicker)
    >>> found = standings(examples.operator_file(), asked, interval=take, terms=None)
    >>> [words(verdict) for verdict in found]
    ['qualified on record', 'undecided']
    """
    if not demands:
        return ()
    asked = question(file, demands[0], interval=interval, watch=None, terms=terms)
    ahead = _ahead(asked)
    each = (asked.about(demand.under(terms)) for demand in demands)
    return tuple(_answered(one, ahead) for one in each)


def _answered(asked: Question, ahead: Sequence[Turn]) -> Verdict:
    reasons = tuple([gate(asked, key) for key in GATES])
    until, because = _ending(asked, reasons, ahead)
    return Verdict(
        worst(reasons), RULE, reasons, holds_until=until, ends_because=because
    )


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


def _ahead(asked: Question) -> list[Turn]:
    """Return the turns from the end of the interval on, in the order of time."""
    last = asked.interval.stop or asked.interval.start
    ahead = [turn for turn in turns_ahead(asked) if turn.at >= last]
    ahead.sort(key=_at)
    return ahead


def _ending(
    asked: Question, reasons: Sequence[Reason], ahead: Sequence[Turn]
) -> tuple[datetime | None, str]:
    """Find the first fact already on record that changes the answer by itself.

    Judged again at each turn: a card's end ends nothing when a renewed one follows.
    """
    state, watch, interval = worst(reasons), asked.watch, asked.interval
    if watch is not None and watch.noted:
        # What was seen of a watch is over: only what is on record of people can turn.
        asked = asked.anew(watch=replace(watch, noted=False))
        reasons = [gate(asked, key) for key in GATES]
        if worst(reasons) is not state:
            return None, ""
    if not any(_may(turn, state) for turn in ahead):
        return None, ""
    # Over an interval a gate may stand otherwise than at one instant of it.
    found = {r.key: r.state for r in reasons} if interval.stop is None else {}
    for at, together in groupby(ahead, key=_at):
        turns = list(together)
        for key in {key for turn in turns for key in turn.gates}:
            found.pop(key, None)
        ending = [turn.words for turn in turns if _may(turn, state)]
        if ending and _judged_again(asked, found, at) is not state:
            return at - timedelta(microseconds=1), "; ".join(dict.fromkeys(ending))
    return None, ""


def _judged_again(asked: Question, found: dict[str, State], at: datetime) -> State:
    """Return the state at an instant; to what is found what is judged is added.

    Nothing is worse than a refusal: where one is found, the rest is not judged.
    """
    asked = asked.at(at)
    for key in GATES:
        if State.FAIL in found.values():
            break
        if key not in found:
            found[key] = gate(asked, key).state
    return worst_state(found.values())


_at = attrgetter("at")


def _may(turn: Turn, state: State) -> bool:
    """Only an opening can end a refusal, only a shutting one a clear answer."""
    opens = turn.opens
    return opens is None or state is not (State.FAIL if opens is False else State.PASS)
