"""A set of cores against f_c: the mean, each core, and every reason.

Comparisons are made on unrounded strengths. All cores that may count are in the
mean, never the best of them; a core left out is listed with its reason, and a set
that cannot reach its number of cores is incomplete, never averaged over fewer.
Where a strict reader and one who rounds to whole percent would part, both answers
are given and the contract's decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import KW_ONLY, dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from functools import cached_property, partial

from crews.domain.core_facts import CoreTest, check_measure
from crews.domain.core_strength import as_reported
from crews.domain.core_validity import Examined, examine
from project.domain.editions import EDITIONS
from project.domain.showing import beside
from project.domain.term_kinds import ROUNDED, STRICT
from project.domain.terms import Terms
from project.domain.units import Quantity, convert
from project.domain.verdict import Known, Reason, Source, State, Verdict
from project.domain.working import Named, Step, Working

WHOLE_PERCENT = Source(
    "ACI technical committee manual", "11.6.7, as quoted", "2020", Known.READ
)
ALL_CORES = Source("project's choice", known=Known.PROJECT)

_PLACES = {"psi": 1, "MPa": 2}


@dataclass(frozen=True, slots=True)
class StrengthSet:
    """The cores of one panel, or of one place in the work, ordered for one age.

    `age` is theirs, `test_age` the one at which f_c is asked (the mix revision's;
    nothing: the contract's `core_age`). Raises ValueError for an f_c no concrete
    has, or a core ordered for another age.
    """

    panel: str
    _: KW_ONLY
    mix: str
    f_c: Quantity
    age: int
    due_on: date
    cores: tuple[CoreTest, ...]
    test_age: int | None = None

    def __post_init__(self) -> None:
        try:
            check_measure("strength", self.f_c)
        except ValueError as error:
            raise ValueError(f"f_c of {self.mix}: {error}") from None
        for core in self.cores:
            if core.planned_age != self.age:
                given = f"planned_age {core.planned_age} d"
                raise ValueError(f"core {core.core}: {given}; the set's is {self.age}")


class Due(StrEnum):
    """How the day a result is due lies to a date."""

    NOT_DUE = "not due"
    TODAY = "due today"
    AWAITED = "awaited"
    OVERDUE = "overdue"


def due(due_on: date, *, terms: Terms, on: date) -> Due:
    """Return how a due day stands on a date.

    `result_overdue_after` of the terms [d] is the patience after the due day.
    Source: common practice, no source.

    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> str(due(date(2026, 9, 14), terms=terms, on=date(2026, 9, 18)))
    'overdue'
    """
    late = (on - due_on).days
    if late <= 0:
        return Due.TODAY if late == 0 else Due.NOT_DUE
    patience = terms.quantity("result_overdue_after")
    days = Decimal(0) if patience is None else convert(patience, to="d").value
    return Due.OVERDUE if late > days else Due.AWAITED


def judge_set(s: StrengthSet, *, terms: Terms, on: date) -> Verdict:
    """Return whether a set of cores is accepted on a date.

    Parameters
    ----------
    s
        The set; its strengths may be in any unit of pressure.
    terms
        Give `core_count`, `core_average`, `core_single`, `core_rounding` and what
        `core_validity` and `core_strength` ask.
    on
        The day of the question, in the job's zone.

    Returns a verdict: pass, fail, undecided, incomplete, not due (see `due`), no
    data, and information for a set younger than f_c's age. Limits and margins are
    in the unit of f_c. Raises ValueError where a needed term is not given.

    Source: IBC 1908.10.3 (2009 read as 1913.10.3, 2018 from memory); two
    interpretations of a whole percent, ACI committee manual 11.6.7 (as quoted, read).

    >>> from project.domain.editions import resolve
    >>> terms = resolve("ibc-2018-1908", revision=1, effective_on=date(2026, 7, 1),
    ...                 departures={})
    >>> cores = tuple(
    ...     CoreTest(f"TP-010/{n}", planned_age=28, reinforcement="none",
    ...              conditioning="soaked", strength=Quantity(Decimal(psi), "psi"))
    ...     for n, psi in ((3, 5620), (4, 5480), (5, 4490)))
    >>> tp = StrengthSet("TP-010", mix="D-60", f_c=Quantity(Decimal(6000), "psi"),
    ...                  age=28, due_on=date(2026, 9, 11), cores=cores)
    >>> verdict = judge_set(tp, terms=terms, on=date(2026, 9, 14))
    >>> str(verdict.state), [reason.found for reason in verdict.failed]
    ('fail', ['TP-010/5: 4490.0 psi'])
    >>> verdict.reasons[-1].found
    'rounded: pass; mean 86.6 %, lowest 74.8 % of f_c'
    """
    return _Judging(s, terms, on).verdict()


class _Judging:
    """The set looked at once; everything else is read off it."""

    def __init__(self, s: StrengthSet, terms: Terms, on: date) -> None:
        self.s, self.terms = s, terms
        self.due = due(s.due_on, terms=terms, on=on)
        self.mean_share = _needed(terms, "core_average")
        self.single_share = _needed(terms, "core_single")
        self.count = self._count()
        self.mode = terms.choice("core_rounding") or STRICT
        self.examined = tuple(examine(core, terms=terms) for core in s.cores)

    def _count(self) -> int:
        """How many cores must count: the contract's number, of early cores its own."""
        if not self.early:
            return int(_needed(self.terms, "core_count"))
        ordered = self.terms.decimal("early_core_count")
        return max(1, len(self.s.cores) if ordered is None else int(ordered))

    @cached_property
    def early(self) -> bool:
        age = self.s.test_age
        if age is None:
            asked = self.terms.quantity("core_age")
            age = 0 if asked is None else int(convert(asked, to="d").value)
        return self.s.age < age

    def _in(self, state: State) -> list[Examined]:
        return [core for core in self.examined if core.validity.state is state]

    @cached_property
    def counted(self) -> list[tuple[str, Decimal]]:
        """The cores that count, by name, each with its strength in f_c's unit."""
        unit = self.s.f_c.unit
        return [
            (core.test.core, convert(core.strength.exact, to=unit).value)
            for core in self.examined
            if core.counts and core.strength is not None
        ]

    @cached_property
    def complete(self) -> bool:
        """Whether every core is reported and enough of them count."""
        open_states = (State.NO_DATA, State.UNDECIDED)
        still_open = any(c.validity.state in open_states for c in self.examined)
        return len(self.counted) >= self.count and not still_open

    @cached_property
    def strengths(self) -> list[Decimal]:
        return [strength for _, strength in self.counted]

    @cached_property
    def mean(self) -> Decimal:
        return sum(self.strengths, Decimal(0)) / len(self.strengths)

    def meets(self, strength: Decimal, share: Decimal, *, mode: str) -> bool:
        """Whether a strength reaches its share of f_c, as one of two readers has it.

        A limit written as a whole percent is met, one reader says, by whatever
        rounds to it: half a percent below is still enough.
        """
        least = share if mode == STRICT else share - Decimal("0.005")
        return strength >= least * self.s.f_c.value

    def accepted(self, mode: str) -> bool:
        """Whether nothing refuses the set, in one of the two interpretations."""
        singles = (
            self.meets(strength, self.single_share, mode=mode)
            for strength in self.strengths
        )
        mean = not self.complete or self.meets(self.mean, self.mean_share, mode=mode)
        return mean and all(singles)

    def verdict(self) -> Verdict:
        reasons = tuple(self._reasons())
        return Verdict(
            self._state(),
            self._rule(),
            reasons,
            working=partial(_set_working, self) if self.complete else None,
        )

    def _state(self) -> State:
        if not self.early and not self.accepted(self.mode):
            return State.FAIL
        if self._in(State.UNDECIDED):
            return State.UNDECIDED
        if self.complete:
            return State.INFORMATION if self.early else State.PASS
        if any(core.test.tested for core in self.examined):
            return State.INCOMPLETE
        return self._waiting_state()

    def _waiting_state(self) -> State:
        late = self.due in (Due.AWAITED, Due.OVERDUE)
        return State.NO_DATA if late else State.NOT_DUE

    def _rule(self) -> str:
        edition = EDITIONS.get(self.terms.edition)
        name = self.terms.edition if edition is None else edition.name
        if self.early:
            return f"{name}: early cores, for information"
        return (
            f"{name}: mean at least {self.mean_share} f_c, each core at least "
            f"{self.single_share} f_c, {self.mode}"
        )

    def _reasons(self) -> Iterator[Reason]:
        yield self._result()
        yield self._cores()
        if self.complete:
            yield self._mean()
        yield from (self._single(name, strength) for name, strength in self.counted)
        yield from self._left_out()
        other = ROUNDED if self.mode == STRICT else STRICT
        if not self.early and self.accepted(other) != self.accepted(self.mode):
            yield self._other_interpretation(other)

    def _result(self) -> Reason:
        waiting = self._in(State.NO_DATA)
        requirement = f"reported when due, {self.s.due_on}"
        if self.examined and not waiting:
            state, found = State.PASS, "reported"
        else:
            state, found = self._waiting_state(), str(self.due)
        return Reason("result", requirement, state, found, ALL_CORES)

    def _cores(self) -> Reason:
        waiting, counted = self._in(State.NO_DATA), len(self.counted)
        possible = counted + len(waiting) + len(self._in(State.UNDECIDED))
        source = self.terms.source("core_count")
        asked = f"{self.count} cores that count, all of them in the mean"
        if possible < self.count:
            lacking = self.count - possible
            found = f"{possible} can count; {lacking} more to be drilled"
            return Reason("cores", asked, State.INCOMPLETE, found, source)
        if self.complete:
            return Reason("cores", asked, State.PASS, f"{counted} count", source)
        found = f"{counted} of {possible} count so far"
        state = self._waiting_state() if not counted else State.INCOMPLETE
        return Reason("cores", asked, state, found, source)

    def _mean(self) -> Reason:
        share = self.mean_share
        return self._against("mean", "mean of the set", self.mean, share, "mean ")

    def _single(self, name: str, strength: Decimal) -> Reason:
        share = self.single_share
        return self._against("core", "each core", strength, share, f"{name}: ")

    def _against(
        self, key: str, what: str, strength: Decimal, share: Decimal, lead: str
    ) -> Reason:
        unit = self.s.f_c.unit
        limit = share * self.s.f_c.value
        text = f"{lead}{self._shown(strength, limit)} {unit}"
        term = "core_average" if key == "mean" else "core_single"
        if self.early:
            state = State.INFORMATION
            text += f", {100 * strength / self.s.f_c.value:.1f} % of f_c"
        else:
            met = self.meets(strength, share, mode=self.mode)
            state = State.PASS if met else State.FAIL
        return Reason(
            key,
            f"{what} at least {share} f_c",
            state,
            text,
            self.terms.source(term),
            limit=Quantity(limit, unit),
            margin=Quantity(strength - limit, unit),
        )

    def _percent(self, strength: Decimal, share: Decimal) -> str:
        percent = 100 * strength / self.s.f_c.value
        return f"{beside(percent, 100 * share, places=1)} %"

    def _shown(self, strength: Decimal, limit: Decimal) -> str:
        return beside(strength, limit, places=_PLACES.get(self.s.f_c.unit, 0))

    def _left_out(self) -> Iterator[Reason]:
        """Say of each core that is left out, open or flagged why it is."""
        for state, key in (
            (State.NOT_TESTABLE, "not counted"),
            (State.UNDECIDED, "not decided"),
            (State.CONDITION, "counted, but"),
        ):
            for core in self._in(state):
                why = [r for r in core.validity.reasons if r.state is state]
                found = f"{core.test.core}: {'; '.join(r.found for r in why)}"
                is_open = state is State.UNDECIDED
                yield Reason(
                    key,
                    "; ".join(r.requirement for r in why),
                    state if is_open else State.INFORMATION,
                    found,
                    why[0].source,
                    evidence=core.test.evidence,
                )

    def _other_interpretation(self, other: str) -> Reason:
        answer = "pass" if self.accepted(other) else "fail"
        lowest = f"lowest {self._percent(min(self.strengths), self.single_share)}"
        mean = self._percent(self.mean, self.mean_share)
        found = f"mean {mean}, {lowest}" if self.complete else lowest
        return Reason(
            "interpretation",
            f"shares compared {self.mode}; the other interpretation is {other}",
            State.INFORMATION,
            f"{other}: {answer}; {found} of f_c",
            WHOLE_PERCENT,
        )


def _needed(terms: Terms, name: str) -> Decimal:
    value = terms.decimal(name)
    if value is None:
        raise ValueError(f"term {name}: not given, and no set can be judged without it")
    return value


def _set_working(judging: _Judging) -> Working:
    """Lay out the mean and both limits of a set, with the numbers put in."""
    s, unit = judging.s, judging.s.f_c.unit
    places = Decimal(1).scaleb(-_PLACES.get(unit, 0))
    texts = [f"{value.quantize(places):f}" for value in judging.strengths]
    mean = f"{judging.mean.quantize(places):f}"
    steps = [
        Step("mean", f"({' + '.join(texts)}) / {len(texts)} = {mean} {unit}"),
        *_limits(judging),
    ]
    return Working(
        title=f"Core set {s.panel} at {s.age} d",
        inputs=(
            Named("f_c", s.f_c),
            *(
                Named(name, Quantity(value.quantize(places), unit))
                for name, value in judging.counted
            ),
        ),
        steps=tuple(steps),
        exact=Quantity(judging.mean, unit),
        reported=_reported(Quantity(judging.mean, unit), judging.terms),
        rounding="the mean and each core are compared unrounded; "
        "only what is reported is rounded",
    )


def _limits(judging: _Judging) -> Sequence[Step]:
    f_c, terms = judging.s.f_c, judging.terms
    shares = (
        ("least mean", judging.mean_share, "core_average"),
        ("least core", judging.single_share, "core_single"),
    )
    return [
        Step(
            name,
            f"{share} × {f_c.value:f} = {(share * f_c.value).normalize():f} {f_c.unit}",
            terms.source(term),
        )
        for name, share, term in shares
    ]


def _reported(mean: Quantity, terms: Terms) -> Quantity:
    unit = terms.choice("strength_unit") or mean.unit
    return as_reported(convert(mean, to=unit))
