"""The gates one by one: what each asks, what the record shows, on what evidence.

Each gate is judged for itself and never stops the next: a reader is told every
reason, not the first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from crews.domain.activity import activity_gate
from crews.domain.certification import Card, card_gate, opening
from crews.domain.clearance import mockup_needed
from crews.domain.demand import Demand
from crews.domain.mockup_coverage import (
    COVERAGE_SOURCE,
    Comparison,
    MockUp,
    compare,
    missing,
    with_waivers,
)
from crews.domain.operator_file import Enrolment, OperatorFile
from crews.domain.requalification import Setback, accepted_since, asking
from crews.domain.schemes import scheme, scheme_of
from crews.domain.supervision import Watch, condition
from crews.domain.trade_words import Level, WaivedGate
from crews.domain.waivers import waiver_of
from project.domain.clocks import Interval, local_dates
from project.domain.terms import Terms
from project.domain.verdict import Known, Reason, Ref, Source, State, worst

# Each mock-up with its comparisons, attribute by attribute.
Compared = tuple[tuple[MockUp, tuple[Comparison, ...]], ...]
GATES = (
    *("enrolment", "card", "level", "mock-up"),
    *("activity", "mix", "suspension"),
)
CONTRACT = Source("contract", known=Known.CONTRACT)


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
    demand = demand.under(terms)
    dates = local_dates(interval)
    beside = _Beside(file, demand, interval, watch, terms)
    return (
        _enrolment(file, dates),
        card_gate(file.cards, demand, dates=dates),
        _level(file, demand, dates, beside),
        _mock_up(file, demand, interval, terms, beside),
        _activity(file, demand, interval, terms),
        _mix(demand, dates),
        _suspension(file, demand, interval),
    )


@dataclass(frozen=True, slots=True)
class _Beside:
    """Whether somebody is named to stand beside the operator, judged when asked."""

    file: OperatorFile
    demand: Demand
    interval: Interval
    watch: Watch | None
    terms: Terms | None

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


def _enrolment(file: OperatorFile, dates: Sequence[date]) -> Reason:
    used: dict[Enrolment, None] = {}
    lines: list[str] = []
    for on in dates:
        here = [e for e in file.enrolments if e.active(on)]
        good = next((e for e in here if e.approved(on)), None)
        if good is not None:
            used[good] = None
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


def _level(
    file: OperatorFile, demand: Demand, dates: Sequence[date], beside: _Beside
) -> Reason:
    """Judge the level of the cards used, or of any card of the process.

    Without a card of the process there is no level to judge: the card gate says so.
    """
    related = [c for c in file.cards if c.is_for(demand.process, demand.method)]
    used = opening(file.cards, demand, dates=dates)
    cards = used or related
    training = [card for card in cards if card.level is Level.IN_TRAINING]
    if training and (used or len(training) == len(cards)):
        return _trainee(training[0], demand, beside)
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


def _trainee(card: Card, demand: Demand, beside: _Beside) -> Reason:
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
        state, condition, named = beside.condition()
        found, evidence = f"in training; {condition}", (card.ref, *named)
    return Reason(
        key="level",
        requirement="full, or in training where the part lets a trainee shoot",
        state=state,
        found=found,
        source=rule.source if rule else rules.source,
        evidence=evidence,
    )


def _mock_up(
    file: OperatorFile,
    demand: Demand,
    interval: Interval,
    terms: Terms | None,
    beside: _Beside,
) -> Reason:
    asked, requirement = _asked(demand, terms)
    compared: Compared = ()
    waived: tuple[Ref, ...] = ()
    if asked is not State.PASS:
        compared, waived = _under_waivers(file, demand, interval)
    evidence: tuple[Ref, ...] = tuple(m.ref for m, _ in compared)
    covering = [(m, c) for m, c in compared if all(line.holds for line in c)]
    if asked is State.PASS:
        state, found = State.PASS, "not asked for"
    elif covering:
        state, found, evidence = _covered(covering, beside)
        evidence += waived
    else:
        state, found = _not_covered(compared)
        # Where it is not settled that one is asked for, its absence settles nothing.
        state = State.UNDECIDED if asked is State.UNDECIDED else state
        evidence += tuple(setback.ref for setback in _asking(file, demand, interval))
    return Reason(
        key="mock-up",
        requirement=requirement,
        state=state,
        found=found,
        source=demand.mock_up_by_contract or COVERAGE_SOURCE,
        evidence=evidence,
    )


def _asking(
    file: OperatorFile, demand: Demand, interval: Interval
) -> tuple[Setback, ...]:
    at = interval.start.astimezone(ZoneInfo(interval.zone))
    return asking(file.setbacks, file.cards, demand, at=at)


def _under_waivers(
    file: OperatorFile, demand: Demand, interval: Interval
) -> tuple[Compared, tuple[Ref, ...]]:
    """Compare each mock-up, the engineer's waivers counted; return those that opened."""
    at = interval.start.astimezone(ZoneInfo(interval.zone))
    compared = coverage(file, demand, at=at)
    if not demand.waivers:
        return compared, ()
    found, used = [], dict[Ref, None]()
    for mock_up, lines in compared:
        opened, by = with_waivers(
            mock_up,
            lines,
            waivers=demand.waivers,
            operator=file.operator,
            interval=interval,
        )
        found.append((mock_up, opened))
        if all(line.holds for line in opened):
            used |= dict.fromkeys(by)
    return tuple(found), tuple(used)


