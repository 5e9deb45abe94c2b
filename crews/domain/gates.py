"""The gates one by one: what each asks, what the record shows, on what evidence.

Each gate is judged for itself and never stops the next: a reader is told every
reason, not the first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from crews.domain.activity import activity_gate
from crews.domain.certification import Card, card_gate, opening
from crews.domain.demand import Demand
from crews.domain.mockup_gate import Shown, mock_up_gate, shown_by
from crews.domain.operator_file import Enrolment, OperatorFile
from crews.domain.schemes import scheme, scheme_of
from crews.domain.supervision import Watch, condition
from crews.domain.trade_words import Level, WaivedGate
from crews.domain.waivers import waiver_of
from project.domain.clocks import Interval, local_dates, to_the_minute
from project.domain.terms import Terms
from project.domain.verdict import Known, Reason, Ref, Source, State, worst

CONTRACT = Source("contract", known=Known.CONTRACT)
MOCK_UP = "mock-up"
# A gate, and the start and stop of the interval it was judged for.
_Heard = tuple[str, datetime, datetime | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked of one operator, each gate judged only when it is asked for.

    The demand is under the terms, and `dates` are the local ones that the interval
    touches: `question` sees to both. Source: project's choice.
    """

    file: OperatorFile
    demand: Demand
    interval: Interval
    dates: tuple[date, ...]
    watch: Watch | None
    terms: Terms | None
    # What was judged already; demands of the same work share all but the mock-up's.
    heard: dict[_Heard, Reason] = field(
        init=False, default_factory=dict, repr=False, compare=False
    )
    # What mock-ups show of the work, by instant: shared as what was judged is.
    shown: dict[datetime, Shown] = field(
        init=False, default_factory=dict, repr=False, compare=False
    )

    def gate(self, key: str) -> Reason:
        """Judge one of `GATES`; of the same work all but the mock-up's, each once.

        Raises KeyError for another name.
        """
        if key == MOCK_UP:
            return _mock_up(self)
        at = key, self.interval.start, self.interval.stop
        reason = self.heard.get(at)
        if reason is None:
            reason = self.heard[at] = _JUDGES[key](self)
        return reason

    def about(self, demand: Demand) -> Question:
        """Return the question about another demand of the same work, under the terms.

        Raises ValueError where the work is another, or somebody stands beside: whoever
        does is judged by the mock-up too.
        """
        if self.watch is not None or demand.work != self.demand.work:
            raise ValueError(f"part {demand.part.name}: not alone, or of other work")
        return self._sharing(demand, self.interval, self.dates)

    def at(self, instant: datetime) -> Question:
        """Return the question at one instant."""
        then = Interval(instant, None, self.interval.zone)
        return self._sharing(self.demand, then, local_dates(then))

    def _sharing(
        self, demand: Demand, interval: Interval, dates: tuple[date, ...]
    ) -> Question:
        other = Question(
            file=self.file,
            demand=demand,
            interval=interval,
            dates=dates,
            watch=self.watch,
            terms=self.terms,
        )
        object.__setattr__(other, "heard", self.heard)
        object.__setattr__(other, "shown", self.shown)
        return other

    def mock_ups(self) -> Shown:
        """Return what the operator's mock-ups show of the work, compared once."""
        start = self.interval.start
        if start not in self.shown:
            at = start.astimezone(ZoneInfo(self.interval.zone))
            self.shown[start] = shown_by(self.file, self.demand, at=at)
        return self.shown[start]

    def condition(self) -> tuple[State, str, tuple[Ref, ...]]:
        """Return the state of the condition, its words and whom it names."""
        other = self.watch.supervisor if self.watch else None
        return condition(
            self.watch,
            shut="" if other is None else self._shut(other),
            part=self.demand.part.name,
            interval=self.interval,
            terms=self.terms,
        )

    def _shut(self, other: OperatorFile) -> str:
        """Return why somebody cannot supervise here, or nothing."""
        name = other.operator.name
        if other.operator.id == self.file.operator.id:
            return f"{name} cannot supervise {name}"
        # The supervisor is judged alone: one who needs a supervisor cannot be one.
        reasons = gates(
            other, self.demand, interval=self.interval, watch=None, terms=self.terms
        )
        if worst(reasons) is State.PASS:
            return ""
        open_ = (State.PASS, State.INFORMATION)
        shut = ", ".join(r.key for r in reasons if r.state not in open_)
        return f"{name} cannot supervise: {shut}"


