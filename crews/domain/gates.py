"""The gates one by one: what each asks, what the record shows, on what evidence.

Each gate is judged for itself and never stops the next: a reader is told every
reason, not the first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from crews.domain.activity import activity_gate
from crews.domain.certification import Card, card_gate
from crews.domain.demand import Demand
from crews.domain.mockup_gate import mock_up_gate
from crews.domain.operator_file import Enrolment, OperatorFile
from crews.domain.question import Question, question
from crews.domain.schemes import scheme, scheme_of
from crews.domain.supervision import Watch, condition
from crews.domain.trade_words import Level, WaivedGate
from crews.domain.waivers import waiver_of
from project.domain.clocks import Interval, in_words, to_the_minute
from project.domain.terms import Terms
from project.domain.verdict import Known, Reason, Ref, Source, State, worst

CONTRACT = Source("contract", known=Known.CONTRACT)
MOCK_UP = "mock-up"


def gate(asked: Question, key: str) -> Reason:
    """Judge one of `GATES`; of the same work all but the mock-up's, each once.

    Source: the reason names its own. Raises KeyError for another name, and ValueError
    for an unknown scheme.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> asked = question(examples.operator_file(), examples.demand(), interval=take,
    ...                  watch=None, terms=None)
    >>> gate(asked, "card").state
    <State.PASS: 'pass'>
    """
    if key == MOCK_UP:
        return _mock_up(asked)
    reasons = asked.heard.reasons
    reason = reasons.get(key)
    if reason is None:
        reason = reasons[key] = _JUDGES[key](asked)
    return reason


def gates(
    file: OperatorFile,
    demand: Demand,
    *,
    interval: Interval,
    watch: Watch | None,
    terms: Terms | None,
) -> tuple[Reason, ...]:
    """Judge every gate, in the order of `GATES`, for all local dates touched.

    Source: each reason names its own. Raises ValueError for an unknown scheme.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> file, demand = examples.operator_file(), examples.demand()
    >>> reasons = gates(file, demand, interval=take, watch=None, terms=None)
    >>> tuple(reason.key for reason in reasons) == GATES
    True
    """
    asked = question(file, demand, interval=interval, watch=watch, terms=terms)
    return tuple([gate(asked, key) for key in GATES])


def _enrolment(asked: Question) -> Reason:
    file, dates = asked.file, asked.dates
    used: list[Enrolment] = []
    lines: list[str] = []
    for on in dates:
        here = [e for e in file.enrolments if e.active(on)]
        good = [e for e in here if e.approved(on)]
        if good:
            used += [] if good[0] in used else good[:1]
        elif here:
            lines.extend(_not_approved(e, on) for e in here)
        else:
            lines.append(f"no place on the job on {on}")
    if lines:
        state, found = State.FAIL, "; ".join(lines)
    else:
        state, found = State.PASS, "; ".join(map(_enrolled, used))
    return Reason(
        key="enrolment",
        requirement="an active place on the job, submittal approved, on "
        + in_words(dates),
        state=state,
        found=found,
        source=CONTRACT,
        evidence=tuple([e.ref for e in used or file.enrolments]),
    )


def _enrolled(enrolment: Enrolment) -> str:
    to = f" to {enrolment.to_on!s}" if enrolment.to_on else ""
    return (
        f"{enrolment.employer}, from {enrolment.from_on!s}{to}; "
        f"{enrolment.submittal or 'submittal'} approved {enrolment.approved_on!s}"
    )


def _not_approved(enrolment: Enrolment, on: date) -> str:
    name = enrolment.submittal or "submittal"
    if enrolment.approved_on is None:
        return f"{name} not approved"
    return f"{name} approved only {enrolment.approved_on}, not on {on}"


def _card(asked: Question) -> Reason:
    used = asked.opening()
    return card_gate(asked.file.cards, used, asked.demand, dates=asked.dates)


def _level(asked: Question) -> Reason:
    """Judge the level of the cards used, or of any card of the process.

    Without a card of the process there is no level to judge: the card gate says so.
    """
    held, demand, used = asked.file.cards, asked.demand, asked.opening()
    cards: Sequence[Card] = used
    if not used:
        cards = [c for c in held if c.is_for(demand.process, demand.method)]
    training = [card for card in cards if card.level is Level.IN_TRAINING]
    if training and (used or len(training) == len(cards)):
        return _trainee(training[0], asked)
    full = [card for card in cards if card.level is Level.FULL]
    if full:
        state, found = State.PASS, f"full ({full[0].number})"
    else:
        state = State.NO_DATA
        found = f"no card for {demand.process} {demand.method.by}, so no level"
    return Reason(
        key="level",
        requirement="full, or in training where the part lets a trainee shoot",
        state=state,
        found=found,
        source=scheme_of(demand.method).levels[0].source,
        evidence=tuple([c.ref for c in full[:1]]),
    )


def _trainee(card: Card, asked: Question) -> Reason:
    demand = asked.demand
    rules = scheme(card.scheme)
    rule = rules.rule(Level.IN_TRAINING)
    allowed = rule.positions if rule else frozenset()
    shut = []
    position = demand.card_position
    if position in rules.positions - allowed:
        shut.append("in training, " + " and ".join(sorted(allowed)) + " only")
    if not demand.trainee_allowed:
        shut.append("the contract does not let a trainee shoot this part")
    evidence: tuple[Ref, ...] = (card.ref,)
    if shut:
        state, found = State.FAIL, "; ".join(shut)
    elif position not in allowed:
        state, found = State.UNDECIDED, f"in training, position {demand.lies}"
    else:
        state, words, named = _supervised(asked)
        found, evidence = f"in training; {words}", (card.ref, *named)
    return Reason(
        key="level",
        requirement="full, or in training where the part lets a trainee shoot",
        state=state,
        found=found,
        source=rule.source if rule else rules.source,
        evidence=evidence,
    )


def _supervised(asked: Question) -> tuple[State, str, tuple[Ref, ...]]:
    """Return the state of the condition, its words and whom it names."""
    other = asked.watch.supervisor if asked.watch else None
    return condition(
        asked.watch,
        shut="" if other is None else _shut(asked, other),
        part=asked.demand.part.name,
        interval=asked.interval,
        terms=asked.terms,
    )


def _shut(asked: Question, other: OperatorFile) -> str:
    """Return why somebody cannot supervise here, or nothing."""
    name = other.operator.name
    if other.operator.id == asked.file.operator.id:
        return f"{name} cannot supervise {name}"
    # The supervisor is judged alone: one who needs a supervisor cannot be one.
    reasons = gates(
        other, asked.demand, interval=asked.interval, watch=None, terms=asked.terms
    )
    if worst(reasons) is State.PASS:
        return ""
    open_ = (State.PASS, State.INFORMATION)
    shut = ", ".join(r.key for r in reasons if r.state not in open_)
    return f"{name} cannot supervise: {shut}"


def _mock_up(asked: Question) -> Reason:
    return mock_up_gate(
        asked.file,
        asked.demand,
        interval=asked.interval,
        terms=asked.terms,
        beside=lambda: _supervised(asked),
        shown=asked.shown,
    )


def _activity(asked: Question) -> Reason:
    demand, interval = asked.demand, asked.interval
    waiver = waiver_of(
        demand.waivers,
        WaivedGate.IDLE,
        operator=asked.file.operator,
        interval=interval,
    )
    return activity_gate(
        asked.shooting().last,
        demand,
        on=asked.dates[0],
        zone=interval.zone,
        waiver=waiver,
    )


def _mix(asked: Question) -> Reason:
    mix, dates = asked.demand.mix, asked.dates
    name = str(mix)
    withdrawn = mix.withdrawn_on is not None and dates[-1] >= mix.withdrawn_on
    if mix.approved_on is None:
        state, found = State.FAIL, f"{name} not approved"
    elif mix.approved_on > dates[0]:
        state, found = State.FAIL, f"{name} approved only {mix.approved_on!s}"
    elif withdrawn:
        state, found = State.FAIL, f"{name} withdrawn from {mix.withdrawn_on!s}"
    else:
        state, found = State.PASS, f"{name} approved {mix.approved_on!s}"
    return Reason(
        key="mix",
        requirement=f"{name} approved by {dates[0]!s}",
        state=state,
        found=found,
        source=CONTRACT,
        evidence=(mix.ref,),
    )


_NOT_SUSPENDED = Reason(
    key="suspension",
    requirement="no suspension stands",
    state=State.PASS,
    found="none on record",
    source=CONTRACT,
)


def _suspension(asked: Question) -> Reason:
    orders = asked.file.suspensions
    now = [s for s in orders if s.concerns(asked.demand) and s.stands(asked.interval)]
    if not now:
        return _NOT_SUSPENDED
    zone = ZoneInfo(asked.interval.zone)
    lines = [
        f"from {to_the_minute(s.from_at.astimezone(zone))} by {s.ordered_by}"
        + (f": {s.words}" if s.words else "")
        for s in now
    ]
    return Reason(
        key="suspension",
        requirement=_NOT_SUSPENDED.requirement,
        state=State.FAIL,
        found="; ".join(lines),
        source=CONTRACT,
        evidence=tuple([s.ref for s in now]),
    )


# In the order in which a reader is told of them.
_JUDGES: Mapping[str, Callable[[Question], Reason]] = {
    "enrolment": _enrolment,
    "card": _card,
    "level": _level,
    MOCK_UP: _mock_up,
    "activity": _activity,
    "mix": _mix,
    "suspension": _suspension,
}
GATES = tuple(_JUDGES)