def _activity(
    file: OperatorFile, demand: Demand, interval: Interval, terms: Terms | None
) -> Reason:
    waiver = waiver_of(
        demand.waivers, WaivedGate.IDLE, operator=file.operator, interval=interval
    )
    return activity_gate(
        file.shots, demand, interval=interval, terms=terms, waiver=waiver
    )


def _asked(demand: Demand, terms: Terms | None) -> tuple[State, str]:
    """Return whether a mock-up is asked for (`FAIL`: it is) and by whom."""
    code = mockup_needed(
        demand.reinforcement, terms=terms, aggregate=demand.mix.aggregate
    )
    who = []
    if demand.mock_up_by_contract is not None:
        name = f" (class {demand.mock_up_class})" if demand.mock_up_class else ""
        who.append(f"{demand.mock_up_by_contract.document}{name}")
    # One line for each kind of limit; the other mats say the same of their own gaps.
    asking = {reason.key: reason for reason in reversed(code.failed)}
    who.extend(f"{r.source} because of {r.found}" for r in reversed(asking.values()))
    if demand.mock_up_by_contract is not None or code.state is State.FAIL:
        by = "; ".join(who)
        return State.FAIL, f"an accepted mock-up of the operator's own, asked by {by}"
    if code.state is State.PASS:
        return State.PASS, "none: neither the contract nor the code asks for a mock-up"
    open_ones = "; ".join(r.found for r in code.unmet)
    return State.UNDECIDED, f"a mock-up may be asked for: {open_ones}"


def _covered(
    covering: Sequence[tuple[MockUp, tuple[Comparison, ...]]], beside: _Beside
) -> tuple[State, str, tuple[Ref, ...]]:
    """Prefer a mock-up accepted outright to one accepted under supervision."""
    for mock_up, lines in covering:
        if lines[-1].state is State.PASS:
            shown = ", ".join(f"{c.attribute} {c.have}" for c in lines[1:-1])
            found = f"{mock_up.code} covers: {shown}; {lines[-1].have}"
            return State.PASS, found, (mock_up.ref,)
    mock_up, lines = covering[0]
    state, condition, named = beside.condition()
    found = f"{mock_up.code} covers, {lines[-1].have}; {condition}"
    return state, found, (mock_up.ref, *named)


def _not_covered(
    compared: Sequence[tuple[MockUp, tuple[Comparison, ...]]],
) -> tuple[State, str]:
    state, found = State.FAIL, ["none accepted that covers the part"]
    for mock_up, lines in compared:
        gaps = list(missing(lines))
        if all(gap.state is State.UNDECIDED for gap in gaps):
            state = State.UNDECIDED
        found.append(f"{mock_up.code}: " + ", ".join(map(str, gaps)))
    return state, "; ".join(found)


def _mix(demand: Demand, dates: Sequence[date]) -> Reason:
    mix = demand.mix
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


def _suspension(file: OperatorFile, demand: Demand, interval: Interval) -> Reason:
    zone = ZoneInfo(interval.zone)
    now = [s for s in file.suspensions if s.concerns(demand) and s.stands(interval)]
    lines = [
        f"from {s.from_at.astimezone(zone):%Y-%m-%d %H:%M} by {s.ordered_by}"
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


def coverage(
    file: OperatorFile, demand: Demand, *, at: datetime
) -> tuple[tuple[MockUp, tuple[Comparison, ...]], ...]:
    """Compare each of the operator's mock-ups, in the order of their codes.

    `at` is the start, in the job's zone. Raises ValueError as `compare` does. Source:
    each comparison names its own.

    >>> from crews.domain import examples
    >>> file, demand = examples.operator_file(), examples.demand()
    >>> [(m.code, all(c.holds for c in lines))
    ...  for m, lines in coverage(file, demand, at=examples.AT)]
    [('MU-01', True)]
    """
    again = asking(file.setbacks, file.cards, demand, at=at)
    found = []
    for mock_up in sorted(file.mock_ups, key=lambda m: m.code):
        lines = compare(mock_up, demand, operator=file.operator, at=at)
        if again:
            since = accepted_since(mock_up.decisions, again[-1], at=at)
            lines = (*lines[:-1], since, lines[-1])
        found.append((mock_up, lines))
    return tuple(found)