def question(
    file: OperatorFile,
    demand: Demand,
    *,
    interval: Interval,
    watch: Watch | None,
    terms: Terms | None,
) -> Question:
    """Return the question whether an operator is qualified on record, not yet judged.

    Source: project's choice. Raises as `local_dates` does.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> asked = question(examples.operator_file(), examples.demand(), interval=take,
    ...                  watch=None, terms=None)
    >>> asked.gate("card").state
    <State.PASS: 'pass'>
    """
    return Question(
        file=file,
        demand=demand.under(terms),
        interval=interval,
        dates=local_dates(interval),
        watch=watch,
        terms=terms,
    )


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
    return tuple(asked.gate(key) for key in GATES)


def _enrolment(asked: Question) -> Reason:
    file, dates = asked.file, asked.dates
    used: list[Enrolment] = []
    lines: list[str] = []
    for on in dates:
        here = [e for e in file.enrolments if e.active(on)]
        good = next((e for e in here if e.approved(on)), None)
        if good is not None:
            used += [] if good in used else [good]
        elif here:
            lines.extend(_not_approved(e, on) for e in here)
        else:
            lines.append(f"no place on the job on {on}")
    if lines:
        state, found = State.FAIL, "; ".join(lines)
    else:
        state, found = State.PASS, "; ".join(map(_enrolled, used))
    days = " and ".join(on.isoformat() for on in dates)
    return Reason(
        key="enrolment",
        requirement=f"an active place on the job, submittal approved, on {days}",
        state=state,
        found=found,
        source=CONTRACT,
        evidence=tuple(e.ref for e in used or file.enrolments),
    )


def _enrolled(enrolment: Enrolment) -> str:
    to = f" to {enrolment.to_on}" if enrolment.to_on else ""
    return (
        f"{enrolment.employer}, from {enrolment.from_on}{to}; "
        f"{enrolment.submittal or 'submittal'} approved {enrolment.approved_on}"
    )


def _not_approved(enrolment: Enrolment, on: date) -> str:
    name = enrolment.submittal or "submittal"
    if enrolment.approved_on is None:
        return f"{name} not approved"
    return f"{name} approved only {enrolment.approved_on}, not on {on}"


def _card(asked: Question) -> Reason:
    return card_gate(asked.file.cards, asked.demand, dates=asked.dates)


def _level(asked: Question) -> Reason:
    """Judge the level of the cards used, or of any card of the process.

    Without a card of the process there is no level to judge: the card gate says so.
    """
    held, demand = asked.file.cards, asked.demand
    related = [c for c in held if c.is_for(demand.process, demand.method)]
    used = opening(held, demand, dates=asked.dates)
    cards = used or related
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
        evidence=tuple(c.ref for c in full[:1]),
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
        state, condition, named = asked.condition()
        found, evidence = f"in training; {condition}", (card.ref, *named)
    return Reason(
        key="level",
        requirement="full, or in training where the part lets a trainee shoot",
        state=state,
        found=found,
        source=rule.source if rule else rules.source,
        evidence=evidence,
    )


def _mock_up(asked: Question) -> Reason:
    return mock_up_gate(
        asked.file,
        asked.demand,
        interval=asked.interval,
        terms=asked.terms,
        beside=asked.condition,
        shown=asked.mock_ups,
    )


def _activity(asked: Question) -> Reason:
    file, demand, interval = asked.file, asked.demand, asked.interval
    waiver = waiver_of(
        demand.waivers, WaivedGate.IDLE, operator=file.operator, interval=interval
    )
    return activity_gate(
        file.shots, demand, interval=interval, terms=asked.terms, waiver=waiver
    )


def _mix(asked: Question) -> Reason:
    mix, dates = asked.demand.mix, asked.dates
    withdrawn = mix.withdrawn_on is not None and dates[-1] >= mix.withdrawn_on
    if mix.approved_on is None:
        state, found = State.FAIL, f"{mix} not approved"
    elif mix.approved_on > dates[0]:
        state, found = State.FAIL, f"{mix} approved only {mix.approved_on}"
    elif withdrawn:
        state, found = State.FAIL, f"{mix} withdrawn from {mix.withdrawn_on}"
    else:
        state, found = State.PASS, f"{mix} approved {mix.approved_on}"
    return Reason(
        key="mix",
        requirement=f"{mix} approved by {dates[0]}",
        state=state,
        found=found,
        source=CONTRACT,
        evidence=(mix.ref,),
    )


def _suspension(asked: Question) -> Reason:
    zone, orders = ZoneInfo(asked.interval.zone), asked.file.suspensions
    now = [s for s in orders if s.concerns(asked.demand) and s.stands(asked.interval)]
    lines = [
        f"from {to_the_minute(s.from_at.astimezone(zone))} by {s.ordered_by}"
        + (f": {s.words}" if s.words else "")
        for s in now
    ]
    return Reason(
        key="suspension",
        requirement="no suspension stands",
        state=State.FAIL if now else State.PASS,
        found="; ".join(lines) or "none on record",
        source=CONTRACT,
        evidence=tuple(s.ref for s in now),
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
