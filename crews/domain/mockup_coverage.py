"""What a mock-up covers: attribute by attribute, and by what the engineer decided.

A mock-up covers a part only when every attribute holds. Each is compared and
kept, so that a reader sees why one covers and what another one lacks.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import lru_cache
from operator import attrgetter

from crews.domain.bar_rules import in_mm
from crews.domain.clearance import clear_spacing, largest_bar
from crews.domain.demand import Demand, Hardness, MixOnRecord
from crews.domain.mock_up import GOOD, Decision, MockUp
from crews.domain.trade_words import DecisionOutcome, WaivedGate
from crews.domain.waivers import Waiver, waiver_of
from project.domain.bars import thickness_of
from project.domain.clocks import Interval, to_the_minute
from project.domain.reinforcement import Mat, Reinforcement, SpliceKind
from project.domain.shooting_words import Position
from project.domain.term_kinds import EACH_REVISION, NO_REVISION, TAKES_BACK
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Ref, Source, State

COVERAGE_SOURCE = Source(
    "ACI 506.2-13", "each mixture, orientation and operator", known=Known.READ
)
RIG_SOURCE = Source("IBC", "1908.5", "2018", Known.READ)

# A mock-up with the harder splice shows the easier one too.
EASIEST_SPLICE_FIRST = (
    SpliceKind.NONE,
    SpliceKind.COUPLER,
    SpliceKind.NON_CONTACT,
    SpliceKind.CONTACT,
)
SPLICE_SOURCE = Source("order of difficulty of splices", known=Known.PRACTICE)

# What the engineer's equivalence cannot make so: whose it is, and what was decided.
NEVER_WAIVED = ("operator", "process", "method", "asked again", "acceptance")


@dataclass(frozen=True, slots=True)
class Comparison:
    """One attribute: what the mock-up has, what the part needs, how they stand."""

    attribute: str
    have: str
    need: str
    state: State
    # What the mock-up has, in words.
    has: str = field(init=False, repr=False, compare=False)
    # Whether the attribute does not stand in the way.
    holds: bool = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        holds = self.state in (State.PASS, State.CONDITION, State.INFORMATION)
        object.__setattr__(self, "has", f"{self.attribute} {self.have}")
        object.__setattr__(self, "holds", holds)

    def __str__(self) -> str:
        return f"{self.has} (needs {self.need})"


def _judged(attribute: str, have: object, need: object, holds: bool) -> Comparison:
    return (_held if holds else _lacking)(attribute, str(have), str(need))


def _open(attribute: str, have: object, need: object) -> Comparison:
    return Comparison(attribute, str(have), str(need), State.UNDECIDED)


# The same few lines are said of every operator. Kept by their words, so that a
# length is told as it was typed: 2.50 in is not told as an equal 2.5 in.
@lru_cache(maxsize=4096)
def _held(attribute: str, have: str, need: str) -> Comparison:
    return Comparison(attribute, have, need, State.PASS)


@lru_cache(maxsize=4096)
def _lacking(attribute: str, have: str, need: str) -> Comparison:
    return Comparison(attribute, have, need, State.FAIL)


@lru_cache(maxsize=4096)
def _told(attribute: str, have: str, need: str) -> Comparison:
    return Comparison(attribute, have, need, State.INFORMATION)


def of_work(
    mock_up: MockUp, demand: Demand, *, operator: Ref, at: datetime
) -> tuple[tuple[Comparison, ...], Comparison]:
    """Compare what demands of the same work ask alike: all but bars and thickness.

    `at` is the start of the nozzle time; its zone is used to print instants. Returned:
    what is told before bars and thickness, and the acceptance, told after them.
    Raises nothing. Source: ACI 506.2-13 (mixture, position, operator; read), IBC 2018
    1908.5 (equipment; read).

    >>> from crews.domain import examples
    >>> before, accepted = of_work(examples.mock_up(), examples.demand(),
    ...                            operator=examples.OPERATOR, at=examples.AT)
    >>> [line.attribute for line in (*before, accepted)]
    ['operator', 'process', 'method', 'position', 'mix', 'rig', 'acceptance']
    """
    before = (
        _operator(mock_up, operator),
        _judged(
            "process",
            mock_up.process,
            demand.process,
            mock_up.process is demand.process,
        ),
        _judged(
            "method", mock_up.method, demand.method, mock_up.method is demand.method
        ),
        _position(mock_up, demand),
        _mix(mock_up, demand.mix, demand.asked.mix_revision),
        _rig(mock_up, demand, at),
    )
    withdrawal = demand.asked.withdrawal
    return before, acceptance(mock_up.decisions, at=at, withdrawal=withdrawal)


def of_hardness(mock_up: MockUp, demand: Demand) -> tuple[Comparison, ...]:
    """Compare bars and thickness, lengths as given in any unit. Raises nothing.

    Source: the reading of IBC 2018 1908.4 that a test shows what it held; the order of
    splices is common practice, no source.

    >>> from crews.domain import examples
    >>> [line.attribute for line in of_hardness(examples.mock_up(), examples.demand())]
    ['bar size', 'clear spacing', 'curtains', 'splice', 'thickness']
    """
    lines = _as_hard(mock_up.hardness, demand.hardness)
    return lines if demand.asked.harder else tuple(map(_not_asked, lines))


@lru_cache(maxsize=4096)
def _as_hard(shown: Hardness, asked: Hardness) -> tuple[Comparison, ...]:
    """Compare the same once: a matrix asks the same of every operator."""
    lines = _bars(shown.bars, asked.bars)
    return (*lines, _thickness(shown.thickness, asked.thickness))


def _not_asked(line: Comparison) -> Comparison:
    """Leave a difference standing where the contract asks for no other mock-up."""
    if line.holds:
        return line
    need = f"{line.need}, not asked by the contract"
    return _told(line.attribute, line.have, need)


def _operator(mock_up: MockUp, operator: Ref) -> Comparison:
    if mock_up.shared:
        return _judged("operator", "two operators", operator.name, holds=False)
    same = mock_up.operator.id == operator.id
    return _judged("operator", mock_up.operator.name, operator.name, same)


def _position(mock_up: MockUp, demand: Demand) -> Comparison:
    have, need = mock_up.position, demand.mock_up_position
    # A mock-up that sloped says no angle: what it counts as is not settled.
    open_ = have in (Position.UNCLASSIFIED, Position.SLOPED, Position.HORIZONTAL)
    if need is None or (open_ and have is not need):
        return _open("position", have, need or demand.lies)
    line = _judged("position", have, need, have is need)
    return line if demand.asked.position else _not_asked(line)


def _mix(mock_up: MockUp, mix: MixOnRecord, asked: str) -> Comparison:
    """Another revision counts only when every mark between says "unchanged"."""
    have = f"{mock_up.mix_code} rev {mock_up.mix_revision}"
    if mock_up.mix_code != mix.code or mock_up.mix_revision == mix.revision:
        return _judged("mix", have, mix, mock_up.mix_code == mix.code)
    if asked == EACH_REVISION:
        return _judged("mix", have, mix, holds=False)
    if asked == NO_REVISION:
        return _not_asked(_judged("mix", have, mix, holds=False))
    low, high = sorted((mock_up.mix_revision, mix.revision))
    marks = {m.revision: m.placing_properties_changed for m in mix.marks}
    between = [marks.get(number) for number in range(low + 1, high + 1)]
    if True in between:
        return _judged("mix", have, f"{mix}, placing properties changed", holds=False)
    if None in between:
        return _open("mix", have, f"{mix}, not marked whether it places the same")
    return _judged("mix", have, f"{mix}, placing properties unchanged", holds=True)


def _rig(mock_up: MockUp, demand: Demand, at: datetime) -> Comparison:
    have = mock_up.rig.name if mock_up.rig else "not recorded"
    if demand.rig is None:
        # Asked before a rig is named: the answer says for which rig it was shown.
        return _told("rig", have, "no rig named")
    if mock_up.rig is None:
        return _open("rig", have, demand.rig.name)
    if mock_up.rig.id == demand.rig.id:
        return _judged("rig", have, demand.rig.name, holds=True)
    pair = {mock_up.rig.id, demand.rig.id}
    accepted = any(
        equal.rigs == pair and equal.accepted_at <= at
        for equal in demand.rig_equivalences
    )
    need = f"{demand.rig.name}{', accepted as its equivalent' if accepted else ''}"
    line = _judged("rig", have, need, accepted)
    return line if demand.asked.rig else _not_asked(line)


def _bars(
    have: Reinforcement | None, need: Reinforcement | None
) -> tuple[Comparison, ...]:
    if have is None or need is None:
        words = ["not given" if r is None else "given" for r in (have, need)]
        named = ("bar size", "clear spacing", "curtains", "splice")
        return tuple(_open(name, *words) for name in named)
    return (
        _bar_size(have, need),
        _clear_spacing(have, need),
        _judged(
            "curtains", have.curtains, need.curtains, have.curtains >= need.curtains
        ),
        _splice(have, need),
    )


def _bar_size(have: Reinforcement, need: Reinforcement) -> Comparison:
    if not need.mats or not have.mats:
        shown = largest_bar(have) if have.mats else "none"
        asked = largest_bar(need) if need.mats else "none"
        return _judged("bar size", shown, asked, not need.mats)
    shown, asked = largest_bar(have), largest_bar(need)
    larger = thickness_of(shown) >= thickness_of(asked)
    return _judged("bar size", shown, asked, larger)


def _clear_spacing(have: Reinforcement, need: Reinforcement) -> Comparison:
    """Ask, for each mat of the part, for bars as large shown at a gap as small.

    Not the least gap of all mats: thin bars close together say nothing of thick
    bars at the same gap.
    """
    if not need.mats or not have.mats:
        return _judged("clear spacing", "no bars", "no bars", not need.mats)
    pairs = [(_shown_gap(have, mat), clear_spacing(mat)) for mat in need.mats]
    shown, asked = min(pairs, key=lambda pair: in_mm(pair[1]) - in_mm(pair[0]))
    return _judged("clear spacing", shown, asked, in_mm(shown) <= in_mm(asked))


def _shown_gap(have: Reinforcement, mat: Mat) -> Quantity:
    diameter = thickness_of(mat.bar)
    as_large = [m for m in have.mats if thickness_of(m.bar) >= diameter]
    # Where no bar is as large the bar size fails; the gap is compared all the same.
    return min((clear_spacing(m) for m in as_large or have.mats), key=in_mm)


def _splice(have: Reinforcement, need: Reinforcement) -> Comparison:
    shown, asked = (r.splice.kind if r.splice else None for r in (have, need))
    if not need.mats or asked is SpliceKind.NONE:
        return _judged("splice", shown or "not given", asked or "no bars", holds=True)
    if shown is None or asked is None:
        return _open("splice", shown or "not given", asked or "not given")
    rank = EASIEST_SPLICE_FIRST.index
    return _judged("splice", shown, asked, rank(shown) >= rank(asked))


def _thickness(have: Quantity | None, need: Quantity | None) -> Comparison:
    if have is None or need is None:
        return _open("thickness", have or "not given", need or "not given")
    shown = convert(have, to=need.unit).value
    return _judged("thickness", have, need, shown >= need.value)


def acceptance(
    decisions: Sequence[Decision], *, at: datetime, withdrawal: str = TAKES_BACK
) -> Comparison:
    """Say whether a mock-up stood accepted when the nozzle was taken.

    By `withdrawal`, a term, a rejection that is the latest decision known takes back
    what went before, whenever it was decided, or counts from its own day. Otherwise the latest decision at or before the start
    counts: a later acceptance does not cure work already shot.
    Source: contract practice of dated acceptance (derived).

    >>> from crews.domain import examples
    >>> acceptance(examples.mock_up().decisions, at=examples.AT).have
    'accepted 2026-07-29 15:10'
    """
    need = f"an acceptance by {to_the_minute(at)}"
    in_order = decisions
    if len(decisions) > 1:
        in_order = sorted(decisions, key=attrgetter("decided_at", "recorded_at"))
    if not in_order:
        return _judged("acceptance", "not decided", need, holds=False)
    latest = in_order[-1]
    before = [d for d in in_order if d.decided_at <= at]
    if latest.outcome not in GOOD and withdrawal == TAKES_BACK:
        return _judged("acceptance", _said(latest, at), need, holds=False)
    counts = before[-1] if before else None
    if counts is None or counts.outcome not in GOOD:
        have = _said(latest, at) if counts is latest else _late(latest, at)
        return _judged("acceptance", have, need, holds=False)
    if counts.outcome is DecisionOutcome.ACCEPTED_UNDER_SUPERVISION:
        return Comparison("acceptance", _said(counts, at), need, State.CONDITION)
    return _judged("acceptance", _said(counts, at), need, holds=True)


def _said(decision: Decision, at: datetime) -> str:
    local = decision.decided_at.astimezone(at.tzinfo)
    return f"{decision.outcome} {to_the_minute(local)}"


def _late(decision: Decision, at: datetime) -> str:
    """Say what was decided only after the start: it reads on from "acceptance"."""
    words = decision.outcome.value
    if decision.outcome in GOOD:
        words = "given" + words.removeprefix("accepted")
    return f"{words} only {to_the_minute(decision.decided_at.astimezone(at.tzinfo))}"


def missing(comparisons: Sequence[Comparison]) -> tuple[Comparison, ...]:
    """Return what stands in the way, in the fixed order.

    Source: none needed, a filter. Raises nothing.

    >>> missing((_judged("mix", "a", "a", True),))
    ()
    """
    return tuple([line for line in comparisons if not line.holds])


def with_waivers(
    mock_up: MockUp,
    lines: Sequence[Comparison],
    *,
    waivers: Iterable[Waiver],
    operator: Ref,
    interval: Interval,
) -> tuple[tuple[Comparison, ...], tuple[Ref, ...]]:
    """Return a mock-up's comparisons as the engineer's waivers leave them.

    A waiver of the rig opens that line of every mock-up; an equivalence opens all lines
    of the one it names but whose it is, process, method and acceptance. What is waived
    says so. Also returned: the waivers that were needed.

    Source: project's choice, no published rule found. Raises nothing.

    >>> from crews.domain import examples
    >>> take = Interval(examples.AT, None, examples.ZONE)
    >>> with_waivers(examples.mock_up(), (), waivers=(), operator=examples.OPERATOR,
    ...              interval=take)
    ((), ())
    """
    every = tuple(waivers)
    if not every:
        return tuple(lines), ()
    rig = waiver_of(every, WaivedGate.RIG, operator=operator, interval=interval)
    named = [one for one in every if one.mock_up == mock_up.first]
    equal = waiver_of(named, WaivedGate.MOCK_UP, operator=operator, interval=interval)
    used: dict[Ref, None] = {}
    found = []
    for line in lines:
        waiver = rig if line.attribute == "rig" and rig is not None else equal
        if line.attribute in NEVER_WAIVED:
            waiver = None
        if waiver is not None and not line.holds:
            used[waiver.ref] = None
            need = f"{line.need}, {waiver.told(interval.zone)}"
            line = replace(line, need=need, state=State.PASS)
        found.append(line)
    return tuple(found), tuple(used)
